"""When somebody has stopped speaking, in a quiet place: sooner than the recogniser knows, which
hears the end a second late.
"""

from __future__ import annotations

from cutmemo.audio.chunk import RATE, SoundChunk
from cutmemo.audio.peaks import FRAME, STILL, VOICE, Peaks

SECONDS = 0.6
"""So long nothing is said between two calls; the recogniser's own rule is the same
(``conf/model.conf``).
"""


class Endpointer:
    """Follows the peaks of the sound. In noise it never tells of a pause."""

    def __init__(self) -> None:
        """Begin with a place of which nothing is known."""
        self._peaks = Peaks()
        self._loudest = 0
        self._still = 0
        """Samples since something was said."""

    def begin(self) -> None:
        """Wait for the next call."""
        self._loudest = self._still = 0

    def after(self, chunk: SoundChunk) -> bool:
        """Return whether nothing has been said for :data:`SECONDS`, after something that was, at
        the end of *chunk*.
        """
        if chunk.muted:  # says nothing of the floor of the place
            self._still += len(chunk.pcm) // 2
        for peak, floor in () if chunk.muted else self._peaks.after(chunk):
            self._loudest = max(self._loudest, peak)
            self._still = self._still + FRAME if peak <= STILL * floor else 0
        return self._still >= SECONDS * RATE and self._loudest >= VOICE * self._peaks.floor

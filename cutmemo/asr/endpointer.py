"""When somebody has stopped speaking, in a quiet place: sooner than the recogniser knows, which
hears the end a second late.
"""

from __future__ import annotations

import sys
from array import array
from collections import deque

from cutmemo.audio.chunk import RATE, SoundChunk

FRAME = RATE // 20
SECONDS = 0.6
"""So long nothing is said between two calls; the recogniser's own rule is the same
(``conf/model.conf``).
"""
_MEMORY = 100
"""Frames, five seconds, whose quietest is the floor of the place."""
_FLOOR, _SPEECH = 2, 10
"""Silence peaks at most at twice the floor, and what was said before at ten times the floor, or the
place is not quiet.
"""


class Endpointer:
    """Follows the peaks of the sound. In noise it never tells of a pause."""

    def __init__(self) -> None:
        """Begin with a place of which nothing is known."""
        self._peaks: deque[int] = deque(maxlen=_MEMORY)
        self._loudest = 0
        self._still = 0

    def begin(self) -> None:
        """Wait for the next call."""
        self._loudest = self._still = 0

    def after(self, chunk: SoundChunk) -> bool:
        """Return whether nothing has been said for :data:`SECONDS`, after something that was, at
        the end of *chunk*.
        """
        samples = array("h", chunk.pcm)
        if sys.byteorder == "big":
            samples.byteswap()
        for at in range(0, len(samples) - FRAME + 1, FRAME):
            frame = samples[at : at + FRAME]
            peak = max(max(frame), -min(frame), 1)
            self._peaks.append(peak)
            self._loudest = max(self._loudest, peak)
            self._still = self._still + 1 if peak <= _FLOOR * min(self._peaks) else 0
        return self._still * FRAME >= SECONDS * RATE and self._loudest >= _SPEECH * min(self._peaks)

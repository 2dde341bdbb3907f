"""How far sound stands above the floor of the place, 50 ms by 50 ms."""

from __future__ import annotations

import sys
from array import array
from collections import deque

from cutmemo.audio.chunk import RATE, SoundChunk

FRAME = RATE // 20
_MEMORY = 100
"""Frames, five seconds, whose quietest is the floor of the place."""
STILL, VOICE = 1.7, 6
"""Silence peaks at most at so many times the floor, and what is said at so many, or the place is
not quiet enough to tell.

In steady noise 99 of 100 frames peak below 1.65 times the quietest of the last five seconds;
speech 15 dB above it peaks at seven or eight times.
"""


class Peaks:
    """Follows the peaks of the sound, and the floor under them."""

    def __init__(self, least: int = 1) -> None:
        """Begin with an unknown place; its floor counts as no lower than *least*."""
        self._last: deque[int] = deque(maxlen=_MEMORY)
        self._least = least
        self._rest = array("h")
        """What came behind the last whole frame."""

    @property
    def floor(self) -> int:
        """Return the quietest peak of the last five seconds, in steps of 16 bits."""
        return max(self._least, min(self._last, default=self._least))

    def after(self, chunk: SoundChunk) -> list[tuple[int, int]]:
        """Return the peak of each frame that ends in *chunk*, with the floor as it was known by
        then. Frames do not depend on how long the chunks are.
        """
        samples = array("h", chunk.pcm)
        if sys.byteorder == "big":
            samples.byteswap()
        samples = self._rest + samples
        whole = len(samples) // FRAME * FRAME
        self._rest = samples[whole:]
        found = []
        for at in range(0, whole, FRAME):
            frame = samples[at : at + FRAME]
            peak = max(max(frame), -min(frame), 1)
            self._last.append(peak)
            found.append((peak, self.floor))
        return found

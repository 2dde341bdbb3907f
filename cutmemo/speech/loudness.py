"""How far speech stands out of the noise around it."""

from __future__ import annotations

import math
import sys
from array import array

from cutmemo.sound.chunk import RATE

FRAME = RATE // 50
NOTHING = 12.0
"""A frame below this level (decibels over one step of 16 bits) is digital silence, which says nothing of the site."""


def over_noise(pcm: bytes) -> float | None:
    """Return the decibels between the loud and the quiet frames of *pcm* (16-bit mono, 16 kHz).

    ``None`` where it is too short to tell.
    Loud is what one frame of 20 ms in ten lies above, quiet what one in ten lies below.
    Steady noise and other voices fill the pauses between words; blows of a hammer do not,
    and are not seen.
    """
    samples = array("h", pcm[: len(pcm) // 2 * 2])
    if sys.byteorder == "big":
        samples.byteswap()
    levels = []
    for at in range(0, len(samples) - FRAME + 1, FRAME):
        power = sum(s * s for s in samples[at : at + FRAME]) / FRAME
        levels.append(10 * math.log10(power + 1))
    levels = sorted(level for level in levels if level > NOTHING)
    if len(levels) < 5:
        return None
    return levels[9 * (len(levels) - 1) // 10] - levels[(len(levels) - 1) // 10]

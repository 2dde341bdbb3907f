"""How loud a sound is beside another: speech beside the noise around it, a call beside what came
before it.
"""

from __future__ import annotations

import math

from cutmemo.audio.chunk import RATE

FRAME = RATE // 50
"""Samples: 20 ms."""
SILENCE_DB = 12.0
"""A frame below this level (decibels over one step of 16 bits) is digital silence, which says
nothing of the site.
"""
MIN_FRAMES = 5
"""Frames from which something can be told."""
SIMILAR_WITHIN_DB = 6.0
"""Decibels. Other talk mostly lies further below whoever wears the microphone (a guess; it was, for
most talk 5 to 20 dB below).
"""


def snr_db(pcm: bytes) -> float | None:
    """Return the decibels between the loud and the quiet frames of *pcm* (16-bit mono, 16 kHz).

    ``None`` where it is too short to tell.
    Loud is what one frame of 20 ms in ten lies above, quiet what one in ten lies below.
    Steady noise and other voices fill the pauses between words; blows of a hammer do not,
    and are not seen.
    """
    levels = _levels(pcm)
    return (
        levels[_tenths(levels, 9)] - levels[_tenths(levels, 1)]
        if len(levels) >= MIN_FRAMES
        else None
    )


def similar_level(one: bytes, other: bytes, within_db: float = SIMILAR_WITHIN_DB) -> bool:
    """Return whether *one* is no more than *within_db* below *other* in its loud frames; false
    where one is too short.
    """
    levels, others = _levels(one), _levels(other)
    if min(len(levels), len(others)) < MIN_FRAMES:
        return False
    return levels[_tenths(levels, 9)] >= others[_tenths(others, 9)] - within_db


def _levels(pcm: bytes) -> list[float]:
    """Return the levels of the frames of *pcm*, from the quietest up, in decibels over one step of
    16 bits.
    """
    import numpy as np  # deferred: 0.1 s, and typing needs none of it

    samples = np.frombuffer(pcm, "<i2", len(pcm) // 2)
    frames = samples[: len(samples) // FRAME * FRAME].reshape(-1, FRAME).astype(np.int64)
    powers = (frames * frames).sum(axis=1) / FRAME
    # math.log10 is rounded alike everywhere, which numpy's is not: a decision may hang on the last
    # digit.
    levels = (10 * math.log10(power + 1) for power in powers.tolist())
    return sorted(level for level in levels if level > SILENCE_DB)


def _tenths(levels: list[float], number: int) -> int:
    """Return the index below which *number* tenths of *levels* lie."""
    return number * (len(levels) - 1) // 10

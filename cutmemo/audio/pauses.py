"""The pauses inside what somebody says, found by level, and the sound with each made short."""

from __future__ import annotations

import math

from cutmemo.audio.chunk import RATE
from cutmemo.audio.level import FRAME

PAUSE_SECONDS = 0.24
"""What is still for so long is a pause; the stop before a t or a p is shorter."""
LEFT_SECONDS = 0.12
"""So much of each pause is left."""
LITTLE_SECONDS = 0.05
"""So much where hardly any of it is: as much as between two words of one breath."""
STILL_BELOW = 0.3
"""A pause lies in the lowest part of the levels between the quiet frames and the loud ones."""
LEAST_DB = 6.0
"""Decibels between them; nearer to each other, pauses and words cannot be told apart."""


def with_short_pauses(pcm: bytes, left: float = LEFT_SECONDS) -> bytes:
    """Return *pcm* (16-bit mono, 16 kHz) with so many seconds *left* of each pause between its
    first and last word; the very *pcm* where there are none.
    """
    found = _pauses(_smooth_levels(pcm))
    if not found:
        return pcm
    half = 2 * int(left * RATE / 2)
    parts, since = [], 0
    for begin, end in found:
        parts.append(pcm[since : 2 * FRAME * begin + half])
        since = 2 * FRAME * end - half
    return b"".join([*parts, pcm[since:]])


def _smooth_levels(pcm: bytes) -> list[float]:
    """Return the level of each frame with its two neighbours, in decibels over one step of 16
    bits.
    """
    import numpy as np  # deferred: 0.1 s, and typing needs none of it

    samples = np.frombuffer(pcm, "<i2", len(pcm) // 2)
    frames = samples[: len(samples) // FRAME * FRAME].reshape(-1, FRAME).astype(np.int64)
    powers = [0, *((frames * frames).sum(axis=1) // FRAME).tolist(), 0]
    threes = zip(powers, powers[1:], powers[2:], strict=False)
    return [10 * math.log10(sum(three) / 3 + 1) for three in threes]


def _pauses(levels: list[float]) -> list[tuple[int, int]]:
    """Return the first frame of each pause, and the first behind it."""
    if not levels:
        return []
    in_order = sorted(levels)
    quiet, loud = (in_order[tenth * (len(levels) - 1) // 10] for tenth in (1, 9))
    if loud - quiet < LEAST_DB:
        return []
    spoken = [at for at, level in enumerate(levels) if level > quiet + STILL_BELOW * (loud - quiet)]
    least = int(PAUSE_SECONDS * RATE / FRAME)
    return [
        (one + 1, other)
        for one, other in zip(spoken, spoken[1:], strict=False)
        if other - one > least
    ]

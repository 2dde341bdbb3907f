"""The pauses somebody makes inside a call: looking at the tape, or being jostled.

A net that has only heard calls in one breath makes a word of a pause. So some clips are spoken, or
put together, with one: the part before it ends as the end of a call does, and the other begins as
one.
"""

from __future__ import annotations

import random

import numpy as np

from recipe.speech.shards import RATE, Sound

SHORT, LONG = (0.08, 0.25), (0.25, 0.9)
"""Seconds: a pause that the program has made short, and one as it is made."""
SHORT_SHARE = 0.4
FRAME = 160
QUIET = 0.02
"""Share of the loudest frame below which a frame is silence: the s and t at an end are soft."""
EDGE_FRAMES = 3
"""Left before the first loud frame and behind the last."""


def seconds_of(r: random.Random) -> float:
    """Return how long a pause is, in seconds."""
    return r.uniform(*(SHORT if r.random() < SHORT_SHARE else LONG))


def without_edges(sound: Sound, quiet: float = QUIET, edge: int = EDGE_FRAMES) -> Sound:
    """Return *sound* without the silence around it, *edge* frames of 10 ms left on each side."""
    whole = sound[: len(sound) // FRAME * FRAME].reshape(-1, FRAME).astype(float)
    frames = np.abs(whole).mean(1)
    loud = np.flatnonzero(frames > quiet * frames.max(initial=0))
    if not len(loud):
        return sound
    return sound[max(0, loud[0] - edge) * FRAME : (loud[-1] + 1 + edge) * FRAME]


def joined(first: Sound, second: Sound, seconds: float) -> Sound:
    """Return both parts with a pause of so many *seconds* between their last and first sound.

    Training lays the noise of a place over all of it; here the pause is digital silence.
    """
    left = max(0, round(seconds * RATE) - 2 * EDGE_FRAMES * FRAME)
    pause = np.zeros(left, np.int16)
    return np.concatenate([without_edges(first), pause, without_edges(second)])

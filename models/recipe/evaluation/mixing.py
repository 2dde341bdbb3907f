"""Sounds mixed at a signal-to-noise ratio, for recordings to measure with."""

from __future__ import annotations

import random
import wave
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch

from recipe.speech.shards import RATE
from recipe.training.augment import NoiseAugmenter

Sound = npt.NDArray[np.floating]
"""Samples in the int16 range at 16 kHz."""


def write(path: Path, sound: Sound) -> None:
    """Write *sound* as 16-bit WAV, clipped to its range."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(np.clip(sound, -32768, 32767).astype("<i2").tobytes())


def level(sound: Sound) -> float:
    """Return the root mean square of what is louder than 2 % of the peak."""
    loud = np.abs(sound) > 0.02 * np.abs(sound).max()
    return float(np.sqrt(np.mean(sound[loud] ** 2)))


def at_snr(sound: Sound, noise: Sound, decibels: float) -> Sound:
    """Return *sound* with *noise* that is *decibels* softer."""
    return sound + noise / (level(noise) + 1e-9) * level(sound) * 10 ** (-decibels / 20)


def padded(sound: Sound, r: random.Random) -> Sound:
    """Return *sound* with 0.25 to 0.55 s before it and 0.55 to 0.9 s after it."""
    return np.pad(sound, (r.randrange(4000, 9000), r.randrange(9000, 14000)))


def babble(talks: Sequence[Sound], r: random.Random, samples: int, people: int) -> Sound:
    """Return so many *people* who talk at once."""
    out = np.zeros(samples)
    for _ in range(people):
        one = np.concatenate([r.choice(talks) for _ in range(samples // RATE + 2)])
        at = r.randrange(len(one) - samples)
        out += one[at : at + samples] * r.uniform(0.4, 1)
    return out


class Noises:
    """The machines of a building site, drawn by one seed."""

    def __init__(self, seed: int) -> None:
        """Start at *seed*."""
        site = NoiseAugmenter("cpu", seed)
        self._makers: dict[str, Callable[[int, int], torch.Tensor]] = {
            "pink": lambda rows, samples: site.coloured(rows, samples, 1.0, 1.0),
            "saw": site.saw,
            "hammer": site.hammer,
            "compressor": site.compressor,
            "wind": site.wind,
        }

    def make(self, kind: str, samples: int) -> Sound:
        """Return one noise."""
        return self._makers[kind](1, samples)[0].numpy().astype(float)

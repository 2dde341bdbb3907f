"""Recorded noises and rooms to augment with, read from packs (.tsv beside the files it names).

Of a pack's columns file, start and samples are read; a room's recording is its impulse response.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch

RATE = 16000
NOISE_SECONDS = 20
"""A row of recorded noise; a shorter recording is repeated."""
BLOW_SECONDS = 2.5
"""A shorter recording is a blow, and comes again after a pause."""
PAUSES = (0.1, 1.2)
"""Seconds between two blows, at least and at most."""
ROOM_SAMPLES = 8000
"""Of an impulse response, from its direct sound on."""
Sound = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Recordings:
    """What speech is mixed with beside noises and rooms made by rule; either may have no row."""

    noises: torch.Tensor
    """(recordings, samples), each at unit power."""
    rooms: torch.Tensor
    """(rooms, ROOM_SAMPLES), each beginning at its direct sound, which is 1."""

    @staticmethod
    def read(noise_packs: Sequence[Path], room_packs: Sequence[Path], device: str) -> Recordings:
        """Return what is in these packs, on *device*."""
        return Recordings(noises(noise_packs, device), rooms(room_packs, device))


def _recordings(tables: Sequence[Path]) -> Iterator[Sound]:
    import soundfile

    for table in tables:
        with table.open(encoding="utf-8") as lines:
            rows = list(csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE))
        sounds = {
            name: soundfile.read(str(table.parent / name), dtype="float32")[0]
            for name in sorted({row["file"] for row in rows})
        }
        for row in rows:
            start = int(row["start"])
            yield sounds[row["file"]][start : start + int(row["samples"])]


def _row(sound: Sound, r: random.Random) -> Sound:
    """Return *sound* over and over, at unit power, for :data:`NOISE_SECONDS`."""
    samples, parts, size = NOISE_SECONDS * RATE, list[Sound](), 0
    blow = len(sound) < BLOW_SECONDS * RATE
    while size < samples:
        pause = int(r.uniform(*PAUSES) * RATE) if blow else 0
        parts += [sound * (r.uniform(0.4, 1) if blow else 1), np.zeros(pause, np.float32)]
        size += len(sound) + pause
    whole = np.concatenate(parts)[:samples]
    unit: Sound = whole / (np.sqrt(np.mean(whole**2)) + 1e-6)
    return unit


def noises(tables: Sequence[Path], device: str) -> torch.Tensor:
    """Return one row of sound for each recording of *tables*, (recordings, samples), or no row."""
    r = random.Random(1)
    rows = [_row(sound, r) for sound in _recordings(tables)]
    found = np.stack(rows) if rows else np.zeros((0, NOISE_SECONDS * RATE), np.float32)
    return torch.from_numpy(found).to(device)


def rooms(tables: Sequence[Path], device: str) -> torch.Tensor:
    """Return the impulse responses of *tables*, (rooms, :data:`ROOM_SAMPLES`), or no row.

    Each begins at its direct sound, which is 1.
    """
    found = np.zeros((0, ROOM_SAMPLES), np.float32)
    for sound in _recordings(tables):
        direct = int(np.abs(sound).argmax())
        response = sound[direct : direct + ROOM_SAMPLES] / sound[direct]
        row = np.pad(response, (0, ROOM_SAMPLES - len(response)))
        found = np.concatenate([found, row[None]])
    return torch.from_numpy(found).to(device)

"""Recorded noises and rooms as training takes them. Needs PyTorch, and is left out without it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip(
    "torch",
    reason="augmentation is not tested: PyTorch is missing (pip install -e '.[test,recipe]')",
)
soundfile = pytest.importorskip("soundfile", reason="recordings are read with soundfile")

from recipe.training.augment import NoiseAugmenter  # noqa: E402 (needs PyTorch)
from recipe.training.recordings import (  # noqa: E402 (needs PyTorch)
    NOISE_SECONDS,
    RATE,
    ROOM_SAMPLES,
    Recordings,
    noises,
    rooms,
)


def pack(folder: Path, *sounds: np.ndarray) -> Path:
    """Write *sounds* as one pack; return its table."""
    table, at = ["file\tstart\tsamples\tkind"], 0
    for sound in sounds:
        table.append(f"sounds.flac\t{at}\t{len(sound)}\thammer")
        at += len(sound)
    soundfile.write(folder / "sounds.flac", np.concatenate(sounds), RATE)
    path = folder / "sounds.tsv"
    path.write_text("\n".join(table) + "\n", "utf-8")
    return path


def test_each_recording_is_a_row_as_loud_as_the_others(tmp_path: Path) -> None:
    hum = 0.3 * np.sin(np.arange(4 * RATE) / 7)
    blow = 0.9 * np.exp(-np.arange(2000) / 300) * np.sin(np.arange(2000))
    rows = noises([pack(tmp_path, hum, blow)], "cpu")
    assert rows.shape == (2, NOISE_SECONDS * RATE)
    assert rows.pow(2).mean(1).tolist() == pytest.approx([1.0, 1.0], abs=1e-3)


def test_a_blow_comes_again_after_a_pause_and_a_hum_goes_on(tmp_path: Path) -> None:
    hum, blow = np.full(4 * RATE, 0.5), np.full(800, 0.9)
    rows = noises([pack(tmp_path, hum, blow)], "cpu")
    assert bool((rows[0] != 0).all())
    loud = (rows[1] != 0).numpy()
    starts = np.flatnonzero(loud[1:] & ~loud[:-1])
    assert len(starts) > 10
    assert np.diff(starts).min() >= 0.1 * RATE


def test_a_room_begins_at_its_direct_sound(tmp_path: Path) -> None:
    response = np.concatenate([np.zeros(300), [-0.8, 0.2], np.full(9000, 0.01)])
    room = rooms([pack(tmp_path, response)], "cpu")
    assert room.shape == (1, ROOM_SAMPLES)
    assert room[0, 0].item() == pytest.approx(1.0)
    assert room[0, 1].item() == pytest.approx(-0.25, abs=1e-3)


def test_without_packs_there_is_no_row() -> None:
    assert len(noises([], "cpu")) == len(rooms([], "cpu")) == 0


def test_a_recorded_noise_is_heard_in_some_rows_of_a_batch(tmp_path: Path) -> None:
    tone = 0.5 * np.sin(2 * np.pi * 1000 * np.arange(4 * RATE) / RATE)
    recorded = Recordings.read([pack(tmp_path, tone)], [], "cpu")
    made = NoiseAugmenter("cpu", 3, recorded).noise(torch.zeros(4, RATE), 40, RATE)
    spectrum = torch.fft.rfft(made).abs().pow(2)
    share = spectrum[:, 990:1010].sum(1) / spectrum.sum(1)
    assert 4 <= int((share > 0.5).sum()) <= 28

"""Nobody who is measured with is trained on."""

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np
import pytest
from recipe.training.held_out import HeldOut, is_held_out

pytest.importorskip(
    "torch",
    reason="who is held out of training is not tested: PyTorch is missing"
    " (pip install -e '.[test,recipe]')",
)
from recipe.training.dataset import Dataset, NumeratorGraphs
from recipe.training.graphs import Priors


@pytest.mark.parametrize(
    "speaker",
    [
        "flite_slt",
        "piper:joe",
        "rhvoice_bdl",
        "af_bella",
        "am_puck+af_sky",
        "fsdd_george",
        "cmu_us_rms",
        "flite_kal16",
        "festival_kal",
    ],
)
def test_a_voice_of_a_bench_is_held_out(speaker: str) -> None:
    assert is_held_out(speaker)


@pytest.mark.parametrize(
    "speaker", ["am_michael+bf_emma", "festival_ked", "espeak_en-us+m3", "af_heart"]
)
def test_a_synthetic_voice_that_is_trained_on_is_not(speaker: str) -> None:
    assert not is_held_out(speaker)


def test_one_real_speaker_in_five_is_held_out_by_name_alone() -> None:
    names = [f"an4_x{n:03}" for n in range(400)]
    assert [is_held_out(name) for name in names] == [
        zlib.crc32(f"dev_{name}".encode()) % 5 == 0 for name in names
    ]
    assert 40 < sum(map(is_held_out, names)) < 120


def test_speakers_of_speech_commands_with_an_odd_id_are_held_out() -> None:
    assert is_held_out("sc_0000014a")
    even = [f"sc_{n:06x}00" for n in range(0, 200, 2)]
    assert not all(is_held_out(name) for name in even)


def test_a_pack_with_a_held_out_speaker_is_refused_and_says_who(tmp_path: Path) -> None:
    shard = tmp_path / "s.npz"
    np.savez(
        shard,
        pcm=np.zeros(16000, np.int16),
        lens=np.array([16000]),
        text=np.array(["ten"]),
        voice=np.array(["flite_slt"]),
    )
    lexicon = {"ten": [("T", "EH", "N")]}
    graphs = NumeratorGraphs(lexicon, Priors({"ten": 1.0}, 0.1, 3.0, 0.3), "cpu")
    dataset = Dataset(lexicon, graphs, 12.0, 256, "cpu")
    with pytest.raises(HeldOut, match="flite_slt"):
        dataset.add(shard)

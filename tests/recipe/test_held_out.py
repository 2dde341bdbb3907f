"""Nobody who is measured with is trained on."""

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np
import pytest
from recipe.speech import script
from recipe.training.held_out import HeldOut, is_held_out


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


BENCH = Path(__file__).parents[1] / "voice" / "bench"


def speakers(pack: str) -> list[str]:
    lines = (BENCH / f"{pack}.tsv").read_text("utf-8").splitlines()
    return sorted({line.split("\t")[2] for line in lines[1:]})


@pytest.mark.parametrize("pack", ["an4", "figures", "flite", "kokoro", "sentences"])
def test_every_speaker_of_the_bench_is_held_out_whatever_they_are_joined_with(pack: str) -> None:
    assert speakers(pack)
    for speaker in speakers(pack):
        assert is_held_out(speaker)
        if pack == "kokoro":
            assert is_held_out(f"{speaker}*0.25+af_sky*0.75")


def test_what_is_spoken_for_training_is_spoken_by_no_voice_of_a_bench(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(script, "phonemes_of", lambda texts, _accent: list(texts))
    others = ["af_heart", "am_adam", "bf_alice", "bm_daniel", "ef_dora", "hm_psi", "zf_xiaoni"]
    lines = script.write([*speakers("kokoro"), *script.VALIDATION, *others], 300, 3, [])
    said = {voice for line in lines for voice in (*line.blend, *line.prosody)}
    assert set(others) <= said
    assert not [voice for voice in said if is_held_out(voice)]


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
    pytest.importorskip(
        "torch",
        reason="that training refuses who is held out is not tested: PyTorch is missing"
        " (pip install -e '.[test,recipe]')",
    )
    from recipe.training.dataset import Dataset, NumeratorGraphs
    from recipe.training.graphs import Priors

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

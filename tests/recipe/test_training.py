"""Ten steps on ten clips on the CPU end in a model that Vosk loads; the objective and nets from nets.

These need PyTorch (pip install -e '.[test,recipe]') and are left out without it.
"""

from __future__ import annotations

import csv
import json
import subprocess
import sys
import wave
from pathlib import Path

import numpy as np
import pytest
from recipe.export.nnet3 import from_bytes
from recipe.speech.shards import Spoken, pack, write

torch = pytest.importorskip(
    "torch", reason="training is not tested: PyTorch is missing (pip install -e '.[test,recipe]')"
)

ROOT = Path(__file__).parents[2]
WORDS = "zero one two three four five six seven eight nine".split()
SMALL = ("--device", "cpu", "--threads", "1", "--width", "32", "--bottleneck", "16")


def recipe(*arguments: str) -> str:
    """Run ``python -m recipe`` as a person would, and return what it prints."""
    command = [sys.executable, "-m", "recipe", *arguments]
    run = subprocess.run(command, cwd=ROOT / "models", capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    return run.stdout


@pytest.fixture(scope="module")
def ten_clips(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The read-back clips of ten words, as a shard."""
    clips = []
    for word in WORDS:
        with wave.open(str(ROOT / "assets" / "clips" / f"{word}.wav")) as file:
            sound = np.frombuffer(file.readframes(file.getnframes()), "<i2")
        clips.append(Spoken(sound, word, "am_liam" if word == "nine" else "af_heart"))
    path = tmp_path_factory.mktemp("clips") / "ten.npz"
    write(path, clips)
    return path


@pytest.fixture(scope="module")
def trained(ten_clips: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """A working folder of the driver, and its arguments."""
    work = tmp_path_factory.mktemp("work")
    arguments = ["all", str(work), "--sources", str(ten_clips), "--sentences", "2000", "--"]
    arguments += ["--steps", "10", "--batch-seconds", "10", *SMALL]
    recipe(*arguments)
    return work, arguments


def test_ten_steps_on_ten_clips_make_a_net(trained: tuple[Path, list[str]]) -> None:
    weights = torch.load(trained[0] / "net.pt")
    assert int(weights["first_bn.num_batches_tracked"]) == 10
    assert all(torch.isfinite(weight).all() for weight in weights.values())
    parameters = from_bytes((trained[0] / "model" / "am" / "final.mdl").read_bytes())
    exported = parameters["out.weight"]
    step = exported.max() - exported.min()
    assert np.abs(exported - weights["out.weight"].numpy()).max() < step / 64


def test_vosk_loads_the_model_and_decodes_with_it(trained: tuple[Path, list[str]]) -> None:
    import vosk

    vosk.SetLogLevel(-1)
    model = vosk.Model(model_path=str(trained[0] / "model"))
    assert model.vosk_model_find_word("sixteenths") > 0
    assert model.vosk_model_find_word("xqzzy") < 0
    decoder = vosk.KaldiRecognizer(model, 16000)
    decoder.SetWords(True)
    with wave.open(
        str(ROOT / "assets" / "clips" / "seven.wav")
    ) as file:  # a net of ten steps is slow
        decoder.AcceptWaveform(file.readframes(file.getnframes()))
    result = json.loads(decoder.FinalResult())
    assert all(model.vosk_model_find_word(word) >= 0 for word in result["text"].split())


def test_all_stages_are_there_and_none_is_run_again(trained: tuple[Path, list[str]]) -> None:
    told = recipe(*trained[1]).splitlines()
    assert told == [f"== {name}: there" for name in ("graph", "vocabulary", "train", "export")]


def test_training_goes_on_from_the_net_of_a_model(
    trained: tuple[Path, list[str]], ten_clips: Path, tmp_path: Path
) -> None:
    """What is in git can be trained on: read back, and one step further."""
    work, first = trained[0], tmp_path / "first.pt"
    recipe("read", str(work / "model"), str(first))
    before, after = torch.load(first), tmp_path / "after.pt"
    vocabulary = ("--vocabulary", str(work / "vocabulary.json"))
    how = ("--init", str(first), "--steps", "1", *SMALL)
    recipe("train", str(ten_clips), "--out", str(after), *vocabulary, *how)
    change = torch.load(after)["out.weight"] - before["out.weight"]
    assert 0 < change.abs().max() < 0.01


def test_a_pack_holds_the_clips_of_its_shards(tmp_path: Path) -> None:
    """Read back by the training's own reader: the same texts, and sound that is nearly the same."""
    soundfile = pytest.importorskip("soundfile", reason="packs are not tested: no soundfile")
    t = np.arange(16000) / 16000
    for k in (1, 2):
        tones = [np.sin(2 * np.pi * 400 * n * t) * 8000 for n in (k, k + 2)]
        clips = [Spoken(x.astype(np.int16), f"{WORDS[k]} {n}", "a") for n, x in enumerate(tones)]
        write(tmp_path / f"shard{k}.npz", clips)
    shards = [tmp_path / "shard1.npz", tmp_path / "shard2.npz"]
    pack(tmp_path / "packed", "tones", shards)
    with (tmp_path / "packed" / "tones.tsv").open() as lines:
        rows = list(csv.DictReader(lines, delimiter="\t"))
    assert [row["text"] for row in rows] == ["one 0", "one 1", "two 0", "two 1"]
    for row, hertz in zip(rows, (400, 1200, 800, 1600), strict=True):
        sound, rate = soundfile.read(tmp_path / "packed" / row["file"], dtype="int16")
        start = int(row["start"])
        clip = sound[start : start + int(row["samples"])]
        assert rate == 16000
        assert abs(int(np.argmax(np.abs(np.fft.rfft(clip)))) - hertz) <= 1


def test_shards_of_one_name_are_not_packed(tmp_path: Path) -> None:
    """Else the words of the second would be of the sound of the first."""
    pytest.importorskip("soundfile", reason="packs are not tested: no soundfile")
    for folder, seconds in (("a", 1), ("b", 2)):
        (tmp_path / folder).mkdir()
        clip = Spoken(np.ones(16000 * seconds, np.int16), folder, "v")
        write(tmp_path / folder / "same.npz", [clip])
    shards = [tmp_path / folder / "same.npz" for folder in "ab"]
    with pytest.raises(ValueError, match="same name"):
        pack(tmp_path / "packed", "tones", shards)
    pack(tmp_path / "packed", "tones", shards[:1])
    with pytest.raises(ValueError, match="not the sound"):
        pack(tmp_path / "packed", "tones", shards[1:])


def test_the_denominator_is_the_sum_over_all_that_could_have_been_said() -> None:
    """Every string of a small vocabulary is added up one by one."""
    from recipe.training.lfmmi import disagreement

    assert disagreement() < 1e-4
    # Strings of up to two words leave out what seven frames can hold of three.
    assert disagreement(max_words=1) > 1e-3


def test_a_widened_net_gives_the_same_outputs_and_an_average_lies_between() -> None:
    from recipe.training.combine import average, widened
    from recipe.training.tdnn import Tdnn, tdnn_of

    torch.manual_seed(1)
    one, other = Tdnn(8, 24, 12).state_dict(), Tdnn(8, 24, 12).state_dict()
    features = torch.randn(1, 90, 40)
    wide = widened(one, 40, 20)
    assert torch.allclose(tdnn_of(wide)(features)[0], tdnn_of(one)(features)[0], atol=1e-3)
    assert wide["first.weight"].shape[0] == 40
    mean = average([one, other])["out.weight"]
    assert torch.allclose(mean, (one["out.weight"] + other["out.weight"]) / 2)

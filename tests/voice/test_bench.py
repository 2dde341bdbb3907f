"""Hearing does not get worse: the bench, with real people, noise and pauses, against what came of it last time.

The whole program hears all of it, with what the decoder answered then (``tests/decodings.py``); every clip is
decoded anew at one of its noises. ``python tests/bench/measure.py hearing --write`` makes both anew.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import hearing_figures
import pytest
import site_sound
from decodings import Decodings
from hearing_figures import (
    DECODINGS,
    LETTERS,
    PAUSES,
    counted,
    kept,
    measured,
    sample,
    streams,
    sums,
    upper_limit,
)
from recipe.training.held_out import is_held_out
from site_hearing import Outcome, hear, word_errors

from cutmemo.asr import load_model
from cutmemo.audio.chunk import RATE
from cutmemo.bundle import bundled

MAX_BYTES = 6_000_000
PARTS = 4
"""For as many processes."""
FEWER_RIGHT = 0.01
"""Processors differ in the last bit, and a call may hang on it."""


@pytest.mark.parametrize("part", range(PARTS))
def test_the_bench_is_heard_as_well_as_last_time(part: int) -> None:
    """All of it; the decoder answers for what it was never given."""
    which = [*range(part, len(kept()["outcomes"]), PARTS)]
    answers = Decodings.of(DECODINGS, bundled("model"))
    assert answers.kept, "another model: python tests/bench/measure.py hearing --write"
    _are_heard_as_well(which, answers)


@pytest.mark.parametrize("part", range(PARTS))
def test_every_clip_decoded_anew_is_heard_as_well_as_last_time(part: int) -> None:
    _are_heard_as_well(sample()[part::PARTS], None)


def _are_heard_as_well(which: list[int], answers: Decodings | None) -> None:
    every, last = streams(), kept()["outcomes"]
    assert len(every) == len(last)
    found = [*measured(bundled("model"), [every[n] for n in which], decodings=answers)]
    now = sums("".join(LETTERS[outcome.what] for _, _, outcome in found))
    before = sums("".join(last[n] for n in which))
    told = "\n".join(hearing_figures.told(counted(iter(found))))
    assert now["wrong"] <= before["wrong"], told
    assert now["right"] >= before["right"] - max(1, FEWER_RIGHT * before["right"]), told


def test_every_clip_is_decoded_anew_and_every_noise_as_often() -> None:
    every, chosen = streams(), sample()
    kinds = Counter(every[n][0] for n in chosen)
    places = [site_sound.place(noise) for noise in site_sound.NOISES]
    assert {kinds[f"voices, call, {place}"] for place in places} == {60}
    names = {every[n][1]().name.rpartition(" (")[0] for n in chosen[: len(site_sound.clips())]}
    assert len(names) == len({f"{clip.speaker}: {clip.text}" for clip in site_sound.clips()})


def test_what_was_decoded_is_decoded_no_more(tmp_path: Path) -> None:
    model, clip = bundled("model"), site_sound.with_times(("call",))[0]
    making = ("call", lambda: site_sound.paused(clip, 0, 0.7, 15, 3))
    first = Decodings.of(tmp_path / "none", model)
    [(_, _, decoded)] = measured(model, [making], decodings=first)
    first.write(tmp_path / "kept.xz")
    kept_now = Decodings.of(tmp_path / "kept.xz", model)
    [(_, _, answered)] = measured(model, [making], decodings=kept_now)
    assert first.decoded > 0 == kept_now.decoded
    assert answered == decoded


def test_another_sound_or_model_is_decoded(tmp_path: Path) -> None:
    model, clip = bundled("model"), site_sound.with_times(("call",))[0]
    kept_now = Decodings.of(tmp_path / "none", model)
    [_] = measured(model, [("call", lambda: site_sound.alone(clip, 15, 3))], decodings=kept_now)
    kept_now.write(tmp_path / "kept.xz")
    other = Decodings.of(tmp_path / "kept.xz", model)
    softer = site_sound.alone(clip, 15, 4)
    [(_, _, outcome)] = measured(model, [("call", lambda: softer)], decodings=other)
    assert other.decoded > 0
    assert outcome == hear(softer, load_model(model))
    (tmp_path / "model").mkdir()
    assert not Decodings.of(tmp_path / "kept.xz", tmp_path / "model").kept


def test_nobody_of_the_bench_may_be_trained_on() -> None:
    speakers = {clip.speaker for clip in site_sound.clips()}
    assert len(speakers) > 30
    assert not [speaker for speaker in speakers if not is_held_out(speaker)]


def test_the_bench_is_small_and_says_whose_it_is() -> None:
    files = [*site_sound.BENCH.iterdir()]
    assert sum(file.stat().st_size for file in files if file.suffix in (".ogg", ".xz")) <= MAX_BYTES
    licences = (site_sound.BENCH / "LICENCES.md").read_text("utf-8")
    for source in ("AN4", "LibriSpeech", "Speech Commands", "Kokoro-82M", "flite"):
        assert source in licences


def test_a_pause_is_put_between_two_words_and_changes_nothing_else() -> None:
    clip = site_sound.with_times(("call",))[0]
    whole, paused = site_sound.alone(clip), site_sound.paused(clip, 0, 0.7, None, 0)
    assert len(paused.samples) - len(whole.samples) == pytest.approx(0.7 * RATE, abs=1)
    at = int(site_sound.LEAD * RATE)
    assert (paused.samples[at : at + 100] == clip.samples[:100]).all()
    tail = len(clip.samples) // 4
    end = len(paused.samples) - int(site_sound.TRAIL * RATE)
    assert (paused.samples[end - tail : end] == clip.samples[-tail:]).all()


@pytest.mark.parametrize("which", [149, 153, 388])
def test_a_pause_inside_a_call_makes_no_other_call_of_it(which: int) -> None:
    """ "Twelve", half a second, "foot six" was heard as "one foot six", which stood in silence."""
    _, make = site_sound.pauses(PAUSES)[which]
    assert hear(make(), load_model(bundled("model"))).what == "named"


@pytest.mark.parametrize("echo", [True, False], ids=["loudspeaker", "headset"])
def test_what_is_read_back_hides_no_second_half(echo: bool) -> None:
    """With the read-back on and off the same second half is heard of a call with a pause of 0.9 s."""
    loaded = load_model(bundled("model"))
    clips = [clip for clip in site_sound.with_times(("call",)) if clip.speaker == "am_puck"]
    for before in ("blocks", "hundred"):
        clip = next(clip for clip in clips if clip.text.split()[1] == before)
        stream = site_sound.paused(clip, 1, 0.9, None, 1)
        silent = hear(stream, loaded, read_back=False)
        assert len(silent.heard) == 2
        aloud = hear(stream, loaded, echo=echo)
        assert len(aloud.heard) == 2
        assert _second_half(aloud) == _second_half(silent)
        assert aloud.what == silent.what
        assert _first_readings(aloud) == _first_readings(silent)


def _second_half(outcome: Outcome) -> str:
    """The words behind the pause, without the whole call: a filler of its first half may be heard one way or another."""
    return outcome.heard[-1].split(" = ")[0]


def _first_readings(outcome: Outcome) -> list[str]:
    return [row.split(", ")[0] for row in outcome.rows]


@pytest.mark.parametrize("decibels", [28, 15, 10])
def test_noise_is_as_far_below_the_speech_as_it_says(decibels: int) -> None:
    clip = site_sound.with_times(("call",))[0]
    noise = site_sound.alone(clip, decibels).samples - site_sound.alone(clip).samples
    below = site_sound._level(clip.samples) / float((noise.astype(float) ** 2).mean() ** 0.5)
    assert below == pytest.approx(10 ** (decibels / 20), rel=0.02)


@pytest.mark.parametrize(
    ("said", "heard", "errors"),
    [
        ("four one two", "four one two", 0),
        ("four one two", "four two", 1),
        ("six", "sixty six", 1),
        ("oh", "", 1),
    ],
)
def test_word_errors(said: str, heard: str, errors: int) -> None:
    assert word_errors(said, heard) == (errors, len(said.split()))


def test_the_limit_of_nothing_wrong_among_many() -> None:
    """Wilson's interval (1927): no error among 100 leaves the true share below 3.7 % (95 %)."""
    assert upper_limit(0, 100) == pytest.approx(0.037, abs=0.0005)

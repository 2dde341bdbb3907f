"""Pauses inside what somebody says: where they are, what is left of them, and what a second hearing changes."""

from __future__ import annotations

import numpy as np
import pytest

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.asr.rejoin import both_hearings
from cutmemo.audio.chunk import RATE
from cutmemo.audio.level import FRAME
from cutmemo.audio.pauses import LEFT_SECONDS, PAUSE_SECONDS, with_short_pauses


def speech(*seconds: float, loud: float = 6000, floor: float = 30) -> bytes:
    """Return tone and silence in turn, each for so many seconds, with noise under all of it."""
    r = np.random.default_rng(5)
    parts = []
    for n, length in enumerate(seconds):
        t = np.arange(round(length * RATE))
        tone = loud * np.sin(2 * np.pi * 220 * t / RATE) * (n % 2)
        parts.append(tone + r.normal(0, floor, len(t)))
    return np.concatenate(parts).astype("<i2").tobytes()


def seconds(pcm: bytes) -> float:
    return len(pcm) / (2 * RATE)


@pytest.mark.parametrize("floor", [0, 30, 600])
@pytest.mark.parametrize("pause", [0.3, 0.5, 0.9])
def test_of_a_pause_a_short_one_is_left(pause: float, floor: float) -> None:
    whole = speech(0.4, 0.8, pause, 0.7, 0.3, floor=floor)
    short = with_short_pauses(whole)
    assert seconds(whole) - seconds(short) == pytest.approx(pause - LEFT_SECONDS, abs=0.05)


def test_each_of_several_pauses_is_made_short() -> None:
    whole = speech(0.4, 0.5, 0.4, 0.5, 0.6, 0.5, 0.3)
    removed = seconds(whole) - seconds(with_short_pauses(whole))
    assert removed == pytest.approx(1.0 - 2 * LEFT_SECONDS, abs=0.1)


def test_the_words_on_both_sides_stay_as_they_are() -> None:
    whole = speech(0.4, 0.8, 0.6, 0.7, 0.3)
    short = with_short_pauses(whole)
    assert short[: 2 * int(1.2 * RATE)] == whole[: 2 * int(1.2 * RATE)]
    assert short[-2 * RATE :] == whole[-2 * RATE :]


@pytest.mark.parametrize(
    "whole",
    [
        speech(0.4, 0.8, PAUSE_SECONDS - 0.06, 0.7, 0.3),
        speech(0.9, 1.5, 0.9),
        speech(0.4, 0.8, 0.6, 0.7, 0.3, loud=400, floor=600),
        speech(3.0),
        b"",
        bytes(2 * (FRAME - 1)),
    ],
    ids=["the stop of a word", "before and behind", "under the noise", "noise", "nothing", "a bit"],
)
def test_what_is_no_pause_stays(whole: bytes) -> None:
    assert with_short_pauses(whole) is whole


def heard(*texts: tuple[str, float]) -> Recognition:
    return Recognition(tuple(Hypothesis(text, score) for text, score in texts), pcm=b"\0\0")


def test_two_hearings_that_differ_are_as_likely_as_each_other() -> None:
    first = heard(("one foot six", 50.0), ("one four six", 49.0))
    again = heard(("twelve foot six", 91.0), ("one foot six", 90.0))
    both = both_hearings(first, again)
    found = {each.text: each.log_likelihood for each in both.hypotheses}
    assert found == {"twelve foot six": 50.0, "one foot six": 50.0, "one four six": 49.0}
    assert both.text == "twelve foot six"
    assert both.pcm == first.pcm


@pytest.mark.parametrize(
    "again", [[("[unk] [unk]", 90.0), ("ten", 89.0)], [("one foot six", 90.0), ("ten", 89.9)]]
)
def test_no_second_speech_or_the_same_changes_nothing(again: list[tuple[str, float]]) -> None:
    first = heard(("one foot six", 50.0), ("one four six", 49.0))
    assert both_hearings(first, heard(*again)) is first

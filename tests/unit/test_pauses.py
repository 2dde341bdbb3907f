"""Pauses inside what somebody says: where they are, what is left of them, and what a second hearing changes."""

from __future__ import annotations

import numpy as np
import pytest

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.asr.rejoin import all_hearings, with_pauses_short
from cutmemo.audio.chunk import RATE
from cutmemo.audio.level import FRAME
from cutmemo.audio.pauses import (
    LEFT_SECONDS,
    LITTLE_SECONDS,
    PAUSE_SECONDS,
    with_short_pauses,
)


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
@pytest.mark.parametrize("left", [LEFT_SECONDS, LITTLE_SECONDS])
def test_of_a_pause_a_short_one_is_left(left: float, pause: float, floor: float) -> None:
    whole = speech(0.4, 0.8, pause, 0.7, 0.3, floor=floor)
    short = with_short_pauses(whole, left)
    assert seconds(whole) - seconds(short) == pytest.approx(pause - left, abs=0.05)


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


def test_hearings_that_differ_are_as_likely_as_each_other() -> None:
    first = heard(("one foot six", 50.0), ("one four six", 49.0))
    again = heard(("twelve foot six", 91.0), ("one foot six", 90.0))
    third = heard(("twelve foot six", 70.0), ("twelve of these", 66.0))
    both = all_hearings(first, again, third)
    found = {each.text: each.log_likelihood for each in both.hypotheses}
    assert found == {
        "twelve foot six": 50.0,
        "one foot six": 50.0,
        "one four six": 49.0,
        "twelve of these": 46.0,
    }
    assert both.text == "twelve foot six"
    assert both.pcm == first.pcm


def test_a_hearing_that_is_no_speech_changes_nothing() -> None:
    first = heard(("one foot six", 50.0), ("one four six", 49.0))
    assert all_hearings(first, heard(("[unk] [unk]", 90.0), ("ten", 89.0))) == first


PAUSED = speech(0.4, 0.8, 0.6, 0.7, 0.3)
SHORT, LITTLE = (with_short_pauses(PAUSED, left) for left in (LEFT_SECONDS, LITTLE_SECONDS))


@pytest.mark.parametrize(
    ("sound", "first", "short", "asked"),
    [
        (PAUSED, "one foot six", "one foot six", [SHORT]),
        (PAUSED, "one foot six", "twelve foot six", [SHORT, LITTLE]),
        (PAUSED, "sixteen want said two", "sixteen want said two", [SHORT, LITTLE]),
        (PAUSED, "one foot six", "[unk]", [SHORT, LITTLE]),
        (speech(0.4, 1.5, 0.3), "one foot six", "twelve", []),
    ],
    ids=["the same", "another", "no call", "noise", "no pause"],
)
def test_where_two_hearings_do_not_settle_it_a_third_is_asked(
    sound: bytes, first: str, short: str, asked: list[bytes]
) -> None:
    given: list[bytes] = []

    def decode(pcm: bytes) -> Recognition:
        given.append(pcm)
        return heard((short if pcm == SHORT else "ten foot six", 90.0))

    found = with_pauses_short(heard((first, 50.0)), sound, decode)
    assert given == asked
    named = [each.text for each in found.hypotheses]
    assert first in named
    assert ("ten foot six" in named) == (LITTLE in asked)


def test_a_second_hearing_of_nothing_changes_nothing() -> None:
    first = heard(("one foot six", 50.0))
    assert with_pauses_short(first, PAUSED, lambda _: None) is first


def test_a_third_hearing_of_nothing_leaves_two() -> None:
    hearings = iter([heard(("twelve foot six", 90.0)), None])
    found = with_pauses_short(heard(("one foot six", 50.0)), PAUSED, lambda _: next(hearings))
    assert [each.text for each in found.hypotheses] == ["twelve foot six", "one foot six"]


@pytest.mark.parametrize(
    ("behind", "third", "named"),
    [
        (1.0, "one oh one and a half", True),
        (4.0, "one oh one and a half", True),
        (4.5, "one oh one and a half", False),
        (1.0, "one eight one and a half", False),
        (1.0, "[unk]", False),
    ],
    ids=["near", "at the margin", "beyond it", "all three the same", "no speech"],
)
def test_two_hearings_that_are_the_same_stand_unless_the_second_is_nearly_what_the_third_is(
    behind: float, third: str, named: bool
) -> None:
    best, other = "one eight one and a half", "one oh one and a half"
    first = heard((best, 50.0), ("one eighth", 48.0))
    again = heard((best, 90.0), (other, 90.0 - behind))
    hearings = iter([again, heard((third, 70.0))])
    found = with_pauses_short(first, PAUSED, lambda _: next(hearings))
    assert (other in [each.text for each in found.hypotheses]) == named
    assert named or found is first

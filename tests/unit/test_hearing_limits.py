"""From alternatives to readings: how close is close, to the last hundredth, and what becomes of noise, orders and refusals."""

from __future__ import annotations

import random
from array import array
from fractions import Fraction as F

import pytest

from cutmemo.asr import Hypothesis, Interpretation, Recognition, interpret, split_recognition
from cutmemo.asr.decide import AFTER_UNINTELLIGIBLE, ONE_FIGURE, PARTLY_MUTED, n_best, rejected_call
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Command

CREW = Settings()
NOISE = "[unk] [unk]"


def heard(*scored: tuple[str, float], **facts: bool) -> Recognition:
    return Recognition(tuple(Hypothesis(*each) for each in scored), **facts)  # type: ignore[arg-type]  # flags


def meant(*scored: tuple[str, float], margin: float | None = 2.0, **facts: bool) -> Interpretation:
    found = interpret(heard(*scored, **facts), CREW, margin)
    assert found is not None
    return found


def inches(found: Interpretation) -> list[F]:
    return [each.intent.length.inches for each in found.readings if isinstance(each.intent, Cut)]


@pytest.mark.parametrize(
    ("lead", "close"), [(0.0, True), (1.75, True), (2.0, True), (2.25, False), (-1.0, True)]
)
def test_an_alternative_is_close_up_to_the_margin(lead: float, close: bool) -> None:
    found = meant(("thirty six", 50.0), ("forty one", 50.0 - lead))
    assert inches(found) == ([36, 41] if close else [36])
    assert found.unsure is close
    assert found.said == "thirty six"


@pytest.mark.parametrize(("lead", "close"), [(3.75, True), (4.0, True), (4.25, False)])
def test_what_runs_together_by_ear_is_close_two_further(lead: float, close: bool) -> None:
    assert inches(meant(("sixteen", 50.0), ("sixty", 50.0 - lead))) == ([16, 60] if close else [16])


@pytest.mark.parametrize(
    ("margin", "lead", "close"),
    [
        (1.0, 2.5, True),
        (1.0, 2.75, False),
        (4.0, 2.75, True),
        (4.0, 4.0, True),
        (4.0, 4.25, False),
    ],
)
def test_noise_is_close_within_its_own_margin_or_the_calls(
    margin: float, lead: float, close: bool
) -> None:
    found = meant(("thirty six", 50.0), (NOISE, 50.0 - lead), margin=margin)
    assert (inches(found), found.unsure) == ([36], close)


def test_where_no_margin_is_given_it_is_that_of_the_sound() -> None:
    # Nothing is known of the noise: 4.0.
    for lead, close in ((4.0, True), (4.25, False)):
        assert meant(("thirty six", 50.0), ("forty one", 50.0 - lead), margin=None).unsure is close
    # As loud all along: no speech stands out of it, as in the loudest noise.
    r = random.Random(1)
    pcm = array("h", (round(r.gauss(0, 900)) for _ in range(32_000))).tobytes()
    sound = heard(("thirty six", 50.0), ("forty one", 46.5))
    loud = interpret(Recognition(sound.hypotheses, pcm=pcm), CREW)
    assert loud is not None
    assert loud.unsure


def test_no_more_readings_than_keys_and_the_likeliest_first() -> None:
    texts = ["thirty six", "forty one", "fifty eight", "ninety two", "seventy one"]
    found = meant(*((text, 50.0 - k / 4) for k, text in enumerate(texts)))
    assert inches(found) == [36, 41, 58]
    assert found.heard == tuple((text, 50.0 - k / 4) for k, text in enumerate(texts))
    assert inches(meant(*((text, 50.0) for text in texts[:3]))) == [36, 41, 58]


def test_one_meaning_in_two_ways_is_one_reading_and_sure() -> None:
    found = meant(("sixteen and three eighths", 50.0), ("sixteen three eighths", 49.9))
    assert inches(found) == [F(131, 8)]
    assert not found.unsure
    # Two meanings of the same words are asked about by the words, not by the hearing.
    both = meant(("six two", 50.0))
    assert len(both.readings) == 2
    assert not both.unsure
    third = meant(("six two", 50.0), ("forty one", 49.0))
    assert len(third.readings) == 3
    assert third.unsure


@pytest.mark.parametrize(
    ("muted", "behind", "doubts"),
    [
        (False, False, ()),
        (True, False, (PARTLY_MUTED,)),
        (False, True, (AFTER_UNINTELLIGIBLE,)),
        (True, True, (PARTLY_MUTED,)),
    ],
)
def test_what_was_not_heard_whole_asks_in_every_reading(
    muted: bool, behind: bool, doubts: tuple[object, ...]
) -> None:
    found = meant(
        ("thirty six", 50.0),
        ("forty one", 49.0),
        partly_muted=muted,
        after_unintelligible=behind,
    )
    assert [each.doubts for each in found.readings] == [doubts, doubts]


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ("seven", True),
        ("dead seven", True),
        ("one", True),
        ("nine", True),
        ("ten", False),
        ("eleven", False),
        ("seven inches", False),
        ("an inch", False),
        ("seven and a half", False),
        ("seven eighths", False),
        ("stud seven", False),
        ("two at seven", False),
        ("seven two by four", False),
        ("seven for wall three", False),
        ("seventy", False),
    ],
)
def test_one_figure_and_nothing_else_asks(said: str, asks: bool) -> None:
    """It is the shortest call: a word of a talk, or of a longer call, is easily heard as one."""
    found = meant((said, 50.0))
    assert {ONE_FIGURE in each.doubts for each in found.readings} == {asks}


def test_noise_is_no_speech_and_nothing_is_nothing() -> None:
    assert interpret(heard(), CREW) is None
    assert interpret(heard((NOISE, 50.0), ("thirty six", 49.9)), CREW) is None
    assert interpret(heard(("", 50.0), ("thirty six", 49.9)), CREW) is None


def test_an_order_is_obeyed_only_where_it_can_be_no_noise_at_all() -> None:
    """A saw may sound like "cut", however far behind its noise is named; a length or a correction asks instead."""
    assert isinstance(meant(("undo", 50.0)).readings[0].intent, Command)
    assert interpret(heard(("undo", 50.0), (NOISE, 1.0)), CREW) is None
    assert inches(meant(("thirty six", 50.0), (NOISE, 1.0))) == [36]
    for words in ("no thirty seven", "same as the last but two inches longer"):
        assert not meant((words, 50.0), (NOISE, 1.0)).unsure


def test_the_first_words_that_mean_something_are_those_that_were_said() -> None:
    found = meant(("wall for and", 50.0), ("thirty six", 49.0))
    assert (found.said, inches(found), found.unsure) == ("thirty six", [36], True)
    with pytest.raises(NotACall) as nothing:
        interpret(heard(("wall for and", 50.0), ("thirty six", 47.0)), CREW, 2.0)
    assert nothing.value.words[0] == "wall"
    with pytest.raises(NotACall) as first:
        interpret(heard(("wall for and", 50.0), ("header for and", 49.0)), CREW, 2.0)
    assert first.value.words == nothing.value.words


def test_a_refusal_says_why_and_not_that_nothing_was_understood() -> None:
    with pytest.raises(Refused):
        interpret(heard(("thirty six and five sevenths", 50.0), ("wall for and", 49.0)), CREW, 2.0)


def test_a_twin_that_is_not_named_is_asked_about_once() -> None:
    twin = meant(("ninety fifteen sixteenths", 50.0))
    named = meant(("ninety fifteen sixteenths", 50.0), ("nineteen fifteen sixteenths", 49.0))
    assert inches(twin) == inches(named) == [F(1455, 16), F(319, 16)]
    assert twin.unsure
    far = meant(("ninety fifteen sixteenths", 50.0), ("nineteen fifteen sixteenths", 1.0))
    assert inches(far) == inches(twin)


def test_scores_are_kept_to_a_hundredth() -> None:
    kept = n_best(heard(("thirty six", 50.126), ("forty one", -3.004)))
    assert kept == (("thirty six", 50.13), ("forty one", -3.0))


@pytest.mark.parametrize(
    ("scored", "told"),
    [
        ([(NOISE, 50.0), ("thirty six", 47.5)], "thirty six"),
        ([(NOISE, 50.0), ("thirty six", 47.25)], ""),
        ([(NOISE, 50.0), ("undo", 49.0), ("thirty six", 48.0)], "thirty six"),
        ([(NOISE, 50.0), ("undo", 49.0)], ""),
        ([(NOISE, 50.0), ("wall for and", 49.0), ("thirty six", 48.0)], "thirty six"),
        ([(NOISE, 50.0)], ""),
        ([], ""),
    ],
)
def test_a_cut_that_was_taken_for_noise_is_told_where_it_was_close(
    scored: list[tuple[str, float]], told: str
) -> None:
    assert rejected_call(heard(*scored), CREW) == told


@pytest.mark.parametrize(
    ("scored", "parts"),
    [
        ([("one oh one and a half one oh two and an eighth", 50.0)], 2),
        ([("thirty six", 50.0)], None),
        ([("undo", 50.0)], None),
        ([("thirty six and five sevenths", 50.0)], None),
        ([("wall for and", 50.0)], None),
        ([(NOISE, 50.0), ("one oh one and a half one oh two and an eighth", 49.0)], None),
        ([], None),
    ],
)
def test_several_calls_in_one_breath_are_parted_and_one_is_not(
    scored: list[tuple[str, float]], parts: int | None
) -> None:
    found = split_recognition(heard(*scored), CREW)
    assert (None if found is None else len(found.parts)) == parts


SEVERAL_UNCLEAR = "seventy one and three quarters knee braces sixteen"


@pytest.mark.parametrize("lead", [0.5, 3.5], ids=["near", "at the margin"])
def test_several_calls_that_are_not_clear_ask_where_a_single_one_is_as_likely(lead: float) -> None:
    """What nobody can part is refused; what may be one call is a question that names it."""
    both = heard((SEVERAL_UNCLEAR, 50.0), ("seventy one and three quarters dead on", 50.0 - lead))
    assert split_recognition(both, CREW) is None
    found = interpret(both, CREW)
    assert found is not None
    assert found.unsure
    assert inches(found) == [F(287, 4)]


@pytest.mark.parametrize(
    "others",
    [
        [],
        [("seventy one and three quarters dead on", 45.5)],
        [("thirty six and five sevenths", 49.0)],
        [(NOISE, 49.0)],
    ],
    ids=["alone", "beyond the margin", "no call", "noise"],
)
def test_several_calls_that_are_not_clear_are_refused_where_nothing_else_is_near(
    others: list[tuple[str, float]],
) -> None:
    with pytest.raises(Refused):
        split_recognition(heard((SEVERAL_UNCLEAR, 50.0), *others), CREW)


def test_the_length_is_that_of_the_words() -> None:
    assert [each.intent for each in meant(("thirty six", 50.0)).readings] == [Cut(Length(F(36)))]

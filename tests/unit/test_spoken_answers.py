"""A spoken answer settles a question only where it is plainly one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from conftest import Clock
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NothingToDo, Refused
from cutmemo.memo.decide.answers import ANSWER_WITHIN_SECONDS, ORDER_WITHIN_SECONDS


def heard(text: str) -> Recognition:
    return Recognition((Hypothesis(text, 100.0),))


@pytest.mark.parametrize("said", ["the first", "yes", "no"])
def test_a_spoken_answer_settles_nothing_long_after_the_question(
    session: Desk, clock: Clock, said: str
) -> None:
    """Somebody else's "the first" out of a radio is no answer; a key is one at any time."""
    session.call("six two")
    clock.later(ORDER_WITHIN_SECONDS + 0.1)
    with refused(NothingToDo, "Row 1 asked a while ago"):
        session.hear(heard(said))
    assert [row.state for row in session.state.rows.values()] == ["doubtful"]
    session.answer(1)
    assert [row.state for row in session.state.rows.values()] == ["open"]


def test_a_spoken_answer_is_taken_until_then(session: Desk, clock: Clock) -> None:
    session.call("six two")
    clock.later(ORDER_WITHIN_SECONDS)
    session.hear(heard("the first"))
    assert [row.state for row in session.state.rows.values()] == ["open"]


def test_questions_that_wait_are_answered_one_behind_the_other(session: Desk, clock: Clock) -> None:
    """The next question is shown when the one before it is answered, however old it is."""
    for said in ("six two", "eight two", "seven two"):
        session.call(said)
    clock.later(60)
    session.answer(1)
    clock.later(ORDER_WITHIN_SECONDS)
    session.hear(heard("the second"))
    clock.later(ORDER_WITHIN_SECONDS + 0.1)
    with refused(NothingToDo, "asked a while ago"):
        session.hear(heard("the second"))
    assert [row.state for row in session.state.rows.values()] == ["doubtful", "open", "open"]


def test_another_station_s_answer_makes_room_for_none_here(
    session: Desk, open_session: Callable[..., Desk], clock: Clock
) -> None:
    session.call("six two")
    session.call("eight two")
    clock.later(ORDER_WITHIN_SECONDS + 0.1)
    open_session("saw", "bob").answer(1)
    session.follow()
    with refused(NothingToDo, "asked a while ago"):
        session.hear(heard("the second"))


def test_a_spoken_answer_that_may_be_the_end_of_other_words_settles_nothing(
    session: Desk,
) -> None:
    session.call("six two")
    with refused(Refused, "was not understood"):
        session.hear(replace(heard("the first"), after_unintelligible=True))
    assert [row.state for row in session.state.rows.values()] == ["doubtful"]


def test_who_answers_too_late_is_told_how_the_row_is_settled_and_that_settles_it(
    session: Desk, clock: Clock
) -> None:
    session.call("six two")
    clock.later(ORDER_WITHIN_SECONDS + 0.1)
    with refused(NothingToDo, "by the key.*“row 1 is"):
        session.hear(heard("the first"))
    session.hear(heard("row one is seventy four"))
    (row,) = session.state.rows.values()
    assert (row.state, row.cut.length.inches) == ("open", 74)


def test_a_bare_number_that_names_a_reading_settles_it_until_then(
    session: Desk, clock: Clock
) -> None:
    session.call("six two")
    clock.later(ANSWER_WITHIN_SECONDS)
    session.hear(heard("seventy four"))
    assert [row.state for row in session.state.rows.values()] == ["open"]


@pytest.mark.parametrize(
    ("said", "asks"),
    [("seventy four", True), ("seventy five", False), ("seventy four king stud", False)],
)
@pytest.mark.parametrize("later", [ANSWER_WITHIN_SECONDS + 0.1, 60.0, 3600.0])
def test_a_bare_number_that_comes_too_late_to_be_an_answer_asks_whether_it_is(
    session: Desk, clock: Clock, said: str, asks: bool, later: float
) -> None:
    """It would else stand as a cut that nobody called, beside the row that still asks."""
    session.call("six two")
    clock.later(later)
    session.hear(heard(said))
    first, second = session.state.rows.values()
    kinds = [each.kind for each in second.doubts]
    assert (second.state, DoubtKind.PERHAPS_AN_ANSWER in kinds) == (
        ("doubtful", True) if asks else ("open", False)
    )
    assert first.state == "doubtful"


def test_a_number_is_no_late_answer_to_what_another_station_asked(
    session: Desk, open_session: Callable[..., Desk], clock: Clock
) -> None:
    session.call("six two")
    other = open_session("bench", "bob")
    clock.later(ANSWER_WITHIN_SECONDS + 0.1)
    other.hear(heard("seventy four"))
    assert [row.state for row in other.state.rows.values()] == ["doubtful", "open"]

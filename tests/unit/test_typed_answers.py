"""A bare number typed while a question is shown answers it; everything else that is typed is a call of its own."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk, refused

from cutmemo.errors import Refused


def ask(session: Desk, said: str) -> None:
    """Call *said*, which asks, and show its question."""
    told = session.call(said)
    assert told.happened == "asked"
    assert told.row is not None
    session.shown_question = told.row.id


@pytest.mark.parametrize(
    "said, typed, count, inches",
    [
        ("six two", "1", 1, F(62)),
        ("six two", "2", 1, F(74)),
        ("six two", "62", 1, F(62)),
        ("six two", "74", 1, F(74)),
        ("six two", "6' 2\"", 1, F(74)),
        ("six two", "six foot two", 1, F(74)),
        ("six two and a quarter", "74-1/4", 1, F(297, 4)),
        ("3x36", "36", 3, F(36)),
        ("3x36", "3", 36, F(3)),
        ("3x36", "2", 36, F(3)),
        ("six two", "the second", 1, F(74)),
    ],
)
def test_a_number_that_names_one_reading_answers(
    session: Desk, said: str, typed: str, count: int, inches: F
) -> None:
    ask(session, said)
    told = session.call(typed)
    assert told.happened == "answered"
    (row,) = session.state.rows.values()
    assert (row.state, row.cut.count, row.cut.length.inches) == ("open", count, inches)
    assert "Row 1 is" in told.text or "row 1 is" in told.text


@pytest.mark.parametrize(
    "typed",
    ["3", "63", "2 @ 62", "74 2x6", "74 stud", "74 for wall 3", "62 strong", "62, 74", "74-1/16"],
)
def test_whatever_says_more_or_something_else_is_a_new_row(session: Desk, typed: str) -> None:
    ask(session, "six two")
    session.call(typed)
    rows = list(session.state.rows.values())
    assert rows[0].state == "doubtful"
    assert len(rows) >= 2


def test_a_number_answers_only_the_question_that_is_shown(session: Desk) -> None:
    ask(session, "six two")
    session.shown_question = None
    assert session.call("74").happened == "added"


def test_an_answered_question_is_answered_once(session: Desk) -> None:
    ask(session, "six two")
    session.call("2")
    assert session.call("62").happened == "added"
    assert len(session.state.rows) == 2


def test_a_number_of_one_choice_that_is_the_length_of_another_is_refused(session: Desk) -> None:
    ask(session, "2x36")
    row = session.state.rows.numbered(1)
    assert row is not None
    assert [reading.length.inches for reading in row.readings] == [F(36), F(2)]
    assert session.call("2").happened == "answered"  # its number and its length are one reading
    ask(session, "36x1")
    with refused(Refused, "number of one choice"):
        session.call("1")
    assert session.state.rows.numbered(2).state == "doubtful"  # type: ignore[union-attr]

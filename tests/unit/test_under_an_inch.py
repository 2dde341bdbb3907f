"""Less than an inch as a whole call: rarer than another call misheard, so by voice it asks."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from conftest import Clock
from desk import Desk

from cutmemo.asr import Hypothesis, Recognition


def heard(text: str) -> Recognition:
    return Recognition((Hypothesis(text, 100.0),))


@pytest.mark.parametrize(
    ("said", "typed"),
    [("one sixteenth", "1/16"), ("a half", "1/2"), ("fifteen sixteenths light", "15/16 light")],
)
def test_less_than_an_inch_asks_by_voice_and_not_typed(
    session: Desk, clock: Clock, said: str, typed: str
) -> None:
    told = session.hear(heard(said))
    assert told is not None
    assert told.happened == "asked"
    assert "Under an inch" in told.text
    clock.later(60)
    assert session.call(typed).happened == "added"


def test_less_than_an_inch_names_whatever_else_was_heard(session: Desk) -> None:
    """In noise "one fifty" was heard as "one sixteenth", far ahead of the right words."""
    texts = ("one sixteenth", 100.0), ("one fifty", 93.0), ("[unk]", 90.0)
    session.hear(Recognition(tuple(Hypothesis(*each) for each in texts)))
    (row,) = session.state.rows.values()
    assert row.state == "doubtful"
    assert [cut.length.inches for cut in row.readings] == [F(1, 16), F(150)]


def test_an_inch_stands(session: Desk) -> None:
    assert session.hear(heard("one inch")).happened == "added"  # type: ignore[union-attr]

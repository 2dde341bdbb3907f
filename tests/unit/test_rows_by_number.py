"""Corrections and orders for a row that is named by its number, typed and spoken."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.errors import NothingToDo, Refused, UnknownCut
from cutmemo.language import Change, Command, OnRow, read


def heard(text: str) -> Recognition:
    return Recognition((Hypothesis(text, 100.0),))


@pytest.fixture
def three(session: Desk) -> Desk:
    for said in ("50-1/2 stud", "4 @ 71", "33-1/4"):
        session.call(said)
    return session


def rows(session: Desk) -> list[tuple[int, F, str]]:
    return [
        (row.cut.count, row.cut.length.inches, row.state) for row in session.state.rows.values()
    ]


@pytest.mark.parametrize(
    ("said", "by_voice", "row", "change"),
    [
        ("change row 2 to 72", False, 2, (1, 72)),
        ("change row two to seventy two", True, 2, (1, 72)),
        ("row 2 make that 72", False, 2, (1, 72)),
        ("row two, no make that 72", False, 2, (1, 72)),
        ("row 12 times 4", False, 12, (4, None)),
        ("make row 3 four pieces", False, 3, (4, None)),
    ],
)
def test_a_change_names_its_row(
    said: str, by_voice: bool, row: int, change: tuple[int, int | None]
) -> None:
    (reading,) = read(said, by_voice=by_voice)
    assert isinstance(reading.intent, OnRow)
    assert reading.intent.row == row
    meant = reading.intent.intent
    assert isinstance(meant, Change)
    length = None if meant.length is None else meant.length.inches
    assert (meant.count or 1, length) == change


@pytest.mark.parametrize("verb", ["strike", "hold", "release", "skip", "clear", "put back"])
def test_an_order_names_its_row(verb: str) -> None:
    (reading,) = read(f"{verb} row three", by_voice=True)
    assert reading.intent == OnRow(3, Command(verb))  # type: ignore[arg-type]  # a verb of the table


def test_only_the_row_that_is_named_is_changed(three: Desk) -> None:
    assert three.call("change row 1 to 51-1/2").happened == "changed"
    three.call("row 2 times 5")
    assert rows(three) == [(1, F(103, 2), "open"), (5, F(71), "open"), (1, F(133, 4), "open")]


def test_a_row_is_struck_held_cleared_and_put_back_by_its_number(three: Desk) -> None:
    three.call("strike row 1")
    three.hear(heard("hold row two"))
    three.call("clear row 3")
    states = [(row.state, row.held) for row in three.state.rows.values()]
    assert states == [("struck", False), ("open", True), ("cut", False)]
    three.call("put back row 1")
    assert three.state.rows.numbered(1).state == "open"  # type: ignore[union-attr]


def test_a_row_that_is_not_there_or_struck_is_not_changed(three: Desk) -> None:
    with refused(UnknownCut, "“9”"):
        three.call("change row 9 to 36")
    three.call("strike row 1")
    with refused(NothingToDo, "struck already"):
        three.call("change row 1 to 36")


def test_where_the_number_and_the_length_run_together_nothing_is_guessed(three: Desk) -> None:
    with pytest.raises(Refused):
        three.hear(heard("row three thirty six"))
    assert [row[1] for row in rows(three)] == [F(101, 2), F(71), F(133, 4)]


def test_at_the_saw_a_row_takes_orders_by_voice_and_no_change(three: Desk) -> None:
    three.at_saw = True
    three.hear(heard("hold row two"))
    assert three.state.rows.numbered(2).held  # type: ignore[union-attr]
    with refused(Refused, "only orders"):
        three.hear(heard("change row two to forty"))


@pytest.mark.parametrize(
    ("said", "row", "changed"),
    [
        ("change the 71 to 72", 2, F(72)),
        ("change 71 to 72", 2, F(72)),
        ("change 50-1/2 to 51-1/2", 1, F(103, 2)),
        ("change 3 to 34", 3, F(34)),
        ("fix 2 to 72", 2, F(72)),
    ],
)
def test_a_row_is_named_by_its_length_or_by_its_bare_number(
    three: Desk, said: str, row: int, changed: F
) -> None:
    three.call(said)
    lengths = [F(101, 2), F(71), F(133, 4)]
    lengths[row - 1] = changed
    assert [each[1] for each in rows(three)] == lengths


def test_a_row_is_named_by_its_length_by_voice(three: Desk) -> None:
    three.hear(heard("change the seventy one to seventy two"))
    assert [each[1] for each in rows(three)] == [F(101, 2), F(72), F(133, 4)]


def test_a_number_of_one_row_that_is_the_length_of_another_is_asked(three: Desk) -> None:
    three.call("2")
    for said in ("change 2 to 72", "scratch 2", "hold 2"):
        with refused(Refused, "one by its number and one by its length"):
            three.call(said)
    three.call("change row 2 to 72")
    three.call("change the 2 to 3")
    assert [each[1] for each in rows(three)] == [F(101, 2), F(72), F(133, 4), F(3)]


def test_two_rows_of_one_length_are_not_changed_by_it(three: Desk) -> None:
    three.call("71 stud")
    with refused(NothingToDo, "Rows 2, 4 have that length"):
        three.call("change the 71 to 72")


def test_a_row_by_number_is_asked_about_where_two_have_that_length(three: Desk) -> None:
    three.call("2 block")
    three.call("2 stud")
    with refused(NothingToDo, "Rows 4, 5 have that length"):
        three.call("change 2 to 72")
    assert rows(three)[1][1] == F(71)


def test_orders_around_a_row(three: Desk) -> None:
    three.call("put row 2 on hold")
    three.call("take row 1 off")
    three.call("cancel 33-1/4")
    states = [(row.state, row.held) for row in three.state.rows.values()]
    assert states == [("struck", False), ("open", True), ("struck", False)]


@pytest.mark.parametrize(
    "said",
    ["not 71, 72", "72 not 71", "71 should be 72", "71 should've been 72"],
)
def test_what_is_instead_of_what_changes_its_row(three: Desk, said: str) -> None:
    three.call(said)
    assert [each[1] for each in rows(three)] == [F(101, 2), F(72), F(133, 4)]


def test_what_is_not_on_the_list_is_not_changed(three: Desk) -> None:
    with refused(NothingToDo, "No open row"):
        three.call("not 73, 74")
    with refused(NothingToDo, "No open row"):
        three.call("73 should be 74")
    assert [each[1] for each in rows(three)] == [F(101, 2), F(71), F(133, 4)]

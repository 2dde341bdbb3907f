"""Rows named by what they are: cut, done, held and let go; one row, and never more pieces than meant."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk, refused
from memory_store import MemoryStore

from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import CutmemoError, NothingToDo


@pytest.fixture
def desk() -> Desk:
    """Return rows 1 to 3: 24 studs, 5 of 36 in., a header of 48-1/2."""
    found = Desk(MemoryStore())
    for said in ("24 studs 92-5/8", "5 @ 36", "2x8 header 48-1/2"):
        found.call(said)
    return found


@pytest.mark.parametrize(
    ("said", "row", "pieces"),
    [
        ("cut the header", 3, 1),
        ("header is done", 3, 1),
        ("the header is done", 3, 1),
        ("header done", 3, 1),
        ("the 48-1/2 is done", 3, 1),
        ("48-1/2 done", 3, 1),
        ("cut 3 of the 36", 2, 3),
        ("3 of the 36 done", 2, 3),
        ("cut 20 of the studs", 1, 20),
        ("cut five of the 36", 2, 5),
    ],
)
def test_pieces_of_the_row_that_is_named_are_cut(
    desk: Desk, said: str, row: int, pieces: int
) -> None:
    desk.call(said)
    assert {each.number: each.done for each in desk.state.rows.values() if each.done} == {
        row: pieces
    }


@pytest.mark.parametrize(
    "said",
    ["36 done", "the 36 is done", "studs done", "the studs all cut", "cut the 36", "cut the studs"],
)
def test_of_several_left_it_is_told_how_to_say_how_many(desk: Desk, said: str) -> None:
    with refused(NothingToDo, "say “cut one of row"):
        desk.call(said)
    assert not any(row.done for row in desk.state.rows.values())


@pytest.mark.parametrize("left", [2, 1])
def test_two_left_are_several_and_one_is_not(left: int) -> None:
    desk = Desk(MemoryStore())
    desk.call(f"{left} @ 41 joist")
    if left == 1:
        desk.call("joist is done")
        assert desk.find("1").state == "cut"
        return
    with refused(NothingToDo, "Row 1 has 2 left"):
        desk.call("joist is done")
    assert desk.find("1").done == 0


@pytest.mark.parametrize(
    "said",
    [
        "48 done",
        "cut the 37",
        "cut the joist",
        "joist is done",
        "cut 6 of the 36",
        "cut 2 of the header",
    ],
)
def test_what_is_not_there_is_not_cut(desk: Desk, said: str) -> None:
    with refused(CutmemoError, ""):
        desk.call(said)
    assert not any(row.done for row in desk.state.rows.values())


def test_of_two_rows_of_a_name_neither_is_taken(desk: Desk) -> None:
    desk.call("2x10 header 60")
    desk.call("36-1/2")
    for said in ("header is done", "cut the header", "put the header on hold", "let the header go"):
        with refused(NothingToDo, "3, 4"):
            desk.call(said)
    assert not any(row.done or row.held for row in desk.state.rows.values())


def test_a_row_is_held_and_let_go_by_its_name(desk: Desk) -> None:
    for hold, release in (
        ("put the header on hold", "let the header go"),
        ("set the header aside", "take the header off hold"),
        ("header on hold", "the header can go"),
    ):
        desk.call(hold)
        assert [row.number for row in desk.state.rows.values() if row.held] == [3]
        desk.call(release)
        assert not any(row.held for row in desk.state.rows.values())


def test_cut_and_a_length_that_waits_may_be_an_order_and_asks(desk: Desk) -> None:
    (asked,) = desk.call("cut 36").rows
    assert (asked.number, asked.state) == (4, "doubtful")
    assert DoubtKind.DONE_OR_NEW in {each.kind for each in asked.doubts}
    assert desk.find("2").done == 0
    (plain,) = desk.call("cut 41").rows
    assert (plain.cut.length.inches, plain.state) == (F(41), "open")


def test_how_many_studs_there_are_is_said_of_studs_only() -> None:
    desk = Desk(MemoryStore())
    desk.call("24 studs 92-5/8")
    for said, count in (
        ("make it 26 studs", 26),
        ("no, make it two studs", 2),
        ("add 3 more", 5),
        ("3 more", 8),
    ):
        desk.call(said)
        (row,) = desk.state.rows.values()
        assert (row.cut.count, row.cut.length.inches, row.state) == (count, F(741, 8), "open")
    desk.call("2x8 header 48-1/2")
    for said in ("make it 26 studs", "make it 26 stud", "make it 26 studs 36"):
        with refused(CutmemoError, ""):
            desk.call(said)
    assert [row.cut.count for row in desk.state.rows.values()] == [8, 1]

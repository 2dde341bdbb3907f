"""Cuts that are worked out from rows, and boards for the rack in any order of words."""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError, NothingToDo, UnknownCut
from cutmemo.language import BoardsCall, FromRow, read
from cutmemo.memo import open_store


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    found = Desk(open_store(tmp_path / "memo"))
    found.call("4 @ 36-1/2 2x6 block for W3")
    found.call("80")
    return found


@pytest.mark.parametrize(
    ("said", "count", "inches", "section"),
    [
        ("half of row 1", 1, F(73, 4), ""),
        ("row one plus a kerf", 1, F(293, 8), ""),
        ("row 1 less 1-1/2 2x4", 1, F(35), "2x4"),
        ("same as row 1 less a half", 4, F(36), "2x6"),
        ("like row 1 but 1/4 longer", 4, F(147, 4), "2x6"),
        ("same as row 1", 4, F(73, 2), "2x6"),
        ("same as the last one less a half", 1, F(159, 2), ""),
        ("same but half an inch shorter", 1, F(159, 2), ""),
        ("twice the last one", 1, F(160), ""),
        ("a third of row 2 plus 1", 1, F(83, 3), ""),
    ],
)
def test_a_length_is_worked_out_from_a_row(
    desk: Desk, said: str, count: int, inches: F, section: str
) -> None:
    desk.call(said)
    cut = list(desk.state.rows.values())[-1].cut
    assert (cut.count, cut.length.inches, str(cut.section or "")) == (count, inches, section)


@pytest.mark.parametrize("by_voice", [False, True])
def test_the_same_by_voice(by_voice: bool) -> None:
    for said in ("same as the last one less a half", "half of row three", "row two plus a kerf"):
        (reading,) = read(said, Settings(), by_voice)
        assert isinstance(reading.intent, FromRow)


@pytest.mark.parametrize("said", ["row 9 plus 1", "half of row 9"])
def test_a_row_that_is_not_there_is_refused(desk: Desk, said: str) -> None:
    with pytest.raises(UnknownCut):
        desk.call(said)


def test_nothing_is_worked_out_from_a_row_that_asks_or_was_struck(desk: Desk) -> None:
    desk.call("six two")
    desk.call("strike row 1")
    for said in ("row 3 plus 1", "row 1 plus 1"):
        with pytest.raises(NothingToDo):
            desk.call(said)


def test_less_than_nothing_is_refused(desk: Desk) -> None:
    with pytest.raises(CutmemoError):
        desk.call("row 1 less 40")


@pytest.mark.parametrize(
    "said",
    [
        "10 2x4 16 footers",
        "ten 2x4 sixteen footers",
        "2x4 16 footers x 10",
        "2x4 16-footers, ten of them",
        "rack 10 2x4 16'",
        "put 10 16' 2x4s on the rack",
        "add ten sixteen footers two by four",
    ],
)
def test_boards_for_the_rack_come_in_any_order_of_words(said: str) -> None:
    (reading,) = read(said, Settings())
    call = reading.intent
    assert isinstance(call, BoardsCall)
    assert (call.count, call.length.inches, call.section) == (10, 192, Section(F(2), F(4)))


@pytest.mark.parametrize(
    ("said", "price", "by_voice"),
    [
        ("ten two by four sixteen footers at eight seventy five each", F(35, 4), True),
        ("ten two by four sixteen footers at nine dollars", F(9), True),
        ("ten two by four sixteen footers for twelve dollars and fifty cents", F(25, 2), True),
        ("10 2x4 16 footers at $8.75", F(35, 4), False),
        ("10 2x4 16 footers @ 8.75 ea", F(35, 4), False),
    ],
)
def test_boards_have_a_price_by_voice_too(said: str, price: F, by_voice: bool) -> None:
    (reading,) = read(said, Settings(), by_voice)
    assert isinstance(reading.intent, BoardsCall)
    assert reading.intent.price == price


def test_boards_have_a_bad_part_by_voice_too(desk: Desk) -> None:
    desk.call("2 2x6 12 footers, bad from 40 to 52")
    (lot,) = desk.state.rack.lots
    assert (lot.count, lot.inches, lot.bad) == (2, 144, ((F(40), F(52)),))


@pytest.mark.parametrize("said", ["no, make that a half", "row 1 1/2", "actually 1/2"])
def test_a_fraction_alone_said_of_whole_inches_asks_whether_they_stay(said: str) -> None:
    desk = Desk(MemoryStore())
    desk.call("4 @ 36-1/4")
    assert desk.call(said).happened == "asked"
    (row,) = desk.state.rows.values()
    assert [each.length.inches for each in row.readings] == [F(73, 2), F(1, 2)]
    assert row.state == "doubtful"
    desk.answer(2)
    assert desk.find("1").cut.length.inches == F(1, 2)


@pytest.mark.parametrize(
    ("row", "said", "inches"),
    [("3/4", "no, make that a half", F(1, 2)), ("36", "no, make that 1-1/2", F(3, 2))],
)
def test_a_fraction_that_leaves_nothing_open_is_taken(row: str, said: str, inches: F) -> None:
    desk = Desk(MemoryStore())
    desk.call(row)
    assert desk.call(said).happened == "changed"
    assert desk.find("1").cut.length.inches == inches


def test_the_last_one_after_a_struck_row_may_be_either(desk: Desk) -> None:
    desk.call("47-1/2")
    desk.call("scratch that")
    told = desk.call("same as the last one less a half")
    assert told.happened == "asked"
    assert "Row 3 is struck" in told.text
    assert told.row is not None
    assert {cut.length.inches for cut in told.row.readings} == {F(159, 2), F(47)}


def test_the_last_one_called_again_is_one_that_stands(desk: Desk) -> None:
    """Who wants a struck row again says "put it back"."""
    desk.call("47-1/2")
    desk.call("scratch that")
    told = desk.call("same as the last one")
    assert told.row is not None
    assert told.row.cut.length.inches == F(80)


def test_a_row_struck_before_the_last_one_is_not_meant(desk: Desk) -> None:
    desk.call("47-1/2")
    desk.call("scratch that")
    desk.call("61")
    told = desk.call("same as the last one less a half")
    assert told.happened == "added"
    assert told.row is not None
    assert told.row.cut.length.inches == F(121, 2)

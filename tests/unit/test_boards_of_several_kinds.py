"""Boards for the rack as they are typed from a delivery: several kinds on one line, the count last."""

from __future__ import annotations

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.errors import CutmemoError
from cutmemo.language import read


def rack(said: str) -> list[tuple[int, str, int]]:
    """Return what lies on the rack after *said*: how many, of which size, inches."""
    desk = Desk(MemoryStore())
    desk.call(said)
    assert not desk.state.rows
    lots = desk.state.rack.lots
    return [(lot.count, str(lot.section), int(lot.inches)) for lot in lots]


TWO_KINDS = [(12, "2x4", 120), (8, "2x6", 144)]


@pytest.mark.parametrize(
    ("said", "lots"),
    [
        ("got 12 2x4 10' and 8 2x6 12'", TWO_KINDS),
        ("12 2x4 10' and 8 2x6 12' on the rack", TWO_KINDS),
        ("put 12 2x4 10', 8 2x6 12' on the rack", TWO_KINDS),
        ("got 12 2x4 10', 8 2x6 12' and 3 2x8 pt 16'", [*TWO_KINDS, (3, "2x8 treated", 192)]),
        ("stock 2x10 16' 40", [(40, "2x10", 192)]),
        ("got 2x10 16' 40", [(40, "2x10", 192)]),
        ("stock 40 2x10 16'", [(40, "2x10", 192)]),
        ("2x10 16' x 40 on the rack", [(40, "2x10", 192)]),
        ("got 12 2x4 16' at 8 dollars and 50 cents", [(12, "2x4", 192)]),
    ],
)
def test_all_boards_of_a_line_come_to_the_rack(said: str, lots: list[tuple[int, str, int]]) -> None:
    assert rack(said) == lots


@pytest.mark.parametrize(
    "said",
    [
        "got 12 2x4 10' and 2x6 12'",
        "got 12 2x4 10' and 8 2x6",
        "got 12 2x4 10' and 8 12'",
        "got 12 2x4 10', 36",
        "add 12 2x4 10' and 8 2x6 12'",  # cuts, or boards
        "got 2x6 8' 6 and 8 2x4 10'",  # six boards, or one of 8 ft 6 in.
        "got 8 8' 6 x 4 and 8 2x4 10'",
        "got 12 2x4 10' and 8 2x6 12",
        "12 2x4 10', 8 2x6 12' and 36 on the rack",
        "stock 2x10 16' 4",  # four boards, or one of 16 ft 4 in.
    ],
)
def test_what_is_not_clear_of_one_kind_brings_none(said: str) -> None:
    desk = Desk(MemoryStore())
    with pytest.raises(CutmemoError):
        desk.call(said)
    assert not desk.state.rack.lots


def test_without_the_rack_two_kinds_are_cuts_that_ask() -> None:
    desk = Desk(MemoryStore())
    rows = desk.call("12 2x4 10' and 8 2x6 12'").rows
    assert [(row.cut.count, row.state) for row in rows] == [(12, "doubtful"), (8, "doubtful")]
    assert not desk.state.rack.lots


@pytest.mark.parametrize(
    ("said", "count", "piece"),
    [("4 pt sills 2x6 16'", 4, "sill"), ("2 treated plates 13' 9", 2, "plate")],
)
def test_treated_may_stand_between_a_count_and_its_piece(said: str, count: int, piece: str) -> None:
    (found,) = read(said)
    assert (found.intent.count, found.intent.piece) == (count, piece)  # type: ignore[union-attr]


@pytest.mark.parametrize("said", ["36 pt sill", "30 pt sills 16'", "13 treated 2x6 24"])
def test_a_number_before_treated_that_may_be_a_length_is_not_lost(said: str) -> None:
    found = read(said)
    assert len(found) > 1 or found[0].doubts or found[0].intent.length.inches == 36  # type: ignore[union-attr]

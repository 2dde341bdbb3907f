"""Numbers that may be a count, a width, a spacing or a length, and rows that may be meant."""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk import Desk, refused
from memory_store import MemoryStore

from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NothingToDo
from cutmemo.memo.rows import Row


def called(*said: str) -> list[Row]:
    desk = Desk(MemoryStore())
    for each in said:
        desk.call(each)
    return list(desk.state.rows.values())


def kinds(row: Row) -> set[DoubtKind]:
    return {each.kind for each in row.doubts}


@pytest.mark.parametrize(
    ("said", "width"),
    [("rip 3 stud 96", 3), ("2x6 rip five stud 92-5/8", 5), ("rip 12 stud 96", 12)],
)
def test_a_number_behind_rip_may_be_how_wide(said: str, width: int) -> None:
    (row,) = called(said)
    assert kinds(row) >= {DoubtKind.COUNT_OR_WIDTH}
    assert [cut.count for cut in row.readings] == [width, 1]
    assert row.readings[1].note == f'rip, {width}" wide'
    assert len({cut.length for cut in row.readings}) == 1


def test_the_only_number_behind_rip_asks_where_a_board_may_be_so_wide() -> None:
    assert kinds(called("rip 12")[0]) == {DoubtKind.LENGTH_OR_WIDTH}
    assert called("rip 13")[0].state == called("3 stud 96 rip")[0].state == "open"
    assert called("rip 13 studs 96")[0].cut.count == 13


def test_bare_millimetres_behind_rip_are_no_inches_wide() -> None:
    desk = Desk(MemoryStore())
    desk.set_setting("figures", "mm")
    desk.call("rip 3 stud 2400")
    row = desk.find("1")
    assert DoubtKind.COUNT_OR_WIDTH not in kinds(row)
    assert all('"' not in (cut.note or "") for cut in (row.cut, *row.readings))


@pytest.mark.parametrize("spacing", [12, 16, 24])
@pytest.mark.parametrize("piece", ["stud", "studs", "joists", "rafters"])
def test_a_usual_spacing_behind_at_may_be_no_length(piece: str, spacing: int) -> None:
    (row,) = called(f"20 {piece} at {spacing}")
    assert kinds(row) >= {DoubtKind.LENGTH_OR_SPACING}
    lengths = [(cut.count, cut.length.inches) for cut in row.readings]
    assert lengths == [(20, spacing), *([(1, 20)] if piece == "stud" else [])]


@pytest.mark.parametrize(
    ("said", "count", "inches"),
    [
        ("20 studs at 17", 20, Fraction(17)),
        ("20 studs at 16-1/2", 20, Fraction(33, 2)),
        ("20 studs 16 in.", 20, Fraction(16)),
        ("12 blocks at 16", 12, Fraction(16)),
        ("12 at 16", 12, Fraction(16)),
        ("92-5/8 studs a pair", 2, Fraction(741, 8)),
        ("36 a pair", 2, Fraction(36)),
        ("36 stud a pair", 2, Fraction(36)),
    ],
)
def test_any_other_number_stands(said: str, count: int, inches: Fraction) -> None:
    (row,) = called(said)
    assert (row.state, row.cut.count, row.cut.length.inches) == ("open", count, inches)


@pytest.mark.parametrize("said", ["36 studs a pair", "36 kings a pair", "14 joists a couple"])
def test_a_whole_number_of_several_before_a_pair_may_count_them(said: str) -> None:
    (row,) = called(said)
    assert row.state == "doubtful"
    assert kinds(row) >= {DoubtKind.COUNT_OR_LENGTH}
    assert row.cut.count == 2


@pytest.mark.parametrize(
    ("before", "said"),
    [
        ("36", "cut 36"),
        ("36 header", "cut 36"),
        ("36 header", "cut 36 header"),
        ("4 @ 36", "Cut 36"),
        ("36", "okay cut 36"),
    ],
)
def test_a_length_behind_cut_that_waits_may_be_done(before: str, said: str) -> None:
    first, second = called(before, said)
    assert (first.state, second.state) == ("open", "doubtful")
    asked = next(each for each in second.doubts if each.kind is DoubtKind.DONE_OR_NEW)
    assert asked.fact("rows") == "1"


@pytest.mark.parametrize(
    ("before", "said"), [("36", "cut 48"), ("36 stud", "cut 36 header"), ("36 stud", "36 header")]
)
def test_any_other_length_behind_cut_is_new(before: str, said: str) -> None:
    assert [row.state for row in called(before, said)] == ["open", "open"]


def test_what_answers_the_question_of_cut_clears_the_row() -> None:
    desk = Desk(MemoryStore())
    for said in ("36 header", "cut 36", "no", "row 1 done"):
        desk.call(said)
    assert [row.state for row in desk.state.rows.values()] == ["cut", "struck"]


def test_a_row_that_asks_is_found_by_each_of_its_readings() -> None:
    for length in ("36", "16"):
        desk = Desk(MemoryStore())
        desk.call("36 stud at 16")
        desk.call(f"strike the {length}")
        assert desk.find("1").state == "struck"


def test_a_row_that_asks_makes_an_order_by_length_unclear() -> None:
    desk = Desk(MemoryStore())
    desk.call("36 stud at 16")
    desk.call("36 header")
    with refused(NothingToDo, "1, 2"):
        desk.call("strike the 36")
    assert [row.state for row in desk.state.rows.values()] == ["doubtful", "open"]


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ("12 2x4", True),
        ("2 2x4", True),
        ("24 2x4 plate bath", True),
        ("8 2x6 header", True),
        ("25 2x4", False),
        ("1 2x4", False),
        ("12 in 2x4", False),
        ('12" 2x4', False),
        ("12-1/2 2x4", False),
        ("2x4 12-1/2", False),
        ("12 2x4 92-5/8", False),
        ("12 plate bath", True),
        ("14 block", True),
        ("25 plate", False),
        ("12-1/2 plate", False),
        ("12 in plate", False),
        ("plate 12", False),
    ],
)
def test_a_number_before_a_board_may_be_how_many_with_the_length_forgotten(
    said: str, asks: bool
) -> None:
    (row, *_) = Desk(MemoryStore()).call(said).rows
    assert (DoubtKind.COUNT_OR_LENGTH in {each.kind for each in row.doubts}) is asks

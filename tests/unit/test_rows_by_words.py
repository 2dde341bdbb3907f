"""Typed orders and changes for a row that is named by words of its call, in crews' own words (common
practice): hold the pantry shelves till friday.
"""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction as F

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import CutmemoError, NothingToDo


@pytest.fixture
def desk() -> Desk:
    """Four rows: two headers, rails of a cupboard, and what nobody has a name for."""
    found = Desk(MemoryStore())
    for said in (
        "header 2x8 41-1/2 pantry door",
        "header 2x8 63-1/4 hall window",
        "3 cupboard rails 2x4 31-1/8",
        "4 bench slats 2x4 19-5/8",
    ):
        found.call(said)
    return found


@pytest.mark.parametrize(
    ("said", "row", "held", "state"),
    [
        ("hold the pantry header", 1, True, "open"),
        ("hold hall header till friday", 2, True, "open"),
        ("put the cupboard rails on hold", 3, True, "open"),
        ("strike the bench slats", 4, False, "struck"),
        ("pantry header is done", 1, False, "cut"),
        ("forget the hall window header", 2, False, "struck"),
    ],
)
def test_the_one_row_with_the_words_is_meant(
    desk: Desk, said: str, row: int, held: bool, state: str
) -> None:
    before = dict(desk.state.rows)
    desk.call(said)
    changed = [each for key, each in desk.state.rows.items() if each != before[key]]
    assert [(each.number, each.held, each.state) for each in changed] == [(row, held, state)]


@pytest.mark.parametrize(
    ("said", "row", "inches", "count", "size"),
    [
        ("pantry header should be 42-1/2", 1, F(85, 2), 1, "2x8"),
        ("no, the cupboard rails are 31-3/8", 3, F(251, 8), 3, "2x4"),
        ("cupboard rails are 2x6", 3, F(249, 8), 3, "2x6"),
        ("change the bench slats to 20-1/8", 4, F(161, 8), 4, "2x4"),
    ],
)
def test_a_change_is_of_that_row_and_no_other(
    desk: Desk, said: str, row: int, inches: F, count: int, size: str
) -> None:
    before = dict(desk.state.rows)
    desk.call(said)
    (changed,) = [each for key, each in desk.state.rows.items() if each != before[key]]
    cut = changed.cut
    assert changed.number == row
    assert (cut.length.inches, cut.count, str(cut.section)) == (inches, count, size)
    assert len(desk.state.rows) == 4


@pytest.mark.parametrize(
    "said",
    [
        "the cupboard rails are 31-3/8",
        "cupboard rails, wait, 5 @ 36",  # a call that somebody begins anew
        "bench slats sorry 14 @ 11-3/8",
        "slats wrong 2x4 31-1/4",
    ],
)
def test_a_length_that_is_not_said_to_be_another_changes_no_row(desk: Desk, said: str) -> None:
    before = dict(desk.state.rows)
    with suppress(CutmemoError):
        desk.call(said)
    assert {key: each for key, each in desk.state.rows.items() if key in before} == before


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("hold the garage header", DoubtKind.NO_ROW_OF_PIECE),
        ("strike the 2x8 header", None),
        ("strike the cupboard rails for wall 3", None),  # those are for no wall 3
        ("strike the cupboard rails till monday", None),
        ("hold the header 2x8 please not now", None),
    ],
)
def test_no_row_and_several_rows_are_refused_and_nothing_changes(
    desk: Desk, said: str, kind: DoubtKind | None
) -> None:
    before = dict(desk.state.rows)
    with pytest.raises(CutmemoError) as refused:
        desk.call(said)
    assert dict(desk.state.rows) == before
    if kind is not None:
        assert isinstance(refused.value, NothingToDo)
        assert refused.value.reason.kind is kind


def test_several_rows_with_the_words_are_named(desk: Desk) -> None:
    desk.call("header 2x8 40-1/2 pantry hatch")
    with pytest.raises(NothingToDo) as refused:
        desk.call("hold the pantry header")
    assert refused.value.reason.kind is DoubtKind.SEVERAL_ROWS_OF_PIECE
    assert dict(refused.value.reason.words)["rows"] == "1, 5"


def test_the_number_of_a_room_is_one_of_the_words(desk: Desk) -> None:
    desk.call("2 rails 2x4 22-3/8 unit 5")
    before = dict(desk.state.rows)
    with pytest.raises(NothingToDo):
        desk.call("strike the unit 4 rails")
    assert dict(desk.state.rows) == before
    desk.call("strike the unit 5 rails")
    assert desk.state.rows.numbered(5).state == "struck"


def test_a_struck_row_is_put_back_by_its_words(desk: Desk) -> None:
    desk.call("strike the bench slats")
    desk.call("put bench slats back")
    assert desk.state.rows.numbered(4).state == "open"


def test_what_is_left_of_a_place_is_told(desk: Desk) -> None:
    told = desk.call("what's left pantry")
    assert "1 piece left to cut (row 1)" in told.text
    with pytest.raises(NothingToDo):
        desk.call("whats left for the boiler room")


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("another 2 of those", 6),
        ("2 more of those", 6),
        ("same again x2", 6),
        ("4 more of the same", 8),
        ("2 more like that", 6),
    ],
)
def test_more_of_the_last_are_added_and_never_put_in_its_place(
    desk: Desk, said: str, count: int
) -> None:
    desk.call(said)
    assert desk.state.rows.numbered(4).cut.count == count


@pytest.mark.parametrize(
    ("said", "asks"), [("header should be 42", False), ("last header should be 42", True)]
)
def test_a_piece_needs_no_article_and_the_last_of_it_is_meant_where_said(
    desk: Desk, said: str, asks: bool
) -> None:
    if not asks:
        with pytest.raises(NothingToDo):
            desk.call(said)  # rows 1 and 2 are headers
        return
    desk.call(said)
    assert desk.state.rows.numbered(2).cut.length.inches == 42


def test_a_length_said_of_a_piece_may_be_a_call_and_asks(desk: Desk) -> None:
    desk.call("studs are 88-3/4")
    assert desk.state.rows.numbered(5).state == "doubtful"
    assert {each.kind for each in desk.state.rows.numbered(5).doubts} >= {
        DoubtKind.NEW_OR_CORRECTION
    }

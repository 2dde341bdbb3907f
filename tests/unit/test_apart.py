"""Two stations apart, of which one corrects a row while the other cuts it or puts it back: nothing of either is lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.memo import Projection
from cutmemo.memo.codec import to_line

Act = Callable[[Desk], object]


def clear(desk: Desk) -> object:
    return desk.clear()


def clear_all(desk: Desk) -> object:
    return desk.clear(all_left=True)


def undo(desk: Desk) -> object:
    return desk.undo()


def put_back(desk: Desk) -> object:
    return desk.put_back()


def strike(desk: Desk) -> object:
    return desk.strike(desk.find("1").id)


def to(inches: int, row: int = 1) -> Act:
    return lambda desk: desk.call(f"row {row} make that {inches}")


def apart(before: list[Act], one: list[Act], other: list[Act], first: bool) -> Desk:
    """Return a station that knows all, after *one* and *other* acted apart, either *first*."""
    time = [datetime(2026, 5, 4, 7, tzinfo=UTC)]

    def clock() -> datetime:
        time[0] += timedelta(minutes=1)
        return time[0]

    ladder = Desk(MemoryStore(), "ladder", "ann", clock)
    saw = Desk(MemoryStore(), "saw", "ben", clock)
    ladder.call("4 @ 36")
    for act in before:
        act(ladder)
    saw.take_in([to_line(event) for event in ladder.log])
    turns = [(ladder, one), (saw, other)]
    for desk, acts in turns if first else turns[::-1]:
        for act in acts:
            act(desk)
    for desk, others in ((ladder, saw), (saw, ladder)):
        desk.take_in([to_line(event) for event in others.log])
    assert ladder.state == saw.state == Projection(ladder.log).state
    return ladder


Rows = list[tuple[str, F, int, int]]


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize(
    ("before", "one", "other", "rows"),
    [
        ([clear], [undo], [to(37), clear, clear], [("open", 37, 4, 2)]),
        ([clear], [undo], [to(37), to(38, 2)], [("open", 38, 4, 0)]),
        ([], [clear], [to(37), clear], [("cut", 36, 1, 1), ("open", 37, 3, 1)]),
        ([], [clear], [to(37), to(38)], [("cut", 36, 1, 1), ("open", 38, 3, 0)]),
        ([], [clear], [to(37), strike], [("cut", 36, 1, 1), ("struck", 37, 3, 0)]),
        ([], [clear_all], [to(37), to(38)], [("cut", 36, 4, 4), ("doubtful", 38, 4, 0)]),
    ],
)
def test_what_is_done_with_a_corrected_row_stays_with_it(
    before: list[Act], one: list[Act], other: list[Act], rows: Rows, first: bool
) -> None:
    desk = apart(before, one, other, first)
    assert [
        (row.state, row.cut.length.inches, row.cut.count, row.done)
        for row in desk.state.rows.values()
    ] == rows
    assert not desk.state.waiting
    for row in desk.state.rows.values():
        assert {each.cut.length.inches for each in row.cleared} <= {row.cut.length.inches}


def test_a_correction_is_not_lost_where_the_piece_cut_before_it_was_put_back() -> None:
    desk = apart([clear], [put_back], [to(37), to(38, 2)], first=True)
    (row,) = desk.state.rows.values()
    assert (row.state, row.cut.length.inches, row.left) == ("open", 38, 4)


def test_who_knew_that_a_row_ended_means_the_row_that_ended() -> None:
    desk = apart([clear, to(37)], [], [put_back], first=True)
    assert [(row.state, row.cut.length.inches) for row in desk.state.rows.values()] == [
        ("open", 36),
        ("open", 37),
    ]

"""Two stations apart, of which one corrects a row while the other cuts it or puts it back: nothing of either is lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.memo import Projection
from cutmemo.memo.codec import to_line
from cutmemo.memo.rows import Row
from cutmemo.wording import explain

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


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize(
    ("before", "other", "rows"),
    [
        ([clear], [to(37)], [("open", 37, 4, 0)]),
        ([clear], [to(37), lambda desk: desk.clear("2")], [("open", 37, 4, 1)]),
        ([clear, clear], [to(37)], [("cut", 36, 1, 1), ("open", 37, 3, 0)]),
        ([clear_all], [to(37)], [("cut", 36, 3, 3), ("open", 37, 1, 0)]),
    ],
)
def test_what_is_put_back_before_a_correction_was_known_is_to_cut_as_corrected(
    before: list[Act], other: list[Act], rows: Rows, first: bool
) -> None:
    desk = apart(before, [put_back], other, first)
    assert [
        (row.state, row.cut.length.inches, row.cut.count, row.done)
        for row in desk.state.rows.values()
    ] == rows


def test_a_row_that_took_in_another_is_known_by_its_name_as_well() -> None:
    time = [datetime(2026, 5, 4, 7, tzinfo=UTC)]

    def clock() -> datetime:
        time[0] += timedelta(minutes=1)
        return time[0]

    ladder = Desk(MemoryStore(), "ladder", "ann", clock)
    saw = Desk(MemoryStore(), "saw", "ben", clock)
    ladder.call("4 @ 36")
    ladder.clear()
    saw.take_in([to_line(event) for event in ladder.log])
    for act in (to(37), lambda desk: desk.clear("2"), to(38, 2)):
        act(saw)
    ladder.put_back()
    to(39, 3)(saw)
    ladder.take_in([to_line(event) for event in saw.log])
    assert {
        (row.state, row.cut.length.inches, row.cut.count, row.done)
        for row in ladder.state.rows.values()
    } == {("cut", 37, 1, 1), ("open", 39, 3, 0)}


def test_who_knew_that_a_row_ended_means_the_row_that_ended() -> None:
    desk = apart([clear, to(37)], [], [put_back], first=True)
    assert [(row.state, row.cut.length.inches) for row in desk.state.rows.values()] == [
        ("open", 36),
        ("open", 37),
    ]


def take_back_the_call(desk: Desk) -> object:
    return desk.undo()


@pytest.mark.parametrize("first", [True, False])
@pytest.mark.parametrize(
    ("other", "asks", "kept", "gone"),
    [
        ([clear], ("doubtful", 36, 4, 1), ("open", 36, 4, 1), ("struck", 36, 4, 1)),
        ([clear_all], ("doubtful", 36, 4, 4), ("cut", 36, 4, 4), ("struck", 36, 4, 4)),
        ([to(37)], ("doubtful", 37, 4, 0), ("open", 37, 4, 0), ("struck", 37, 4, 0)),
        ([clear, to(37)], ("doubtful", 37, 3, 0), ("open", 37, 3, 0), ("struck", 37, 3, 0)),
        ([clear, put_back], ("doubtful", 36, 4, 0), ("open", 36, 4, 0), ("struck", 36, 4, 0)),
        ([to(37), clear], ("doubtful", 37, 4, 1), ("open", 37, 4, 1), ("struck", 37, 4, 1)),
    ],
)
def test_a_call_taken_back_while_another_went_on_with_it_asks(
    other: list[Act], asks: object, kept: object, gone: object, first: bool
) -> None:
    for answer, after in ((1, kept), (None, gone)):
        desk = apart([], [take_back_the_call], other, first)
        row = max(desk.state.rows.values(), key=lambda each: each.number)
        assert (row.state, row.cut.length.inches, row.cut.count, row.done) == asks
        assert "ben at saw went on with it" in explain(row.doubts[0], desk.state.settings)
        assert not desk.state.waiting
        told = desk.answer(answer, row.id) if answer is not None else desk.refuse(row.id)
        assert told.row is not None
        now = desk.state.rows[row.id]
        assert (now.state, now.cut.length.inches, now.cut.count, now.done) == after
        assert now.number == row.number


def test_a_call_taken_back_and_struck_apart_is_gone_without_a_question() -> None:
    desk = apart([], [take_back_the_call], [strike], first=True)
    assert not desk.state.rows
    assert not desk.state.waiting


def test_a_call_done_again_asks_nothing_though_it_was_cut_meanwhile() -> None:
    desk = apart([], [take_back_the_call, lambda desk: desk.redo()], [clear], first=True)
    (row,) = desk.state.rows.values()
    assert (row.state, row.left, row.done) == ("open", 3, 1)


def test_a_number_that_was_taken_back_comes_back_with_its_row() -> None:
    desk = apart([], [take_back_the_call, lambda desk: desk.call("50")], [clear], first=True)
    assert [(row.number, row.cut.length.inches) for row in desk.state.rows.values()] == [
        (1, 36),
        (2, 50),
    ]


def test_pieces_cut_before_a_correction_was_known_are_fewer_to_cut_as_corrected() -> None:
    desk = apart([], [clear, clear], [to(37)], first=False)
    assert [(row.cut.length.inches, row.cut.count, row.done) for row in desk.state.rows.values()] \
        == [(36, 2, 2), (37, 2, 0)]  # fmt: skip


def test_all_cut_before_a_correction_was_known_asks_whether_to_cut_it() -> None:
    desk = apart([], [clear, clear, clear, clear], [to(37)], first=False)
    was, asks = desk.state.rows.values()
    assert (was.state, was.cut.length.inches, was.done) == ("cut", 36, 4)
    assert (asks.state, asks.cut.length.inches, asks.cut.count) == ("doubtful", 37, 4)
    assert '4 were cut as 36": add 4 of 37"?' in explain(asks.doubts[0], desk.state.settings)


@pytest.mark.parametrize(
    ("act", "asking"),
    [
        (lambda desk, rows: desk.answer(1, rows[0].id), 2),
        (lambda desk, rows: desk.hold(rows[0].id), 1),
    ],
)
def test_a_set_taken_back_while_another_went_on_with_it_asks_row_by_row(
    act: Callable[[Desk, list[Row]], object], asking: int
) -> None:
    ladder, saw = Desk(MemoryStore(), "ladder", "ann"), Desk(MemoryStore(), "saw", "ben")
    said = "wall twelve foot high ninety seven and an eighth"
    ladder.hear(Recognition((Hypothesis(said, 0.0),)))
    saw.take_in([to_line(event) for event in ladder.log])
    rows = list(saw.state.rows.values())
    ladder.undo()
    act(saw, rows)
    ladder.take_in([to_line(event) for event in saw.log])
    back = list(ladder.state.rows.values())
    assert [(row.state, row.assembly) for row in back] == [("doubtful", rows[0].assembly)] * min(
        asking, len(rows)
    )
    ladder.answer(1, back[0].id)
    assert ladder.state.rows[back[0].id].state == "open"

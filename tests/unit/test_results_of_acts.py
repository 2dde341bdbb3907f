"""What came of an act: the rows, boards and loads it is about as they are then, and whether it asks."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction as F

import pytest
from desk import Desk, refused

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.length import Length
from cutmemo.errors import NothingToDo
from cutmemo.language import Change
from cutmemo.memo.decide.corrections import MOST_COUNTED, MOST_OF_ONE, _may_count
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row, Rows
from cutmemo.memo.state import MemoState
from cutmemo.planning import Lot, Rack

OPEN, ASKS = (
    Row(name, number, Cut(Length(F(36))), state)  # type: ignore[arg-type]  # of these
    for name, number, state in (("a", 1, "open"), ("b", 2, "doubtful"))
)
STATE = MemoState(
    rows=Rows().with_row(OPEN).with_row(ASKS),
    rack=Rack((Lot("x", 1, None, F(96), 1), Lot("y", 2, None, F(96), 1)), 2),
)


@pytest.mark.parametrize(
    ("happened", "row", "told"),
    [
        ("added", "a", "added"),
        ("added", "b", "asked"),
        ("changed", "b", "asked"),
        ("read back", "b", "asked"),
        ("set added", "b", "asked"),
        ("held", "b", "held"),
        ("released", "b", "released"),
        ("struck", "b", "struck"),
        ("put back", "b", "put back"),
        ("undone", "b", "undone"),
        ("answered", "b", "answered"),
        ("cleared", "a", "cleared"),
    ],
)
def test_only_a_call_a_change_and_a_read_back_ask(happened: str, row: str, told: str) -> None:
    found = Decision(Result(happened), (), (row,)).result_in(STATE)
    assert found.happened == told
    assert [each.id for each in found.rows] == [row]


def test_a_result_has_the_rows_and_boards_that_are_there_then() -> None:
    decided = Decision(Result("added"), (), ("a", "gone", "b"), ("y", "gone"))
    found = decided.result_in(STATE)
    assert [each.id for each in found.rows] == ["a", "b"]
    assert [each.id for each in found.lots] == ["y"]
    assert found.row == OPEN  # the first it is about
    kept = Decision(Result("told", rows=(OPEN,)), (), ("gone",)).result_in(STATE)
    assert kept.rows == (OPEN,)
    assert Result("told").row is None


def test_of_a_list_the_row_is_the_one_that_asks_last_else_the_last() -> None:
    other = Row("c", 3, Cut(Length(F(37))))
    assert Result("added", rows=(OPEN, ASKS, other), listed=True).row == ASKS
    assert Result("added", rows=(ASKS, OPEN, ASKS, other), listed=True).row == ASKS
    assert Result("added", rows=(OPEN, other), listed=True).row == other
    assert Result("added", rows=(OPEN, ASKS, other)).row == OPEN


@pytest.mark.parametrize("count", [1, 2])
def test_a_small_number_far_from_the_length_may_be_how_many(count: int) -> None:
    """So many pieces a correction may name: eleven of one, two dozen of several (common practice)."""
    most = MOST_COUNTED if count > 1 else MOST_OF_ONE
    assert most == (24 if count > 1 else 11)
    old = Cut(Length(F(100)), count)
    for said, may in ((1, True), (most, True), (most + 1, False), (0, False)):
        change = Change(length=Length(F(said)))
        assert _may_count(change, old, metric=False) == (said if may else None)
    # Half the length and less is far from it.
    for length, may in ((F(18), True), (18 - F(1, 16), False)):
        nine = Change(length=Length(F(9)))
        assert (_may_count(nine, Cut(Length(length), 2), metric=False) == 9) is may
    for change in (
        Change(length=Length(F(17, 2))),
        Change(length=Length(F(9)), piece="stud"),
        Change(count=9),
        Change(piece="stud"),
    ):
        assert _may_count(change, old, metric=False) is None
    inch = F(10, 254)
    assert _may_count(Change(length=Length(9 * inch)), old, metric=True) == 9
    assert _may_count(Change(length=Length(F(9))), old, metric=True) is None


def test_a_row_asks_all_that_is_doubtful_about_it_at_once(session: Desk) -> None:
    """Sixty pieces are many, 300 in. is past the longest board and 1/32 finer than the tape: each is asked."""
    session.call("60 pieces 300-1/32 2x4")
    (row,) = session.state.rows.values()
    asked = {each.kind for each in row.doubts}
    assert asked >= {DoubtKind.TOO_LONG, DoubtKind.TOO_MANY, DoubtKind.TOO_FINE}
    assert row.state == "doubtful"


# --- at the saw ---------------------------------------------------------------------------------------


def test_what_is_not_open_is_neither_cut_skipped_nor_held_again(session: Desk) -> None:
    session.call("2 at 36")
    session.call("2 at 48")
    first, second = (row.id for row in session.state.rows.values())
    session.hold(first)
    with refused(NothingToDo, "hold"):
        session.hold(first)
    session.release(first)
    with refused(NothingToDo, "hold"):
        session.release(first)
    session.clear(first, all_left=True)
    for act in (session.clear, session.skip, session.hold):
        with refused(NothingToDo, "cut"):
            act(first)
    session.strike(second)
    for act in (session.clear, session.skip, session.hold, session.strike):
        with refused(NothingToDo, "struck"):
            act(second)


def test_the_only_row_is_not_skipped_and_of_two_the_first_goes_last(session: Desk) -> None:
    session.call("36")
    with refused(NothingToDo, "only"):
        session.skip()
    session.call("48")
    session.skip()
    assert [row.cut.length.inches for row in session.state.to_cut()] == [48, 36]
    session.skip()
    assert [row.cut.length.inches for row in session.state.to_cut()] == [36, 48]


def test_the_last_row_held_is_released_and_the_last_touched_is_put_back(session: Desk) -> None:
    for length in (36, 48, 60):
        session.call(str(length))
    rows = [row.id for row in session.state.rows.values()]
    for row in (rows[1], rows[2], rows[0]):
        session.hold(row)
    released = []
    for _ in rows:
        before = {row.id for row in session.state.rows.values() if row.held}
        session.release()
        released += before - {row.id for row in session.state.rows.values() if row.held}
    assert released == [rows[0], rows[2], rows[1]]
    with refused(NothingToDo, "on hold"):
        session.release()
    session.strike(rows[2])
    session.clear(rows[1])
    session.strike(rows[0])
    for row, state in ((rows[0], "open"), (rows[1], "open"), (rows[2], "open")):
        session.put_back()
        assert session.state.rows[row].state == state
    with refused(NothingToDo, "put back"):
        session.put_back()


def test_one_piece_or_all_that_are_left_are_cut(session: Desk) -> None:
    session.call("5 at 36")
    session.clear()
    assert [(row.done, row.left) for row in session.state.rows.values()] == [(1, 4)]
    session.clear(all_left=True)
    assert [(row.done, row.left, row.state) for row in session.state.rows.values()] == [
        (5, 0, "cut")
    ]
    session.put_back()
    assert [(row.done, row.left, row.state) for row in session.state.rows.values()] == [
        (4, 1, "open")
    ]


def test_each_station_corrects_its_own_last_call(open_session: Callable[..., Desk]) -> None:
    first, second = open_session(station="a"), open_session(station="b")
    first.call("36")
    second.follow()
    second.call("48")
    first.follow()
    first.call("no, make that 37-1/2")
    second.follow()
    second.call("no, make that 49-1/2")
    lengths = [row.cut.length.inches for row in second.state.rows.values()]
    assert lengths == [F(75, 2), F(99, 2)]


@pytest.mark.parametrize(("said", "may"), [(29, False), (30, True), (50, True), (51, False)])
def test_a_number_within_a_quarter_of_the_count_may_be_how_many(said: int, may: bool) -> None:
    """Thirty to fifty are near to forty pieces, unless they are as near to the length."""
    change = Change(length=Length(F(said)))
    assert (_may_count(change, Cut(Length(F(100)), 40), metric=False) == said) is may
    off = abs(said - 40)
    for length, nearer in ((said + off, False), (said + off + 1, may)):
        found = _may_count(change, Cut(Length(F(length)), 40), metric=False)
        assert (found == said) is nearer

"""A row that is corrected while pieces of it are cut, over every number called, cut and asked for: nothing is lost, and what is left over asks."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import product

import pytest
from desk import Desk

from cutmemo.domain.cut import Cut, Field
from cutmemo.domain.doubts import Doubt, DoubtKind, doubt
from cutmemo.domain.length import Length
from cutmemo.memo.events import CutAdded, CutChanged, Draft, PiecesCleared
from cutmemo.memo.rows import Row

LENGTH, CORRECTED = F(36), F(81, 2)


def called(desk: Desk, count: int, cut: int) -> Row:
    """Return a row of *count* pieces of 36 in., so many of which are cut."""
    desk.call(f"{count} at 36 2x4 stud")
    for _ in range(cut):
        desk.clear()
    row = desk.state.rows.numbered(1)
    assert row is not None
    return row


def before(*doubts: Doubt) -> list[dict[str, object]]:
    """Return what is said of pieces that were cut before the correction."""
    names = ("count", "length", "to_add", "new")
    kind = DoubtKind.CUT_AS_BEFORE
    return [{name: each.fact(name) for name in names} for each in doubts if each.kind is kind]


CASES = [
    (count, cut, new)
    for count, cut, new in product((1, 2, 4), range(5), range(1, 7))
    if cut <= count
]


@pytest.mark.parametrize(("count", "cut", "new"), CASES)
def test_another_length_for_what_is_left_of_a_row(
    count: int, cut: int, new: int, open_session: object
) -> None:
    """So many called, so many of them cut, and the row corrected to so many of another length."""
    desk: Desk = open_session()  # type: ignore[operator]  # a fixture
    row = called(desk, count, cut)
    desk.call(f"no, {new} at 40-1/2")
    asked = desk.question()
    if asked is not None and len(asked.readings) > 1:
        choice = 1 + next(
            k for k, each in enumerate(asked.readings) if each.length.inches == CORRECTED
        )
        desk.answer(choice, asked.id)
    rows = list(desk.state.rows.values())
    first = rows[0]
    assert first.id == row.id
    if not cut:
        assert len(rows) == 1
        assert (first.state, first.cut.length.inches, first.left) == ("open", CORRECTED, new)
        return
    assert (first.state, first.cut.length.inches) == ("cut", LENGTH)
    assert (first.cut.count, first.done, first.left) == (cut, cut, 0)
    (fresh,) = rows[1:]
    assert first.goes_on == fresh.id
    assert fresh.cut.length.inches == CORRECTED
    left = new - cut
    told = {"count": cut, "length": first.cut.length, "new": fresh.cut.length}
    if left > 0:
        assert (fresh.state, fresh.cut.count, fresh.done) == ("open", left, 0)
        assert before(*fresh.cautions) == [{**told, "to_add": 0}]
        assert not before(*fresh.doubts)
    else:
        # Nothing is left: whether to cut as many of the new length is a question.
        assert (fresh.state, fresh.cut.count) == ("doubtful", cut)
        assert before(*fresh.doubts) == [{**told, "to_add": cut}]
        assert not fresh.cautions
        assert [each.count for each in fresh.readings] == [cut]
    assert sum(each.done for each in rows) == cut


@pytest.mark.parametrize(("count", "cut", "new"), [c for c in CASES if c[2] >= c[1]])
def test_another_count_keeps_the_row_and_what_is_cut_of_it(
    count: int, cut: int, new: int, open_session: object
) -> None:
    desk: Desk = open_session()  # type: ignore[operator]  # a fixture
    called(desk, count, cut)
    desk.call(f"make it {new} pieces")
    (row,) = desk.state.rows.values()
    assert (row.cut.count, row.done, row.left) == (new, cut, new - cut)
    assert row.state == ("cut" if new == cut else "open")
    assert row.cut.length.inches == LENGTH


@pytest.mark.parametrize(("count", "cut"), [(2, 1), (2, 2), (4, 3)])
def test_what_was_cut_as_called_stays_so_in_the_event_too(
    count: int, cut: int, open_session: object
) -> None:
    desk: Desk = open_session()  # type: ignore[operator]  # a fixture
    called(desk, count, cut)
    desk.call("no, make that 40-1/2")
    for event in desk.log:
        if isinstance(event.payload, PiecesCleared):
            assert event.payload.cut is not None
            assert event.payload.cut.length.inches == LENGTH
    assert sum(isinstance(event.payload, CutChanged) for event in desk.log) == 1
    first = next(iter(desk.state.rows.values()))
    assert [each.cut.length.inches for each in first.cleared] == [LENGTH] * cut
    assert [each.pieces for each in first.cleared] == [1] * cut


def from_before(desk: Desk, kind: DoubtKind, *readings: Cut) -> None:
    """Put a row on the list that asks as earlier versions wrote it: they kept every call that could
    mean two things as in doubt about the length.
    """
    asked = (doubt(kind, Field.LENGTH),)
    added = CutAdded(row="x" * 32, cut=readings[0], readings=readings, doubts=asked, said="")
    moment = "2026-05-04T07:30:00+00:00"
    desk.store.record(0, moment, "ladder", "ann", lambda _: ((), [Draft(added)]))
    desk.follow()
    (row,) = desk.state.rows.values()
    assert row.state == "doubtful"


TWO_WAYS = [DoubtKind.SAID_TWO_WAYS, DoubtKind.HEARD_TWO_WAYS]


@pytest.mark.parametrize("kind", TWO_WAYS)
def test_another_count_settles_which_count_was_meant_in_an_older_memo(
    kind: DoubtKind, open_session: object
) -> None:
    desk: Desk = open_session()  # type: ignore[operator]  # a fixture
    from_before(desk, kind, Cut(Length(LENGTH), 6), Cut(Length(LENGTH), 26))
    desk.call("make it 26 pieces")
    (row,) = desk.state.rows.values()
    assert (row.state, row.doubts, row.readings) == ("open", (), ())
    assert (row.cut.count, row.cut.length.inches) == (26, LENGTH)


@pytest.mark.parametrize("kind", TWO_WAYS)
def test_another_count_leaves_two_lengths_of_an_older_memo_in_question(
    kind: DoubtKind, open_session: object
) -> None:
    desk: Desk = open_session()  # type: ignore[operator]  # a fixture
    from_before(desk, kind, Cut(Length(LENGTH)), Cut(Length(CORRECTED)))
    desk.call("make it 26 pieces")
    (row,) = desk.state.rows.values()
    assert row.state == "doubtful"
    found = [(each.count, each.length.inches) for each in row.readings]
    assert found == [(26, LENGTH), (26, CORRECTED)]
    assert Field.LENGTH in set().union(*(each.about for each in row.doubts))

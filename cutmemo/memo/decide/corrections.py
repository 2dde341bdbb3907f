"""Corrections of a row, and calling it again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.units import from_inches
from cutmemo.errors import NothingToDo, Refused
from cutmemo.language import Change, Reading
from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide import find
from cutmemo.memo.decide.cuts import Call, add, of_none, questions
from cutmemo.memo.decide.orders import order
from cutmemo.memo.events import CutChanged, Draft
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row, as_sawn
from cutmemo.memo.state import MemoState


def change(  # noqa: PLR0913 - each is a fact of its own
    state: MemoState,
    call: Call,
    readings: Sequence[Reading],
    torn: bool,
    context: Context,
    named: Row | None = None,
) -> Decision:
    """Return the row that was *named*, or the last one of this station, changed; only what was
    said.

    Pieces that are cut already stay what they were cut as (see ``state``). Raises
    :class:`Refused` and :class:`NothingToDo`.
    """
    row = find.last_single(state, context) if named is None else named
    changes = [reading for reading in readings if isinstance(reading.intent, Change)]
    before = row.readings or (row.cut,)
    meant = {
        cut: each
        for old in before
        for each in changes
        if isinstance(each.intent, Change)
        for cut in _meant(each.intent, old, state)
    }
    torn = torn or len(meant) > 1
    kept, doubts = questions(state, call, list(meant), list(meant.values()), torn, context, row)
    doubts = list(dict.fromkeys([*_still_asked(state, row, changes), *doubts]))
    if kept[0].count < row.done and as_sawn(kept[0]) == as_sawn(row.cut):
        few = doubt(DoubtKind.FEWER_THAN_CUT, Field.COUNT, done=row.done, row=row.number)
        raise Refused(call.said, (few,))
    draft = Draft(
        CutChanged(
            row=row.id,
            cut=kept[0],
            readings=tuple(kept) if doubts else (),
            doubts=tuple(doubts),
            said=call.said,
        )
    )
    # Where pieces are cut already, the row that takes their place has the id of the event.
    return Decision(Result("changed"), (draft,), (draft.id, row.id))


def _meant(change: Change, old: Cut, state: MemoState) -> list[Cut]:
    """Return what *change* may make of *old*: "make that a half" said of 36 in. may leave the whole
    inches as they are, "no, nine" said of 8 at 41 in. may be how many.
    """
    new = change.applied(old)
    number = _may_count(change, old, state.settings.figures == "mm")
    if number is not None:
        return [new, replace(old, count=number)]
    whole, part = int(old.length.inches), new.length.inches
    on_tape = (part * state.settings.fineness).denominator == 1
    if change.length is None or not whole or part >= 1 or not on_tape:
        return [new]
    return [replace(new, length=replace(new.length, inches=whole + part)), new]


def _may_count(change: Change, old: Cut, metric: bool) -> int | None:
    """Return how many pieces *change* may ask for: nothing but a whole number was said, and that is
    small and far from the length of *old*, or near to how many it is.
    """
    if change.length is None or change.named() != {Field.LENGTH}:
        return None
    inches = change.length.inches
    number = from_inches(inches, "millimetre") if metric else inches
    most = MOST_COUNTED if old.count > 1 else MOST_OF_ONE
    small = number <= most and 2 * inches <= old.length.inches
    off = abs(number - old.count)
    near = old.count > 1 and 4 * off <= old.count and off < abs(inches - old.length.inches)
    return int(number) if number.denominator == 1 and number > 0 and (small or near) else None


MOST_COUNTED = 24
"""So many pieces a correction of a count may name (common practice)."""
MOST_OF_ONE = 11
"""The same where one piece was called; a foot and more is a length."""


TORN = frozenset({DoubtKind.HEARD_TWO_WAYS, DoubtKind.SAID_TWO_WAYS})
"""Asked anew of what a correction leaves."""


def _still_asked(state: MemoState, row: Row, readings: Sequence[Reading]) -> list[Doubt]:
    """Return why *row* still asks after the changes; what the checks say is asked anew."""
    others = [each.cut for each in state.rows.values() if each is not row]
    anew: set[Doubt] = set()
    for cut in row.readings:
        anew.update(check(cut, [*others, cut], state.settings, 0.0).questions)
    named = [each.intent.named() for each in readings if isinstance(each.intent, Change)]
    asks = [each for each in row.doubts if each.kind not in TORN and of_none(each) not in anew]
    return [each for each in asks if not all(each.about & fields for fields in named)]


@order("same")
def again(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the last row called once more; where it asks, the new one asks the same."""
    state = memo.state
    row = find.last_single(state, context)
    readings = [Reading(cut, row.doubts) for cut in row.readings or (row.cut,)]
    return add(state, Call("same again", by_voice=False), readings, context)


@order("more")
def more(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the last row with so many pieces more. Raises :class:`NothingToDo`."""
    state, number = memo.state, given.number
    row = find.last_single(state, context)
    if len({cut.count for cut in row.readings}) > 1:
        raise NothingToDo(doubt(DoubtKind.COUNT_IN_QUESTION, row=row.number))
    counted = [Reading(Change(count=row.cut.count + number))]
    return change(state, Call(f"{number} more", by_voice=False), counted, False, context)

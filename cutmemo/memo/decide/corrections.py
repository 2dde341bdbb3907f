"""Corrections of a row, the late rest of a call, and calling it again."""

from __future__ import annotations

from collections.abc import Sequence

from cutmemo.asr import Interpretation, Recognition
from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.errors import NotACall, NothingToDo, Refused
from cutmemo.language import Change, Reading, read
from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide import find
from cutmemo.memo.decide.cuts import HEARD_TWO_WAYS, SAID_TWO_WAYS, Call, add, of_none, questions
from cutmemo.memo.decide.orders import order
from cutmemo.memo.events import CutChanged, Draft, moment_of
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.state import MemoState, Row, as_sawn

REST_WITHIN_SECONDS = 4.0
"""How long after a call its rest may still come."""


def change(
    state: MemoState,
    call: Call,
    readings: Sequence[Reading],
    torn: bool,
    context: Context,
    named: Row | None = None,
) -> Decision:
    """Return the row that was *named*, or the last one of this station, changed; only what was said.

    Pieces that are cut already stay what they were cut as (see ``state``). Raises
    :class:`Refused` and :class:`NothingToDo`.
    """
    row = find.last_single(state, context) if named is None else named
    changes = [reading for reading in readings if isinstance(reading.intent, Change)]
    before = row.readings or (row.cut,)
    meant = {
        each.intent.applied(cut): each
        for cut in before
        for each in changes
        if isinstance(each.intent, Change)
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


def _still_asked(state: MemoState, row: Row, readings: Sequence[Reading]) -> list[Doubt]:
    """Return why *row* still asks after the changes; what the checks say is asked anew."""
    others = [each.cut for each in state.rows.values() if each is not row]
    anew = {HEARD_TWO_WAYS, SAID_TWO_WAYS}
    for cut in row.readings:
        anew.update(check(cut, [*others, cut], state.settings, 0.0).questions)
    named = [each.intent.named() for each in readings if isinstance(each.intent, Change)]
    return [
        each
        for each in row.doubts
        if of_none(each) not in anew and not all(each.about & fields for fields in named)
    ]


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


def rest_of_last(
    state: MemoState,
    recognition: Recognition,
    heard: Interpretation | None,
    context: Context,
) -> Decision | None:
    """Return the last row asking, if what was heard looks like the rest of its call after a pause.

    "One oh one", a pause, "and a half": 101 must not stand as if nothing more had been said.
    ``None`` where it is a call of its own. Raises :class:`NothingToDo` where the row was cut or
    struck meanwhile.
    """
    row = _that_may_go_on(state, context)
    if row is None:
        return None
    if heard is not None and not _under_an_inch(heard) and not recognition.text.startswith("and "):
        return None
    if row.done or row.state not in ("open", "doubtful"):
        raise NothingToDo(doubt(DoubtKind.CUT_MEANWHILE, row=row.number))
    whole = f"{row.said} {recognition.text}"
    try:
        joined = [each.intent for each in read(whole, state.settings, by_voice=True)]
    except (NotACall, Refused):
        joined = []
    cuts = tuple(
        dict.fromkeys([*(each for each in joined if isinstance(each, Cut)), row.cut, *row.readings])
    )
    right_after = doubt(DoubtKind.HEARD_RIGHT_AFTER, Field.LENGTH, words=recognition.text)
    payload = CutChanged(
        row=row.id, cut=cuts[0], readings=cuts, doubts=(right_after, *row.doubts), said=whole
    )
    return Decision(Result("changed"), (Draft(payload),), (row.id,))


def _that_may_go_on(state: MemoState, context: Context) -> Row | None:
    """Return the last row of this station where it was spoken moments ago; ``None`` else."""
    rows = [row for row in state.rows.values() if row.station == context.station]
    if not rows or not rows[-1].by_voice:
        return None
    since = (context.now - moment_of(rows[-1].at)).total_seconds()
    # A clock set back is no reason to take a call for a rest.
    return rows[-1] if 0 <= since <= REST_WITHIN_SECONDS else None


def _under_an_inch(heard: Interpretation) -> bool:
    """Return whether nothing but a fraction was heard."""
    intent = heard.readings[0].intent
    return isinstance(intent, Cut) and intent.length.inches < 1

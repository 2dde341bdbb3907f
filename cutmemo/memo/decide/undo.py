"""Taking back and doing again: a station's own acts, the last first, never from under another."""

from __future__ import annotations

from collections.abc import Iterable

from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.errors import NothingToDo
from cutmemo.memo import events as e
from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide.orders import order
from cutmemo.memo.events import Draft, Event
from cutmemo.memo.moves import is_of_another_site
from cutmemo.memo.naming import load_named, lots_added, lots_used, rows_named
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Happened, Result

_NO_ACT = (e.EventUndone, e.EventRedone, e.CallRefused, e.Unreadable)


def is_own_act(memo: Projection, event: Event, station: str) -> bool:
    """Return whether *station* did something by *event* that can be taken back.

    A station of another site may have the same name.
    """
    mine = event.station == station and not isinstance(event.payload, _NO_ACT)
    return mine and not is_of_another_site(event, memo.state.names, memo.event)


def last_own_act(memo: Projection, station: str) -> Event | None:
    """Return the last thing that *station* did and that still counts, or ``None``."""
    latest_first = (event for event in reversed(memo.log) if is_own_act(memo, event, station))
    return next((event for event in latest_first if memo.counts(event)), None)


@order("undo")
def undo(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the last act of this station taken back, a list as a whole."""
    last = last_own_act(memo, context.station)
    if last is None:
        raise NothingToDo(doubt(DoubtKind.NOTHING_TO_UNDO))
    acts = (each for each in memo.log if is_own_act(memo, each, context.station))
    mine = (each for each in acts if memo.counts(each))
    undone = _with_its_list(last, mine)
    for event in undone:
        refuse_if_built_upon(memo, event)
    return _decision("undone", undone, [Draft(e.EventUndone(event.id)) for event in undone])


@order("redo")
def redo(memo: Projection, given: Order, context: Context) -> Decision:
    """Return what was undone last done again, if nothing was done since."""
    stack: list[str] = []
    for event in memo.log:
        if event.station != context.station or is_of_another_site(
            event, memo.state.names, memo.event
        ):
            continue
        if isinstance(event.payload, e.EventUndone):
            stack.append(event.payload.event)
        elif isinstance(event.payload, e.EventRedone):
            stack = stack[:-1]
        elif is_own_act(memo, event, context.station):
            stack = []
    undone = {event.id: event for event in memo.log if event.id in stack}
    if not stack or stack[-1] not in undone:
        raise NothingToDo(doubt(DoubtKind.NOTHING_TO_REDO))
    redone = _with_its_list(undone[stack[-1]], list(undone.values()))
    return _decision("redone", redone, [Draft(e.EventRedone(event.id)) for event in redone])


def _with_its_list(event: Event, others: Iterable[Event]) -> list[Event]:
    """Return *event*, or all of *others* that were done in one go with it."""
    return [each for each in others if each.list == event.list] if event.list else [event]


def _decision(happened: Happened, events: list[Event], drafts: list[Draft]) -> Decision:
    rows = tuple(row for event in events for row in sorted(rows_named(event.payload)))
    single = rows if len(events) == 1 else rows[:1]
    return Decision(Result(happened, events=tuple(events)), tuple(drafts), single[:1])


def refuse_if_built_upon(memo: Projection, event: Event) -> None:
    """Do not pull a row or boards from under what was done with them since.

    Raises :class:`NothingToDo` naming who did.
    """
    # A correction of what was cut puts a row of its own id on the list.
    rows, lots = {event.id, *rows_named(event.payload)}, lots_added(event.payload)
    for later in memo.log[memo.place(event) + 1 :]:
        if not memo.counts(later):
            continue
        facts = {"person": later.who, "station": later.station}
        if load_named(later.payload) == event.id and isinstance(later.payload, e.Arrived):
            raise NothingToDo(doubt(DoubtKind.ARRIVED_ALREADY, to=later.payload.to))
        if rows & rows_named(later.payload):
            raise NothingToDo(doubt(DoubtKind.ROW_IN_USE, **facts))
        if lots & lots_used(later.payload):
            raise NothingToDo(doubt(DoubtKind.BOARDS_IN_USE, **facts))

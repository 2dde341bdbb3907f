"""The state of a memo kept up to date event by event, whichever way they arrive."""

from __future__ import annotations

from collections.abc import Iterable

from cutmemo.memo import events as e
from cutmemo.memo import loads  # noqa: F401 - it says what its events do
from cutmemo.memo.apart import as_meant
from cutmemo.memo.chain import Gap
from cutmemo.memo.events import Event
from cutmemo.memo.merge import heads, in_order
from cutmemo.memo.state import MemoState, apply

CHECKPOINT_EVERY = 64
"""Events between two states that are kept, so that a late event or an undo replays few."""


class Projection:
    """All events of a memo in order of cause, and the state they come to.

    The same events give the same state, whatever order and however often they come.
    """

    def __init__(self, events: Iterable[Event] = ()) -> None:
        """Start with *events*."""
        self.log: list[Event] = []
        """All events, each after those it was built on."""
        self.seq = 0
        """The place in the file of the last event taken in."""
        self.state = MemoState()
        self.undone: frozenset[str] = frozenset()
        """The ids of the events that do not count."""
        self.gaps: tuple[Gap, ...] = ()
        """Where the file has lost entries."""
        self.last_copy = ""
        """Where the last good copy of a damaged file lies; empty for a sound one."""
        self.heads: tuple[str, ...] = ()
        """The ids of the events that none was built on yet: what the next event is built on."""
        self._known: dict[str, int] = {}
        self._checkpoints: list[MemoState] = [self.state]
        self.follow(events)

    def counts(self, event: Event) -> bool:
        """Return whether *event* counts: it was not undone, or was redone since."""
        return event.id not in self.undone

    def event(self, event_id: str) -> Event | None:
        """Return the event with this id, or ``None``."""
        place = self._known.get(event_id)
        return None if place is None else self.log[place]

    def place(self, event: Event) -> int:
        """Return the place of *event* in the log, from 0. Raises :class:`KeyError`."""
        return self._known[event.id]

    def follow(self, events: Iterable[Event]) -> None:
        """Take in *events*; those that are known already change nothing."""
        fresh = []
        for event in events:
            self.seq = max(self.seq, event.seq)
            if event.id not in self._known:
                self._known[event.id] = -1
                fresh.append(event)
        if not fresh:
            return
        before, changed = len(self.log), len(self.log)
        befores = [self.heads, *((event.id,) for event in fresh)]
        if all(map(_comes_last, fresh, befores)):
            self.log += fresh
            self.heads = (fresh[-1].id,)
            undone = _undone_by(fresh, self.undone)
        else:
            ordered = in_order([*self.log, *fresh])
            pairs = zip(self.log, ordered, strict=False)
            changed = next((n for n, (old, new) in enumerate(pairs) if old is not new), before)
            self.log = ordered
            self.heads = heads(ordered)
            undone = _undone_by(ordered, frozenset())
        for place, event in enumerate(self.log[changed:], start=changed):
            self._known[event.id] = place
        turned, self.undone = undone ^ self.undone, undone
        places = [self._known[each] for each in turned if each in self._known]
        self._replay(min([changed, *places]))

    def _replay(self, place: int) -> None:
        """Apply the events from *place* on anew, from the last state that is kept before it."""
        kept = min(place // CHECKPOINT_EVERY, len(self._checkpoints) - 1)
        if place == self.state.position:
            state, start = self.state, place
        else:
            state, start = self._checkpoints[kept], kept * CHECKPOINT_EVERY
            del self._checkpoints[kept + 1 :]
        for event in self.log[start:]:
            target = getattr(event.payload, "event", None)
            waits = target is not None and target not in self._known
            undone = event.id in self.undone
            meant = event if undone else self._as_meant(event, state)
            state = apply(state, meant, undone, waits)
            if state.position % CHECKPOINT_EVERY == 0:
                self._checkpoints.append(state)
        self.state = state

    def _as_meant(self, event: Event, state: MemoState) -> Event:
        """Return *event* about the row that its writer meant; see :mod:`cutmemo.memo.apart`."""
        named = getattr(event.payload, "row", None)
        row = state.rows.get(named) if named is not None else None
        if named is None or (named not in self._known if row is None else not row.goes_on):
            return event
        return as_meant(event, state.rows, self.event, lambda other: self._knew(event, other))

    def _knew(self, event: Event, other_id: str) -> bool:
        """Return whether the writer of *event* knew the event with the id *other_id*."""
        if not event.after:
            return True  # as old programs wrote them: all that came before
        first, seen, path = self._known.get(other_id, 0), set[str](), [*event.after]
        while path:
            each = path.pop()
            if each == other_id:
                return True
            place = self._known.get(each, -1)
            if each not in seen and place > first:
                seen.add(each)
                path += self.log[place].after
        return False


def _comes_last(event: Event, heads: tuple[str, ...]) -> bool:
    """Return whether *event* was built on all that is here, *heads*: its place is at the end."""
    return bool(event.after or not heads) and set(heads) <= set(event.after)


def _undone_by(events: Iterable[Event], before: frozenset[str]) -> frozenset[str]:
    """Return the ids of what is undone after *events*, where *before* was undone already."""
    undone = set(before)
    for event in events:
        if isinstance(event.payload, e.EventUndone):
            undone.add(event.payload.event)
        elif isinstance(event.payload, e.EventRedone):
            undone.discard(event.payload.event)
    return frozenset(undone) if undone != before else before

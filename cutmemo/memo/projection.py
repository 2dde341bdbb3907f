"""The state of a memo kept up to date event by event, whichever way they arrive."""

from __future__ import annotations

from collections.abc import Iterable

from cutmemo.memo import events as e
from cutmemo.memo import loads  # noqa: F401 - it says what its events do
from cutmemo.memo.apart import about_taken_back, as_counted, as_meant, still_asking, went_on_apart
from cutmemo.memo.chain import Gap
from cutmemo.memo.events import Event
from cutmemo.memo.merge import heads, in_order
from cutmemo.memo.naming import rows_named
from cutmemo.memo.pieces import left_goes_on
from cutmemo.memo.rows import Row, asks_to_add
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
        self._knew_all: list[bool] = []
        """Of each event, whether its writer knew all that stand before it, and that they count."""
        self._seen: dict[tuple[str, str], Row | None] = {}
        """Rows as the writer of an event saw them, by both ids."""
        self._whole: Projection | None = None
        """Where this one is of a part of the events: the one of all."""
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
        late = not all(map(_comes_last, fresh, befores))
        if not late:
            self.log += fresh
            self._knew_all += [True] * len(fresh)
            self.heads = (fresh[-1].id,)
            undone = _undone_by(fresh, self.undone)
        else:
            ordered = in_order([*self.log, *fresh])
            pairs = zip(self.log, ordered, strict=False)
            changed = next((n for n, (old, new) in enumerate(pairs) if old is not new), before)
            self.log = ordered
            self.heads = heads(ordered)
            self._knew_all = _knew_all(ordered)
            self._seen.clear()  # a cause that was missing may have come
            undone = _undone_by(ordered, frozenset())
        for place, event in enumerate(self.log[changed:], start=changed):
            self._known[event.id] = place
        self._note_turned(self.log if late else fresh)
        turned, self.undone = undone ^ self.undone, undone
        places = [self._known[each] for each in turned if each in self._known]
        self._replay(min([changed, *places]))

    def _note_turned(self, events: Iterable[Event]) -> None:
        """Note of which events the writers did not know that something before them was undone or
        done again by one of *events*.
        """
        for event in events:
            if isinstance(event.payload, e.EventUndone | e.EventRedone):
                first, last = self._known.get(event.payload.event), self._known[event.id]
                if first is not None:
                    self._knew_all[first + 1 : last] = [False] * max(last - first - 1, 0)

    def _replay(self, place: int) -> None:
        """Apply the events from *place* on anew, from the last state that is kept before it."""
        kept = place // CHECKPOINT_EVERY
        if place == self.state.position:
            state, start = self.state, place
        else:
            state, start = self._checkpoints[kept], kept * CHECKPOINT_EVERY
            del self._checkpoints[kept + 1 :]
        for event in self.log[start:]:
            target = getattr(event.payload, "event", None)
            waits = target is not None and target not in self._known
            undone = event.id in self.undone
            meant, goes_on = (event, False) if undone else self._as_meant(event, state)
            state = apply(state, meant, undone, waits)
            if goes_on:
                state = left_goes_on(state, meant)
            if state.position % CHECKPOINT_EVERY == 0:
                self._checkpoints.append(state)
        self.state = state

    def _as_meant(self, event: Event, state: MemoState) -> tuple[Event, bool]:
        """Return *event* about the row that its writer meant; see :mod:`cutmemo.memo.apart`."""
        named = getattr(event.payload, "row", None)
        if named is None or isinstance(event.payload, e.CutAdded | e.Arrived):
            return event, False
        row = state.rows.get(named)
        corrects = isinstance(event.payload, e.CutChanged | e.QuestionAnswered)
        if row is not None and not (row.goes_on or row.doubts or corrects):
            return event, False

        def knows(other: str) -> bool:
            return self._knew(event, other)

        def seen(row: Row) -> Row | None:
            return row if self._knew_all[self._known[event.id]] else self._seen_by(event, row.id)

        meant, goes_on = as_meant(event, state.rows, self.event, knows, seen)
        row = state.rows.get(getattr(meant.payload, "row", ""))
        if row is not None and isinstance(event.payload, e.CutChanged | e.QuestionAnswered):
            count = event.payload.cut.count
            if not self._knew_all[self._known[event.id]] and (
                count != row.cut.count or asks_to_add(row)
            ):
                meant = as_counted(meant, row, self._seen_by(event, named), count)
        if (
            went_on_apart(row)
            if row is not None
            else about_taken_back(state.taken_back, meant.payload)
        ):
            taken_back = self._taken_back_by(getattr(meant.payload, "row", None))
            if taken_back is not None and not self._knew(event, taken_back):
                meant = still_asking(meant, row)
        return meant, goes_on

    def _seen_by(self, event: Event, row_id: str) -> Row | None:
        """Return the row with this id as the writer of *event* saw it."""
        if (event.id, row_id) not in self._seen:
            about = self._what_became_of(row_id, event)
            known = self._causes_of(event)
            seen = Projection()
            seen.log = [each for each in about if each.id in known]
            seen._known = {each.id: place for place, each in enumerate(seen.log)}
            seen.undone = _undone_by(seen.log, frozenset())
            whole = self._whole or self
            seen._knew_all = [whole._knew_all[whole._known[each.id]] for each in seen.log]
            seen._whole, seen._seen = whole, self._seen
            seen._replay(0)
            self._seen[event.id, row_id] = seen.state.rows.get(row_id)
        return self._seen[event.id, row_id]

    def _what_became_of(self, row_id: str, before: Event) -> list[Event]:
        """Return the events about a row, the rows it went on from and on in, *before* an event."""
        log = self.log[: self._known[before.id]]
        rows, origin = {row_id}, self.event(row_id)
        while (of := getattr(origin.payload, "row", row_id) if origin else row_id) not in rows:
            rows.add(of)
            origin = self.event(of)
        about, ids = list[Event](), set[str]()
        for event in log:
            if rows & rows_named(event.payload) or getattr(event.payload, "event", None) in ids:
                about.append(event)
                ids.add(event.id)
                if not isinstance(event.payload, e.AssemblyAdded):
                    rows.add(event.id)
        return about

    def _causes_of(self, event: Event) -> set[str]:
        """Return the ids of all events that the writer of *event* knew."""
        if self._whole is not None:
            return self._whole._causes_of(event)
        if not event.after:
            return {each.id for each in self.log[: self._known[event.id]]}
        known, path = set[str](), [*event.after]
        while path:
            each = path.pop()
            if each not in known and each in self._known:
                known.add(each)
                path += self.log[self._known[each]].after
        return known

    def _taken_back_by(self, row_id: str | None) -> str | None:
        """Return the id of the event that took back the call of a row; ``None`` where none did."""
        called = (e.CutAdded, e.AssemblyAdded)
        calls = (each for each in self.log if isinstance(each.payload, called))
        call = next((each for each in calls if row_id in rows_named(each.payload)), None)
        if call is None or self.counts(call):
            return None
        for each in reversed(self.log):
            if isinstance(each.payload, e.EventUndone) and each.payload.event == call.id:
                return each.id
        return None

    def _knew(self, event: Event, other_id: str) -> bool:
        """Return whether the writer of *event* knew that with the id *other_id*, one of the log."""
        if self._whole is not None:
            return self._whole._knew(event, other_id)
        if not event.after:
            return True  # as old programs wrote them: all that came before
        first, seen, path = self._known.get(other_id, -1), set[str](), [*event.after]
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


def _knew_all(log: Iterable[Event]) -> list[bool]:
    """Return of each event of *log* whether its writer knew all that stand before it."""
    heads, knew = set[str](), []
    for event in log:
        knew.append(not event.after or heads <= set(event.after))
        heads -= set(event.after)
        heads.add(event.id)
    return knew


def _undone_by(events: Iterable[Event], before: frozenset[str]) -> frozenset[str]:
    """Return the ids of what is undone after *events*, where *before* was undone already."""
    undone = set(before)
    for event in events:
        if isinstance(event.payload, e.EventUndone):
            undone.add(event.payload.event)
        elif isinstance(event.payload, e.EventRedone):
            undone.discard(event.payload.event)
    return frozenset(undone) if undone != before else before

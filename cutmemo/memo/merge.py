"""What an import may bring, and in which order events are replayed: by cause, not by arrival."""

from __future__ import annotations

import heapq
import json
from collections.abc import Iterable, Sequence

from cutmemo.errors import BadImport
from cutmemo.memo.events import AssemblyAdded, CutAdded, Event
from cutmemo.memo.naming import load_named, lots_added, rows_named


def _key(event: Event) -> tuple[float, str, int, str]:
    """Return what breaks a tie: time, copy of the memo, number there, id."""
    return event.moment.timestamp(), event.replica, event.number, event.id


def in_order(events: Iterable[Event]) -> list[Event]:
    """Return *events*, each once, every one after those it was built on; ties by time.

    The same set of events gives the same order, whatever order they come in. Events of the
    first format name no causes: within one file they keep the order of that file, by their
    number in it.
    """
    unique = {event.id: event for event in events}
    waits = {event.id: 0 for event in unique.values()}
    followers: dict[str, list[Event]] = {}
    for event in unique.values():
        for cause in _causes(event, unique):
            followers.setdefault(cause, []).append(event)
            waits[event.id] += 1
    for before, event in _chained(unique.values()):
        followers.setdefault(before.id, []).append(event)
        waits[event.id] += 1
    ready = [(_key(event), event) for event in unique.values() if not waits[event.id]]
    heapq.heapify(ready)
    ordered: list[Event] = []
    while ready:
        _, event = heapq.heappop(ready)
        ordered.append(event)
        for later in followers.get(event.id, ()):
            waits[later.id] -= 1
            if not waits[later.id]:
                heapq.heappush(ready, (_key(later), later))
    # Events that name each other wait for ever: only forged ones do.
    return ordered + sorted((each for each in unique.values() if waits[each.id]), key=_key)


def _causes(event: Event, known: dict[str, Event]) -> set[str]:
    """Return the ids of what *event* was built on: what its writer knew last, and the sending of
    the load that it says the end of, which a copy from another site does not reach through them.
    """
    causes = (*event.after, load_named(event.payload))
    return {cause for cause in causes if cause in known and cause != event.id}


def _chained(events: Iterable[Event]) -> list[tuple[Event, Event]]:
    """Return each event of the first format with the one before it in the file it came from."""
    files: dict[str, list[Event]] = {}
    for event in events:
        if not event.after:
            files.setdefault(event.replica, []).append(event)
    pairs = []
    for listed in files.values():
        listed.sort(key=lambda event: (event.number, event.id))
        pairs += list(zip(listed, listed[1:], strict=False))
    return pairs


def heads(events: Sequence[Event]) -> tuple[str, ...]:
    """Return the ids of the events that no other was built on, sorted."""
    built_on = {cause for event in events for cause in event.after}
    built_on |= {before.id for before, _ in _chained(events)}
    return tuple(sorted(event.id for event in events if event.id not in built_on))


def check_import(known: Iterable[Event], lines: Sequence[tuple[int, Event]]) -> None:
    """Refuse ids that are used twice for different things; a damaged entry may be replaced.

    Raises :class:`BadImport` naming the line; *lines* are the events of an import with their
    numbers.
    """
    by_id = {event.id: event for event in known if not event.damaged}
    added = {name: event.id for event in by_id.values() for name in _names_given(event)}
    for number, event in lines:
        other = by_id.setdefault(event.id, event)
        if (other.kind, other.version) != (event.kind, event.version) or not _same(other, event):
            raise BadImport(number, "its id is that of another entry, which says something else")
        for name in _names_given(event):
            if added.setdefault(name, event.id) != event.id:
                raise BadImport(number, "it adds a row or boards that another entry added")


def _same(one: Event, other: Event) -> bool:
    return one.raw == other.raw or json.loads(one.raw) == json.loads(other.raw)


def _names_given(event: Event) -> frozenset[str]:
    """Return the ids of the rows and lots that *event* puts on the list or the rack."""
    added = isinstance(event.payload, CutAdded | AssemblyAdded)
    return (rows_named(event.payload) if added else frozenset()) | lots_added(event.payload)

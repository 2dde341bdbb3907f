"""In which order events are replayed: by cause, so that arrival does not matter."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence

from cutmemo.memo.events import Event


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
    if len(ordered) < len(unique):  # events that name each other: only forged ones do
        placed = {event.id for event in ordered}
        ordered += sorted((each for each in unique.values() if each.id not in placed), key=_key)
    return ordered


def _causes(event: Event, known: dict[str, Event]) -> set[str]:
    return {cause for cause in event.after if cause in known and cause != event.id}


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

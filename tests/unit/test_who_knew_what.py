"""What the writer of an event knew: all it was built on, and nothing beside that, however the events lie."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.memo import Projection
from cutmemo.memo.events import Event


def a_call() -> Event:
    desk = Desk(MemoryStore())
    desk.call("36")
    (event,) = desk.log
    return event


def built(seed: int) -> list[Event]:
    """Return events of two or three stations, each built on some of those before."""
    r, call = random.Random(seed), a_call()
    events: list[Event] = []
    for number in range(r.randrange(2, 12)):
        behind = r.sample([each.id for each in events], min(len(events), r.randrange(0, 3)))
        if not behind and events:
            behind = [r.choice(events).id]
        events.append(
            replace(
                call,
                id=f"{number:02}{seed}",
                station=r.choice(["ladder", "saw", "deck"]),
                number=number + 1,
                after=tuple(sorted(behind)),
            )
        )
    return events


def causes(events: list[Event]) -> dict[str, set[str]]:
    """Return of each event the ids of all it was built on, step by step."""
    found: dict[str, set[str]] = {}
    for event in events:
        found[event.id] = set(event.after).union(*(found[each] for each in event.after))
    return found


@pytest.mark.parametrize("seed", range(60))
def test_a_writer_knew_all_that_its_event_was_built_on_and_nothing_else(seed: int) -> None:
    events = built(seed)
    memo, knew = Projection(events), causes(events)
    for event in events:
        if not event.after:
            continue
        assert memo._causes_of(event) == knew[event.id]
        for other in events:
            if other.id != event.id:
                assert memo._knew(event, other.id) is (other.id in knew[event.id]), (event, other)


def test_an_event_of_an_old_program_knew_all_that_came_before() -> None:
    first, second, third = (replace(a_call(), id=each, after=()) for each in "abc")
    memo = Projection([first, second, third])
    place = {each.id: k for k, each in enumerate(memo.log)}
    for event in memo.log:
        assert memo._causes_of(event) == {each for each in place if place[each] < place[event.id]}
        assert all(memo._knew(event, other) for other in memo._causes_of(event))


def test_what_the_first_events_of_a_memo_were_built_on_was_known_though_it_is_lost() -> None:
    first, second = (
        replace(a_call(), id=each, after=after) for each, after in (("a", ("lost",)), ("b", ("a",)))
    )
    memo = Projection([first, second])
    assert all(memo._knew(event, "lost") for event in memo.log)
    assert not any(memo._knew(event, "another") for event in memo.log)

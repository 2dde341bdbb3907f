"""The order of events: each after all that it was built on, and of those that may come next always the earliest."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.memo.events import Event, LoadRefused, OrderSet, Sent
from cutmemo.memo.goods import SentPieces
from cutmemo.memo.merge import heads, in_order

PAYLOAD = OrderSet("longest")


def event(
    name: str, minute: int = 0, replica: str = "r", number: int = 0, after: Sequence[str] = ()
) -> Event:
    at = f"2026-05-04T07:{minute:02}:00+00:00"
    kind, version = OrderSet.KIND, 2
    return Event(name, at, "s", "w", kind, version, PAYLOAD, "", replica, number, tuple(after))


def names(events: Sequence[Event]) -> list[str]:
    return [each.id for each in events]


def rank(each: Event) -> tuple[str, str, int, str]:
    """Return what breaks a tie: the time, then the copy of the memo, the number there and the id."""
    return each.at, each.replica, each.number, each.id


def causes(each: Event, events: Sequence[Event]) -> set[str]:
    """Return what *each* has to come after: what it names and is here, and in the first format what is before it in its file."""
    known = {other.id for other in events}
    if each.after:
        return {*each.after} & known - {each.id}
    file = sorted(
        (other for other in events if not other.after and other.replica == each.replica),
        key=lambda other: (other.number, other.id),
    )
    return {other.id for other in file[: file.index(each)]}


def some_events(r: random.Random) -> list[Event]:
    """Return events of some copies that know some of each other's; a few of the first format, some causes missing."""
    found: list[Event] = []
    for n in range(r.randrange(1, 14)):
        after = r.sample(names(found), min(len(found), r.choice([0, 1, 1, 2, 3])))
        after += ["not here"] if after and r.random() < 0.2 else []
        found.append(event(f"e{r.randrange(1000)}x{n}", r.randrange(4), r.choice("ab"), n, after))
    return found


@pytest.mark.parametrize("seed", range(150))
def test_each_comes_once_after_its_causes_and_the_earliest_of_those_that_may(seed: int) -> None:
    r = random.Random(seed)
    events = some_events(r)
    ordered = in_order(events)
    assert sorted(names(ordered)) == sorted(names(events))
    placed: set[str] = set()
    for each in ordered:
        left = [other for other in events if other.id not in placed]
        ready = [other for other in left if causes(other, events) <= placed]
        assert rank(each) == min(map(rank, ready))
        placed.add(each.id)
    for _ in range(3):
        shuffled = [*events, *r.choices(events, k=3)]
        r.shuffle(shuffled)
        assert names(in_order(shuffled)) == names(ordered)
    built_on = {cause for each in events for cause in each.after}
    built_on |= {name for each in events if not each.after for name in causes(each, events)}
    assert heads(ordered) == tuple(sorted({*names(events)} - built_on))


def test_ties_are_broken_by_time_copy_number_and_id() -> None:
    root = event("root")
    late = [
        event("d", 1, "b", 5, ["root"]),
        event("c", 2, "a", 1, ["root"]),
        event("b", 1, "b", 6, ["root"]),
        event("a", 1, "a", 9, ["root"]),
        event("e", 1, "b", 5, ["root"]),
    ]
    assert names(in_order([*late, root])) == ["root", "a", "d", "e", "b", "c"]


def test_in_the_first_format_the_file_is_the_order_whatever_its_clock_said() -> None:
    one = [event("x", 9, "old", 1), event("y", 3, "old", 2), event("z", 5, "old", 3)]
    assert names(in_order(one[::-1])) == ["x", "y", "z"]
    assert heads(one) == ("z",)
    other = event("q", 4, "else", 1)
    assert names(in_order([*one, other])) == ["q", "x", "y", "z"]
    assert heads([*one, other]) == ("q", "z")
    # What is newer is no part of that chain, also of the same copy.
    newer = event("n", 0, "old", 4, ["y"])
    assert names(in_order([*one, newer])) == ["x", "y", "n", "z"]
    assert heads([*one, newer]) == ("n", "z")


@pytest.mark.parametrize("size", [2, 3, 5])
def test_forged_rings_come_last_by_time_and_nothing_is_lost(size: int) -> None:
    ring = [
        event(f"ring{n}", size - n, "f", n, [f"ring{(n + 1) % size}", "free"]) for n in range(size)
    ]
    behind = event("behind", 0, "f", 99, ["ring0"])
    free = [event("free", 30, "g", 1), event("late", 40, "g", 2, ["free"])]
    itself = event("itself", 50, "h", 1, ["itself"])
    found = names(in_order([*ring, behind, *free, itself]))
    by_time = [f"ring{n}" for n in reversed(range(size))]
    assert found == ["free", "late", "itself", "behind", *by_time]


def test_the_end_of_a_load_comes_behind_its_sending_whatever_the_clocks_say() -> None:
    goods = SentPieces("row", Cut(Length(F(36))))
    sent = replace(event("s", 9, "a", 1), payload=Sent(sender="a", to="b", goods=goods))
    refused = LoadRefused(sender="a", to="b", goods=goods, sent="s")
    end = replace(event("t", 1, "b", 1), payload=refused)
    own = event("u", 0, "b", 0)
    assert names(in_order([end, sent, own])) == ["u", "s", "t"]
    assert names(in_order([end, own])) == ["u", "t"]

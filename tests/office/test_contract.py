"""One contract for both ends of an exchange: a memo's file and the office's database."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from desk import Desk
from office.sites import Office

from cutmemo.memo import open_store
from cutmemo.memo.codec import digest, to_line
from cutmemo.memo.events import Event
from cutmemo.memo.projection import Projection
from cutmemo.office.exchange import End, exchange
from cutmemo.office.file_end import FileEnd
from cutmemo.office.standing import Holding

MakeEnd = Callable[[str], End]


@pytest.fixture(params=["file", "database"])
def make_end(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[MakeEnd]:
    """Make empty ends, of a file or of the database."""
    with ExitStack() as opened:

        def file(name: str) -> FileEnd:
            return opened.enter_context(FileEnd(tmp_path / f"{name}-end.cutmemo"))

        def database(name: str) -> Any:
            from cutmemo.office.database.connect import connected
            from cutmemo.office.database.events import OfficeEnd

            office: Office = request.getfixturevalue("office")
            site = office.site(name)
            connection = opened.enter_context(connected(site.address, site.password))
            return OfficeEnd(connection, name)

        yield file if request.param == "file" else database


def a_day(path: Path, station: str = "ladder", calls: int = 12) -> list[Event]:
    """Return what is written in a memo in a day: calls, cuts, a correction, an undo."""
    minutes = iter(range(10_000))
    with open_store(path) as store:
        desk = Desk(
            store,
            station,
            "ann ½″ ☃",
            clock=lambda: datetime(
                2026, 5, 4, 7 + (m := next(minutes)) // 60 % 12, m % 60, tzinfo=UTC
            ),
        )
        for number in range(calls):
            desk.call(
                f"{1 + number % 4} @ {24 + number}-1/2 2x6 header"
                if number % 2
                else f"{40 + number} 3/8"
            )
            if number % 3 == 0:
                desk.clear()
        desk.call("no, make that 15-1/4")
        desk.undo()
        return store.events()


def held(end: End) -> dict[str, str]:
    """Return every event that *end* has, by id, as a line of an export has it."""
    found: dict[str, str] = {}
    for replica in end.standings():
        for event in end.named(list(end.hashes(replica))):
            found[event.id] = to_line(event)
    return found


def test_what_was_taken_comes_back_byte_for_byte(make_end: MakeEnd, tmp_path: Path) -> None:
    events = a_day(tmp_path / "day.cutmemo")
    end = make_end("maple")
    assert end.take(events).new == len(events)
    assert held(end) == {event.id: to_line(event) for event in events}


def test_what_is_taken_twice_counts_once(make_end: MakeEnd, tmp_path: Path) -> None:
    events = a_day(tmp_path / "day.cutmemo")
    end = make_end("maple")
    end.take(events[:9])
    before = end.standings()
    assert end.take(events[:9]) == type(end.take([]))()
    assert end.standings() == before
    assert end.take(events).new == len(events) - 9
    assert end.take(events[3:7] + events[3:7]).new == 0


def test_the_standing_is_that_of_the_events_in_whatever_order_they_come(
    make_end: MakeEnd, tmp_path: Path
) -> None:
    events = a_day(tmp_path / "day.cutmemo")
    expected = Holding((each.replica, each.number, digest(each)) for each in events)
    mixed = list(events)
    random.Random(7).shuffle(mixed)
    end = make_end("maple")
    for at in range(0, len(mixed), 5):
        end.take(mixed[at : at + 5])
    assert end.standings() == expected.standings()
    replica = events[0].replica
    for upto in (0, 1, 7, len(events), 10_000):
        assert end.standing(replica, upto) == expected.standing(replica, upto)


def test_events_are_read_on_from_a_number(make_end: MakeEnd, tmp_path: Path) -> None:
    events = a_day(tmp_path / "day.cutmemo")
    end = make_end("maple")
    end.take(events)
    replica, read, above = events[0].replica, [], 0
    while part := end.read(replica, above, 4):
        assert len(part) <= 4
        read += part
        above = part[-1].number
    assert [each.id for each in read] == [each.id for each in events]
    assert end.read("nobody", 0, 4) == []


def test_the_same_id_with_other_content_is_reported_and_takes_nothing_s_place(
    make_end: MakeEnd, tmp_path: Path
) -> None:
    events = a_day(tmp_path / "day.cutmemo")
    end = make_end("maple")
    end.take(events)
    before = held(end)
    forged = replace(events[4], who="somebody else")
    assert end.take([forged]).disputed == (forged.id,)
    assert held(end) == before


def test_an_empty_batch_is_nothing(make_end: MakeEnd) -> None:
    end = make_end("maple")
    assert end.take([]).new == 0
    assert dict(end.standings()) == {}


def test_two_ends_with_parts_of_a_history_come_to_hold_all_of_it(
    make_end: MakeEnd, tmp_path: Path
) -> None:
    """Whatever each of them had, and whatever was missing in between."""
    events = a_day(tmp_path / "day.cutmemo") + a_day(tmp_path / "other.cutmemo", "saw", 5)
    rng = random.Random(11)
    state = Projection(events).state
    for case in range(6):
        one, other = make_end(f"one{case}"), make_end(f"other{case}")
        mine = [each for each in events if rng.random() < 0.6]
        theirs = [each for each in events if rng.random() < 0.6]
        one.take(mine)
        other.take(theirs)
        done = exchange(one, other, batch=rng.choice((1, 3, 500)))
        both = {each.id for each in mine} | {each.id for each in theirs}
        assert done.equal
        assert (
            held(one)
            == held(other)
            == {each.id: to_line(each) for each in events if each.id in both}
        )
        assert (done.sent, done.received) == (len(both) - len(theirs), len(both) - len(mine))
        one.take(events)
        exchange(one, other)
        assert held(other) == {each.id: to_line(each) for each in events}
    assert Projection(reversed(events)).state == state


def test_an_exchange_that_is_stopped_goes_on_where_it_was(
    make_end: MakeEnd, tmp_path: Path
) -> None:
    events = a_day(tmp_path / "day.cutmemo")
    one, other = make_end("one"), make_end("other")
    one.take(events)
    numbers: list[int] = []
    exchange(
        one,
        other,
        lambda replica, number: numbers.append(number),
        lambda: len(numbers) >= 2,
        batch=4,
    )
    assert numbers == [events[3].number, events[7].number]
    assert len(held(other)) == 8
    done = exchange(one, other, batch=4)
    assert done.equal
    assert done.sent == len(events) - 8


def test_a_wild_clock_loses_nothing(make_end: MakeEnd, tmp_path: Path) -> None:
    """Years before there were memos, and years that UTC has no date for."""
    events = a_day(tmp_path / "day.cutmemo")
    clocks = [
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-12:00",
        "1970-01-01T00:00:00",
        "2061-07-28T12:00:00+00:00",
    ]
    wild = [replace(event, at=at) for event, at in zip(events, clocks, strict=False)]
    end = make_end("maple")
    assert end.take(wild).new == len(clocks)
    assert held(end) == {event.id: to_line(event) for event in wild}

"""What the network, the server and the clocks do to the way between a site and its office: nothing is lost,
nothing counts twice, and all ends come to the same.

``CUTMEMO_FAULTS`` is the number of random points at which the network fails (20), ``CUTMEMO_KILLS`` that of
batches in which the server is killed (2), ``CUTMEMO_SEED`` where chance begins.
"""

from __future__ import annotations

import os
import random
import shutil
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from office.histories import History
from office.proxy import Fault, Proxy
from office.sites import Office, Site

from cutmemo.errors import NoOffice
from cutmemo.memo import open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.events import Event
from cutmemo.memo.projection import Projection
from cutmemo.office.reading import open_office

FAULTS = int(os.environ.get("CUTMEMO_FAULTS", "20"))
KILLS = int(os.environ.get("CUTMEMO_KILLS", "2"))
SEED = int(os.environ.get("CUTMEMO_SEED", "5"))
KINDS: tuple[Fault, ...] = ("reset", "close", "silent", "delay")
ANSWER_SECONDS = 0.4


@pytest.fixture
def proxy(office: Office) -> Iterator[Proxy]:
    """A network to the server."""
    made = Proxy(office.server.port)
    yield made
    made.close()


def write(memo: Path, events: Iterator[Event]) -> list[Event]:
    """Write *events* to the memo."""
    with open_store(memo) as store:
        written = list(events)
        assert store.take(written) == len(written)
    return written


def lines(memo: Path) -> dict[str, str]:
    """Return all that a memo's file holds."""
    with open_store(memo) as store:
        events = store.events()
        assert not any(event.damaged for event in events)
        assert not store.gaps
        return {event.id: to_line(event) for event in events}


def at_office(office: Office, *sites: str) -> dict[str, str]:
    """Return all that the office holds of *sites*; none of it twice."""
    from cutmemo.office.database.events import all_events

    events = all_events(office.connection(), list(sites))
    found = {event.id: to_line(event) for event in events}
    assert len(found) == len(events)
    return found


def test_the_network_fails_at_random_points(office: Office, proxy: Proxy) -> None:
    """Two machines of one site write and exchange, each time over a network that fails somewhere."""
    rng = random.Random(SEED)
    site = office.site("maple")
    other = Site("maple", office.folder / "second.cutmemo", site.address, site.password)
    machines = (site, other)
    histories = (History(SEED), History(SEED + 1))
    write(site.memo, histories[0].events(60))
    proxy.fail("none")
    site.exchange(proxy.port, batch=8)
    whole, failed, everything = proxy.passed, 0, set(lines(site.memo))
    for point in range(FAULTS):
        here, history = machines[point % 2], histories[point % 2]
        everything |= {event.id for event in write(here.memo, history.events(rng.randrange(1, 40)))}
        proxy.fail(KINDS[point % len(KINDS)], rng.randrange(whole))
        try:
            here.exchange(proxy.port, batch=8, answer_seconds=ANSWER_SECONDS)
        except NoOffice:
            failed += 1
    assert failed > FAULTS // 4
    proxy.fail("none")
    for machine in (site, other, site):
        assert machine.exchange(proxy.port, batch=8).equal
    kept = lines(site.memo)
    assert set(kept) == everything
    assert lines(other.memo) == kept
    assert at_office(office, "maple") == kept
    with open_store(site.memo) as one, open_store(other.memo) as two:
        assert Projection(one.events()).state.rows == Projection(two.events()).state.rows


def test_the_server_is_killed_in_the_middle_of_a_batch(office: Office, proxy: Proxy) -> None:
    """What it said it had is there when it is back, and the rest follows."""
    rng = random.Random(SEED)
    site, history = office.site("maple"), History(SEED)
    write(site.memo, history.events(300))
    proxy.fail("none")
    site.exchange(proxy.port, batch=25)
    whole = proxy.passed
    for _ in range(KILLS):
        write(site.memo, history.events(300))
        known: list[int] = []
        killed = threading.Event()

        def kill(killed: threading.Event = killed) -> None:
            office.server.kill()
            killed.set()

        proxy.fail("close", rng.randrange(whole // 6, whole), kill)
        with pytest.raises(NoOffice):
            site.exchange(
                proxy.port, lambda replica, number, known=known: known.append(number), batch=25
            )
        assert killed.wait(60)
        office.server.start()
        with open_office(office.address) as read:
            events = read.sites()[0].events
        assert events >= max(known, default=0)
        assert events % 25 == 0
        proxy.fail("none")
        assert site.exchange(proxy.port, batch=25).equal
    assert at_office(office, "maple") == lines(site.memo)


def test_two_sites_that_send_the_same_history_are_counted_once(office: Office) -> None:
    """One memo was copied to a second site, and both went on with it."""
    maple, oak, elm = (office.site(name) for name in ("maple", "oak", "elm"))
    write(maple.memo, History(1).events(200))
    write(elm.memo, History(9).events(30))
    shutil.copy(maple.memo, oak.memo)
    for site in (maple, oak, elm):
        site.exchange()
    office.tally()
    with open_store(maple.memo) as store:
        alone = Projection(store.events()).state
    with open_office(office.address) as read:
        assert [(site.name, site.same_as, site.waiting) for site in read.sites()] == [
            ("elm", "", 0),
            ("maple", "", 0),
            ("oak", "maple", 0),
        ]
        states = read.states()
    assert list(states) == ["elm", "maple"]
    assert states["maple"].rows == alone.rows
    maple.desk().call("36")
    oak.desk(start=datetime(2026, 5, 5, tzinfo=UTC)).call("48")
    for site in (maple, oak):
        assert site.exchange().equal
    office.tally()
    both = Projection()
    for site in (maple, oak):
        with open_store(site.memo) as store:
            both.follow(store.events())
    with open_office(office.address) as read:
        assert read.states()["maple"].rows == both.state.rows
        assert read.states()["maple"].given == alone.given + 2
        days = read.days()
        assert sum(day.cut for day in days) == sum(
            row.done for state in read.states().values() for row in state.rows.values()
        )


def test_a_copy_that_is_found_out_late_leaves_no_second_count(office: Office) -> None:
    """Both were tallied by themselves before one of them took in an export of the other."""
    maple, oak = office.site("maple"), office.site("oak")
    written = write(maple.memo, History(1).events(40))
    write(oak.memo, History(2).events(40))
    for site in (maple, oak):
        site.exchange()
    tally = office.tally()
    with open_store(oak.memo) as store:
        store.take(written)
    oak.exchange()
    while tally.keep_up():
        pass
    with open_office(office.address) as read:
        assert list(read.states()) == ["maple"]
        with open_store(oak.memo) as store:
            assert read.states()["maple"].rows == Projection(store.events()).state.rows
        assert {day.site for day in read.days()} == {"maple"}


def test_clocks_that_are_a_day_apart_come_to_one_list(office: Office) -> None:
    site = office.site("maple")
    other = Site("maple", office.folder / "second.cutmemo", site.address, site.password)
    noon = datetime(2026, 5, 4, 12, tzinfo=UTC)
    here, there = site.desk("ladder", start=noon), other.desk("saw", start=noon - timedelta(days=1))
    here.call("4 @ 36 2x6")
    site.exchange()
    other.exchange()
    there.memo.follow()
    there.clear()
    there.call("48-1/2")
    here.call("no, make that 37")
    for machine in (site, other, site):
        assert machine.exchange().equal
    here.memo.follow()
    there.memo.follow()
    assert here.state.rows == there.state.rows
    assert lines(site.memo) == lines(other.memo) == at_office(office, "maple")
    office.tally()
    with open_office(office.address) as read:
        assert read.states()["maple"].rows == here.state.rows
        assert {(day.day, day.called, day.cut) for day in read.days()} == {
            ("2026-05-04", 4, 0),
            ("2026-05-03", 1, 1),
        }


def test_a_site_that_was_away_for_a_month_brings_fifty_thousand_events(
    office: Office, proxy: Proxy
) -> None:
    """The network fails once on the way; what had arrived is not sent again."""
    site = office.site("maple")
    history = History(3, step=timedelta(days=31) / 50_000)
    write(site.memo, history.events(50_000))
    sent: list[int] = []
    proxy.fail("reset", 5_000_000)
    with pytest.raises(NoOffice):
        site.exchange(proxy.port, lambda replica, number: sent.append(number))
    proxy.fail("none")
    done = site.exchange(proxy.port)
    assert sent
    assert (
        0 <= 50_000 - done.sent - sent[-1] <= 500
    )  # the batch whose answer was lost had arrived, or had not
    assert done.equal
    office.tally()
    with open_office(office.address) as read:
        assert read.sites()[0].events == 50_000
        assert read.sites()[0].waiting == 0
        with open_store(site.memo) as store:
            assert read.states()["maple"].rows == Projection(store.events()).state.rows


def test_the_same_entry_with_other_content_is_reported_at_all_ends(office: Office) -> None:
    """It came about by hand; every end keeps what it has, and says so."""
    from dataclasses import replace

    site = office.site("maple")
    second = Site("maple", office.folder / "second.cutmemo", site.address, site.password)
    events = list(History(4).events(20))
    write(site.memo, iter(events))
    odd = replace(events[7], who="somebody else")
    later = replace(events[9], at=(events[9].moment + timedelta(days=62)).isoformat())
    write(second.memo, iter([*events[:7], odd, events[8], later, *events[10:]]))
    assert site.exchange().equal
    for _ in range(2):
        done = second.exchange()
        assert done.disputed == {odd.id, later.id}
        assert not done.equal
    assert len(lines(second.memo)) == 20
    office.tally()
    with open_office(office.address) as read:
        assert read.sites()[0].troubles == (("disputed", 2),)
        assert read.states()["maple"].rows == Projection(events).state.rows

"""How much one office's server takes: sites × 5 stations that send a working day into a PostgreSQL of this
bench's own, over TLS with a verified certificate and a password, with the program's own tally beside it.

    PYTHONPATH=.:tests python tests/bench/office_load.py day 50 200 1000     a whole working day of so many sites
    PYTHONPATH=.:tests python tests/bench/office_load.py fill 10             millions of events put in, and what each million costs
    PYTHONPATH=.:tests python tests/bench/office_load.py order 50 200        the order of so many sites, laid onto boards

A day is sent in two parts. All but its last minutes goes up hour by hour, each site's hour over a connection of
its own, as fast as the server takes it: events a second. The last minutes are sent at the rate of the day, each
call when its site looks next: the time from the call to the office's view. What each part took of the processor
is printed, and the machine's load, since server, tally and the drivers (in truth machines of their own) share its
cores.
"""

from __future__ import annotations

import argparse
import contextlib
import multiprocessing
import os
import random
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from desk import Desk
from memory_store import MemoryStore
from office.histories import History
from office.server import Server

from cutmemo.office.address import Address
from cutmemo.office.background import LOOK_SECONDS
from cutmemo.office.database.connect import OWNER, connected
from cutmemo.office.database.events import OfficeEnd
from cutmemo.office.database.roles import prepare, utc_today
from cutmemo.office.database.tables import TALLIED
from cutmemo.office.exchange import BATCH
from cutmemo.office.sites import Site
from cutmemo.office.yard import Layouts, sum_of
from cutmemo.present.office import OfficeOrder, order_as_text

STATIONS = 5
HOURS = 8
EVENTS_AN_HOUR = 40
"""Of one station: a call or a cut every minute and a half. The whole day that a crew called in tests/bench/days has
199 calls, so about 400 events; five stations at this rate come to 1,600. It is an estimate, four times as much."""
PASSWORD = "of-the-bench"  # noqa: S105 - of a server that lives as long as it does
DRIVERS, SENDERS = 2, 6
"""Processes that send for the sites, and connections of each at one moment, at most."""
TICK = 1 / os.sysconf("SC_CLK_TCK")


def let_all_in(address: Address, names: list[str]) -> None:
    """Make the roles of all sites, with one password, in one go."""
    with connected(address) as connection:
        kept = connection.pgconn.encrypt_password(
            PASSWORD.encode(), b"x", b"scram-sha-256"
        ).decode()
        for name in names:
            connection.execute(f"CREATE ROLE {name} LOGIN PASSWORD '{kept}' IN ROLE cutmemo_sites")


@contextmanager
def tallying(address: Address) -> Iterator[int]:
    """Keep the program's own tally beside; give its process."""
    command = [sys.executable, "-m", "cutmemo", "office", "tally", "--at", str(address)]
    process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
    try:
        yield process.pid
    finally:
        process.terminate()
        process.wait(60)


def spent(process: int) -> float:
    """Return the seconds of processor that *process* took, with its children that have ended."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return sum(map(int, fields[11:15])) * TICK


@dataclass(frozen=True)
class Parts:
    """The processes whose processor time is told."""

    server: int
    tally: int
    drivers: tuple[int, ...]

    def spent(self) -> tuple[float, float, float]:
        """Return what the server, the tally and the drivers took."""
        main = self.server
        children = Path(f"/proc/{main}/task/{main}/children").read_text().split()
        server = spent(main)
        for child in children:
            with contextlib.suppress(FileNotFoundError, ProcessLookupError):  # it ended meanwhile
                server += spent(int(child))
        return server, spent(self.tally), sum(map(spent, self.drivers))


def send(end: OfficeEnd, events: list[Any]) -> None:
    """Send *events* as a site does, over its connection: compared before and after."""
    end.standings()
    for at in range(0, len(events), BATCH):
        end.take(events[at : at + BATCH])
    end.standings()


class Driver:
    """The sites that one process sends for."""

    def __init__(self, server: dict[str, Any], names: list[str], seed: int) -> None:
        self.address = Address.of(server["url"])
        self.root = server["root"]
        self.names, self.random = names, random.Random(seed)
        self.histories = {name: History(seed * 100_000 + place) for place, name in enumerate(names)}
        self.phase = {name: self.random.random() * LOOK_SECONDS for name in names}
        """When within a second each site looks whether there is anything to send."""

    def send(self, name: str, events: list[Any]) -> None:
        """Send for one site, over a connection of its own."""
        address = replace(self.address, user=name, sslrootcert=self.root)
        with connected(address, PASSWORD) as connection:
            send(OfficeEnd(connection, name), events)

    def early(self, hours: float) -> int:
        """Send so many hours of the day, hour by hour, and return how many events those were."""
        an_hour = STATIONS * EVENTS_AN_HOUR
        parts = [an_hour] * int(hours) + ([round(an_hour * (hours % 1))] if hours % 1 else [])

        def sent(name: str, count: int) -> int:
            self.send(name, [self.histories[name].next(datetime.now(UTC)) for _ in range(count)])
            return count

        total = 0
        with ThreadPoolExecutor(SENDERS) as pool:
            for count in parts:
                total += sum(pool.map(sent, self.names, [count] * len(self.names)))
        return total

    def late(self, begin: float, seconds: float) -> list[tuple[str, int, float]]:
        """Send at the rate of a working day until *seconds* after *begin*; return site, number and
        time of each call.
        """
        rate = len(self.names) * STATIONS * EVENTS_AN_HOUR / 3600
        waiting: dict[str, list[Any]] = {name: [] for name in self.names}
        called: list[tuple[str, int, float]] = []
        lock = threading.Lock()

        def look(name: str) -> None:
            with lock:
                events, waiting[name] = waiting[name], []
            if events:
                self.send(name, events)

        due: list[tuple[float, str]] = []
        at = begin + self.random.expovariate(rate)
        with ThreadPoolExecutor(SENDERS) as pool:
            while at < begin + seconds or due:
                soonest = min([at if at < begin + seconds else float("inf"), *(d for d, _ in due)])
                time.sleep(max(0.0, soonest - time.monotonic()))
                now = time.monotonic()
                while at <= now and at < begin + seconds:
                    name = self.random.choice(self.names)
                    event = self.histories[name].next(datetime.now(UTC))
                    with lock:
                        waiting[name].append(event)
                    called.append((name, event.number, at))
                    due.append((at + (self.phase[name] - at) % LOOK_SECONDS, name))
                    at += self.random.expovariate(rate)
                for each in [each for each in due if each[0] <= now]:
                    due.remove(each)
                    pool.submit(look, each[1])
        return called


def drive(server: dict[str, Any], names: list[str], seed: int, orders: Any) -> None:
    """Do what is asked over the pipe *orders* until that is nothing more."""
    driver = Driver(server, names, seed)
    while order := orders.recv():
        orders.send(getattr(driver, order[0])(*order[1:]))


class View:
    """The office's view, and when each event of a site came into it."""

    def __init__(self, address: Address) -> None:
        self.shown: dict[str, list[tuple[int, float]]] = {}
        self.total = 0
        self._stop = False
        self._thread = threading.Thread(target=self._watch, args=(address,))
        self._thread.start()

    def _watch(self, address: Address) -> None:
        counts: dict[str, int] = {}
        since = datetime(2000, 1, 1, tzinfo=UTC)
        query = "SELECT site, events, tallied FROM office.tally_sites WHERE tallied >= %s"
        with connected(address, act_as=OWNER) as connection:
            connection.execute(f"LISTEN {TALLIED}")
            while not self._stop:
                for _ in connection.notifies(timeout=0.5, stop_after=1):
                    pass
                rows = connection.execute(query, (since,)).fetchall()
                now = time.monotonic()
                for site, events, tallied in rows:
                    since = max(since, tallied)
                    if events > counts.get(site, 0):
                        counts[site] = events
                        self.shown.setdefault(site, []).append((events, now))
                self.total = sum(counts.values())

    def when(self, site: str, number: int) -> float:
        """Return when the event of *site* with this number came into the view."""
        return next(at for events, at in self.shown[site] if events >= number)

    def close(self) -> None:
        """Look no more."""
        self._stop = True
        self._thread.join()


def working_day(server: Server, sites: int, hours: float, seconds: float) -> None:
    """Send a day of so many *sites*, and print what it took."""
    office = server.office("cutmemo")
    names = [f"s{sites}x{number}" for number in range(sites)]
    let_all_in(office, names)
    plain = {
        "url": str(server.site("probe", "cutmemo")).partition("?")[0],
        "root": str(server.root_certificate),
    }
    context = multiprocessing.get_context("spawn")
    pipes, drivers = [], []
    for seed in range(DRIVERS):
        here, there = context.Pipe()
        drivers.append(
            context.Process(target=drive, args=(plain, names[seed::DRIVERS], sites + seed, there))
        )
        drivers[-1].start()
        pipes.append(here)

    def ask(*order: Any) -> list[Any]:
        for pipe in pipes:
            pipe.send(order)
        return [pipe.recv() for pipe in pipes]

    main = int((server.data / "postmaster.pid").read_text().split()[0])
    with tallying(office) as tally:
        view = View(office)
        try:
            parts = Parts(main, tally, tuple(int(each.pid or 0) for each in drivers))
            ask("early", 0)  # they are up
            begin, before = time.monotonic(), parts.spent()
            total = sum(ask("early", hours))
            sent = time.monotonic() - begin
            while view.total < total:
                time.sleep(0.2)
            shown = time.monotonic() - begin
            told = " ".join(
                f"{name} {(after - then) / max(total, 1) * 1000:.2f}"
                for name, then, after in zip(
                    ("server", "tally", "drivers"), before, parts.spent(), strict=True
                )
            )
            print(
                f"{sites:5} sites, the first {hours:g} h of a day, {total} events: {total / sent:.0f} events/s taken in, all in the view after {shown:.0f} s ({total / shown:.0f} events/s); ms of processor an event: {told}; load {os.getloadavg()[0]:.1f}",
                flush=True,
            )
            time.sleep(10)  # boards are laid meanwhile, as after a pause of the crews
            begin, before = time.monotonic() + 0.5, parts.spent()
            called = [each for some in ask("late", begin, seconds) for each in some]
            end = time.monotonic() + 120
            while view.total < total + len(called) and time.monotonic() < end:
                time.sleep(0.1)
            told = " ".join(
                f"{name} {(after - then) / len(called) * 1000:.1f}"
                for name, then, after in zip(
                    ("server", "tally", "drivers"), before, parts.spent(), strict=True
                )
            )
            took = sorted(view.when(site, number) - at for site, number, at in called)
            rate = sites * STATIONS * EVENTS_AN_HOUR / 3600
            print(
                f"{sites:5} sites, its last {seconds:.0f} s at its own rate: {len(called) / seconds:.1f} of {rate:.1f} events/s; call to view: median {statistics.median(took):.2f} s, p95 {took[int(len(took) * 0.95)]:.2f} s, last {took[-1]:.2f} s (a site looks every {LOOK_SECONDS:.0f} s); ms of processor an event: {told}; load {os.getloadavg()[0]:.1f}",
                flush=True,
            )
        finally:
            view.close()
            for pipe in pipes:
                pipe.send(None)
            for each in drivers:
                each.join(30)
    with connected(office, act_as=OWNER) as connection:
        begin = time.monotonic()
        connection.execute("SELECT * FROM office.by_site").fetchall()
        print(f"      by_site read in {time.monotonic() - begin:.2f} s", flush=True)


SECTIONS_CALLED = ("2x4", "2x6", "2x10")


def order(count: int) -> None:
    """Lay the order of so many sites with 120 pieces each, and print what it took and when it told so."""
    rng = random.Random(count)
    sites = []
    for number in range(count):
        desk = Desk(MemoryStore())
        for _ in range(12):
            length = f"{rng.randrange(12, 180)}-{rng.randrange(1, 8, 2)}/8"
            desk.call(f"{rng.randrange(1, 20)} @ {length} {rng.choice(SECTIONS_CALLED)}")
        sites.append(Site(f"Site {number}", desk.state))
    told: list[float] = []
    begin, cpu = time.monotonic(), time.process_time()
    layouts = Layouts(tuple(sites), lambda pieces: told.append(time.monotonic()))
    shown = order_as_text(OfficeOrder(layouts, "2026-05-04"))
    took = time.process_time() - cpu
    longest = max(b - a for a, b in zip([begin, *told], told, strict=False))
    apart, together = sum_of(layouts.by_site), sum_of(layouts.together)
    print(
        f"{count:5} sites, {apart.pieces} pieces: laid in {took:.1f} s of processor ({time.monotonic() - begin:.1f} s), told how far it is {len(told)} times, at most {longest:.1f} s apart; {apart.boards} boards site by site, {together.boards} together; {len(shown)} signs; load {os.getloadavg()[0]:.1f}",
        flush=True,
    )


def sizes(server: Server) -> None:
    """Print what the tables take on the disk."""
    with connected(server.office("cutmemo"), act_as=OWNER) as connection:
        count = connection.execute(
            "SELECT coalesce(sum(events), 0)::bigint FROM office.standing"
        ).fetchone()[0]
        query = "SELECT coalesce(sum(pg_total_relation_size(oid)), 0)::bigint, coalesce(sum(pg_relation_size(oid)), 0)::bigint FROM pg_class WHERE relnamespace = 'office'::regnamespace AND relkind = 'r' AND relname LIKE %s"
        for table in ("events%", "tally%"):
            whole, heap = connection.execute(query, (table,)).fetchone()
            print(
                f"      {table.rstrip('%')}: {whole / max(count, 1):.0f} MB a million events ({heap / max(count, 1):.0f} without indexes), {count} events",
                flush=True,
            )


SAMPLES = 2000
FILL = """
INSERT INTO office.events (site, month, id, at, station, who, kind, version, payload, replica, number, after, hash)
SELECT 'f' || (mod(n, 1000)), date_trunc('month', t)::date, md5('id' || n), to_char(t, 'YYYY-MM-DD"T"HH24:MI:SS.US"+00:00"'),
    'station' || (mod(n, 5)), 'ann', s.kind, 2, s.payload, md5('replica' || (mod(n, 1000))), n / 1000 + 1,
    '["' || md5('id' || (n - 1000)) || '"]', decode(md5('hash' || n), 'hex')
FROM (SELECT n, %s::timestamptz + n * interval '3.1 seconds' AS t FROM generate_series(%s::bigint, %s::bigint) n) e
JOIN sample s ON s.place = mod(e.n, %s)
"""


def fill(server: Server, millions: int) -> None:
    """Put millions of events in, of 1,000 sites over a year, and tell what each million costs."""
    probe = History(99)
    let_all_in(server.office("cutmemo"), ["probe"])
    start = datetime(utc_today().year, utc_today().month, 1, tzinfo=UTC).replace(
        year=utc_today().year - 1
    )
    with connected(server.office("cutmemo"), act_as=OWNER) as connection:
        connection.execute("SET statement_timeout = 0")
        connection.execute(
            "CREATE TEMP TABLE sample (place bigint PRIMARY KEY, kind text, payload text)"
        )
        for n, event in enumerate(History(5).events(SAMPLES)):
            connection.execute("INSERT INTO sample VALUES (%s, %s, %s)", (n, event.kind, event.raw))
        for million in range(millions + 1):
            cost = 0.0
            if million:
                begin = time.monotonic()
                first = (million - 1) * 1_000_000
                connection.execute(FILL, (start, first, first + 999_999, SAMPLES))
                cost = time.monotonic() - begin
                connection.execute("ANALYZE office.events")
            times = []
            for _ in range(20):
                events = list(probe.events(BATCH))
                begin = time.monotonic()
                with connected(server.site("probe", "cutmemo"), PASSWORD) as site:
                    send(OfficeEnd(site, "probe"), events)
                times.append(time.monotonic() - begin)
            with connected(server.site("probe", "cutmemo"), PASSWORD) as site:
                end = OfficeEnd(site, "probe")
                begin = time.monotonic()
                for _ in range(20):
                    end.standings()
                    end.read(probe.replica, probe.number - 100, 100)
                read = (time.monotonic() - begin) / 20
            print(
                f"{million:3} million: put in {cost:5.0f} s; a site's batch of {BATCH} takes {statistics.median(times) * 1000:.0f} ms with its connection; reading 100 new ones {read * 1000:.0f} ms; load {os.getloadavg()[0]:.1f}",
                flush=True,
            )
            if million:
                sizes(server)


def main() -> None:
    """Run what was asked for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=("day", "fill", "order"))
    parser.add_argument("numbers", type=int, nargs="+", help="sites, or millions of events")
    parser.add_argument("--hours", type=float, default=HOURS, help="of the day that is sent first")
    parser.add_argument("--seconds", type=float, default=60, help="of its end, at its own rate")
    asked = parser.parse_args()
    if asked.what == "order":
        for count in asked.numbers:
            order(count)
        return
    server = Server(fsync=True, buffers="1GB")
    try:
        prepare(server.office("cutmemo"), utc_today())
        print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, {server.bin}", flush=True)
        if asked.what == "fill":
            fill(server, asked.numbers[0])
            return
        for sites in asked.numbers:
            working_day(server, sites, asked.hours, asked.seconds)
            sizes(server)
    finally:
        server.remove()


if __name__ == "__main__":
    main()

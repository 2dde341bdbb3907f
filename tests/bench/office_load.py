"""How much one office's server takes: sites × 5 stations that send a working day into a PostgreSQL of this
bench's own, with the tally beside it.

    PYTHONPATH=.:tests python tests/bench/office_load.py day 50 200 1000     the rate of a working day, and everything at once
    PYTHONPATH=.:tests python tests/bench/office_load.py fill 10             millions of events put in, and what each million costs

Events a second, the time from a call on a site to the office's view, and bytes a million events. Server, sites
and tally share the cores of this machine; the machine's load is printed, since it decides the figures.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import queue
import random
import statistics
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

from office.histories import History
from office.server import Server

from cutmemo.memo.events import Event
from cutmemo.office.address import Address
from cutmemo.office.background import LOOK_SECONDS
from cutmemo.office.database.connect import OWNER, connected
from cutmemo.office.database.events import OfficeEnd
from cutmemo.office.database.roles import prepare, utc_today
from cutmemo.office.exchange import BATCH
from cutmemo.office.tally import Tally

STATIONS = 5
EVENTS_AN_HOUR = 40
"""Of one station: a call or a cut every minute and a half."""
PASSWORD = "of-the-bench"  # noqa: S105 - of a server that lives as long as it does
SENDERS = 8
"""So many sites are connected at one moment, at most."""


def let_all_in(address: Address, names: list[str]) -> None:
    """Make the roles of all sites, with one password, in one go."""
    with connected(address) as connection:
        kept = connection.pgconn.encrypt_password(
            PASSWORD.encode(), b"x", b"scram-sha-256"
        ).decode()
        for name in names:
            connection.execute(f"CREATE ROLE {name} LOGIN PASSWORD '{kept}' IN ROLE cutmemo_sites")


def tally_of(address: Address, stop: object) -> None:
    """Keep the tally in a process of its own."""
    with connected(address, act_as=OWNER) as connection:
        tally = Tally(connection)
        while not stop.is_set():  # type: ignore[attr-defined]
            if not tally.keep_up():
                tally.wait(0.5)


@contextmanager
def tallying(address: Address) -> Iterator[None]:
    """Keep a tally beside."""
    context = multiprocessing.get_context("spawn")
    stop = context.Event()
    process = context.Process(target=tally_of, args=(address, stop), daemon=True)
    process.start()
    try:
        yield
    finally:
        stop.set()
        process.join(60)


def send(server: Server, site: str, events: list[Event]) -> None:
    """Send *events* as a site does: one short connection, in batches."""
    with connected(server.site(site, "cutmemo"), PASSWORD) as connection:
        end = OfficeEnd(connection, site)
        end.standings()
        for at in range(0, len(events), BATCH):
            end.take(events[at : at + BATCH])


def tallied(connection: object) -> dict[str, int]:
    """Return how many events of each site the office's view has."""
    return dict(connection.execute("SELECT site, events FROM office.by_site").fetchall())  # type: ignore[attr-defined]


class WorkingDay:
    """Sites that send at the rate of a working day, and whoever looks at the office's view."""

    def __init__(self, server: Server, sites: int, seconds: float) -> None:
        self.server, self.seconds = server, seconds
        self.names = [f"s{sites}x{number}" for number in range(sites)]
        self.random = random.Random(sites)
        self.histories = {
            name: History(place * 1000 + sites) for place, name in enumerate(self.names)
        }
        self.rate = sites * STATIONS * EVENTS_AN_HOUR / 3600
        self.phase = {name: self.random.random() * LOOK_SECONDS for name in self.names}
        """When within a second each site looks whether there is anything to send."""
        self.due: queue.PriorityQueue[tuple[float, str]] = queue.PriorityQueue()
        self.waiting: dict[str, list[Event]] = {name: [] for name in self.names}
        self.called: dict[str, list[float]] = {name: [] for name in self.names}
        self.took: list[float] = []
        self.lock = threading.Lock()
        self.end = time.monotonic() + seconds

    def send_what_is_due(self) -> None:
        """Send for the sites, each when it looks."""
        while time.monotonic() < self.end + 2 or not self.due.empty():
            try:
                at, name = self.due.get(timeout=0.2)
            except queue.Empty:
                continue
            time.sleep(max(0.0, at - time.monotonic()))
            with self.lock:
                events, self.waiting[name] = self.waiting[name], []
            if events:
                send(self.server, name, events)

    def watch(self) -> None:
        """Look at the view, and note how long each call took to it."""
        shown: dict[str, int] = {}
        with connected(self.server.office("cutmemo"), act_as=OWNER) as connection:
            while time.monotonic() < self.end + 120:
                for name, count in tallied(connection).items():
                    for place in range(shown.get(name, 0), count if name in self.called else 0):
                        self.took.append(time.monotonic() - self.called[name][place])
                    shown[name] = count
                if time.monotonic() > self.end and len(self.took) >= self.calls:
                    return
                time.sleep(0.05)

    @property
    def calls(self) -> int:
        return sum(map(len, self.called.values()))

    def run(self) -> None:
        """Work for the time that was asked for, and print how long the calls took."""
        threads = [threading.Thread(target=self.send_what_is_due) for _ in range(SENDERS)]
        threads.append(threading.Thread(target=self.watch))
        for thread in threads:
            thread.start()
        while (now := time.monotonic()) < self.end:
            name = self.random.choice(self.names)
            with self.lock:
                self.waiting[name].append(self.histories[name].next(datetime.now(UTC)))
                self.called[name].append(now)
            self.due.put((now + (self.phase[name] - now) % LOOK_SECONDS, name))
            time.sleep(self.random.expovariate(self.rate))
        for thread in threads:
            thread.join()
        took = sorted(self.took) or [float("nan")]
        print(
            f"{len(self.names):5} sites, a working day's rate: {self.calls / self.seconds:.1f} of {self.rate:.1f} events/s for {self.seconds:.0f} s; {len(self.took)} of {self.calls} shown; call to view: median {statistics.median(took):.2f} s, p95 {took[int(len(took) * 0.95)]:.2f} s (a site looks every {LOOK_SECONDS:.0f} s); load {os.getloadavg()[0]:.1f}",
            flush=True,
        )


def all_at_once(server: Server, sites: int, each: int) -> None:
    """Let all sites send a part of a day at once, as after a night without a network."""
    names = [f"s{sites}x{number}" for number in range(sites)]
    days = [
        (name, list(History(place * 7 + sites + 10**6).events(each)))
        for place, name in enumerate(names)
    ]
    begin = time.monotonic()
    todo: queue.SimpleQueue[tuple[str, list[Event]]] = queue.SimpleQueue()
    for day in days:
        todo.put(day)

    def sender() -> None:
        while True:
            try:
                name, events = todo.get_nowait()
            except queue.Empty:
                return
            send(server, name, events)

    with connected(server.office("cutmemo"), act_as=OWNER) as connection:
        before = sum(tallied(connection).values())
        threads = [threading.Thread(target=sender) for _ in range(SENDERS)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        sent = time.monotonic() - begin
        while sum(tallied(connection).values()) - before < sites * each:
            time.sleep(0.1)
        shown = time.monotonic() - begin
    total = sites * each
    print(
        f"{sites:5} sites at once, {each} events each: {total / sent:7.0f} events/s taken in, all of {total} in the view after {shown:.0f} s ({total / shown:.0f} events/s)",
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
                send(server, "probe", events)
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
    parser.add_argument("what", choices=("day", "fill"))
    parser.add_argument("numbers", type=int, nargs="+", help="sites, or millions of events")
    parser.add_argument("--seconds", type=float, default=60, help="of a working day, in real time")
    parser.add_argument(
        "--events", type=int, default=200_000, help="of all sites together that are sent at once"
    )
    asked = parser.parse_args()
    server = Server(fsync=True, buffers="1GB")
    try:
        prepare(server.office("cutmemo"), utc_today())
        print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, {server.bin}", flush=True)
        if asked.what == "fill":
            fill(server, asked.numbers[0])
            return
        for sites in asked.numbers:
            with tallying(server.office("cutmemo")):
                let_all_in(server.office("cutmemo"), [f"s{sites}x{n}" for n in range(sites)])
                WorkingDay(server, sites, asked.seconds).run()
                all_at_once(server, sites, asked.events // sites)
            sizes(server)
            print(f"      load {os.getloadavg()[0]:.1f}", flush=True)
    finally:
        server.remove()


if __name__ == "__main__":
    main()

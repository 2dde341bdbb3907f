"""The tally: folds the events of all sites into tables, as they come, with the program's own
``apply``.

A site whose events are new is read from the place it was at. What a table says and up to where it
was made are written together, so a tally that was stopped goes on; it can be made anew at any time.
Sites that hold events of one replica hold copies of one memo: they are folded together, and
counted at the one that came first.
"""

from __future__ import annotations

import contextlib
import logging
import operator
import os
import time
from collections import OrderedDict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from cutmemo.errors import BadBoards, NoOffice, OfficeTrouble
from cutmemo.memo.codec import digest
from cutmemo.memo.events import (
    Arrived,
    Event,
    EventRedone,
    EventUndone,
    LoadRefused,
    Sent,
)
from cutmemo.memo.moves import other_site
from cutmemo.memo.projection import Projection
from cutmemo.memo.rows import Row
from cutmemo.office.database.connect import telling
from cutmemo.office.database.events import CHANNEL, all_events, events_named, new_events
from cutmemo.office.database.tables import (
    Lines,
    Standings,
    all_standings,
    loads_to_tell,
    names_of_sites,
    tallied,
    tell,
    write_lines,
    write_short,
)
from cutmemo.office.lines import Day, count_days, line_of, rest_of, short_of
from cutmemo.office.standing import Standing, part_of

if TYPE_CHECKING:
    from psycopg import Connection

_log = logging.getLogger(__name__)

Upto = dict[str, dict[str, Standing]]
"""By site and replica."""

EVENT_BYTES, MEMORY_SHARE = 2_000, 4
"""What an event takes in memory, folded (measured 1,750), and the part of this machine's memory, a
quarter, that all of them may take: the sites that were quiet longest are let go first."""
FEWEST_KEPT = 200_000
SITES_AT_ONCE = 50
"""So many sites are written in one transaction."""
EVENTS_AT_ONCE = 5_000
"""And so many new events, or those of one site: after a night without a network the sites that are
up to date are not kept waiting by what all the others bring."""
WAIT_SECONDS = 5.0
"""Without a word from the database, it is looked at so often whether anything is to be done."""
GATHER_SECONDS = 0.1
"""Between two passes, where the last one had room for more: what arrives meanwhile is folded at
once with what arrives then."""
HOUR_SECONDS = 3600.0
QUIET_SECONDS = 5.0
"""So long after its last event the boards of a site are laid."""
REST = 3
"""After boards were laid none are for so many times as long: what arrives comes first."""
_UNDONE_OVER = 20
"""So often an undo of an undo is followed; forged ones may go round in a circle."""
_LOCK = 0x0FF1CE


def events_kept() -> int:
    """Return how many events are kept in memory on this machine."""
    try:
        memory = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError, OSError):  # not a POSIX system, or it does not tell
        return FEWEST_KEPT
    return max(FEWEST_KEPT, memory // MEMORY_SHARE // EVENT_BYTES)


def groups_of(own: Mapping[str, Collection[str]]) -> dict[str, tuple[str, ...]]:
    """Return the sites that hold copies of one memo, by the first of them; most stand alone.

    *own* are the replicas that each site has the memo of, in the order in which they began.
    """
    first_with: dict[str, str] = {}
    leader: dict[str, str] = {site: site for site in own}

    def lead(site: str) -> str:
        while leader[site] != site:
            site = leader[site]
        return site

    places = {site: place for place, site in enumerate(own)}
    for site, replicas in own.items():
        for replica in replicas:
            one, other = sorted(
                (lead(first_with.setdefault(replica, site)), lead(site)), key=places.__getitem__
            )
            leader[other] = one
    found: dict[str, list[str]] = {}
    for site in own:
        found.setdefault(lead(site), []).append(site)
    return {first: tuple(sites) for first, sites in found.items()}


@dataclass(slots=True)
class Folded:
    """The memo of one group of sites, folded."""

    sites: tuple[str, ...]
    memo: Projection
    upto: Upto
    disputed: int = 0
    """Entries that came with the id of another and other content."""
    written: dict[str, Row] = field(default_factory=dict)
    """The rows as the tables have them."""
    days: dict[date, Day] = field(default_factory=dict)
    anew: bool = True
    """Whether nothing of it is in the tables yet."""
    loads: list[Event] = field(default_factory=list)
    """News of loads that was not written yet."""
    touched: float = 0.0
    """When something was new last, by a clock of its own."""

    @classmethod
    def of(cls, sites: tuple[str, ...], by_site: Mapping[str, list[Event]]) -> Folded:
        """Fold all events of *sites*."""
        folded = cls(sites, Projection(), {})
        events: list[Event] = []
        for site in sites:
            folded._note(site, by_site.get(site, []))
            events += by_site.get(site, [])
        folded.disputed = _disputed({}, events)
        folded.memo = Projection(events)
        count_days(folded.memo, folded.memo.log, folded.days)
        folded.loads = [event for event in folded.memo.log if _of_load(folded.memo, event)]
        return folded

    def _note(self, site: str, events: Iterable[Event]) -> None:
        replicas = self.upto.setdefault(site, {})
        for event in events:
            was = replicas.get(event.replica, Standing())
            replicas[event.replica] = Standing(
                was.events + 1, max(was.last, event.number), was.sum + part_of(digest(event))
            )

    def follow(self, site: str, events: list[Event]) -> None:
        """Take in new *events* of *site*."""
        memo, undone = self.memo, self.memo.undone
        before = list(memo.log)
        known = {}
        for event in events:
            with contextlib.suppress(KeyError):
                known[event.id] = memo.log[memo.place(event)]
        self.disputed += _disputed(known, events)
        self._note(site, events)
        memo.follow(events)
        self.loads += [event for event in events if _of_load(memo, event)]
        if memo.undone == undone and memo.log[: len(before)] == before:
            count_days(memo, memo.log[len(before) :], self.days)
        else:
            self.days = {day: Day() for day in self.days}  # one that lost all its pieces says so
            count_days(memo, memo.log, self.days)

    def lines(self) -> list[Lines]:
        """Return what has changed since it was written last."""
        state = self.memo.state
        rows = [row for row in state.rows.values() if self.written.get(row.id) is not row]
        damaged = sum(event.damaged for event in state.unreadable)
        troubles = {
            "disputed": self.disputed,
            "damaged": damaged,
            "newer": len(state.unreadable) - damaged,
            "waiting": len(state.waiting),
        }
        made = Lines(
            self.sites[0],
            self.upto,
            len(self.memo.log),
            rest_of(state),
            troubles={name: count for name, count in troubles.items() if count},
            anew=self.anew,
            rows=[line_of(row) for row in rows],
            days=self.days,
            names=state.names,
            loads=self.loads,
        )
        self.loads = []
        self.written |= {row.id: row for row in rows}
        self.anew = False
        others = [
            Lines(site, {}, 0, rest_of(type(state)()), same_as=self.sites[0], anew=True)
            for site in self.sites[1:]
        ]
        return [made, *others]


def _events(upto: Upto) -> int:
    """Return how many events that is."""
    return sum(each.events for replicas in upto.values() for each in replicas.values())


def _of_load(memo: Projection, event: Event) -> bool:
    """Return whether *event* is about a load, or takes back or repeats one that is."""
    meant: Event | None = event
    for _ in range(_UNDONE_OVER):
        if meant is None or not isinstance(meant.payload, EventUndone | EventRedone):
            break
        meant = memo.event(meant.payload.event)
    return meant is not None and isinstance(meant.payload, Sent | Arrived | LoadRefused)


def _disputed(known: dict[str, Event], events: Iterable[Event]) -> int:
    """Return how many of *events* have the id of another one, and other content."""
    found = 0
    for event in events:
        other = known.setdefault(event.id, event)
        found += other is not event and digest(other) != digest(event)
    return found


class Tally:
    """Folds what is new at the office, again and again; one at a time."""

    def __init__(self, connection: Connection[Any], kept: int | None = None) -> None:
        """Tally through *connection*, as the owner of the tables; keep at most so many events in
        memory, or as many as this machine has room for.
        """
        self._connection, self._kept = connection, events_kept() if kept is None else kept
        self._passes = 0
        self.full = False
        """Whether the last pass left something for the next."""
        self._folded_in: dict[str, int] = {}
        """In which pass each group of sites was folded or put aside last: who waited longest comes
        first.
        """
        self._folded: OrderedDict[str, Folded] = OrderedDict()
        self._laid: dict[str, tuple[object, ...]] = {}
        """What the boards of each site were laid for."""
        self._under_way: dict[str, Upto] = {}
        """What the pass that is under way folds, by the first site."""
        self._aside: dict[str, Upto] = {}
        """What could not be folded."""
        self._names: dict[str, str] = {}
        self._to_tell = True
        """Whether there may be a site to tell of a load."""
        with telling():
            connection.execute(f"LISTEN {CHANNEL}")
            self._was = tallied(connection)

    def alone(self) -> bool:
        """Return whether no other tally runs on this database; from now on none can."""
        with telling():
            row = self._connection.execute("SELECT pg_try_advisory_lock(%s)", (_LOCK,)).fetchone()
        return row is not None and bool(row[0])

    def anew(self) -> None:
        """Fold everything from the beginning with the next pass."""
        self._was, self._folded, self._aside = {}, OrderedDict(), {}

    def keep_up(self, most: int = SITES_AT_ONCE) -> int:
        """Fold what is new of at most so many groups of sites, and write it in one transaction.

        Returns how many there were. One that cannot be folded is put aside until more comes of
        it: the others go on.
        """
        self._under_way = {}
        try:
            return self._pass(most)
        except Exception as error:  # whatever one site sent, the others are not kept waiting
            away = isinstance(error, NoOffice) and error.trouble != OfficeTrouble.BROKEN
            if away or not self._under_way:
                raise
            if len(self._under_way) == 1:
                _log.exception("%s cannot be tallied", *self._under_way)
                self._aside |= self._under_way
                self._folded_in |= dict.fromkeys(self._under_way, self._passes)
                return 1
        return sum(self.keep_up(most=1) for _ in list(self._under_way))

    def _pass(self, most: int) -> int:
        """Fold and write once."""
        with telling(), self._connection.transaction():
            self._connection.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            standings = all_standings(self._connection)
            behind = self._behind(standings)
            chosen = self._chosen(behind, most)
            self._under_way = chosen
            self._passes += 1
            self.full = len(chosen) < len(behind)
            written: list[Lines] = []
            try:
                for first, upto in chosen.items():
                    written += self._fold(first, upto).lines()
                write_lines(self._connection, written)
            except BaseException:
                for first in chosen:  # what was folded is not in the tables: begin it anew
                    self._folded.pop(first, None)
                raise
        self._folded_in |= dict.fromkeys(chosen, self._passes)
        for each in written:
            self._was[each.site] = ({k: dict(v) for k, v in each.upto.items()}, each.same_as)
            self._to_tell |= bool(each.loads)
        self._let_go()
        self._tell_of_loads(bool(chosen))
        return len(chosen)

    def _behind(self, standings: Standings) -> dict[str, Upto]:
        """Return the groups of sites of which there is more than was folded, by the first site:
        how their replicas stand.
        """
        found = {}
        for first, sites in groups_of(standings.own).items():
            upto = {site: standings.of[site] for site in sites}
            led = all(self._was.get(site, ({}, ""))[1] == first for site in sites[1:])
            if self._aside.get(first) == upto:
                continue
            if not led or self._was.get(first) != (upto, ""):
                found[first] = upto
        return found

    def _chosen(self, behind: dict[str, Upto], most: int) -> dict[str, Upto]:
        """Return which of the groups that are *behind* are folded now: those that waited longest,
        as many as one transaction takes.
        """
        chosen: dict[str, Upto] = {}
        room = EVENTS_AT_ONCE
        for first in sorted(behind, key=lambda first: self._folded_in.get(first, 0)):
            if len(chosen) == most or room <= 0:
                break
            chosen[first] = behind[first]
            room -= _events(behind[first]) - _events(self._was.get(first, ({}, ""))[0])
        return chosen

    def _fold(self, first: str, upto: Upto) -> Folded:
        """Return the group of sites folded, with all that is new."""
        folded = self._folded.pop(first, None)
        if folded is not None and folded.sites == tuple(upto):
            for site, replicas in upto.items():
                for replica, standing in replicas.items():
                    was = folded.upto.get(site, {}).get(replica, Standing())
                    if was != standing:
                        events = new_events(self._connection, site, replica, was.last)
                        folded.follow(site, events)
        if folded is None or folded.upto != upto:
            by_site = {site: all_events(self._connection, [site]) for site in upto}
            folded = Folded.of(tuple(upto), by_site)
            _log.info("%s: folded %d events from the beginning", first, len(folded.memo.log))
        folded.touched = time.monotonic()
        self._folded[first] = folded
        return folded

    def _tell_of_loads(self, folded: bool) -> None:
        """Pass on what one site did about a load to the site at its other end.

        One that has no such name yet is looked for again once a site has a new one.
        """
        if not (self._to_tell or folded):
            return
        loads = loads_to_tell(self._connection)
        names = names_of_sites(self._connection) if loads else {}
        if loads and (self._to_tell or names != self._names):
            for load in loads:
                site, _, name = load

                def find(event: str, site: str = site) -> Event | None:
                    return next(iter(events_named(self._connection, site, [event])), None)

                event = find(name)
                other = other_site(event, site, find, names) if event is not None else None
                if other is not None:
                    tell(self._connection, load, other)
        self._to_tell, self._names = False, names

    def _let_go(self) -> None:
        kept = sum(len(folded.memo.log) for folded in self._folded.values())
        while kept > self._kept and len(self._folded) > 1:
            _, folded = self._folded.popitem(last=False)
            kept -= len(folded.memo.log)

    def lay_boards(self, quiet_seconds: float = QUIET_SECONDS) -> bool:
        """Lay the boards of one site whose list or rack changed, and that was quiet so long, to
        tell what is short; return whether there was one.
        """
        for first, folded in self._folded.items():
            state = folded.memo.state
            made_of = (state.rows, state.rack, state.yard, state.settings)
            laid = self._laid.get(first)
            if laid is not None and all(map(operator.is_, laid, made_of)):
                continue
            if time.monotonic() - folded.touched >= quiet_seconds:
                try:
                    write_short(self._connection, first, short_of(state))
                except BadBoards:
                    _log.warning("%s: too many pieces to lay", first)
                self._laid[first] = made_of
                return True
        return False

    def wait(self, seconds: float = WAIT_SECONDS) -> bool:
        """Wait until something arrived, at most so long; return whether there was a word of it."""
        with telling():
            return any(True for _ in self._connection.notifies(timeout=seconds, stop_after=1))


def run(
    tally: Tally,
    stop: Callable[[], bool],
    told: Callable[[int], None] = lambda sites: None,
    hourly: Callable[[], object] = lambda: None,
) -> None:
    """Keep the tally until *stop* says so; *told* hears how many sites each pass folded."""
    due = rested = 0.0
    while not stop():
        begun = time.monotonic()
        if begun >= due:
            hourly()
            due = begun + HOUR_SECONDS
        folded = tally.keep_up()
        if folded:
            told(folded)
            if not tally.full:
                time.sleep(GATHER_SECONDS)
        elif begun < rested:
            tally.wait(rested - begun)
        elif tally.lay_boards():
            done = time.monotonic()
            rested = done + REST * (done - begun)
        else:
            tally.wait()

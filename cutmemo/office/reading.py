"""What the one who orders reads: the states of all sites, of one moment."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from cutmemo.memo.projection import Projection
from cutmemo.memo.state import MemoState
from cutmemo.office.address import Address
from cutmemo.office.database.connect import OWNER, check_layout, connected, telling
from cutmemo.office.database.events import all_events
from cutmemo.office.database.tables import TALLIED, all_standings, tallied
from cutmemo.office.lines import state_of
from cutmemo.office.passwords import password_for
from cutmemo.office.standing import Standing
from cutmemo.office.tally import groups_of

if TYPE_CHECKING:
    from psycopg import Connection

STOP_SECONDS = 1.0
"""How often whoever waits for news is asked whether to go on."""


@dataclass(frozen=True, slots=True)
class SiteOfOffice:
    """One site, as the office knows it."""

    name: str
    """Its name, which is that of its role in the database."""
    title: str
    """What people call it; empty where nobody said."""
    events: int
    """How many the office has of it."""
    waiting: int
    """How many of them are not in the tally yet."""
    last: str
    """When the last one arrived, as ISO 8601; empty for none."""
    same_as: str = ""
    """The site with which it shares its history, where it is counted; mostly empty."""
    troubles: tuple[tuple[str, int], ...] = ()
    """Entries that ask for somebody: ``disputed``, ``damaged``, ``newer``, ``waiting``, with how
    many there are."""


@dataclass(frozen=True, slots=True)
class DayOfSite:
    """Pieces of one site on one day."""

    site: str
    day: str
    called: int
    cut: int
    trouble: int


class OfficeReader:
    """All sites at one moment: every answer is of the same one."""

    def __init__(self, connection: Connection[Any]) -> None:
        """Read through *connection*, which is in a transaction."""
        self._connection = connection

    def _rows(self, query: str, values: tuple[Any, ...] = ()) -> list[Any]:
        with telling():
            rows: list[Any] = self._connection.execute(query, values).fetchall()
            return rows

    def sites(self) -> list[SiteOfOffice]:
        """Return every site that was let in or sent something, by name."""
        standings = all_standings(self._connection)
        titles = dict(self._rows("SELECT site, title FROM office.sites"))
        last = dict(self._rows("SELECT site, max(arrived) FROM office.standing GROUP BY site"))
        told = self._rows("SELECT site, troubles FROM office.tally_sites")
        troubles = {site: tuple(sorted(plain.items())) for site, plain in told}
        disputes = self._rows("SELECT site, count(*) FROM office.disputed GROUP BY site")
        for site, count in disputes:
            known = dict(troubles.get(site, ()))
            known["disputed"] = known.get("disputed", 0) + count
            troubles[site] = tuple(sorted(known.items()))
        leads = {
            site: first
            for first, sites in groups_of(standings.own).items()
            for site in sites
            if site != first
        }
        upto = tallied(self._connection)
        return [
            SiteOfOffice(
                site,
                titles.get(site, ""),
                _total(standings.of.get(site, {})),
                _total(standings.of.get(site, {}))
                - _total(upto.get(leads.get(site, site), ({}, ""))[0].get(site, {})),
                last[site].isoformat() if site in last else "",
                leads.get(site, ""),
                troubles.get(site, ()),
            )
            for site in sorted({*titles, *standings.of})
        ]

    def states(self) -> dict[str, MemoState]:
        """Return the state of every site, as the tally has it; a copy of another site's memo is
        left out.
        """
        lines: dict[str, list[str]] = {}
        query = "SELECT site, line FROM office.tally_rows ORDER BY site, number"
        for site, line in self._rows(query):
            lines.setdefault(site, []).append(line)
        states = self._rows(
            "SELECT site, state FROM office.tally_sites WHERE same_as = '' ORDER BY site"
        )
        return {site: state_of(state, lines.get(site, ())) for site, state in states}

    def days(self) -> list[DayOfSite]:
        """Return what was called, cut and in trouble on each day at each site."""
        query = "SELECT site, day, called, cut, trouble FROM office.by_day ORDER BY day, site"
        return [DayOfSite(row[0], row[1].isoformat(), *row[2:]) for row in self._rows(query)]

    def memos(self, sites: Collection[str] = ()) -> Iterator[tuple[str, Projection]]:
        """Yield the memo of each of *sites*, or of all, replayed from its events.

        A copy of another site's memo is left out. It takes a second for 25,000 events.
        """
        for first, group in groups_of(all_standings(self._connection).own).items():
            if not sites or first in sites:
                yield first, Projection(all_events(self._connection, group))


def tallied_again(address: Address, stop: Callable[[], bool]) -> Iterator[None]:
    """Yield at once, and each time the tally of the office at *address* has something new, until
    *stop* says so, which is asked every second. Raises :class:`NoOffice`.
    """
    with _entered(address) as connection, telling():
        connection.execute(f"LISTEN {TALLIED}")
        yield
        while not stop():
            if any(True for _ in connection.notifies(timeout=STOP_SECONDS, stop_after=1)):
                yield
            connection.execute("SELECT 1")  # whoever says nothing for minutes is shut out


def _total(standings: dict[str, Standing]) -> int:
    return sum(each.events for each in standings.values())


@contextmanager
def open_office(address: Address, password: str | None = None) -> Iterator[OfficeReader]:
    """Open the office at *address* to read what all sites have come to.

    Over the local socket it is entered as the office itself, from elsewhere as who was let in to
    read. Raises :class:`NoOffice`.
    """
    with _entered(address, password) as connection, telling(), connection.transaction():
        connection.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield OfficeReader(connection)


@contextmanager
def _entered(address: Address, password: str | None = None) -> Iterator[Connection[Any]]:
    """Open a connection to a database that this program knows, to read."""
    secret = password if password is not None or address.local else password_for(address)
    with connected(address, secret, OWNER if address.local else "") as connection:
        check_layout(connection)
        yield connection

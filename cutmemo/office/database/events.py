"""The events of one site in the office's database, as one end of an exchange."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import UTC, date
from typing import TYPE_CHECKING, Any

from cutmemo.memo.chain import event_of
from cutmemo.memo.codec import digest, to_line
from cutmemo.memo.events import Event, Unreadable, moment_of
from cutmemo.office.database.connect import ANSWER_SECONDS, answering, check_layout, telling
from cutmemo.office.exchange import UNREAD, Taken
from cutmemo.office.standing import Standing, Standings

if TYPE_CHECKING:
    from psycopg import Connection

CHANNEL = "office"
"""On which a batch that arrived is told, without what it holds."""
WILD = date(1, 1, 1)
"""The month of events whose clock was so far off that no calendar here has it."""
_COLUMNS = (
    "0, id, at, station, who, kind, version, payload, replica, number, after,"
    " encode(hash, 'hex'), ''"
)
"""In the order of the table in a memo's file."""
_HASH = 11
_SUM = "sum(('x' || encode(substring(hash FROM 1 FOR 8), 'hex'))::bit(64)::bigint)"
# Lists are sent in the binary form: in text each quote of a payload would be looked for.
_ADD = """
INSERT INTO office.events (site, month, id, at, station, who, kind, version, payload, replica,
    number, after, hash)
SELECT %s, * FROM unnest(%b::date[], %b::text[], %b::text[], %b::text[], %b::text[], %b::text[],
    %b::bigint[], %b::text[], %b::text[], %b::bigint[], %b::text[], %b::bytea[])
ON CONFLICT (site, month, id) DO NOTHING RETURNING month, id
"""
_KNOWN = (
    "SELECT id, encode(hash, 'hex') FROM office.events"
    " WHERE site = %s AND month = ANY(%s) AND id = ANY(%s)"
)
_DISPUTE = (
    "INSERT INTO office.disputed (site, id, hash, line) VALUES (%s, %s, %s, %s)"
    " ON CONFLICT DO NOTHING"
)
_READ = (
    f"SELECT {_COLUMNS} FROM office.events"  # noqa: S608 - constant
    " WHERE site = %s AND replica = %s AND number > %s ORDER BY number LIMIT %s"
)
_READ_NEAR = (
    f"SELECT {_COLUMNS} FROM office.events"  # noqa: S608 - constant
    " WHERE site = %s AND replica = %s AND number > %s AND number <= %s ORDER BY number"
)
"""Numbers mostly follow one another: so nothing is sorted but what is read."""
_HASHES = (
    "SELECT id, encode(hash, 'hex') FROM office.events WHERE site = %s AND replica = %s"
    " ORDER BY month"
)
_NAMED = f"SELECT {_COLUMNS} FROM office.events WHERE site = %s AND id = ANY(%s)"  # noqa: S608
_ALL = f"SELECT {_COLUMNS} FROM office.events WHERE site = ANY(%s) ORDER BY number"  # noqa: S608
_STANDINGS = "SELECT replica, events, last, sum FROM office.standing WHERE site = %s"
_STANDING = (
    f"SELECT count(*), coalesce(max(number), 0), coalesce({_SUM}, 0) FROM office.events"  # noqa: S608
    " WHERE site = %s AND replica = %s AND number <= %s"
)


def month_of(at: str) -> date:
    """Return the first day of the month, in UTC, of what ISO 8601 text says."""
    try:
        return moment_of(at).astimezone(UTC).date().replace(day=1)
    except (ValueError, OverflowError):
        return WILD


class OfficeEnd:
    """The events of one site at its office."""

    def __init__(
        self, connection: Connection[Any], site: str, answer_seconds: float = ANSWER_SECONDS
    ) -> None:
        """Take the events of *site* through *connection*, which is ended once an answer takes
        longer. Raises :class:`NoOffice` for a database that this program does not know.
        """
        self._connection, self.site, self._seconds = connection, site, answer_seconds
        with self._answering():
            check_layout(connection)

    def _answering(self) -> AbstractContextManager[None]:
        return answering(self._connection, self._seconds)

    def standings(self) -> Standings:
        """Return what the office holds now, by replica."""
        with self._answering():
            rows = self._connection.execute(_STANDINGS, (self.site,)).fetchall()
        return {row[0]: Standing(row[1], row[2], int(row[3])) for row in rows}

    def standing(self, replica: str, upto: int) -> Standing:
        """Return the standing of the events of *replica* with a number up to *upto*."""
        with self._answering():
            row = self._connection.execute(_STANDING, (self.site, replica, upto)).fetchone()
        return Standing(row[0], row[1], int(row[2])) if row is not None else Standing()

    def read(self, replica: str, above: int, most: int) -> list[Event]:
        """Return the first events of *replica* with a number over *above*, at most *most*."""
        near = self._events(_READ_NEAR, (self.site, replica, above, above + most))
        return near or self._events(_READ, (self.site, replica, above, most))

    def hashes(self, replica: str) -> Mapping[str, str]:
        """Return the hash of each event of *replica*, by its id."""
        with self._answering():
            rows = self._connection.execute(_HASHES, (self.site, replica)).fetchall()
        return {row[0]: row[1] for row in rows}

    def named(self, ids: Sequence[str]) -> list[Event]:
        """Return the events with these ids."""
        return self._events(_NAMED, (self.site, list(ids)))

    def _events(self, query: str, values: tuple[Any, ...]) -> list[Event]:
        with self._answering():
            rows = self._connection.execute(query, values).fetchall()
        return [event_of(row, UNREAD) for row in rows]

    def take(self, events: Sequence[Event]) -> Taken:
        """Keep those of *events* that are not here; all of them are on the disk then."""
        if not events:
            return Taken()
        months = [month_of(event.at) for event in events]
        hashes = [digest(event) for event in events]
        with self._answering():
            added = self._connection.execute(_ADD, self._values(events, months, hashes)).fetchall()
            if len(added) == len(events):
                return Taken(len(added))
            asked = (self.site, sorted(set(months)), sorted({event.id for event in events}))
            known = set(self._connection.execute(_KNOWN, asked).fetchall())
        found = zip(events, hashes, strict=True)
        disputed = [event for event, of in found if (event.id, of) not in known]
        self.note_disputed(disputed)
        return Taken(len(added), tuple(dict.fromkeys(event.id for event in disputed)))

    def note_disputed(self, events: Sequence[Event]) -> None:
        """Keep *events* beside those that are here under their ids, once."""
        with self._answering():
            for event in events:
                values = (self.site, event.id, bytes.fromhex(digest(event)), to_line(event))
                self._connection.execute(_DISPUTE, values)

    def _values(
        self, events: Sequence[Event], months: list[date], hashes: list[str]
    ) -> tuple[Any, ...]:
        return (
            self.site,
            months,
            [event.id for event in events],
            [event.at for event in events],
            [event.station for event in events],
            [event.who for event in events],
            [event.kind for event in events],
            [event.version for event in events],
            [event.raw for event in events],
            [event.replica for event in events],
            [event.number for event in events],
            [json.dumps(event.after) for event in events],
            [bytes.fromhex(found) for found in hashes],
        )


def read_whole(rows: Iterable[Sequence[Any]]) -> list[Event]:
    """Return the events of *rows* with what they say; one whose hash does not fit is damaged."""
    found = []
    for row in rows:
        event = event_of(row)
        if row[_HASH] != digest(event):
            event = event_of(row, Unreadable(newer=False, why="its hash does not fit"))
        found.append(event)
    return found


def all_events(connection: Connection[Any], sites: Sequence[str]) -> list[Event]:
    """Return all events of *sites*, read."""
    with telling():
        return read_whole(connection.execute(_ALL, (list(sites),)).fetchall())


def events_named(connection: Connection[Any], site: str, ids: Sequence[str]) -> list[Event]:
    """Return the events of *site* with these ids, read."""
    with telling():
        return read_whole(connection.execute(_NAMED, (site, list(ids))).fetchall())


def new_events(connection: Connection[Any], site: str, replica: str, above: int) -> list[Event]:
    """Return the events of *replica* at *site* with a number over *above*, read."""
    with telling():
        rows = connection.execute(_READ, (site, replica, above, None)).fetchall()
    return read_whole(rows)

"""The tally's tables: what the events of all sites come to. Written by the tally alone."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from cutmemo.memo.events import Event
from cutmemo.memo.moves import same_name
from cutmemo.office.database.connect import telling
from cutmemo.office.database.events import month_of
from cutmemo.office.lines import Day, RowLine
from cutmemo.office.standing import Standing

if TYPE_CHECKING:
    from psycopg import Connection

TALLIED = "office_tallied"
"""On which it is told that the tally has something new, without what it holds."""
# Lists are sent in the binary form: in text each quote and backslash of a line would be looked for.
_ROWS = """
INSERT INTO office.tally_rows AS known (site, "row", number, state, pieces, "left", cut, trouble,
    held, inches, section, place, called_on, line)
SELECT * FROM unnest(%b::text[], %b::text[], %b::bigint[], %b::text[], %b::bigint[], %b::bigint[],
    %b::bigint[], %b::bigint[], %b::boolean[], %b::text[], %b::text[], %b::text[],
    %b::date[], %b::text[])
ON CONFLICT (site, "row") DO UPDATE SET number = excluded.number, state = excluded.state,
    pieces = excluded.pieces, "left" = excluded."left", cut = excluded.cut,
    trouble = excluded.trouble, held = excluded.held,
    inches = excluded.inches, section = excluded.section, place = excluded.place,
    called_on = excluded.called_on, line = excluded.line
"""
_DAYS = """
INSERT INTO office.tally_days (site, day, called, cut, trouble)
SELECT * FROM unnest(%b::text[], %b::date[], %b::bigint[], %b::bigint[], %b::bigint[])
ON CONFLICT (site, day) DO UPDATE SET called = excluded.called, cut = excluded.cut,
    trouble = excluded.trouble
"""
_SITES = """
INSERT INTO office.tally_sites (site, upto, events, state, same_as, troubles, names, tallied)
SELECT *, now() FROM unnest(%b::text[], %b::jsonb[], %b::bigint[], %b::text[], %b::text[],
    %b::jsonb[], %b::jsonb[])
ON CONFLICT (site) DO UPDATE SET upto = excluded.upto, events = excluded.events,
    state = excluded.state, same_as = excluded.same_as, troubles = excluded.troubles,
    names = excluded.names, tallied = excluded.tallied
"""
_SHORT = """
INSERT INTO office.tally_short (site, section, inches, boards)
SELECT * FROM unnest(%b::text[], %b::text[], %b::text[], %b::bigint[])
"""
_LOADS = """
INSERT INTO office.tally_loads (site, month, id)
SELECT * FROM unnest(%b::text[], %b::date[], %b::text[]) ON CONFLICT DO NOTHING
"""
_TOLD = """
INSERT INTO office.events (site, month, id, at, station, who, kind, version, payload, replica,
    number, after, hash)
SELECT %s, month, id, at, station, who, kind, version, payload, replica, number, after, hash
FROM office.events WHERE site = %s AND month = %s AND id = %s
ON CONFLICT (site, month, id) DO NOTHING
"""
_of_row = attrgetter(*(each.name for each in fields(RowLine)))
_TABLES = ("tally_rows", "tally_days", "tally_short")


@dataclass(slots=True)
class Lines:
    """What the tally writes of one site."""

    site: str
    upto: Mapping[str, Mapping[str, Standing]]
    """What it takes in: the standing of each replica, by the site that sent it."""
    events: int
    state: str = ""
    same_as: str = ""
    troubles: Mapping[str, int] = field(default_factory=dict)
    anew: bool = False
    """Whether what stands there is thrown away first."""
    rows: Sequence[RowLine] = ()
    days: Mapping[date, Day] = field(default_factory=dict)
    names: Sequence[str] = ()
    """What it calls itself, in the form that names are compared in."""
    loads: Sequence[Event] = ()
    """New events about loads, of which another site is to be told."""


@dataclass(slots=True)
class Standings:
    """How all sites stand, in the order in which they began."""

    of: dict[str, dict[str, Standing]] = field(default_factory=dict)
    """By site and replica."""
    own: dict[str, set[str]] = field(default_factory=dict)
    """By site, the replicas whose memo it has: not only news of loads."""


def all_standings(connection: Connection[Any]) -> Standings:
    """Return how every replica of every site stands."""
    query = "SELECT site, replica, events, last, sum, own FROM office.standing ORDER BY began, site"
    found = Standings()
    with telling():
        for site, replica, events, last, total, own in connection.execute(query).fetchall():
            found.of.setdefault(site, {})[replica] = Standing(events, last, int(total))
            found.own.setdefault(site, set()).update([replica] if own else [])
    return found


def names_of_sites(connection: Connection[Any]) -> dict[str, str]:
    """Return sites by all that they are called, in the form that names are compared in."""
    query = (
        "SELECT coalesce(s.site, t.site), s.title, t.names FROM office.sites s"
        " FULL JOIN office.tally_sites t ON t.site = s.site ORDER BY s.added"
    )
    found: dict[str, str] = {}
    with telling():
        for site, title, names in connection.execute(query).fetchall():
            for name in (site, title or site, *(names or ())):
                found.setdefault(same_name(name), site)
    return found


def loads_to_tell(connection: Connection[Any]) -> list[tuple[str, date, str]]:
    """Return the events about loads of which no other site was told yet: site, month and id."""
    query = "SELECT site, month, id FROM office.tally_loads ORDER BY site, id"
    with telling():
        return [tuple(row) for row in connection.execute(query).fetchall()]


def tell(connection: Connection[Any], load: tuple[str, date, str], other: str) -> None:
    """Copy one event about a load to the *other* site, and note that this was done."""
    site, month, name = load
    with telling(), connection.transaction():
        connection.execute(_TOLD, (other, site, month, name))
        done = "DELETE FROM office.tally_loads WHERE site = %s AND id = %s"
        connection.execute(done, (site, name))


def tallied(connection: Connection[Any]) -> dict[str, tuple[dict[str, dict[str, Standing]], str]]:
    """Return what the tally took in of each site, and the site it is counted with, if any."""
    with telling():
        rows = connection.execute("SELECT site, upto, same_as FROM office.tally_sites").fetchall()
    return {site: (_standings(upto), same_as) for site, upto, same_as in rows}


def _standings(plain: Mapping[str, Any]) -> dict[str, dict[str, Standing]]:
    return {
        site: {replica: Standing(*map(int, each)) for replica, each in replicas.items()}
        for site, replicas in plain.items()
    }


def _plain(upto: Mapping[str, Mapping[str, Standing]]) -> str:
    return json.dumps(
        {
            site: {replica: [s.events, s.last, str(s.sum)] for replica, s in replicas.items()}
            for site, replicas in upto.items()
        }
    )


def write_lines(connection: Connection[Any], written: Sequence[Lines]) -> None:
    """Write what the tally made of these sites."""
    anew = [each.site for each in written if each.anew]
    with telling():
        for table in _TABLES if anew else ():
            query = f"DELETE FROM office.{table} WHERE site = ANY(%s)"  # noqa: S608 - constant
            connection.execute(query, (anew,))
        _insert(
            connection,
            _ROWS,
            [(each.site, *_of_row(row)) for each in written for row in each.rows],
            14,
        )
        days = [
            (each.site, day, of.called, of.cut, of.trouble)
            for each in written
            for day, of in each.days.items()
        ]
        _insert(connection, _DAYS, days, 5)
        sites = [
            (
                each.site,
                _plain(each.upto),
                each.events,
                each.state,
                each.same_as,
                json.dumps(each.troubles),
                json.dumps(each.names),
            )
            for each in written
        ]
        _insert(connection, _SITES, sites, 7)
        loads = [
            (each.site, month_of(event.at), event.id) for each in written for event in each.loads
        ]
        _insert(connection, _LOADS, loads, 3)
        if written:
            connection.execute(f"NOTIFY {TALLIED}")


def write_short(
    connection: Connection[Any], site: str, short: Mapping[tuple[str, str], int]
) -> None:
    """Write what the yard has to bring for *site*, in place of what stood there."""
    lines = [(site, section, inches, count) for (section, inches), count in short.items()]
    with telling(), connection.transaction():
        connection.execute("DELETE FROM office.tally_short WHERE site = %s", (site,))
        _insert(connection, _SHORT, lines, 4)
        connection.execute(f"NOTIFY {TALLIED}")


def _insert(
    connection: Connection[Any], query: str, lines: Iterable[tuple[Any, ...]], columns: int
) -> None:
    listed = list(lines)
    if listed:
        turned = [[line[column] for line in listed] for column in range(columns)]
        connection.execute(query, turned)

"""Checks the entries of one file against their hashes and the chain over them.

Every entry carries the hash of what it says, which travels with it. Every file keeps, beside each
entry, a chain over the hashes up to there, in the order of that file: it shows where entries are
missing, were put in, or changed places.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from cutmemo.memo.codec import decode, digest
from cutmemo.memo.events import Event, Unreadable

Row = Sequence[Any]
"""What one row of a file holds, in the order of :data:`COLUMNS`."""
COLUMNS = "seq, id, at, station, who, kind, version, payload, replica, number, after, hash, chain"
_SEQ, _HASH, _CHAIN = 0, 11, 12
_WHOLE = (6, 9)
"""Columns that hold whole numbers; all others but the place hold text."""
_WRONG_HASH = "its hash does not fit"


@dataclass(frozen=True, slots=True)
class Gap:
    """A place in a file where entries are missing or out of order."""

    before: str
    """When the last entry in front of it was made, as ISO 8601; empty at the beginning."""
    behind: str
    """When the first entry behind it was made; empty at the end."""
    station: str
    """Where that entry was made, or at the end the one before."""
    event: str = ""
    """The id of the entry behind it; empty at the end."""
    missing: int | None = None
    """How many entries are missing, where that can be told."""
    copy: str = ""
    """The copy of the memo that has them, where one is known to."""


def chained(chain: str, found: str) -> str:
    """Return the chain of a file after an entry with the hash *found*."""
    text = f"{chain}{found}".encode("utf-8", "surrogatepass")
    return hashlib.blake2b(text, digest_size=16).hexdigest()


def checked(rows: Sequence[Row], before: Row | None = None) -> tuple[list[Event], list[Gap]]:
    """Return the events of *rows*, damaged ones marked, and where entries are missing.

    *rows* are those of a file in their order, *before* is the one in front of them. A hash or a
    link of the chain that is damaged by itself does no harm: the other one shows that the entry
    is sound.
    """
    events: list[Event] = []
    gaps: list[Gap] = []
    last = event_of(before) if before is not None else None
    chain = _text(before[_CHAIN]) if before is not None else ""
    for place, row in enumerate(rows):
        event = event_of(row)
        why = "" if _is_time(event.at) else f"its time cannot be read: {event.at[:40]!r}"
        stored, link, found = _text(row[_HASH]), _text(row[_CHAIN]), digest(event)
        by_hash, by_chain = stored == found, link == chained(chain, found)
        if not (by_hash or by_chain):
            event = _damaged(event, last, _WRONG_HASH)
        elif why:
            event = _damaged(event, last, why)
        linked = by_chain or link == chained(chain, stored)
        if linked or (by_hash and _next_fits(rows, place, chained(chain, found))):
            chain = link if linked else chained(chain, found)
        else:
            gaps.append(_gap(last, event))
            chain = link
        events.append(event)
        last = event
    return events, gaps


def _next_fits(rows: Sequence[Row], place: int, chain: str) -> bool:
    """Return whether the row behind *place* goes on from *chain*: then only one link is damaged."""
    if place + 1 >= len(rows):
        return False
    row = rows[place + 1]
    return _text(row[_CHAIN]) == chained(chain, _text(row[_HASH]))


def fits(row: Row | None) -> bool:
    """Return whether there is a *row*, and its hash fits what it says."""
    return row is not None and _text(row[_HASH]) == digest(event_of(row))


def end_gap(last: Event | None, missing: int | None = None, copy: str = "") -> Gap:
    """Return the gap behind the *last* entry of a file."""
    if last is None:
        return Gap("", "", "", "", missing, copy)
    return Gap(last.at, "", last.station, "", missing, copy)


def _gap(last: Event | None, behind: Event) -> Gap:
    at, place = (last.at, last.seq) if last is not None else ("", 0)
    missing = behind.seq - place - 1
    return Gap(at, behind.at, behind.station, behind.id, missing if missing > 0 else None)


def _damaged(event: Event, last: Event | None, why: str) -> Event:
    """Return *event* marked as damaged, in its place behind the *last* one."""
    at = event.at if _is_time(event.at) else last.at if last is not None else _NO_TIME
    after = (last.id,) if last is not None else ()
    return replace(event, at=at, after=after, payload=Unreadable(newer=False, why=why))


_NO_TIME = "1970-01-01T00:00:00+00:00"


def event_of(row: Row, carried: Unreadable | None = None) -> Event:
    """Return the event of one *row* of the table, as far as it can be read; not checked.

    With *carried* in place of what it says, for whoever only carries it.
    """
    whole = [_number(row[place]) for place in _WHOLE]
    name, at, station, who, kind = (_text(each) for each in row[1:6])
    raw, replica, after = _text(row[7]), _text(row[8]), _text(row[10])
    payload = decode(kind, whole[0], raw) if carried is None else carried
    seq = _number(row[_SEQ])
    return Event(
        name, at, station, who, kind, whole[0], payload, raw, replica, whole[1], _ids(after), seq
    )


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text) is not None
    except ValueError:
        return False


def _text(value: object) -> str:
    """Return what a column of text holds; damage may have made it anything."""
    return value if isinstance(value, str) else repr(value)


def _number(value: object) -> int:
    """Return what a column of whole numbers holds; -1 where damage made it something else."""
    return value if isinstance(value, int) else -1


def _ids(after: str) -> tuple[str, ...]:
    """Return the ids in a column; none where it is damaged, which the hash tells."""
    try:
        return tuple(str(each) for each in json.loads(after))
    except (ValueError, TypeError, RecursionError):
        return ()

"""The events in one SQLite file: on disk before anybody sees them, shared by several processes."""

from __future__ import annotations

import json
import re
import sqlite3
import uuid
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Protocol

from cutmemo.domain.signs import visible
from cutmemo.errors import BadMemo, MemoFault
from cutmemo.memo import copies, receipts
from cutmemo.memo.chain import COLUMNS, Gap, Row, chained, checked, end_gap, event_of
from cutmemo.memo.closing import Closing
from cutmemo.memo.codec import digest, written
from cutmemo.memo.events import Draft, Event, Payload
from cutmemo.memo.receipts import Receipt

WAIT_SECONDS = 10.0
"""How long one process waits for another to finish writing."""

_FIRST = """
CREATE TABLE events (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE,
    at TEXT NOT NULL,
    station TEXT NOT NULL,
    who TEXT NOT NULL,
    kind TEXT NOT NULL,
    version INTEGER NOT NULL,
    payload TEXT NOT NULL
) STRICT
"""
_CAUSES = (
    "ALTER TABLE events ADD COLUMN replica TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE events ADD COLUMN number INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE events ADD COLUMN after TEXT NOT NULL DEFAULT '[]'",
    "ALTER TABLE events ADD COLUMN hash TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE events ADD COLUMN chain TEXT NOT NULL DEFAULT ''",
    "CREATE INDEX events_of_replica ON events (replica, number)",
    "CREATE TABLE copy (replica TEXT NOT NULL, place TEXT NOT NULL) STRICT",
)
_BEHIND = f"SELECT {COLUMNS} FROM events WHERE seq > ? ORDER BY seq"  # noqa: S608 - constant
_UP_TO = f"SELECT {COLUMNS} FROM events WHERE seq <= ? ORDER BY seq DESC LIMIT 1"  # noqa: S608
_LAST = 2**63 - 1
_INSERT = (
    "INSERT INTO events (id, at, station, who, kind, version, payload, replica, number, after,"
    " hash, chain) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
_HEAL = (
    "UPDATE events SET at = ?, station = ?, who = ?, kind = ?, version = ?, payload = ?,"
    " replica = ?, number = ?, after = ?, hash = ? WHERE id = ?"
)
Drafts = Callable[[list[Event]], tuple[tuple[str, ...], list[Draft]]]
"""From the events that are new to the caller: what is known last, and what to write behind it."""
Receive = Callable[[], Receipt | None]
"""From what was decided: the receipt to write with it, where it came from a device."""


def first_format_replica(first: Event) -> str:
    """Return the name for the copy that events of the first format come from, by its *first*."""
    return f"first-{first.id[:12]}"


_REPLICA = re.compile("[0-9a-f]{32}")
_FAULTS = {
    "disk is full": MemoFault.DISK_FULL,
    "readonly": MemoFault.READ_ONLY,
    "is locked": MemoFault.LOCKED,
    "disk I/O error": MemoFault.DISK_FAILED,
    "unable to open": MemoFault.NOT_OPENED,
    "not a database": MemoFault.NO_MEMO,
    "malformed": MemoFault.DAMAGED,
}
"""What SQLite says, and what it means."""
_DAMAGE = (MemoFault.NO_MEMO, MemoFault.DAMAGED)
"""Faults of the file itself: a copy may help."""


def _fault(error: sqlite3.DatabaseError) -> tuple[MemoFault, str]:
    """Return what is wrong, with its detail; what is none of the known troubles of a sound file is
    damage.
    """
    said = str(error)
    for words, fault in _FAULTS.items():
        if words in said:
            return fault, ""
    return MemoFault.DAMAGED, visible(said[:200])


class Store(Protocol):
    """Keeps events in the order they arrived."""

    path: Path
    """Where they are."""

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Return where entries are missing, in what was read so far."""

    def events(self, after: int = 0) -> list[Event]:
        """Return all events with a place after *after*."""

    def record(  # noqa: PLR0913 - each is a fact of its own
        self,
        after: int,
        at: str,
        station: str,
        who: str,
        drafts: Drafts,
        receive: Receive = lambda: None,
    ) -> list[Event]:
        """Append what *drafts* makes of the events after *after*, with the receipt that *receive*
        gives behind it; nobody else writes in between.

        Returns those events and the new ones; the new ones are on disk. Raises
        :class:`AlreadyTaken`.
        """

    def receipts(self, names: Iterable[str]) -> dict[str, Receipt]:
        """Return the receipts of those of *names* of which anything was taken."""

    def take(self, events: Sequence[Event]) -> int:
        """Append *events*, all or none; those that are here are left out. Returns how many are
        new.
        """

    def keep_copy(self, now: datetime) -> Path | None:
        """Copy the file where that is due; return the copy, if one was made."""

    def last_good_copy(self) -> Path | None:
        """Return the last copy in which nothing is damaged."""

    def copy_ahead(self) -> Gap | None:
        """Return what the last copy has behind the end of the file: the file lost it."""

    def close(self) -> None:
        """Let go of the file."""


class SqliteStore(Closing):
    """Events in an SQLite file (WAL, ``synchronous=FULL``: a commit has reached the disk)."""

    def __init__(self, path: Path) -> None:
        """Open or make the file at *path*. Raises :class:`BadMemo`."""
        self.path = path
        self._gaps: dict[int, Gap] = {}
        with self._telling():
            path.parent.mkdir(parents=True, exist_ok=True)
            self._db = sqlite3.connect(
                path, timeout=WAIT_SECONDS, isolation_level=None, check_same_thread=False
            )
            try:
                self._set_up()
            except BaseException:
                self._db.close()
                raise

    def _set_up(self) -> None:
        self._db.execute("PRAGMA journal_mode=WAL")
        self._db.execute("PRAGMA synchronous=FULL")
        if self._version() == len(_MIGRATIONS):
            return
        with self._writing():
            version = self._version()
            if version > len(_MIGRATIONS):
                raise BadMemo(self.path, MemoFault.NEWER)
            tables = self._db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
            if version == 0 and tables:
                ours = "SELECT count(*) FROM sqlite_master WHERE name = 'events'"
                if self._db.execute(ours).fetchone()[0]:
                    raise self._damaged(MemoFault.DAMAGED)
                raise BadMemo(self.path, MemoFault.OTHER_PROGRAM)
            for number, migrate in enumerate(_MIGRATIONS[version:], start=version + 1):
                migrate(self)
                self._db.execute(f"PRAGMA user_version = {number}")

    def _version(self) -> int:
        return int(self._db.execute("PRAGMA user_version").fetchone()[0])

    def _migrate_first(self) -> None:
        self._db.execute(_FIRST)

    def _migrate_causes(self) -> None:
        """Give events of the first format their order in this file, and all events a hash."""
        for statement in _CAUSES:
            self._db.execute(statement)
        rows = self._db.execute(f"SELECT {COLUMNS} FROM events ORDER BY seq").fetchall()  # noqa: S608 - constant
        listed = [event_of(row) for row in rows]
        replica, chain = first_format_replica(listed[0]) if listed else "", ""
        for number, event in enumerate(listed, start=1):
            named = replace(event, replica=replica, number=number)
            chain = chained(chain, digest(named))
            self._db.execute(
                "UPDATE events SET replica = ?, number = ?, hash = ?, chain = ? WHERE seq = ?",
                (replica, number, digest(named), chain, event.seq),
            )

    def _migrate_places(self) -> None:
        """Let the last place given out be that of the last entry: behind it, none was lost yet."""
        self._db.execute(
            "UPDATE sqlite_sequence SET seq = (SELECT coalesce(max(seq), 0) FROM events)"
            " WHERE name = 'events'"
        )

    @contextmanager
    def _telling(self) -> Iterator[None]:
        """Turn what the file system and SQLite say into an error of this memo."""
        try:
            yield
        except sqlite3.DatabaseError as error:
            fault, detail = _fault(error)
            damaged = fault in _DAMAGE
            raise self._damaged(fault, detail) if damaged else BadMemo(self.path, fault) from error
        except (UnicodeError, OverflowError) as error:
            raise self._damaged(MemoFault.DAMAGED) from error
        except OSError as error:
            if isinstance(error, BadMemo):
                raise
            raise BadMemo(self.path, error.strerror or str(error)) from error

    def _damaged(self, fault: MemoFault, detail: str = "") -> BadMemo:
        """Return the error of a damaged file, which offers the last good copy."""
        try:
            copy = copies.last_good(self.path)
        except OSError:
            copy = None
        return BadMemo(self.path, fault, damaged=True, copy=copy, detail=detail)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """Hold the only right to write until all is on disk, or nothing is."""
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            if self._db.in_transaction:  # a full disk has rolled back already
                self._db.execute("ROLLBACK")
            raise

    def _read(self, after: int) -> list[Event]:
        rows = self._rows(after)
        if not rows:
            if not after:
                self._check_end(None)
            return []
        before = self._db.execute(_UP_TO, (after,)).fetchone() if after else None
        events, gaps = checked(rows, before)
        places = {event.id: event.seq for event in events}
        self._gaps.update({places[gap.event]: gap for gap in gaps})
        self._check_end(events[-1])
        return events

    def _rows(self, after: int) -> list[Row]:
        try:
            return self._db.execute(_BEHIND, (after,)).fetchall()
        except sqlite3.OperationalError as error:
            if "decode" not in str(error):
                raise
            # Bytes that are no text mark one entry as damaged; the others are read.
            self._db.text_factory = copies.any_text
            return self._db.execute(_BEHIND, (after,)).fetchall()

    def _check_end(self, last: Event | None) -> None:
        """Note how many entries behind the *last* one are missing: no place is given out twice."""
        given = "SELECT seq FROM sqlite_sequence WHERE name = 'events'"
        row = self._db.execute(given).fetchone()
        missing = (int(row[0]) if row is not None else 0) - (last.seq if last is not None else 0)
        if missing > 0:
            self._gaps[last.seq + 1 if last is not None else 0] = end_gap(last, missing)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Return where entries are missing, in what was read so far."""
        return tuple(gap for _, gap in sorted(self._gaps.items()))

    def _replica(self) -> str:
        """Return the name of this copy; a copied or restored file gets a new one.

        Called with the right to write.
        """
        status = self.path.stat()
        place = f"{status.st_dev}:{status.st_ino}"
        row = self._db.execute("SELECT replica, place FROM copy").fetchone()
        if row is not None and row[1] == place and _REPLICA.fullmatch(str(row[0])):
            return str(row[0])
        name = uuid.uuid4().hex
        self._db.execute("DELETE FROM copy")
        self._db.execute("INSERT INTO copy (replica, place) VALUES (?, ?)", (name, place))
        return name

    def _last(self, replica: str) -> tuple[int, str]:
        """Return the last number of *replica* and the chain so far."""
        most = "SELECT coalesce(max(number), 0) FROM events WHERE replica = ?"
        number = self._db.execute(most, (replica,)).fetchone()[0]
        last = "SELECT chain FROM events ORDER BY seq DESC LIMIT 1"
        row = self._db.execute(last).fetchone()
        return (
            number if isinstance(number, int) else 0,
            str(row[0]) if row is not None else "",
        )

    def _write(self, event: Event, chain: str) -> Event | None:
        """Insert *event* unless it is here already; return it with its place."""
        if self._db.execute("SELECT 1 FROM events WHERE id = ?", (event.id,)).fetchone():
            return None  # asked first: a refused insert would use up a place
        found = digest(event)
        values = (
            event.id,
            event.at,
            event.station,
            event.who,
            event.kind,
            event.version,
            event.raw,
            event.replica,
            event.number,
            json.dumps(event.after),
            found,
            chained(chain, found),
        )
        cursor = self._db.execute(_INSERT, values)
        return replace(event, seq=cursor.lastrowid or 0)

    def events(self, after: int = 0) -> list[Event]:
        """Return all events with a place after *after*, damaged ones marked."""
        with self._telling():
            self._db.execute("BEGIN")  # what is read together was true at one time
            try:
                return self._read(after)
            finally:
                self._db.execute("ROLLBACK")

    def record(  # noqa: PLR0913 - each is a fact of its own
        self,
        after: int,
        at: str,
        station: str,
        who: str,
        drafts: Drafts,
        receive: Receive = lambda: None,
    ) -> list[Event]:
        """Append what *drafts* makes of the events after *after*, and its receipt; nobody else
        writes in between.
        """
        with self._telling(), self._writing():
            seen = self._read(after)
            heads, made = drafts(seen)
            receipt = receive()
            if receipt is not None:
                written_with = tuple(draft.id for draft in made)
                receipts.write(self._db, replace(receipt, events=written_with))
            if not made:
                return seen
            replica = self._replica()
            number, chain = self._last(replica)
            written = []
            for draft in made:
                number += 1
                payload = draft.payload
                event = Event(
                    draft.id,
                    at,
                    station,
                    who,
                    payload.KIND,
                    payload.VERSION,
                    payload,
                    self._readable(payload),
                    replica,
                    number,
                    heads,
                )
                new = self._write(event, chain)
                if new is not None:
                    written.append(new)
                    chain, heads = chained(chain, digest(new)), (new.id,)
        return seen + written

    def receipts(self, names: Iterable[str]) -> dict[str, Receipt]:
        """Return the receipts of those of *names* of which anything was taken."""
        with self._telling():
            return receipts.read(self._db, names)

    def forget_receipts(self, before: str) -> None:
        """Forget the receipts written *before* that time, in ISO 8601."""
        with self._telling(), self._writing():
            receipts.forget(self._db, before)

    def forebears(self) -> frozenset[str]:
        """Return the ids of the memos that this one goes on for."""
        with self._telling():
            return receipts.forebears(self._db)

    def hand_down(self, found: Iterable[Receipt], memos: Iterable[str]) -> None:
        """Keep the receipts *found* in *memos*, by their ids: this memo goes on for them."""
        with self._telling(), self._writing():
            receipts.hand_down(self._db, found, memos)

    def _readable(self, payload: Payload) -> str:
        """Return *payload* as it is written. Raises :class:`BadMemo` where it could not be read
        again.
        """
        try:
            return written(payload)
        except ValueError as error:
            detail = visible(str(error))
            raise BadMemo(self.path, MemoFault.NOT_READ_BACK, detail=detail) from error

    def take(self, events: Sequence[Event]) -> int:
        """Append *events*, all or none; those that are here are left out."""
        if not events:
            return 0
        unnamed = [event for event in events if not event.replica and not event.after]
        replica = first_format_replica(unnamed[0]) if unnamed else ""
        places = {event.id: number for number, event in enumerate(unnamed, start=1)}
        with self._telling(), self._writing():
            _, chain = self._last("")
            taken = 0
            for event in events:
                if event.id in places:
                    event = replace(event, replica=replica, number=places[event.id])
                new = self._write(event, chain)
                if new is not None:
                    taken, chain = taken + 1, chained(chain, digest(new))
                else:
                    taken += self._heal(event)
            return taken

    def _heal(self, event: Event) -> bool:
        """Put *event* in place of what is left of it here, where that is damaged.

        The chain stays as it is: it fits again.
        """
        found = f"SELECT {COLUMNS} FROM events WHERE id = ?"  # noqa: S608 - constant
        here = self._db.execute(found, (event.id,)).fetchone()
        if digest(event_of(here)) in (here[11], digest(event)):
            return False
        values = (event.at, event.station, event.who, event.kind, event.version, event.raw)
        causes = (event.replica, event.number, json.dumps(event.after), digest(event))
        self._db.execute(_HEAL, (*values, *causes, event.id))
        return True

    def keep_copy(self, now: datetime) -> Path | None:
        """Copy the file where that is due; return the copy, if one was made. From any thread."""
        with self._telling():
            return copies.keep(self.path, now)

    def last_good_copy(self) -> Path | None:
        """Return the last copy in which nothing is damaged."""
        with self._telling():
            return copies.last_good(self.path)

    def copy_ahead(self) -> Gap | None:
        """Return what the last copy has behind the end of the file: the file lost it."""
        with self._telling():
            last = next(iter(copies.copies_of(self.path)), None)
            link = copies.last_link(last) if last is not None else None
            if last is None or link is None or self._has(link):
                return None
            listed = copies.rows_of(last)
            if not self._has((listed[0][0], listed[0][-1])):
                return None  # a copy of another memo that had this name
            missing = sum(
                not self._db.execute("SELECT 1 FROM events WHERE id = ?", (row[1],)).fetchone()
                for row in listed
            )
            end = self._db.execute(_UP_TO, (_LAST,)).fetchone()
            return end_gap(event_of(end), missing, str(last)) if missing else None

    def _has(self, link: tuple[int, str]) -> bool:
        """Return whether the file has an entry at this place with this chain."""
        query = "SELECT 1 FROM events WHERE seq = ? AND chain = ?"
        return self._db.execute(query, link).fetchone() is not None

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()


_MIGRATIONS = (
    SqliteStore._migrate_first,
    SqliteStore._migrate_causes,
    SqliteStore._migrate_places,
)


def open_store(path: Path) -> SqliteStore:
    """Return the store at *path*, made new where there is none. Raises :class:`BadMemo`."""
    return SqliteStore(path)

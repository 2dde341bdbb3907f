"""The journal in one SQLite file: on disk before anybody sees it, shared by several processes."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Protocol, Self

from cutmemo.errors import BadMemo
from cutmemo.memo.events import VERSION, Draft, Event, events_of

WAIT_SECONDS = 10.0
"""How long one process waits for another to finish writing."""

_MIGRATIONS = (
    """
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
    """,
)
_COLUMNS = "seq, id, at, station, who, kind, version, payload"


_IN_PLAIN_WORDS = {
    "disk is full": "the disk is full. Make room and do it again; all that was accepted before is kept",
    "readonly": "it may only be read. Change its permissions, or copy it; all that was accepted before is kept",
    "is locked": "another program keeps it for writing. Wait, and do it again",
    "disk I/O error": "the disk cannot be written. Is it still there? All that was accepted before is kept",
    "unable to open": "it cannot be opened. Does its folder exist, and may you write there?",
    "not a database": "it is no memo, or it is damaged. Take the last copy (cutmemo export makes one)",
    "malformed": "it is damaged. Take the last copy (cutmemo export makes one)",
}
"""What SQLite says, and what to do about it."""


def _plain(error: sqlite3.DatabaseError) -> str:
    said = str(error)
    return next((plain for words, plain in _IN_PLAIN_WORDS.items() if words in said), said)


class Journal(Protocol):
    """Keeps events in the order they happened."""

    def events(self, after: int = 0) -> list[Event]:
        """Return all events with a place after *after*."""

    def record(
        self,
        after: int,
        at: str,
        station: str,
        who: str,
        decide: Callable[[list[Event]], list[Draft]],
    ) -> list[Event]:
        """Append what *decide* makes of the events after *after*, with nobody else writing in between.

        Returns those events and the new ones; the new ones are on disk.
        """

    def take_lines(self, lines: Iterable[str]) -> int:
        """Append events from lines of JSON, those that are here already left out. Returns how many were new."""

    def close(self) -> None:
        """Let go of the file."""


class SqliteJournal:
    """A journal in an SQLite file (WAL, ``synchronous=FULL``: a commit has reached the disk)."""

    def __init__(self, path: Path) -> None:
        """Open or make the file at *path*. Raises :class:`BadMemo`."""
        self.path = path
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
                raise BadMemo(
                    self.path, "it was written by a newer cutmemo; install that one to open it"
                )
            if (
                version == 0
                and self._db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
            ):
                raise BadMemo(self.path, "it is a database of another program")
            for number, statement in enumerate(_MIGRATIONS[version:], start=version + 1):
                self._db.execute(statement)
                self._db.execute(f"PRAGMA user_version = {number}")

    def _version(self) -> int:
        return int(self._db.execute("PRAGMA user_version").fetchone()[0])

    @contextmanager
    def _telling(self) -> Iterator[None]:
        """Turn what the file system and SQLite say into a sentence about this memo."""
        try:
            yield
        except sqlite3.DatabaseError as error:
            raise BadMemo(self.path, _plain(error)) from error
        except OSError as error:
            if isinstance(error, BadMemo):
                raise
            raise BadMemo(self.path, error.strerror or str(error)) from error

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
        every = f"SELECT {_COLUMNS} FROM events WHERE seq > ? ORDER BY seq"  # noqa: S608 - constant
        rows = self._db.execute(every, (after,))
        return [
            Event(seq, name, at, station, who, kind, version, json.loads(payload))
            for seq, name, at, station, who, kind, version, payload in rows
        ]

    def _write(self, event: Event) -> Event | None:
        """Insert *event* unless it is here already; return it with its place."""
        cursor = self._db.execute(
            "INSERT INTO events (id, at, station, who, kind, version, payload) VALUES (?, ?, ?, ?, ?, ?, ?) "
            "ON CONFLICT (id) DO NOTHING",
            (
                event.id,
                event.at,
                event.station,
                event.who,
                event.kind,
                event.version,
                json.dumps(event.payload, ensure_ascii=False),
            ),
        )
        if not cursor.rowcount or cursor.lastrowid is None:
            return None
        return Event(
            cursor.lastrowid,
            event.id,
            event.at,
            event.station,
            event.who,
            event.kind,
            event.version,
            event.payload,
        )

    def events(self, after: int = 0) -> list[Event]:
        """Return all events with a place after *after*."""
        with self._telling():
            return self._read(after)

    def record(
        self,
        after: int,
        at: str,
        station: str,
        who: str,
        decide: Callable[[list[Event]], list[Draft]],
    ) -> list[Event]:
        """Append what *decide* makes of the events after *after*, with nobody else writing in between."""
        with self._telling(), self._writing():
            seen = self._read(after)
            drafts = decide(seen)
            new = [
                self._write(Event(0, d.id, at, station, who, d.kind, VERSION, d.payload))
                for d in drafts
            ]
        return seen + [event for event in new if event is not None]

    def take_lines(self, lines: Iterable[str]) -> int:
        """Append events from lines of JSON; all of them or, on the first bad one, none."""
        events = [event for _, event in events_of(lines)]
        with self._telling(), self._writing():
            return sum(self._write(event) is not None for event in events)

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()

    def __enter__(self) -> Self:
        """Return the open journal."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Let go of the file."""
        self.close()


def open_journal(path: Path) -> SqliteJournal:
    """Return the journal at *path*, made new where there is none. Raises :class:`BadMemo`."""
    return SqliteJournal(path)

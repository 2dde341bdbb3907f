"""A memo's file as one end of an exchange."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import msgspec

from cutmemo.errors import BadMemo, MemoFault
from cutmemo.memo import copies
from cutmemo.memo.chain import COLUMNS, event_of
from cutmemo.memo.closing import Closing
from cutmemo.memo.codec import digest, from_line, to_line
from cutmemo.memo.events import Event
from cutmemo.memo.store import WAIT_SECONDS, SqliteStore
from cutmemo.office.exchange import UNREAD, Taken
from cutmemo.office.standing import Holding, Standing

_SEQ, _ID, _HASH = 0, 1, 11
_NEW = f"SELECT {COLUMNS} FROM events WHERE seq > ? ORDER BY seq"  # noqa: S608 - constant
_OF_REPLICA = (
    f"SELECT {COLUMNS} FROM events WHERE replica = ? AND number > ?"  # noqa: S608 - constant
    " ORDER BY number, id"
)
_NAMED = f"SELECT {COLUMNS} FROM events WHERE id = ?"  # noqa: S608 - constant
_REFUSALS = (ValueError, TypeError, RecursionError, msgspec.MsgspecError)


class FileEnd(Closing):
    """The events of a memo's file; damaged ones are as good as not there, the sound ones may
    come.
    """

    def __init__(self, path: Path) -> None:
        """Open the memo at *path* beside whoever has it open. Raises :class:`BadMemo`."""
        self._store = SqliteStore(path)
        self._path = path
        with self._telling():
            self._db = sqlite3.connect(
                f"{path.absolute().as_uri()}?mode=ro",
                uri=True,
                timeout=WAIT_SECONDS,
                isolation_level=None,
                check_same_thread=False,  # it is closed by whoever ends the exchange
            )
        self._db.text_factory = copies.any_text
        self._anew()

    def _anew(self) -> None:
        self._holding, self._seq, self._damaged = Holding(), 0, set[str]()

    def changed(self) -> bool:
        """Return whether there is anything that was not looked at yet."""
        with self._telling():
            last = self._db.execute("SELECT coalesce(max(seq), 0) FROM events").fetchone()[0]
        return bool(last > self._seq)

    def follow(self) -> None:
        """Look at what was written since."""
        with self._telling():
            for row in self._db.execute(_NEW, (self._seq,)):
                self._seq = row[_SEQ]
                event = _sound(row)
                if event is None:
                    self._damaged.add(str(row[_ID]))
                else:
                    self._holding.add([(event.replica, event.number, row[_HASH])])

    def standings(self) -> dict[str, Standing]:
        """Return what the file holds now, by replica."""
        self.follow()
        return self._holding.standings()

    def standing(self, replica: str, upto: int) -> Standing:
        """Return the standing of the events of *replica* with a number up to *upto*."""
        return self._holding.standing(replica, upto)

    def read(self, replica: str, above: int, most: int) -> list[Event]:
        """Return the first events of *replica* with a number over *above*, at most *most*."""
        found: list[Event] = []
        with self._telling():
            for row in self._db.execute(_OF_REPLICA, (replica, above)):
                event = _sound(row)
                if event is not None:
                    found.append(event)
                if len(found) == most:
                    break
        return found

    def hashes(self, replica: str) -> Mapping[str, str]:
        """Return the hash of each event of *replica*, by its id."""
        with self._telling():
            rows = self._db.execute(_OF_REPLICA, (replica, -1)).fetchall()
        return {row[_ID]: row[_HASH] for row in rows if _sound(row) is not None}

    def named(self, ids: Sequence[str]) -> list[Event]:
        """Return the events with these ids."""
        with self._telling():
            rows = [self._db.execute(_NAMED, (each,)).fetchone() for each in ids]
        events = [_sound(row) for row in rows if row is not None]
        return [event for event in events if event is not None]

    def take(self, events: Sequence[Event]) -> Taken:
        """Keep those of *events* that are not here, once they have passed all that an import
        passes.
        """
        here = {event.id: event for event in self.named([event.id for event in events])}
        refused, disputed, sound = [], [], []
        for event in events:
            known = here.get(event.id)
            if known is not None and digest(known) != digest(event):
                disputed.append(event.id)
            elif known is None:
                checked = _checked(event)
                if checked is None:
                    refused.append(event.id)
                else:
                    sound.append(checked)
        new = self._store.take(sound)
        if any(event.id in self._damaged for event in sound):
            self._anew()
        return Taken(new, tuple(disputed), tuple(refused))

    def note_disputed(self, events: Sequence[Event]) -> None:
        """Do nothing: whoever exchanges for the file tells of them."""

    @contextmanager
    def _telling(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.DatabaseError as error:
            raise BadMemo(self._path, MemoFault.DAMAGED, damaged=True) from error

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()
        self._store.close()


def _sound(row: Sequence[Any]) -> Event | None:
    """Return the event of a *row*, only to be carried; ``None`` where its hash does not fit."""
    event = event_of(row, UNREAD)
    return event if row[_HASH] == digest(event) else None


def _checked(event: Event) -> Event | None:
    """Return *event* as an import would read it; ``None`` where that would be refused."""
    try:
        read = from_line(to_line(event))
    except _REFUSALS:
        return None
    return read if digest(read) == digest(event) else None

"""What a device sent is taken once, however often it comes: its receipt is written with the events
that came of it, in one transaction.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import sqlite3
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from cutmemo.errors import CutmemoError
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision

_TABLE = """
CREATE TABLE IF NOT EXISTS receipts (
    name TEXT PRIMARY KEY,
    device TEXT NOT NULL,
    upto INTEGER NOT NULL,
    told TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT
"""
_WRITTEN = (
    "CREATE TABLE IF NOT EXISTS written_with (name TEXT PRIMARY KEY, events TEXT NOT NULL) STRICT"
)
_HEIR = "CREATE TABLE IF NOT EXISTS goes_on_for (memo TEXT PRIMARY KEY) STRICT"
_COLUMNS = "device, name, upto, told, at"
_THERE = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?"
_READ = f"SELECT {_COLUMNS} FROM receipts WHERE name = ?"  # noqa: S608 - constant
_WRITE = f"INSERT OR REPLACE INTO receipts ({_COLUMNS}) VALUES (?, ?, ?, ?, ?)"  # noqa: S608 - constant
NOTHING_TAKEN = -1
"""The last number taken of what nothing was taken of."""


@dataclass(frozen=True, slots=True)
class Receipt:
    """That what *device* sent was taken: all of *name* up to number *upto*."""

    device: str
    name: str
    """Of a stream of sound, or of one act; no two devices use the same."""
    upto: int
    told: str
    """What came of the last of it, to be told again: JSON."""
    at: str
    before: int = NOTHING_TAKEN
    """The last number that had been taken when the sender began; where it is another now, somebody
    else has taken it meanwhile."""
    events: tuple[str, ...] = ()
    """The ids of what was written with it."""


class AlreadyTaken(Exception):
    """It was taken before: nothing was written now."""

    def __init__(self, receipt: Receipt) -> None:
        """Carry the *receipt* of that time."""
        self.receipt = receipt
        super().__init__(receipt)


Decided = Decision | CutmemoError | None
"""What a command comes to: a decision, a refusal, or nothing for the memo."""


class Delivery(Protocol):
    """One thing that a device sent."""

    def check(self, memo: Projection) -> None:
        """Raise an error of :mod:`cutmemo.errors` where *memo* is no longer what the sender saw."""

    def receipt(self, decided: Decided) -> Receipt:
        """Return the receipt that is written with what was *decided*."""


def write(db: sqlite3.Connection, receipt: Receipt) -> None:
    """Write *receipt* within the transaction of *db*. Raises :class:`AlreadyTaken`."""
    db.execute(_TABLE)
    known = db.execute(_READ, (receipt.name,)).fetchone()
    if known is not None and (known[2] != receipt.before or receipt.upto <= known[2]):
        raise AlreadyTaken(Receipt(*known))
    _keep(db, receipt)


def _keep(db: sqlite3.Connection, receipt: Receipt) -> None:
    db.execute(_WRITTEN)
    values = (receipt.device, receipt.name, receipt.upto, receipt.told, receipt.at)
    db.execute(_WRITE, values)
    events = " ".join(receipt.events)
    db.execute("INSERT OR REPLACE INTO written_with VALUES (?, ?)", (receipt.name, events))


def read(db: sqlite3.Connection, names: Iterable[str]) -> dict[str, Receipt]:
    """Return the receipts of those of *names* of which anything was taken."""
    if not _has(db, "receipts"):
        return {}
    found = (db.execute(_READ, (name,)).fetchone() for name in names)
    return {row[1]: Receipt(*row) for row in found if row is not None}


def forget(db: sqlite3.Connection, before: str) -> None:
    """Forget the receipts written *before* that time, in ISO 8601; within a transaction."""
    if _has(db, "receipts"):
        db.execute("DELETE FROM receipts WHERE at < ?", (before,))
    if _has(db, "written_with"):
        db.execute("DELETE FROM written_with WHERE name NOT IN (SELECT name FROM receipts)")


def _has(db: sqlite3.Connection, table: str) -> bool:
    return db.execute(_THERE, (table,)).fetchone() is not None


# --- from a damaged memo to the one that goes on for it -------------------------------------------


def memo_id(path: Path) -> str:
    """Return what devices tell the memo at *path* from others by."""
    return hashlib.sha256(str(path.resolve()).encode()).hexdigest()[:16]


def forebears(db: sqlite3.Connection) -> frozenset[str]:
    """Return the ids of the memos that this one goes on for."""
    if not _has(db, "goes_on_for"):
        return frozenset()
    return frozenset(memo for (memo,) in db.execute("SELECT memo FROM goes_on_for"))


def readable(db: sqlite3.Connection) -> Iterator[Receipt]:
    """Yield every receipt that can be read, some of them twice: from the front, where that ends
    early from the back too. Raises :class:`sqlite3.DatabaseError` where not all can be.
    """
    if not _has(db, "receipts"):
        return
    written: dict[str, str] = {}
    if _has(db, "written_with"):
        written = dict(db.execute("SELECT name, events FROM written_with"))
    select = f"SELECT {_COLUMNS} FROM receipts ORDER BY rowid"  # noqa: S608 - constant
    try:
        yield from _sound(db.execute(select), written)
    except sqlite3.DatabaseError:
        yield from _sound(db.execute(f"{select} DESC"), written)
        raise


def _sound(rows: Iterable[tuple[object, ...]], written: Mapping[str, str]) -> Iterator[Receipt]:
    """Yield the receipts among *rows*; what has not the form of one is none."""
    for device, name, upto, told, at in rows:
        with contextlib.suppress(ValueError, TypeError, AttributeError):
            texts = [str(each).encode().decode() for each in (device, name, told, at)]
            kept = json.loads(texts[2])
            if isinstance(upto, int) and isinstance(kept, dict):
                events = tuple(str(written.get(texts[1], "")).split())
                yield Receipt(texts[0], texts[1], upto, texts[2], texts[3], events=events)


def still_true(found: Iterable[Receipt], events: Collection[str]) -> list[Receipt]:
    """Return of *found* the receipt of each name that reaches farthest and whose events are all
    among *events*; what is lost is to come again from a device that still has it.
    """
    best: dict[str, Receipt] = {}
    for each in found:
        farther = each.name not in best or each.upto > best[each.name].upto
        if farther and all(event in events for event in each.events):
            best[each.name] = each
    return list(best.values())


def hand_down(db: sqlite3.Connection, found: Iterable[Receipt], memos: Iterable[str]) -> None:
    """Write the receipts *found* in *memos* that this one goes on for; within a transaction."""
    db.execute(_TABLE)
    db.execute(_HEIR)
    for each in found:
        _keep(db, each)
    db.executemany("INSERT OR IGNORE INTO goes_on_for VALUES (?)", ((memo,) for memo in memos))

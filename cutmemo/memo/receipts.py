"""What a device sent is taken once, however often it comes: its receipt is written with the events
that came of it, in one transaction.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
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
_THERE = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'receipts'"
_READ = "SELECT device, name, upto, told, at FROM receipts WHERE name = ?"
_WRITE = "INSERT OR REPLACE INTO receipts (device, name, upto, told, at) VALUES (?, ?, ?, ?, ?)"
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
    values = (receipt.device, receipt.name, receipt.upto, receipt.told, receipt.at)
    db.execute(_WRITE, values)


def read(db: sqlite3.Connection, names: Iterable[str]) -> dict[str, Receipt]:
    """Return the receipts of those of *names* of which anything was taken."""
    if db.execute(_THERE).fetchone() is None:
        return {}
    found = (db.execute(_READ, (name,)).fetchone() for name in names)
    return {row[1]: Receipt(*row) for row in found if row is not None}


def forget(db: sqlite3.Connection, before: str) -> None:
    """Forget the receipts written *before* that time, in ISO 8601; within a transaction."""
    if db.execute(_THERE).fetchone() is not None:
        db.execute("DELETE FROM receipts WHERE at < ?", (before,))

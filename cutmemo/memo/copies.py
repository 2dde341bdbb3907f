"""Copies of a memo that are made by themselves: the last ten, and one for each of the last seven
days.

They lie in a folder beside the memo, each a whole memo in one file.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cutmemo.memo.chain import COLUMNS, Row, checked

EVERY = timedelta(hours=1)
"""No two copies are made closer together."""
LAST_KEPT = 10
DAYS_KEPT = 7
_NAME = "%Y%m%dT%H%M%SZ.cutmemo"
_PART = ".part"


def folder_of(memo: Path) -> Path:
    """Return the folder with the copies of *memo*."""
    return memo.with_name(f"{memo.name}-copies")


def made_at(copy: Path) -> datetime | None:
    """Return when *copy* was made, by its name; ``None`` for a file that is no copy."""
    try:
        return datetime.strptime(copy.name, _NAME).replace(tzinfo=UTC)
    except ValueError:
        return None


def copies_of(memo: Path) -> list[Path]:
    """Return the copies of *memo*, the last one first. Raises :class:`OSError`."""
    folder = folder_of(memo)
    if not folder.is_dir():
        return []
    return sorted((each for each in folder.iterdir() if made_at(each) is not None), reverse=True)


def kept(times: Iterable[datetime]) -> set[datetime]:
    """Return which of the copies made at *times* are kept: the last ten, and the last of each of
    the last seven days.
    """
    newest_first = sorted(times, reverse=True)
    last_of_day: dict[object, datetime] = {}
    for time in newest_first:
        last_of_day.setdefault(time.date(), time)
    return {*newest_first[:LAST_KEPT], *list(last_of_day.values())[:DAYS_KEPT]}


def keep(memo: Path, now: datetime) -> Path | None:
    """Copy *memo* where an hour has passed and something has changed since the last copy.

    Returns the copy, or ``None`` where none is due. A copy that does not pass the check is not
    kept. Raises :class:`sqlite3.DatabaseError` and :class:`OSError`.
    """
    now = now.astimezone(UTC)
    before = copies_of(memo)
    times = [time for each in before if (time := made_at(each)) is not None]
    if any(abs(now - time) < EVERY for time in times):
        return None
    with contextlib.closing(read_only(memo)) as source:
        last = _last_link(source)
        if last is None or (before and last == last_link(before[0])):
            return None
        copy = folder_of(memo) / now.strftime(_NAME)
        copy.parent.mkdir(exist_ok=True)
        part = copy.with_name(f"{copy.name}.{os.getpid()}{_PART}")
        try:
            _back_up(source, part)
            part.replace(copy)
        finally:
            part.unlink(missing_ok=True)
    for old, time in zip(before, times, strict=True):
        if time not in kept([now, *times]):
            old.unlink(missing_ok=True)
    return copy


def _back_up(source: sqlite3.Connection, part: Path) -> None:
    """Write all of *source* to the file *part*, on the disk and checked."""
    with contextlib.closing(sqlite3.connect(part)) as target:
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE")  # one file, with nothing beside it
        if target.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
            raise sqlite3.DatabaseError("malformed")
    events, gaps = checked(rows_of(part))
    if gaps or any(event.damaged for event in events):
        raise sqlite3.DatabaseError("malformed")
    with part.open("rb+") as file:
        os.fsync(file.fileno())


def any_text(raw: bytes) -> str:
    """Return what a column of text holds; bytes that are no text come as half signs, which no hash
    fits.
    """
    return raw.decode("utf-8", "surrogateescape")


def read_only(memo: Path, alone: bool = False) -> sqlite3.Connection:
    """Return *memo* opened to be read; *alone* where nobody writes to it and nothing lies beside
    it.
    """
    how = "immutable=1" if alone else "mode=ro"
    database = sqlite3.connect(f"{memo.absolute().as_uri()}?{how}", uri=True, timeout=10.0)
    database.text_factory = any_text
    return database


def rows_of(copy: Path) -> Sequence[Row]:
    """Return the rows of *copy*. Raises :class:`sqlite3.DatabaseError`."""
    with contextlib.closing(read_only(copy, alone=True)) as database:
        return database.execute(f"SELECT {COLUMNS} FROM events ORDER BY seq").fetchall()  # noqa: S608 - constant


def _last_link(database: sqlite3.Connection) -> tuple[int, str] | None:
    query = "SELECT seq, chain FROM events ORDER BY seq DESC LIMIT 1"
    found: tuple[int, str] | None = database.execute(query).fetchone()
    return found


def last_link(copy: Path) -> tuple[int, str] | None:
    """Return the place of the last entry of *copy* and the chain up to there; ``None`` where it
    cannot be read.
    """
    try:
        with contextlib.closing(read_only(copy, alone=True)) as database:
            return _last_link(database)
    except sqlite3.DatabaseError:
        return None


def sound(memo: Path) -> Iterator[tuple[Path, Sequence[Row]]]:
    """Yield each copy of *memo* that can be read, the last one first, with its rows."""
    for copy in copies_of(memo):
        with contextlib.suppress(sqlite3.DatabaseError):
            yield copy, rows_of(copy)


def last_good(memo: Path) -> Path | None:
    """Return the last copy of *memo* in which nothing is damaged, or ``None``."""
    for copy, rows in sound(memo):
        events, gaps = checked(rows)
        if not gaps and not any(event.damaged for event in events):
            return copy
    return None

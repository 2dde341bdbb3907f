"""Makes a new memo out of all that can still be read of a damaged one and of its copies."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from cutmemo.errors import BadMemo, MemoFault
from cutmemo.memo import copies, receipts
from cutmemo.memo.chain import COLUMNS, Gap, Row, checked, end_gap, event_of, fits
from cutmemo.memo.events import Event
from cutmemo.memo.receipts import Receipt
from cutmemo.memo.store import open_store

_FIELDS = len(COLUMNS.split(","))
_AS_IT_IS = "as it is.cutmemo"
_TOOL_SECONDS = 120.0
_MAX_PROBES = 200_000
"""Places that are tried one by one where a page cannot be read."""


@dataclass(frozen=True, slots=True)
class Rescued:
    """What came of a rescue."""

    memo: Path
    """The new memo."""
    read: int
    """How many entries were read from the damaged memo."""
    copied: int
    """How many more were taken from its copies."""
    damaged: tuple[Event, ...]
    """Entries that are lost, as far as they can be read."""
    gaps: tuple[Gap, ...]
    """Where entries are missing altogether."""
    receipts_lost: bool = False
    """Whether it is not wholly known what devices of the site have sent already."""


def rescue(path: Path, new: Path) -> Rescued:
    """Write all that can be read of the memo at *path* and of its copies to a *new* one.

    The damaged one is left as it is. Raises :class:`BadMemo`.
    """
    if not path.exists():
        raise BadMemo(path, MemoFault.NOT_THERE)
    if new.exists():
        raise BadMemo(new, MemoFault.EXISTS)
    with tempfile.TemporaryDirectory() as folder:
        rows, given = _readable(path, Path(folder))
        taken, forebears, receipts_lost = _receipts(path, Path(folder) / _AS_IT_IS)
    read = {event_of(row).id for row in rows.values() if fits(row)}
    others: dict[str, Event] = {}
    try:
        for _, listed in copies.sound(path):
            for row in filter(fits, listed):
                if row[0] not in rows or not fits(rows[row[0]]):
                    rows[row[0]] = row
                event = event_of(row)
                others.setdefault(event.id, event)
    except OSError as error:
        raise BadMemo(path, error.strerror or str(error)) from error
    events, gaps = checked([rows[place] for place in sorted(rows)])
    whole = {event.id: event for event in events if not event.damaged}
    for name, event in others.items():
        whole.setdefault(name, event)  # written in a copy that went another way since
    if not whole:
        raise BadMemo(path, MemoFault.NOTHING_LEFT)
    last = events[-1] if events else None
    if given > max(rows, default=0):
        gaps.append(end_gap(last, given - max(rows, default=0)))
    with open_store(new) as store:
        store.take(list(whole.values()))
        store.hand_down(receipts.still_true(taken, whole), {receipts.memo_id(path), *forebears})
    lost = tuple(event for event in events if event.damaged and event.id not in whole)
    copied = len(whole.keys() - read)
    return Rescued(new, len(read), copied, lost, tuple(gaps), receipts_lost)


def _readable(path: Path, folder: Path) -> tuple[dict[int, Row], int]:
    """Return the rows of the memo at *path* by their places, and the last place it gave out (0:
    unknown).

    Works on a copy in *folder*. Rows that are damaged come too, where no way of reading gives a
    sound one.
    """
    found: dict[int, Row] = {}
    given = 0
    for file in _versions(path, folder):
        for row in _rows(file):
            place = row[0]
            if isinstance(place, int) and (place not in found or fits(row) > fits(found[place])):
                found[place] = row
        given = max(given, _given(file))
    for row in _recovered(folder / _AS_IT_IS):
        if isinstance(row[0], int) and fits(row) and not fits(found.get(row[0])):
            found[row[0]] = row
    return found, given


def _versions(path: Path, folder: Path) -> Iterator[Path]:
    """Yield the memo as it is, then with the first page of a new memo: that page says where all
    else is.
    """
    as_it_is, new, repaired = (folder / each for each in (_AS_IT_IS, "new", "repaired"))
    shutil.copyfile(path, as_it_is)
    log = Path(f"{path}-wal")
    if log.exists():
        shutil.copyfile(log, f"{as_it_is}-wal")
    with contextlib.suppress(BadMemo):
        open_store(as_it_is).close()  # an older memo is brought up to date
    yield as_it_is
    open_store(new).close()
    first, rest = new.read_bytes(), as_it_is.read_bytes()
    size = int.from_bytes(first[16:18], "big")
    pages = (len(rest) // size).to_bytes(4, "big")
    repaired.write_bytes(first[:28] + pages + first[32:size] + rest[size:])
    yield repaired


def _rows(file: Path) -> Iterator[Row]:
    """Yield every row that SQLite can read: from the front, from the back, then one by one between
    them.
    """
    select = f"SELECT {COLUMNS} FROM events"  # noqa: S608 - constant
    ends: list[int] = []
    for order in ("", " DESC"):
        place = None
        with contextlib.suppress(sqlite3.DatabaseError), _opened(file) as database:
            for row in database.execute(f"{select} ORDER BY seq{order}"):
                place = row[0]
                yield row
            return
        ends.append(place if isinstance(place, int) else 0)
    front, back = ends
    behind = back or _given(file) + 1
    with contextlib.suppress(sqlite3.DatabaseError), _opened(file) as database:
        for place in range(front + 1, min(behind, front + 1 + _MAX_PROBES)):
            with contextlib.suppress(sqlite3.DatabaseError):
                yield from database.execute(f"{select} WHERE seq = ?", (place,))


@contextlib.contextmanager
def _opened(file: Path) -> Iterator[sqlite3.Connection]:
    with contextlib.closing(copies.read_only(file)) as database:
        yield database


def _given(file: Path) -> int:
    """Return the last place that the memo in *file* gave out; 0 where that cannot be read."""
    query = "SELECT seq FROM sqlite_sequence WHERE name = 'events'"
    with contextlib.suppress(sqlite3.DatabaseError), _opened(file) as database:
        row = database.execute(query).fetchone()
        if row is not None and isinstance(row[0], int):
            return row[0]
    return 0


def _receipts(path: Path, memo: Path) -> tuple[list[Receipt], frozenset[str], bool]:
    """Return the receipts in *memo*, a copy of that at *path*, and in the copies of that; the memos
    it goes on for itself; and whether some cannot be read.
    """
    found: list[Receipt] = []
    forebears: frozenset[str] = frozenset()
    lost = False
    for file in (memo, *copies.copies_of(path)):
        try:
            with _opened(file) as database:
                forebears |= receipts.forebears(database)
                found += receipts.readable(database)
        except sqlite3.DatabaseError:
            lost = lost or file == memo
    return found, forebears, lost


def _recovered(file: Path) -> list[Row]:
    """Return the rows that the sqlite3 tool finds; none where it is not installed."""
    tool = shutil.which("sqlite3")
    if tool is None:
        return []
    command = [tool, str(file), ".recover"]
    try:
        done = subprocess.run(command, capture_output=True, timeout=_TOOL_SECONDS, check=False)  # noqa: S603 - no shell
    except (OSError, subprocess.TimeoutExpired):
        return []
    rows: list[Row] = []
    with contextlib.closing(sqlite3.connect(":memory:", isolation_level=None)) as database:
        database.text_factory = copies.any_text
        statement = ""
        for line in done.stdout.decode("utf-8", "replace").splitlines(keepends=True):
            statement += line
            if sqlite3.complete_statement(statement):
                with contextlib.suppress(sqlite3.Error, sqlite3.Warning):
                    database.execute(statement)
                statement = ""
        with contextlib.suppress(sqlite3.DatabaseError):
            rows += database.execute(f"SELECT {COLUMNS} FROM events")  # noqa: S608 - constant
        fields = ", ".join(f"c{number}" for number in range(1, _FIELDS))
        with contextlib.suppress(sqlite3.DatabaseError):
            rows += database.execute(f"SELECT id, {fields} FROM lost_and_found")  # noqa: S608 - numbers
    return rows

"""The memo at its edges: what can be read past damage, whose piece is in trouble, loads of one board."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from desk import Desk, refused
from memory_store import MemoryStore

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.domain.cut import Section
from cutmemo.errors import Refused
from cutmemo.memo import open_store, receipts, rescue
from cutmemo.memo.commands import AddBoards, Boards
from cutmemo.memo.events import BoardsAdded

STUD = Section(F(2), F(4))


class BrokenFile:
    """A database in which some places cannot be read: a query that comes to one breaks off."""

    def __init__(self, rows: list[int], broken: set[int], given: int = 0) -> None:
        self.rows, self.broken, self.given = rows, broken, given

    def execute(self, query: str, values: tuple[int, ...] = ()) -> Iterator[tuple[int, ...]]:
        """Yield the rows that *query* asks for, up to the first that is broken."""
        if "sqlite_sequence" in query:
            return _One((self.given,))  # type: ignore[return-value]
        if "WHERE seq" in query:
            return self._read([each for each in self.rows if each in values])
        return self._read(sorted(self.rows, reverse="DESC" in query))

    def _read(self, places: list[int]) -> Iterator[tuple[int, ...]]:
        for place in places:
            if place in self.broken:
                raise sqlite3.DatabaseError
            yield (place,)


class _One(tuple[int, ...]):
    """A cursor with one row."""

    __slots__ = ()

    def fetchone(self) -> tuple[int, ...]:
        """Return it."""
        return self


def read_past(monkeypatch: pytest.MonkeyPatch, file: BrokenFile) -> list[int]:
    @contextlib.contextmanager
    def opened(path: Path) -> Iterator[BrokenFile]:
        yield file

    monkeypatch.setattr(rescue, "_opened", opened)
    return [int(row[0]) for row in rescue._rows(Path("porch.cutmemo"))]


def test_every_place_between_two_broken_ones_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    found = read_past(monkeypatch, BrokenFile([*range(1, 21)], {5, 16}))
    assert sorted(found) == [each for each in range(1, 21) if each not in (5, 16)]


def test_the_last_place_given_out_is_tried_too(monkeypatch: pytest.MonkeyPatch) -> None:
    assert sorted(read_past(monkeypatch, BrokenFile([1, 2, 3], {1, 2}, 3))) == [3]
    # nothing can be read in a row: neither from the front nor from the back
    found = read_past(monkeypatch, BrokenFile([*range(1, 9), 10], {1, 8, 10}, 10))
    assert sorted(found) == [2, 3, 4, 5, 6, 7]
    found = read_past(monkeypatch, BrokenFile([1, *range(3, 9), 12, 20], {1, 20, 12, 7}, 20))
    assert sorted(found) == [3, 4, 5, 6, 8]


def test_a_file_of_any_size_is_tried_so_far_and_no_further(monkeypatch: pytest.MonkeyPatch) -> None:
    most = 200_000
    far = BrokenFile([1, most, most + 1, most + 2], {1, most + 2}, most + 2)
    assert read_past(monkeypatch, far) == [most]
    far.rows = [1, most - 1, most + 1, most + 2]
    assert read_past(monkeypatch, far) == [most - 1]


def test_a_rescue_says_how_many_entries_are_missing_at_the_end(tmp_path: Path) -> None:
    path = tmp_path / "porch.cutmemo"
    with open_store(path) as store:
        desk = Desk(store)
        for inches in range(30, 37):
            desk.call(str(inches))
    database = sqlite3.connect(path)
    with database:
        database.execute("DELETE FROM events WHERE seq > 4")
    database.close()
    saved = rescue.rescue(path, tmp_path / "new.cutmemo")
    assert [gap.missing for gap in saved.gaps] == [3]
    assert saved.read == 4


def test_devices_tell_memos_apart_by_sixteen_figures(tmp_path: Path) -> None:
    names = {receipts.memo_id(tmp_path / f"{number}.cutmemo") for number in range(500)}
    assert len(names) == 500
    assert {len(each) for each in names} == {16}
    assert receipts.memo_id(tmp_path / "x" / ".." / "0.cutmemo") in names


def test_of_a_row_that_is_named_only_its_own_pieces_are_in_trouble() -> None:
    desk = Desk(MemoryStore())
    desk.call("2 @ 36")
    (other,) = desk.call("41").rows
    (first, *_) = desk.state.rows.in_order()
    desk.clear(first.id)
    assert [(each.row.id, each.was_cut) for each in desk.suspects()] == [
        (first.id, True),
        (first.id, False),
    ]
    assert [(each.row.id, each.was_cut) for each in desk.suspects(other.id)] == [(other.id, False)]
    assert [each.was_cut for each in desk.suspects(first.id)] == [True, False]


def loads(desk: Desk) -> list[str]:
    return [event.payload.list for event in desk.log if isinstance(event.payload, BoardsAdded)]


def test_boards_that_came_alone_are_no_load_and_those_that_came_together_are_one() -> None:
    desk = Desk(MemoryStore())
    desk.add_boards(STUD, F(192), 4)
    assert loads(desk) == [""]
    desk.done(AddBoards((Boards(STUD, F(96), 3), Boards(STUD, F(120), 5))))
    _, one, other = loads(desk)
    assert one == other != ""
    desk.undo()
    assert [lot.inches for lot in desk.state.rack.lots] == [192]


def test_an_order_for_a_row_that_was_heard_two_ways_is_obeyed_in_none() -> None:
    desk = Desk(MemoryStore())
    for inches in (36, 41, 48):
        desk.call(str(inches))
    unsure = Recognition((Hypothesis("hold row one", 50.0), Hypothesis("hold row three", 49.5)))
    with refused(Refused, ""):
        desk.hear(unsure)
    assert not any(row.held for row in desk.state.rows.values())
    sure = replace(unsure, hypotheses=(Hypothesis("hold row one", 50.0), Hypothesis("hold row three", 20.0)))  # fmt: skip
    desk.hear(sure)
    assert [row.number for row in desk.state.rows.values() if row.held] == [1]

"""Which places of a damaged memo are tried: each that can be read is, once, and what is missing is counted."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from desk import Desk

from cutmemo.memo import open_store, rescue


class Damaged:
    """A database of so many places: some cannot be read, at some others going through them ends."""

    def __init__(
        self, places: int, unreadable: set[int], given: bool = True, ends: set[int] | None = None
    ) -> None:
        self.places, self.unreadable, self.given = places, unreadable, given
        self.ends = unreadable | (ends or set())

    def execute(self, query: str, values: tuple[int, ...] = ()) -> Any:
        if "sqlite_sequence" in query:
            if not self.given:
                raise sqlite3.DatabaseError
            return self
        if "WHERE seq = ?" in query:
            return self._one(*values)
        return self._all(range(1, self.places + 1)[:: -1 if "DESC" in query else 1])

    def fetchone(self) -> tuple[int]:
        return (self.places,)

    def _one(self, place: int) -> list[tuple[int]]:
        if place in self.unreadable:
            raise sqlite3.DatabaseError
        return [(place,)] if 1 <= place <= self.places else []

    def _all(self, order: range) -> Iterator[tuple[int]]:
        for place in order:
            if place in self.ends:
                raise sqlite3.DatabaseError
            yield (place,)


def read(database: Damaged, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    @contextlib.contextmanager
    def opened(_: Path) -> Iterator[Damaged]:
        yield database

    monkeypatch.setattr(rescue, "_opened", opened)
    return [row[0] for row in rescue._rows(Path("porch.cutmemo"))]


SIX = range(1, 7)


@pytest.mark.parametrize(
    "unreadable", [set(each) for number in range(7) for each in combinations(SIX, number)], ids=str
)
def test_every_place_that_can_be_read_is_read_once(
    unreadable: set[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    found = read(Damaged(6, unreadable), monkeypatch)
    assert sorted(found) == [place for place in SIX if place not in unreadable]


@pytest.mark.parametrize(
    "ends", [set(each) for number in range(1, 7) for each in combinations(SIX, number)], ids=str
)
def test_a_place_by_itself_may_be_read_where_going_through_them_ends(
    ends: set[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    found = read(Damaged(6, set(), ends=ends), monkeypatch)
    assert sorted(found) == list(SIX)


@pytest.mark.parametrize("unreadable", [{6}, {3, 6}, {1, 6}, set(SIX)], ids=str)
def test_where_the_last_place_is_not_known_what_is_read_from_the_front_stands(
    unreadable: set[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    found = read(Damaged(6, unreadable, given=False), monkeypatch)
    assert found == list(range(1, min(unreadable)))


def test_no_more_than_200_000_places_are_tried_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    for last, reached in ((200_001, True), (200_002, False)):
        lost = set(range(2, last))
        memo = Damaged(last + 1, {*lost, last + 1})  # neither from the front nor from the back
        assert read(memo, monkeypatch) == [1, *([last] if reached else [])]


@pytest.mark.parametrize("lost", [0, 1, 2, 4])
def test_the_gap_at_the_end_is_as_long_as_what_was_cut_off(lost: int, tmp_path: Path) -> None:
    path = tmp_path / "porch.cutmemo"
    with open_store(path) as store:
        desk = Desk(store)
        for inches in (31, 44, 57, 70, 83):
            desk.call(str(inches))
    with contextlib.closing(sqlite3.connect(path)) as database:
        (last,) = database.execute("SELECT max(seq) FROM events").fetchone()
        for (trigger,) in database.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            database.execute(f"DROP TRIGGER {trigger}")
        database.execute("DELETE FROM events WHERE seq > ?", (last - lost,))
        database.commit()
    saved = rescue.rescue(path, tmp_path / "new.cutmemo")
    assert saved.read == 5 - lost
    assert (saved.copied, saved.damaged) == (0, ())
    gaps = [(gap.missing, gap.behind, gap.station) for gap in saved.gaps]
    assert gaps == ([(lost, "", "ladder")] if lost else [])
    with open_store(saved.memo) as store:
        lengths = [int(row.cut.length.inches) for row in Desk(store).state.rows.values()]
    assert lengths == [31, 44, 57, 70, 83][: 5 - lost]


def test_of_two_ways_to_read_a_place_the_sound_one_counts_and_else_the_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = {
        "first": [(1, "bad"), (2, "good"), (3, "bad"), (None, "good")],
        "second": [(1, "good"), (2, "bad"), (3, "worse"), (4, "bad")],
    }
    tool = [(4, "good"), (2, "other good"), (5, "bad"), (6, "good"), ("7", "good")]
    monkeypatch.setattr(rescue, "_versions", lambda *_: [tmp_path / each for each in read])
    monkeypatch.setattr(rescue, "_rows", lambda file: read[file.name])
    monkeypatch.setattr(rescue, "_given", lambda file: 9 if file.name == "first" else 3)
    monkeypatch.setattr(rescue, "_recovered", lambda _: tool)
    monkeypatch.setattr(rescue, "fits", lambda row: row is not None and "good" in row[1])
    found, given = rescue._readable(tmp_path, tmp_path)
    assert given == 9
    assert {place: row[1] for place, row in found.items()} == {
        1: "good",
        2: "good",
        3: "bad",
        4: "good",
        6: "good",
    }

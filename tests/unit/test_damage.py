"""A damaged memo gives back all that is sound, and nothing of it changes in silence."""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from desk import Desk, refused

from cutmemo.cli import main
from cutmemo.errors import BadMemo
from cutmemo.memo import copies, open_store
from cutmemo.memo.chain import COLUMNS, checked
from cutmemo.memo.codec import to_line
from cutmemo.memo.rescue import rescue
from cutmemo.wording import explain_error, marks

MORNING = datetime(2026, 5, 4, 7, tzinfo=UTC)


class Watch:
    """A clock that goes on by a minute at every look."""

    def __init__(self) -> None:
        self.time = MORNING

    def __call__(self) -> datetime:
        self.time += timedelta(minutes=1)
        return self.time


def a_day(path: Path, calls: int = 40) -> None:
    """Let two stations call, cut, correct and rack at *path*."""
    watch = Watch()
    with open_store(path) as one, open_store(path) as two:
        ladder, saw = Desk(one, "ladder", "ann", watch), Desk(two, "saw", "ben", watch)
        saw.call("10 2x4 16 footers")
        for number in range(calls):
            ladder.call(f"{number % 3 + 1} @ {30 + 7 * number}-3/8 2x4 stud for W{number}")
            saw.follow()
            if number % 3 == 0:
                saw.clear()
            if number % 7 == 0:
                ladder.call(f"no, make that {31 + 7 * number}-5/16")
            ladder.follow()
        ladder.undo()
        saw.hold()


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("day") / "porch.cutmemo"
    a_day(path)
    return path


def entries(path: Path) -> list[dict[str, Any]]:
    with open_store(path) as store:
        return [json.loads(to_line(event)) for event in store.events()]


def flipped(raw: bytes, chance: random.Random) -> bytes:
    place = chance.randrange(len(raw))
    return raw[:place] + bytes([raw[place] ^ 1 << chance.randrange(8)]) + raw[place + 1 :]


def cut_off(raw: bytes, chance: random.Random) -> bytes:
    return raw[: chance.randrange(len(raw))]


def page_zeroed(raw: bytes, chance: random.Random) -> bytes:
    page = chance.randrange(len(raw) // 4096)
    return raw[: 4096 * page] + bytes(4096) + raw[4096 * (page + 1) :]


DAMAGES = {"flipped bit": flipped, "cut off": cut_off, "page zeroed": page_zeroed}


def ran(path: Path, *words: str) -> int:
    return main(["--memo", str(path), *words])


def rows_shown(text: str) -> dict[str, dict[str, object]]:
    """Return what a sheet says of each row, by its number."""
    return {row["row"]: row for row in json.loads(text)}


@pytest.mark.parametrize(
    ("damage", "times"), [("flipped bit", 40), ("cut off", 12), ("page zeroed", 8)]
)
def test_no_damage_changes_a_row_in_silence_or_ends_in_a_fault_of_the_program(
    damage: str, times: int, day: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    raw, chance = day.read_bytes(), random.Random(damage)
    assert ran(day, "sheet", "--as", "json") == 0
    sound = rows_shown(capsys.readouterr().out)
    for number in range(times):
        path = tmp_path / f"m{number}" / "porch.cutmemo"
        path.parent.mkdir()
        path.write_bytes(DAMAGES[damage](raw, chance))
        code = ran(path, "sheet", "--as", "json")
        shown = capsys.readouterr()
        assert "in cutmemo itself" not in shown.err
        if code == 0 and rows_shown(shown.out) != sound:
            assert shown.err
        for verb in (("day",), ("list",), ("export",), ("handoff",), ("say", "91-1/2"), ("undo",)):
            ran(path, *verb)
            told = capsys.readouterr()
            assert "in cutmemo itself" not in told.err


def spoil_a_byte(path: Path, old: str, new: str) -> None:
    """Change what stands in the payload of one entry."""
    database = sqlite3.connect(path)
    with database:
        changed = database.execute(
            "UPDATE events SET payload = replace(payload, ?, ?) WHERE payload LIKE ?",
            (old, new, f"%{old}%"),
        )
    assert changed.rowcount == 1
    database.close()


def drop(path: Path, *places: int) -> None:
    """Take entries out of the file as lost pages do."""
    database = sqlite3.connect(path)
    with database:
        database.executemany("DELETE FROM events WHERE seq = ?", [(each,) for each in places])
    database.close()


@pytest.fixture
def porch(tmp_path: Path) -> Path:
    """A memo of five calls, one a minute from 7:01."""
    path = tmp_path / "porch.cutmemo"
    with open_store(path) as store:
        desk = Desk(store, "ladder", "ann", Watch())
        for length in (31, 44, 57, 70, 83):
            desk.call(f"{length}-3/8 2x4")
    return path


def lengths(path: Path) -> list[int]:
    with open_store(path) as store:
        return [int(row.cut.length.inches) for row in Desk(store).state.rows.values()]


def told(path: Path) -> list[str]:
    with open_store(path) as store:
        return marks(Desk(store).memo.projection)


def test_a_damaged_entry_is_a_gap_in_the_day_with_its_time_and_station(
    porch: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spoil_a_byte(porch, "459/8", "463/8")  # 57-3/8 becomes 57-7/8
    assert lengths(porch) == [31, 44, 70, 83]
    assert ran(porch, "day") == 0
    shown = capsys.readouterr()
    assert (
        "2026-05-04 07:03  ann at ladder: cut added, damaged — its hash does not fit" in shown.out
    )
    assert "Damaged: 1 entry." in shown.err
    assert ran(porch, "list", "--json") == 0
    shown = capsys.readouterr()
    assert "Damaged: 1 entry." in shown.err
    json.loads(shown.out)


def test_a_damaged_call_changes_no_number_of_another_row(tmp_path: Path) -> None:
    path = tmp_path / "porch.cutmemo"
    with open_store(path) as store:
        desk = Desk(store, "ladder", "ann", Watch())
        desk.call("31-3/8 2x4")
        desk.call("wall 12' high 97-1/8")
        desk.call("57-3/8 2x4")
        desk.call("2 2x4 16 footers")
        desk.call("3 2x6 16 footers")
        sound = {row.id: row.number for row in desk.state.rows.values()}
        racked = {lot.id: lot.number for lot in desk.state.rack.lots}
    spoil_a_byte(path, '"title":"', '"title":"x')  # the wall
    spoil_a_byte(path, '"inches":"192","count":2', '"inches":"192","count":8')  # the boards
    with open_store(path) as store:
        state = Desk(store).state
    assert len(state.unreadable) == 2
    left = {row.id: row.number for row in state.rows.values()}
    assert left.items() <= sound.items()
    assert sorted(left.values()) == [1, max(sound.values())]
    assert {lot.id: lot.number for lot in state.rack.lots}.items() <= racked.items()
    assert [lot.number for lot in state.rack.lots] == [2]


@pytest.mark.parametrize(
    ("places", "mark"),
    [
        ((1,), "1 entry is missing before 2026-05-04 07:02 at ladder"),
        ((2, 3), "2 entries are missing between 2026-05-04 07:01 and 2026-05-04 07:04 at ladder"),
        ((5,), "1 entry is missing after 2026-05-04 07:04 at ladder"),
        ((1, 2, 3, 4, 5), "5 entries are missing"),
    ],
)
def test_entries_that_are_missing_are_told_and_shown_in_the_day(
    porch: Path, places: tuple[int, ...], mark: str, capsys: pytest.CaptureFixture[str]
) -> None:
    drop(porch, *places)
    (said,) = told(porch)
    assert said.startswith(mark)
    assert ran(porch, "day") == 0
    assert mark in capsys.readouterr().out


def test_two_entries_that_changed_places_are_told(porch: Path) -> None:
    database = sqlite3.connect(porch)
    with database:
        database.execute("UPDATE events SET seq = 99 WHERE seq = 2")
        database.execute("UPDATE events SET seq = 2 WHERE seq = 3")
        database.execute("UPDATE events SET seq = 3 WHERE seq = 99")
    database.close()
    assert all("Entries are missing or out of order between" in mark for mark in told(porch))
    assert len(told(porch)) == 3


@pytest.mark.parametrize("column", ["hash", "chain"])
def test_a_hash_or_a_link_that_is_damaged_by_itself_harms_nothing(porch: Path, column: str) -> None:
    database = sqlite3.connect(porch)
    with database:
        database.execute(f"UPDATE events SET {column} = 'x' || substr({column}, 2) WHERE seq = 3")  # noqa: S608
    database.close()
    assert lengths(porch) == [31, 44, 57, 70, 83]
    assert told(porch) == []


def test_bytes_that_are_no_text_spoil_one_entry_only(porch: Path) -> None:
    raw = porch.read_bytes()
    at = raw.index(b"459/8")
    porch.write_bytes(raw[:at] + b"\xff" + raw[at + 1 :])
    assert lengths(porch) == [31, 44, 70, 83]
    assert any("Damaged: 1 entry" in mark for mark in told(porch))


def test_a_damaged_entry_is_not_exported_and_an_import_makes_it_sound(
    porch: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ran(porch, "export") == 0
    lines = capsys.readouterr().out.splitlines()
    spoil_a_byte(porch, "459/8", "463/8")
    assert ran(porch, "export") == 0
    assert capsys.readouterr().out.splitlines() == [*lines[:2], *lines[3:]]
    with open_store(porch) as store:
        desk = Desk(store)
        assert desk.take_in(lines) == 1
        assert [int(row.cut.length.inches) for row in desk.state.rows.values()] == [
            31,
            44,
            57,
            70,
            83,
        ]
    assert told(porch) == []


def test_one_copy_an_hour_and_only_where_something_changed(porch: Path) -> None:
    with open_store(porch) as store:
        desk = Desk(store, "ladder", "ann", Watch())
        assert store.keep_copy(MORNING) is not None
        desk.call("96-3/8")
        assert store.keep_copy(MORNING + timedelta(minutes=59, seconds=59)) is None
        assert store.keep_copy(MORNING + timedelta(minutes=60)) is not None
        assert store.keep_copy(MORNING + timedelta(minutes=121)) is None  # nothing changed
        first, last = reversed(copies.copies_of(porch))
    assert (len(copies.rows_of(first)), len(copies.rows_of(last))) == (5, 6)
    assert sorted(each.name for each in first.parent.iterdir()) == [first.name, last.name]
    with open_store(last) as store:
        assert Desk(store).state.rows


def test_a_damaged_memo_is_never_copied_over_a_good_one(porch: Path) -> None:
    with open_store(porch) as store:
        good = store.keep_copy(MORNING)
    spoil_a_byte(porch, "459/8", "463/8")
    with open_store(porch) as store:
        Desk(store).call("96-3/8")
        with refused(BadMemo, "it is damaged") as caught:
            store.keep_copy(MORNING + timedelta(days=1))
    assert copies.copies_of(porch) == [good]
    assert caught.value.copy == good
    assert f"The last good copy is {good}." in told(porch)


def test_a_copy_that_cannot_be_made_is_told_and_stops_nothing(
    porch: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copies.folder_of(porch).write_text("a file stands where the copies would be")
    assert ran(porch, "say", "96-3/8") == 0
    shown = capsys.readouterr()
    assert shown.out == 'Row 6: 96-3/8".\n'
    assert shown.err.startswith("No copy of the memo could be made: ")
    assert len(lengths(porch)) == 6


def test_a_verb_leaves_a_copy_behind_with_what_it_did(porch: Path) -> None:
    assert ran(porch, "say", "96-3/8") == 0
    (copy,) = copies.copies_of(porch)
    assert len(copies.rows_of(copy)) == 6


@pytest.mark.parametrize(
    ("times", "left"),
    [
        ([timedelta(hours=n) for n in range(10)], 10),
        ([timedelta(hours=n) for n in range(11)], 10),
        ([timedelta(days=n) for n in range(12)], 10),
        ([timedelta(days=-n, hours=h) for n in range(8) for h in (0, 2)], 12),  # 5 days, and 2 more
        ([], 0),
    ],
)
def test_the_last_ten_copies_and_one_of_each_of_the_last_seven_days_are_kept(
    times: list[timedelta], left: int
) -> None:
    noon = datetime(2026, 5, 4, 8, tzinfo=UTC)
    made = [noon + each for each in times]
    assert len(copies.kept(made)) == left
    assert copies.kept(made) >= set(sorted(made)[-10:])
    assert copies.kept(copies.kept(made)) == copies.kept(made)


def test_an_end_that_was_lost_is_told_where_a_copy_has_it(porch: Path) -> None:
    before = porch.with_name("before.cutmemo")
    shutil.copy(porch, before)
    with open_store(porch) as store:
        desk = Desk(store, "ladder", "ann", Watch())
        desk.call("96-3/8")
        desk.call("101-3/8")
        copy = store.keep_copy(MORNING)
    shutil.copy(before, porch)
    (mark, last) = told(porch)
    assert mark.startswith(
        f"2 entries are missing after 2026-05-04 07:05 at ladder, the copy {copy} has them"
    )
    assert last == f"The last good copy is {copy}."
    saved = rescue(porch, porch.with_name("new.cutmemo"))
    assert (saved.read, saved.copied, saved.damaged, saved.gaps) == (5, 2, (), ())
    assert lengths(saved.memo) == [31, 44, 57, 70, 83, 96, 101]


def test_the_copies_of_another_memo_of_the_same_name_say_nothing(porch: Path) -> None:
    with open_store(porch) as store:
        store.keep_copy(MORNING)
    porch.unlink()
    with open_store(porch) as store:
        Desk(store).call("36")
    assert told(porch) == []


def test_a_rescue_takes_what_is_sound_and_the_rest_from_a_copy_and_says_what_is_missing(
    porch: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_store(porch) as store:
        store.keep_copy(MORNING)
        desk = Desk(store, "ladder", "ann", Watch())
        desk.call("96-3/8")
        desk.call("109-3/8")
        desk.call("122-3/8")
    spoil_a_byte(porch, "459/8", "463/8")  # the copy has it
    spoil_a_byte(porch, "771/8", "775/8")  # 96-3/8: no copy has it
    drop(porch, 2, 7)
    before = porch.read_bytes()
    assert ran(porch, "rescue", "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert porch.read_bytes() == before
    assert (found["read"], found["copied"]) == (4, 2)
    assert [(each["station"], each["kind"]) for each in found["damaged"]] == [
        ("ladder", "cut added")
    ]
    assert [each["missing"] for each in found["gaps"]] == [1]
    assert sorted(lengths(Path(found["memo"]))) == [31, 44, 57, 70, 83, 122]
    assert told(Path(found["memo"])) == []
    assert ran(porch, "rescue") == 0
    assert "4 entries from the memo, 2 more from its copies" in capsys.readouterr().out


def test_a_memo_whose_first_page_is_gone_is_rescued_whole(porch: Path) -> None:
    raw = porch.read_bytes()
    porch.write_bytes(bytes(4096) + raw[4096:])
    with refused(BadMemo, "“cutmemo rescue” makes a new memo"):
        open_store(porch)
    saved = rescue(porch, porch.with_name("new.cutmemo"))
    assert (saved.read, saved.gaps) == (5, ())
    assert lengths(saved.memo) == [31, 44, 57, 70, 83]


def test_a_rescue_writes_over_nothing(porch: Path) -> None:
    with refused(BadMemo, "it exists already"):
        rescue(porch, porch)
    with refused(BadMemo, "it does not exist"):
        rescue(porch.with_name("none.cutmemo"), porch.with_name("new.cutmemo"))
    porch.write_bytes(b"no memo at all " * 1000)
    with refused(BadMemo, "nothing in it can be read"):
        rescue(porch, porch.with_name("new.cutmemo"))
    assert not porch.with_name("new.cutmemo").exists()


def test_a_damaged_memo_that_cannot_be_opened_offers_its_last_good_copy(porch: Path) -> None:
    with open_store(porch) as store:
        good = store.keep_copy(MORNING)
    porch.write_bytes(porch.read_bytes()[:5000])
    with pytest.raises(BadMemo) as caught, open_store(porch) as store:
        Desk(store)
    assert f"The last good copy is {good}." in explain_error(caught.value)
    assert caught.value.facts()["damaged"] is True


@pytest.mark.parametrize("column", ["version", "number"])
@pytest.mark.parametrize("value", ["x", None, 1.5, b"1"])
def test_a_number_that_damage_made_something_else_is_damage(
    tmp_path: Path, column: str, value: object
) -> None:
    path = tmp_path / "old.cutmemo"
    shutil.copy(Path(__file__).parents[1] / "data" / "first_format.cutmemo", path)
    open_store(path).close()  # its entries are of version 1, the first has the number 1
    first, *others = copies.rows_of(path)
    place = COLUMNS.replace(" ", "").split(",").index(column)
    assert first[place] == 1
    events, _ = checked([(*first[:place], value, *first[place + 1 :]), *others])
    assert [event.damaged for event in events[:2]] == [True, False]


def test_the_last_good_copy_is_offered_where_a_later_one_is_damaged(porch: Path) -> None:
    with open_store(porch) as store:
        good = store.keep_copy(MORNING)
        Desk(store, "ladder", "ann", Watch()).call("96-3/8")
        later = store.keep_copy(MORNING + timedelta(hours=2))
        assert (good, later) != (None, None)
        assert store.last_good_copy() == later
        assert later is not None
        spoil_a_byte(later, "459/8", "463/8")
        assert store.last_good_copy() == good


def pages_of(raw: bytes, size: int = 4096) -> dict[int, bytes]:
    """Return the pages of a database by number, that hold rows of a table (their first byte is 13: sqlite.org/fileformat2.html)."""
    pages = {k: raw[size * k : size * (k + 1)] for k in range(1, len(raw) // size)}
    return {k: page for k, page in pages.items() if page[0] == 13}


def test_what_lies_between_two_pages_that_are_gone_is_rescued(
    day: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "which", lambda _: None)  # as where the sqlite3 tool is missing
    path = tmp_path / "porch.cutmemo"
    shutil.copy(day, path)
    raw = path.read_bytes()
    known = {each["id"]: n for n, each in enumerate(entries(day))}
    places = {
        k: sorted(known[name] for name in known if name.encode() in page)
        for k, page in pages_of(raw).items()
    }
    leaves = sorted((k for k in places if len(places[k]) > 1), key=lambda k: places[k][-1])
    gone = {leaves[len(leaves) // 3], leaves[-1]}
    for k in gone:
        raw = raw[: 4096 * k] + bytes(4096) + raw[4096 * (k + 1) :]
    path.write_bytes(raw)
    saved = rescue(path, tmp_path / "new.cutmemo")
    found = {known[each["id"]] for each in entries(saved.memo)}
    lost = set(known.values()) - found
    # A page names the ids its entries were built on as well: what it holds is at most what it names.
    assert lost <= {n for k in gone for n in places[k]}
    assert found >= {n for k in leaves if k not in gone for n in places[k][1:]}


def test_what_only_the_sqlite3_tool_can_reach_is_rescued(
    porch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tool is stood in for: what it prints of lost pages is told at sqlite.org/recovery.html."""
    database = sqlite3.connect(porch)
    rows = database.execute(f"SELECT {COLUMNS} FROM events ORDER BY seq").fetchall()  # noqa: S608 - constant
    names = ", ".join(f"c{number}" for number in range(len(rows[0])))
    printed = [f"CREATE TABLE lost_and_found(rootpgno, pgno, nfield, id, {names});"]
    for row in rows[1:3]:
        values = ", ".join(
            quoted
            for (quoted,) in (
                database.execute("SELECT quote(?)", (each,)).fetchone() for each in (None, *row[1:])
            )
        )
        printed.append(f"INSERT INTO lost_and_found VALUES(2, 3, {len(row)}, {row[0]}, {values});")
    database.close()
    drop(porch, 2, 3)
    text, tool = tmp_path / "recovered.sql", tmp_path / "sqlite3"
    text.write_text("\n".join(printed) + "\n", "utf-8")
    tool.write_text(f"#!/bin/sh\ncat '{text}'\n")
    tool.chmod(0o755)
    monkeypatch.setattr(shutil, "which", lambda _: None)
    assert len(lengths(rescue(porch, tmp_path / "without.cutmemo").memo)) == 3
    monkeypatch.setattr(shutil, "which", lambda name: str(tool) if name == "sqlite3" else None)
    saved = rescue(porch, tmp_path / "with.cutmemo")
    assert (saved.read, saved.gaps) == (5, ())
    assert lengths(saved.memo) == [31, 44, 57, 70, 83]

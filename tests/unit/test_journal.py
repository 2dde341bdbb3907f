"""Nothing acknowledged is ever lost: real SQLite files, killed processes, several writers, import and export."""

from __future__ import annotations

import json
import multiprocessing
import os
import random
import signal
import sqlite3
from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from desk import Desk, refused, rehashed
from hypothesis import given, settings
from hypothesis import strategies as st

from cutmemo.errors import BadImport, BadMemo
from cutmemo.memo import Draft, Event, Projection, open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.events import BoardsAdded, CutAdded, OrderSet
from cutmemo.wording import explain_error

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]


def pour(path: Path, name: str, acknowledged: int) -> None:
    """Call one length after the other; write its number once it is accepted."""
    session = Desk(open_store(path), name, name)
    number = 0
    while True:
        number += 1
        outcome = session.call(f"{number % 200 + 20}-1/2 for {name}{number}")
        row = outcome.row
        os.write(acknowledged, f"{row.cut.place if row else ''}\n".encode())


def killed_after(path: Path, name: str, wait_for: int) -> list[str]:
    """Run a pouring process, kill it once *wait_for* calls were acknowledged, return all it acknowledged."""
    reader, writer = os.pipe()
    process = multiprocessing.get_context("fork").Process(target=pour, args=(path, name, writer))
    process.start()
    os.close(writer)
    seen = b""
    while seen.count(b"\n") < wait_for:
        seen += os.read(reader, 65536)
    os.kill(process.pid or 0, signal.SIGKILL)
    process.join()
    while more := os.read(reader, 65536):
        seen += more
    os.close(reader)
    return seen.decode().split("\n")[:-1]


@pytest.mark.filterwarnings("ignore:This process .* is multi-threaded:DeprecationWarning")
def test_200_kills_lose_no_acknowledged_call_and_double_none(tmp_path: Path) -> None:
    chance = random.Random(4)
    acknowledged: list[str] = []
    files = [tmp_path / f"m{k}.cutmemo" for k in range(10)]
    for kill in range(200):
        acknowledged += killed_after(files[kill // 20], f"k{kill}n", chance.randint(1, 6))
    kept: list[str] = []
    for file in files:
        with open_store(file) as journal:
            kept += [
                event.payload.cut.place
                for event in journal.events()
                if isinstance(event.payload, CutAdded)
            ]
    assert len(acknowledged) >= 200
    assert len(kept) == len(set(kept))
    assert set(acknowledged) <= set(kept)


def test_two_processes_on_one_file_both_keep_all(tmp_path: Path) -> None:
    path = tmp_path / "shared.cutmemo"
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=call_forty, args=(path, f"s{k}")) for k in range(2)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    with open_store(path) as journal:
        session = Desk(journal, "reader", "reader")
        assert len(session.state.rows) == 80
        assert sorted(row.number for row in session.state.rows.values()) == list(range(1, 81))


def call_forty(path: Path, name: str) -> None:
    with open_store(path) as journal:
        session = Desk(journal, name, name)
        for number in range(40):
            session.call(f"{20 + number} for {name}")


def test_the_disk_is_told_to_keep_every_commit(tmp_path: Path) -> None:
    with open_store(tmp_path / "m.cutmemo") as journal:
        database = journal._db
        assert database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert database.execute("PRAGMA synchronous").fetchone() == (2,)  # FULL


def test_a_failed_decision_writes_nothing(tmp_path: Path) -> None:
    with open_store(tmp_path / "m.cutmemo") as journal:
        with pytest.raises(ZeroDivisionError):
            journal.record(
                0,
                "2026-03-02T07:30:00+00:00",
                "s",
                "w",
                lambda _seen: ((), [Draft(OrderSet("saw"))] * (1 // 0)),
            )
        assert journal.events() == []


def test_what_could_not_be_read_again_is_refused_and_not_written(tmp_path: Path) -> None:
    fine = BoardsAdded(lot="a", section=None, inches=F(1, 10**39), count=1)
    too_fine = BoardsAdded(lot="b", section=None, inches=F(1, 10**40), count=1)

    def written(payload: BoardsAdded) -> list[Event]:
        return journal.record(
            0, "2026-03-02T07:30:00+00:00", "s", "w", lambda _seen: ((), [Draft(payload)])
        )

    with open_store(tmp_path / "m.cutmemo") as journal:
        written(fine)
        with refused(BadMemo, "could not be read again, and was not written"):
            written(too_fine)
        assert [event.payload for event in journal.events()] == [fine]


@pytest.mark.parametrize(("pitch", "kept"), [("7/12", '"rise":7,'), ("7-1/2/12", '"rise":"15/2"')])
def test_a_whole_rise_is_kept_as_ever_and_a_half_one_is_read_back(
    tmp_path: Path, pitch: str, kept: str
) -> None:
    desk = Desk(open_store(tmp_path / "memo"))
    desk.call(f"61 plumb {pitch} long point")
    assert kept in desk.log[-1].raw
    (row,) = Projection(desk.store.events()).state.rows.values()
    assert f"plumb {pitch}" in row.cut.ends_shown()


def test_an_export_imports_once_however_often_it_is_read(
    open_session: Callable[..., Desk],
) -> None:
    porch, deck = open_session(), open_session(name="deck")
    for said in ("36", "six two", "4 at 48 2x6 plumb 7/12 long point", "cut", "undo"):
        porch.call(said)
    lines = [to_line(event) for event in porch.log]
    assert deck.memo.take_in(lines) == len(lines)
    assert deck.memo.take_in(lines) == 0
    deck.follow()
    assert [row.cut for row in deck.state.rows.values()] == [
        row.cut for row in porch.state.rows.values()
    ]
    assert [row.state for row in deck.state.rows.values()] == [
        row.state for row in porch.state.rows.values()
    ]


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("{", "line"),
        ("[]", "not an event"),
        ('{"id": "a"}', "missing"),
        ("nonsense", "line 1"),
        (
            '{"id":"a","at":"noon","station":"s","who":"w","kind":"order set","version":1,"payload":{}}',
            "Invalid isoformat",
        ),
        (
            '{"id":"a","at":"2026-03-02T07:30:00+00:00","station":"s","who":"w","kind":"cut added","version":1,"payload":{"row":"r","cut":{"length":"1/0","count":1}}}',
            "ZeroDivisionError",
        ),
    ],
)
def test_a_bad_line_names_itself_and_nothing_is_taken(
    session: Desk, line: str, why: str, refuses: Refuses
) -> None:
    session.call("36")
    plain = json.loads(to_line(session.log[0])) | {"id": "fresh"}
    good = rehashed(json.dumps(plain))
    with refuses(BadImport, r"Line 2 .*Nothing was imported") as caught:
        session.memo.take_in([good, line])
    assert why in explain_error(caught.value)
    assert len(session.store.events()) == 1


def test_a_file_that_is_no_memo_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.cutmemo"
    path.write_text("Dear yard, " * 200)
    before = path.read_bytes()
    with refused(BadMemo, "it is no memo"):
        open_store(path)
    assert path.read_bytes() == before


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.cutmemo"
    database = sqlite3.connect(path)
    database.execute("CREATE TABLE theirs (x)")
    database.commit()
    database.close()
    with refused(BadMemo, "another program"):
        open_store(path)


def test_a_memo_of_a_newer_program_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "new.cutmemo"
    open_store(path).close()
    database = sqlite3.connect(path)
    database.execute("PRAGMA user_version = 99")
    database.commit()
    database.close()
    with refused(BadMemo, "newer cutmemo"):
        open_store(path)


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with refused(BadMemo, "file"):
        open_store(tmp_path / "file" / "m.cutmemo")


@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_whatever_an_import_says_the_memo_opens_afterwards(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("taken") / "any.cutmemo"
    with open_store(path) as journal:
        session = Desk(journal, "saw", "ann")
        for said in ("2 @ 36", "71 2x4", "10 2x4 16 footers", "wall 12' high 97-1/8"):
            session.call(said)
        session.clear()
        session.spoil("short")
        session.hold()
        plain = json.loads(to_line(data.draw(st.sampled_from(session.log))))
        plain["id"] = "another"
        del plain["hash"]
        junk = st.one_of(
            st.none(),
            st.integers(-5, 5),
            st.text(max_size=5),
            st.lists(st.integers(), max_size=2),
            st.just({}),
        )
        for name in data.draw(
            st.lists(st.sampled_from(sorted(plain["payload"]) or ["row"]), min_size=1, max_size=2)
        ):
            plain["payload"][name] = data.draw(junk)
        try:
            session.take_in([rehashed(json.dumps(plain))])
        except BadImport:
            assert len(journal.events()) == session.state.position
    with open_store(path) as journal:
        again = Desk(journal, "saw", "ann")
        assert again.handoff()
        assert again.totals()

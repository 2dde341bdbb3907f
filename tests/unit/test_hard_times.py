"""Full disks, files that may only be read, a memo somebody keeps for writing, clocks set back: a clear sentence, and nothing lost."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.errors import BadMemo, NotACall
from cutmemo.memo import open_store
from cutmemo.memo.store import SqliteStore
from cutmemo.wording import explain_error


def database(session: Desk) -> sqlite3.Connection:
    assert isinstance(session.store, SqliteStore)
    return session.store._db


def test_a_full_disk_says_so_and_keeps_what_was_accepted(session: Desk) -> None:
    session.call("36")
    db = database(session)
    db.execute(f"PRAGMA max_page_count = {db.execute('PRAGMA page_count').fetchone()[0]}")
    rows = 1
    why = ""
    while not why:
        try:
            session.call(f"4 @ {60 + 7 * rows} 2x6 header for the north gable")
            rows += 1
        except BadMemo as error:
            why = explain_error(error)
    assert "disk is full. Make room" in why
    assert len(session.state.rows) == rows
    db.execute("PRAGMA max_page_count = 100000")
    assert session.call("41-3/8").happened == "added"
    assert len(session.store.events()) == rows + 1


def test_a_memo_that_may_only_be_read_says_so(session: Desk) -> None:
    session.call("36")
    database(session).execute("PRAGMA query_only = ON")
    with refused(BadMemo, "may only be read"):
        session.call("71")
    assert len(session.state.rows) == 1


def test_a_memo_kept_for_writing_by_another_says_so(session: Desk, tmp_path: Path) -> None:
    session.call("36")
    database(session).execute("PRAGMA busy_timeout = 20")
    other = sqlite3.connect(tmp_path / "porch.cutmemo", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with refused(BadMemo, "Wait, and do it again"):
        session.call("71")
    other.execute("ROLLBACK")
    other.close()
    assert session.call("71").happened == "added"


@pytest.mark.parametrize(
    "content", [b"no memo at all, just words " * 40, b"SQLite format 3\x00" + bytes(4096)]
)
def test_a_damaged_file_is_named_and_left_as_it_is(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "torn.cutmemo"
    path.write_bytes(content)
    with refused(BadMemo, "torn"):
        open_store(path)
    assert path.read_bytes() == content


def test_a_folder_in_place_of_a_memo(tmp_path: Path) -> None:
    with refused(BadMemo, "cannot be opened"):
        open_store(tmp_path)


def test_a_clock_set_back_changes_no_length(session: Desk, clock: object) -> None:
    session.hear(Recognition((Hypothesis("one oh one", 10.0),)))
    clock.later(-3600)  # type: ignore[attr-defined]
    with pytest.raises(NotACall):
        session.hear(Recognition((Hypothesis("and a third", 10.0),)))
    assert session.hear(Recognition((Hypothesis("seventy one", 10.0),))).happened == "added"  # type: ignore[union-attr]
    assert [row.number for row in session.state.open_rows()] == [1, 2]
    session.undo()
    assert [row.number for row in session.state.open_rows()] == [1]


def test_a_clock_set_back_does_not_answer_a_question(session: Desk, clock: object) -> None:
    session.call("six two")
    clock.later(-60)  # type: ignore[attr-defined]
    session.call("seventy four and a half")
    assert [row.state for row in session.state.rows.values()] == ["doubtful", "open"]


def test_two_hundred_calls_of_two_stations_at_once_are_all_there(
    open_session: Callable[..., Desk], tmp_path: Path
) -> None:
    open_session()
    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "from cutmemo.memo import open_store\n"
        "from cutmemo.memo.commands import Say\n"
        "from cutmemo.service import Memo, Station\n"
        "with open_store(Path(sys.argv[1])) as journal:\n"
        "    station = Station(Memo(journal), sys.argv[2], 'ann')\n"
        "    for n in range(100):\n"
        "        station.execute(Say(f'{n + 20}-{n % 8 * 2 + 1}/16'))\n"
    )
    path = tmp_path / "porch.cutmemo"
    both = [
        subprocess.Popen([sys.executable, "-c", script, str(path), name])
        for name in ("ladder", "saw")
    ]
    assert [each.wait() for each in both] == [0, 0]
    with open_store(path) as journal:
        session = Desk(journal, "yard", "ben")
    assert sorted(row.number for row in session.state.rows.values()) == list(range(1, 201))


@pytest.mark.parametrize("term", ["dumb", "vt100", ""])
def test_the_command_line_needs_no_terminal(term: str, tmp_path: Path) -> None:
    environment = os.environ | {"TERM": term, "CUTMEMO_FOLDER": str(tmp_path), "NO_COLOR": "1"}
    said = subprocess.run(
        [sys.executable, "-m", "cutmemo", "say", "101-1/2"],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
        stdin=subprocess.DEVNULL,
    )
    assert said.stdout == 'Row 1: 101-1/2".\n'


def test_the_screen_without_a_terminal_says_what_works(tmp_path: Path) -> None:
    environment = {**os.environ, "CUTMEMO_FOLDER": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-m", "cutmemo"],
        env=environment,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        check=False,
    )
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.startswith("The screen needs a terminal.")

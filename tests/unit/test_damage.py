"""A damaged memo gives back all that is sound, and nothing of it changes in silence."""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from desk import Desk, refused

from cutmemo.cli import main
from cutmemo.errors import BadMemo
from cutmemo.memo import copies, open_store
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


def rows_shown(text: str) -> dict[str, tuple[object, ...]]:
    """Return what a sheet says of each row, by its number."""
    kept = ("length", "count", "done", "state", "place", "section")
    return {row["row"]: tuple(row.get(each) for each in kept) for row in json.loads(text)}


@pytest.mark.parametrize(("damage", "times"), [("flipped bit", 60), ("cut off", 24), ("page zeroed", 12)])
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

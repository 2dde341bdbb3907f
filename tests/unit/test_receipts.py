"""What a device sends is taken once, however often it comes, and its receipt is on disk with what came of it."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.errors import BadMemo, CutmemoError, NothingToDo, Refused
from cutmemo.memo import copies, open_store, receipts
from cutmemo.memo.commands import Command, Hear, Order, Say
from cutmemo.memo.projection import Projection
from cutmemo.memo.receipts import AlreadyTaken, Decided, Receipt
from cutmemo.memo.result import Decision
from cutmemo.memo.store import SqliteStore
from cutmemo.service import Memo, Station

NOW = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)


@dataclass
class Sent:
    """What a device sent."""

    name: str
    upto: int = 0
    before: int = -1
    refuse: bool = False

    def check(self, _memo: Projection) -> None:
        if self.refuse:
            raise NothingToDo("somebody was first")

    def receipt(self, decided: Decided) -> Receipt:
        kind = (
            "done" if isinstance(decided, Decision) else "nothing" if decided is None else "refused"
        )
        return Receipt("ladder phone", self.name, self.upto, kind, NOW.isoformat(), self.before)


def take(memo: Memo, command: Command, sent: Sent) -> None:
    Station(memo, "ladder phone", "ann", clock=lambda: NOW).execute(command, delivery=sent)


def told(store: SqliteStore, *names: str) -> list[str]:
    found = store.receipts(names)
    return [found[name].told if name in found else "" for name in names]


def test_a_second_time_nothing_is_written_and_the_first_receipt_is_given(tmp_path: Path) -> None:
    with open_store(tmp_path / "m.cutmemo") as store:
        memo = Memo(store)
        take(memo, Say("36-1/2"), Sent("one"))
        with pytest.raises(AlreadyTaken) as caught:
            take(memo, Say("36-1/2"), Sent("one"))
        assert caught.value.receipt == Receipt("ladder phone", "one", 0, "done", NOW.isoformat())
        assert len(memo.state.rows) == 1


def test_a_stream_goes_on_only_from_where_it_was_taken_up_to(tmp_path: Path) -> None:
    with open_store(tmp_path / "m.cutmemo") as store:
        memo = Memo(store)
        take(memo, Say("36-1/2"), Sent("stream", 10))
        take(memo, Say("37-1/2"), Sent("stream", 20, before=10))
        for before in (-1, 5, 10, 30):
            with pytest.raises(AlreadyTaken):
                take(memo, Say("38-1/2"), Sent("stream", 40, before))
        with pytest.raises(AlreadyTaken):
            take(memo, Say("38-1/2"), Sent("stream", 20, before=20))
        assert store.receipts(["stream"])["stream"].upto == 20
        assert len(memo.state.rows) == 2


def test_what_was_refused_or_came_to_nothing_was_taken_too(tmp_path: Path) -> None:
    noise = Recognition((Hypothesis("[unk]", 10.0),))
    no_call = Recognition((Hypothesis("good morning everybody", 10.0),))
    with open_store(tmp_path / "m.cutmemo") as store:
        memo = Memo(store)
        take(memo, Hear(noise), Sent("noise"))
        with pytest.raises(CutmemoError):
            take(memo, Hear(no_call), Sent("no call"))
        with pytest.raises(Refused):
            take(memo, Say("36-9/8"), Sent("no length"))
        with pytest.raises(NothingToDo):
            take(memo, Order("undo"), Sent("undo"))
        with pytest.raises(NothingToDo):
            take(memo, Say("36"), Sent("late", refuse=True))
        memo.receive(Sent("silence"), Station(memo, clock=lambda: NOW).context())
        assert told(store, "noise", "no call", "no length", "undo", "late", "silence") == [
            "nothing",
            *["refused"] * 4,
            "nothing",
        ]
        assert [each.kind for each in store.events()] == ["call refused"]


@pytest.mark.parametrize("broken", ["receipt", "event"])
def test_event_and_receipt_are_on_disk_both_or_neither(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    path = tmp_path / "m.cutmemo"

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    with open_store(path) as store:
        memo = Memo(store)
        with monkeypatch.context() as patched:
            if broken == "receipt":
                patched.setattr(receipts, "write", full)
            else:
                patched.setattr(SqliteStore, "_write", full)
            with pytest.raises(BadMemo):
                take(memo, Say("36-1/2"), Sent("one"))
        assert store.events() == []
        assert store.receipts(["one"]) == {}
        take(memo, Say("36-1/2"), Sent("one"))
    with open_store(path) as store:
        assert (len(store.events()), told(store, "one")) == (1, ["done"])


def test_a_memo_without_receipts_stays_as_it_is_and_keeps_its_version(tmp_path: Path) -> None:
    path = tmp_path / "m.cutmemo"
    with open_store(path) as store:
        Station(Memo(store), clock=lambda: NOW).execute(Say("36-1/2"))
        assert store.receipts(["one"]) == {}
        store.forget_receipts(NOW.isoformat())
    with sqlite3.connect(path) as db:
        assert db.execute(
            "SELECT count(*) FROM sqlite_master WHERE name = 'receipts'"
        ).fetchone() == (0,)
    db.close()


def test_a_copy_has_the_receipts_of_its_events(tmp_path: Path) -> None:
    path = tmp_path / "m.cutmemo"
    with open_store(path) as store:
        take(Memo(store), Say("36-1/2"), Sent("one"))
        copy = copies.keep(path, NOW)
    assert copy is not None
    with open_store(copy) as kept, pytest.raises(AlreadyTaken):
        take(Memo(kept), Say("36-1/2"), Sent("one"))


def test_old_receipts_are_forgotten_and_newer_ones_are_not(tmp_path: Path) -> None:
    with open_store(tmp_path / "m.cutmemo") as store:
        take(Memo(store), Say("36-1/2"), Sent("one"))
        store.forget_receipts(NOW.isoformat())
        assert told(store, "one") == ["done"]
        store.forget_receipts((NOW + timedelta(seconds=1)).isoformat())
        assert told(store, "one") == [""]


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sent=st.lists(st.tuples(st.integers(0, 5), st.booleans()), max_size=25))
def test_whatever_comes_however_often_and_to_whichever_memo_of_the_file_counts_once(
    tmp_path: Path, sent: list[tuple[int, bool]]
) -> None:
    path = tmp_path / f"{abs(hash(json.dumps(sent)))}.cutmemo"
    with open_store(path) as one, open_store(path) as two:
        memos = (Memo(one), Memo(two))
        for number, which in sent:
            try:
                take(memos[which], Say(f"{20 + number}-1/2"), Sent(f"act {number}"))
            except AlreadyTaken:
                continue
        rows = [row.said for row in Memo(one).state.rows.values()]
    assert sorted(rows) == sorted({f"{20 + number}-1/2" for number, _ in sent})

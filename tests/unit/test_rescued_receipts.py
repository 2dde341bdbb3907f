"""A memo that goes on for a damaged one takes nothing twice that a phone sends again, and misses nothing that was lost."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import permutations
from pathlib import Path

import pytest

from cutmemo.cli import main
from cutmemo.memo import copies, open_store
from cutmemo.memo.commands import Say
from cutmemo.memo.projection import Projection
from cutmemo.memo.receipts import AlreadyTaken, Decided, Receipt, memo_id, still_true
from cutmemo.memo.rescue import Rescued, rescue
from cutmemo.service import Memo, Station
from cutmemo.wording.verbs import ALL_RESCUED, RECEIPTS_LOST

NOW = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)


@dataclass
class Sent:
    """Frames of a stream, or an act."""

    name: str
    upto: int = 0
    before: int = -1

    def check(self, _memo: Projection) -> None:
        """What the sender saw is still so."""

    def receipt(self, _decided: Decided) -> Receipt:
        return Receipt("ladder phone", self.name, self.upto, "{}", NOW.isoformat(), self.before)


def take(path: Path, said: str, sent: Sent) -> None:
    with open_store(path) as store:
        Station(Memo(store), clock=lambda: NOW).execute(Say(said), delivery=sent)


def rows(path: Path) -> list[str]:
    with open_store(path) as store:
        return [row.said for row in Projection(store.events()).state.rows.values()]


@pytest.fixture
def porch(tmp_path: Path) -> Path:
    path = tmp_path / "porch.cutmemo"
    take(path, "36-1/2", Sent("stream a", 40))
    take(path, "44-1/4", Sent("stream a", 90, 40))
    take(path, "52-1/8", Sent("act b"))
    return path


def rescued(path: Path) -> Rescued:
    return rescue(path, path.with_name("new.cutmemo"))


def spoil(path: Path, said: str) -> None:
    """Let the entry of a call be damaged, as a bad spot on the disk does."""
    with sqlite3.connect(path) as db:
        changed = db.execute(
            "UPDATE events SET payload = replace(payload, ?, '99-1/2') WHERE payload LIKE ?",
            (said, f"%{said}%"),
        )
        assert changed.rowcount == 1
    db.close()


def test_what_was_taken_before_the_damage_is_not_taken_again(porch: Path) -> None:
    done = rescued(porch)
    new = done.memo
    assert not done.receipts_lost
    for sent in (Sent("stream a", 90), Sent("stream a", 40), Sent("act b")):
        with pytest.raises(AlreadyTaken):
            take(new, "36-1/2", sent)
    take(new, "60-3/8", Sent("stream a", 130, 90))
    assert rows(new) == ["36-1/2", "44-1/4", "52-1/8", "60-3/8"]


def test_a_call_that_was_lost_is_taken_again_from_a_phone_that_still_has_it(porch: Path) -> None:
    spoil(porch, "44-1/4")
    new = rescued(porch).memo
    assert rows(new) == ["36-1/2", "52-1/8"]
    take(new, "44-1/4", Sent("stream a", 90))
    assert sorted(rows(new)) == ["36-1/2", "44-1/4", "52-1/8"]


def test_where_the_memo_lost_it_the_receipt_of_a_copy_counts(tmp_path: Path) -> None:
    path = tmp_path / "porch.cutmemo"
    take(path, "36-1/2", Sent("stream a", 40))
    assert copies.keep(path, NOW) is not None
    take(path, "44-1/4", Sent("stream a", 90, 40))
    spoil(path, "44-1/4")
    new = rescued(path).memo
    with pytest.raises(AlreadyTaken):
        take(new, "36-1/2", Sent("stream a", 40))
    take(new, "44-1/4", Sent("stream a", 90, 40))
    assert rows(new) == ["36-1/2", "44-1/4"]


def test_a_receipt_that_has_no_form_stops_no_rescue(porch: Path) -> None:
    with sqlite3.connect(porch) as db:
        db.execute("UPDATE receipts SET told = '{\"kind' WHERE name = 'act b'")
        db.execute("UPDATE receipts SET told = CAST(x'ff00' AS TEXT) WHERE name = 'stream a'")
    db.close()
    assert rows(rescued(porch).memo) == ["36-1/2", "44-1/4", "52-1/8"]


def test_where_receipts_cannot_be_read_it_is_said(
    porch: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first page says where all tables are; where that of the entries is, is known without."""
    raw = porch.read_bytes()
    porch.write_bytes(bytes(4096) + raw[4096:])
    new = porch.with_name("new.cutmemo")
    assert main(["--memo", str(porch), "rescue", "--to", str(new)]) == 0
    told = capsys.readouterr().out
    assert RECEIPTS_LOST in told
    assert ALL_RESCUED not in told
    assert rows(new) == ["36-1/2", "44-1/4", "52-1/8"]


def test_a_memo_goes_on_for_all_that_were_before_it(porch: Path) -> None:
    second = rescued(porch).memo
    third = rescue(second, porch.with_name("third.cutmemo")).memo
    with open_store(third) as store:
        assert store.forebears() == {memo_id(porch), memo_id(second)}
    with open_store(porch) as store:
        assert store.forebears() == frozenset()


@pytest.mark.parametrize("order", list(permutations((40, 90, 130))))
def test_of_several_receipts_the_one_that_reaches_farthest_and_is_whole_counts(
    order: tuple[int, ...],
) -> None:
    made = {
        upto: Receipt("ladder phone", "stream a", upto, "{}", NOW.isoformat(), events=(str(upto),))
        for upto in order
    }
    found = [made[upto] for upto in order]
    assert still_true(found, {"40", "90", "130"}) == [made[130]]
    assert still_true(found, {"40", "90"}) == [made[90]]
    assert still_true(found, ()) == []

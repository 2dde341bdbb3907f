"""Memos that were apart come together: one state, whatever the order, however often, and nothing unread is lost."""

from __future__ import annotations

import contextlib
import json
import random
import shutil
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F
from itertools import permutations
from pathlib import Path

import pytest
from desk import Desk, refused, rehashed
from hypothesis import given, settings
from hypothesis import strategies as st

from cutmemo.domain.cut import Allowance
from cutmemo.errors import BadImport, CutmemoError
from cutmemo.memo import Projection, open_store
from cutmemo.memo.codec import decode, to_line
from cutmemo.memo.events import Event, PiecesCleared, Unreadable
from cutmemo.memo.merge import in_order
from cutmemo.memo.state import MemoState
from cutmemo.memo.upcast import cut_from_plain
from cutmemo.wording import marks

FIRST_FORMAT = Path(__file__).parents[1] / "data" / "first_format.cutmemo"
"""A memo of 43 events of all 20 kinds, written by the program of commit 96ad78d."""

ACTS: dict[str, Callable[[Desk, int], object]] = {
    "call": lambda desk, n: desk.call(f"{n % 3 + 1} @ {30 + 7 * n} 2x4"),
    "ask": lambda desk, n: desk.call("six two"),
    "correct": lambda desk, n: desk.call(f"no, make that {25 + 3 * n}-1/2"),
    "recount": lambda desk, n: desk.call(f"make it {n % 4 + 1}"),
    "answer": lambda desk, n: desk.answer(n % 2 + 1),
    "take back": lambda desk, n: desk.refuse(),
    "clear": lambda desk, n: desk.clear(all_left=n % 2 == 0),
    "strike": lambda desk, n: desk.strike(desk.find(str(n % 5 + 1)).id),
    "put back": lambda desk, n: desk.put_back(),
    "undo": lambda desk, n: desk.undo(),
    "redo": lambda desk, n: desk.redo(),
    "hold": lambda desk, n: desk.hold(),
    "release": lambda desk, n: desk.release(),
    "skip": lambda desk, n: desk.skip(),
    "spoil": lambda desk, n: desk.spoil("short" if n % 2 else "long"),
    "wall": lambda desk, n: desk.call("wall 12' high 97-1/8"),
    "boards": lambda desk, n: desk.call("2 2x4 16 footers"),
    "setting": lambda desk, n: desk.set_setting("kerf", ["1/8", "3/32", "1/16"][n % 3]),
    "order": lambda desk, n: desk.set_order(),
}


class Wall:
    """A clock that may be set back."""

    def __init__(self, chance: random.Random) -> None:
        self.time, self.chance = datetime(2026, 3, 2, 7, 30, tzinfo=UTC), chance

    def __call__(self) -> datetime:
        self.time += timedelta(seconds=self.chance.choice([30, 60, -3600, 0]))
        return self.time


def history(folder: Path, seed: int, stations: int, acts: int) -> list[Event]:
    """Let stations with memos of their own act at random and hand each other parts of what they know."""
    chance = random.Random(seed)
    with contextlib.ExitStack() as open_:
        desks = []
        for number in range(stations):
            store = open_.enter_context(open_store(folder / f"{number}.cutmemo"))
            desks.append(Desk(store, f"s{number}", f"p{number}", Wall(chance)))
        for _ in range(acts):
            desk = chance.choice(desks)
            if chance.random() < 0.2:
                other = chance.choice(desks)
                known = in_order(other.log)
                part = known[: chance.randint(0, len(known))]  # causes come first
                desk.take_in([to_line(event) for event in part])
                continue
            with contextlib.suppress(CutmemoError):
                ACTS[chance.choice(sorted(ACTS))](desk, chance.randint(0, 30))
        return list({event.id: event for desk in desks for event in desk.log}.values())


def in_any_order(events: list[Event], chance: random.Random) -> MemoState:
    """Return the state of *events* shuffled, some twice, taken in by parts of any size."""
    shuffled = [*events, *chance.sample(events, len(events) // 3)]
    chance.shuffle(shuffled)
    memo = Projection()
    while shuffled:
        size = chance.randint(1, 9)
        memo.follow(shuffled[:size])
        del shuffled[:size]
    return memo.state


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**9), stations=st.integers(2, 5))
def test_any_order_of_arrival_gives_one_state(
    seed: int, stations: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    events = history(tmp_path_factory.mktemp("apart"), seed, stations, 40)
    chance = random.Random(seed)
    whole = Projection(events).state
    for _ in range(3):
        assert in_any_order(events, chance) == whole


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**9), stations=st.integers(1, 4))
def test_every_piece_is_cut_open_or_struck_and_cut_as_it_was_when_it_was_cut(
    seed: int, stations: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    events = history(tmp_path_factory.mktemp("pieces"), seed, stations, 50)
    memo = Projection(events)
    cleared: dict[str, PiecesCleared] = {
        event.id: event.payload
        for event in memo.log
        if isinstance(event.payload, PiecesCleared) and memo.counts(event)
    }
    for row in memo.state.rows.values():
        assert row.left == max(row.cut.count - row.done, 0)
        assert (row.state == "cut") <= (row.left == 0)
        for each in row.cleared:
            as_cut = cleared[each.event].cut
            assert as_cut is not None
            assert each.cut == as_cut
            assert each.pieces <= cleared[each.event].pieces
            assert each.cut.length == row.cut.length  # no row holds pieces of another length


def test_two_who_cut_the_same_last_piece_while_apart_both_stand_as_cut(
    open_session: Callable[..., Desk],
) -> None:
    one, two = open_session("saw", "ben", "one"), open_session("chop", "cal", "two")
    one.call("36 2x4")
    two.take_in([to_line(event) for event in one.log])
    one.clear()
    two.clear()
    both = [to_line(event) for event in (*one.log, *two.log)]
    one.take_in(both)
    two.take_in(both)
    assert one.state == two.state
    (row,) = one.state.rows.values()
    assert (row.state, row.done, row.over) == ("cut", 2, 1)
    assert sorted(each.who for each in row.cleared) == ["ben", "cal"]  # at one time: either first
    assert "(1 too many)" in one.handoff()
    assert one.handoff_plain()["people"].keys() == {"ben at saw", "cal at chop"}


def test_an_undo_before_its_call_and_an_answer_before_its_row_wait(
    open_session: Callable[..., Desk],
) -> None:
    one, two = open_session("ladder", "ann", "one"), open_session("saw", "ben", "two")
    one.call("six two")
    one.answer(2)
    one.call("48")
    one.undo()
    lines = [to_line(event) for event in one.log]
    two.take_in(lines[::-1][:3])  # the undo, the call it takes back, the answer: not the row
    assert [type(event.payload).__name__ for event in two.state.waiting] == ["QuestionAnswered"]
    assert any("Waits for what it is about" in mark for mark in marks(two.memo.projection))
    two.take_in(lines[:1])
    assert two.state == one.state
    assert not two.state.waiting
    assert [row.cut.length.inches for row in two.state.open_rows()] == [74]


def test_lines_sorted_by_their_text_give_the_same_memo(
    open_session: Callable[..., Desk],
) -> None:
    one, two = open_session("ladder", "ann", "one"), open_session("saw", "ben", "two")
    for said in ("six two", "the second", "4 at 48", "cut", "cut", "no, make that 50", "undo"):
        one.call(said)
    two.take_in(sorted({to_line(event) for event in one.log}))
    assert two.state == one.state


def newer(path: Path, kind: str, version: int, payload: dict[str, object]) -> None:
    """Put an event into the memo at *path* as a newer program would."""
    raw, at = json.dumps(payload), "2026-03-02T08:00:00+00:00"
    name = f"n-{kind}-{version}"
    with open_store(path) as store:
        store.take([Event(name, at, "s", "w", kind, version, decode(kind, version, raw), raw)])


@pytest.mark.parametrize(
    ("kind", "version", "payload"),
    [
        ("cut called", 1, {"row": "x", "cut": {"length": "101"}}),
        ("cut added", 3, {"row": "x", "deduct": "1/2"}),
    ],
)
def test_what_a_newer_program_wrote_is_told_kept_and_exported_unchanged(
    open_session: Callable[..., Desk],
    tmp_path: Path,
    kind: str,
    version: int,
    payload: dict[str, object],
) -> None:
    open_session().call("36")
    newer(tmp_path / "porch.cutmemo", kind, version, payload)
    again = open_session()
    again.call("48")
    assert [row.cut.length.inches for row in again.state.open_rows()] == [36, 48]
    assert any("1 entry this one cannot read" in mark for mark in marks(again.memo.projection))
    lines = [to_line(event) for event in again.log]
    assert any(json.dumps(payload) in line for line in lines)
    other = open_session(name="deck")
    assert other.take_in(lines) == 3
    assert any(json.dumps(payload) in to_line(event) for event in other.log)
    assert len(other.state.unreadable) == 1


def test_a_setting_of_a_newer_program_locks_nobody_out(
    open_session: Callable[..., Desk], tmp_path: Path
) -> None:
    open_session().call("36")
    newer(tmp_path / "porch.cutmemo", "manner set", 1, {"manner": {"blade": "10", "kerf": "3/32"}})
    again = open_session()
    assert again.state.settings.kerf == F(3, 32)
    assert len(again.state.unreadable) == 1


def test_a_changed_byte_is_told_and_changes_no_length(
    open_session: Callable[..., Desk], tmp_path: Path
) -> None:
    desk = open_session()
    desk.call("175-3/8")
    desk.call("48")
    database = sqlite3.connect(tmp_path / "porch.cutmemo")
    database.execute("UPDATE events SET payload = replace(payload, '1403/8', '1563/8')")
    database.commit()
    database.close()
    again = open_session()
    (damaged,) = again.state.unreadable
    assert isinstance(damaged.payload, Unreadable)
    assert not damaged.payload.newer
    assert [row.cut.length.inches for row in again.state.rows.values()] == [48]
    assert any("Damaged: 1 entry" in mark for mark in marks(again.memo.projection))


def test_a_copied_memo_is_a_copy_of_its_own(
    open_session: Callable[..., Desk], tmp_path: Path
) -> None:
    desk = open_session()
    desk.call("36")
    desk.store.close()
    shutil.copy(tmp_path / "porch.cutmemo", tmp_path / "deck.cutmemo")
    first, second = open_session(), open_session(name="deck")
    first.call("48")
    second.call("60")
    assert first.log[0].replica == first.log[1].replica
    assert second.log[1].replica not in ("", first.log[1].replica)
    both = [to_line(event) for event in (*first.log, *second.log)]
    first.take_in(both)
    second.take_in(both)
    assert first.state == second.state
    assert sorted(row.cut.length.inches for row in first.state.rows.values()) == [36, 48, 60]


def test_a_memo_of_the_first_format_opens_and_its_lost_length_asks(tmp_path: Path) -> None:
    path = tmp_path / "old.cutmemo"
    shutil.copy(FIRST_FORMAT, path)
    with open_store(path) as store:
        desk = Desk(store)
        # Row by row as the program that wrote it showed them (printed by that program).
        assert [
            (row.number, row.state, row.cut.length.inches, row.cut.count, row.done)
            for row in desk.state.rows.values()
        ][:9] == [
            (1, "open", F(61, 4), 4, 2),
            (2, "open", F(101, 2), 1, 0),
            (3, "struck", F(62), 1, 0),
            (4, "doubtful", F(92), 1, 0),
            (5, "open", F(144), 3, 0),
            (6, "open", F(741, 8), 10, 0),
            (7, "open", F(144), 3, 0),
            (8, "open", F(741, 8), 10, 0),
            (9, "open", F(71), 1, 0),
        ]
        assert [(lot.number, lot.inches, lot.count) for lot in desk.state.rack.lots] == [
            (1, 192, 10),
            (2, 120, 2),
        ]
        assert (desk.state.order, desk.state.settings.kerf) == ("longest", F(3, 32))
        # That program called row 13 cut as 78, though 77 was sawn: 78 was on no list.
        was, asks = list(desk.state.rows.values())[-2:]
        assert (was.number, was.state, was.cut.length.inches, was.done) == (13, "cut", 77, 1)
        assert (asks.state, asks.cut.length.inches) == ("doubtful", 78)
        assert not desk.state.unreadable
        before, events = desk.state, len(desk.log)
    with open_store(path) as store:
        again = Desk(store)
        assert again.state == before
        again.call("33")
        assert len(again.log) == events + 1


def test_events_of_the_first_format_keep_the_order_of_their_file(tmp_path: Path) -> None:
    path = tmp_path / "old.cutmemo"
    shutil.copy(FIRST_FORMAT, path)
    with open_store(path) as store:
        events = store.events()
    shuffled = list(events)
    random.Random(7).shuffle(shuffled)
    assert [event.id for event in in_order(shuffled)] == [event.id for event in events]


def line_of(desk: Desk, **changed: object) -> str:
    """Return the first event of *desk* as a line with some fields changed, and the hash that fits."""
    return rehashed(json.dumps(json.loads(to_line(desk.log[0])) | changed))


def test_an_id_is_not_used_for_two_things(session: Desk) -> None:
    session.call("36")
    payload = json.loads(session.log[0].raw)
    longer = payload | {"cut": payload["cut"] | {"length": {"inches": "48"}}}
    with refused(BadImport, "says something else"):
        session.take_in([line_of(session, payload=longer)])
    with refused(BadImport, "another entry added"):
        session.take_in([line_of(session, id="other", payload=longer)])
    assert session.take_in([line_of(session)]) == 0


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"hash": "0" * 32}, "hash does not fit"),
        ({"hash": None}, "hash is missing"),
        ({"after": ["x"], "id": "x", "hash": None}, "names itself"),
        ({"version": -1, "hash": None}, "version cannot be"),
        ({"number": True, "hash": None}, "number cannot be"),
    ],
)
def test_a_forged_line_is_refused(session: Desk, changed: dict[str, object], why: str) -> None:
    session.call("36")
    plain = json.loads(to_line(session.log[0])) | changed
    if plain["hash"] is None:
        del plain["hash"]
    with refused(BadImport, why):
        session.take_in([json.dumps(plain)])


@pytest.mark.parametrize(
    "wrong",
    [
        {"count": 0},
        {"count": -4},
        {"count": 2.7},
        {"count": 10**12},
        {"length": {"inches": "-3"}},
        {"length": {"inches": "0"}},
        {"length": {"inches": "1e400"}},
        {"length": {"inches": "Infinity"}},
        {"length": {"inches": 36}},
        {"length": {"inches": "1/0"}},
        {"deduct": "1/2"},
        {"section": {"thickness": "2", "width": "4", "material": 5, "treated": False}},
        {"piece": {}},
    ],
)
def test_a_cut_that_cannot_be_is_refused_by_an_import(
    session: Desk, wrong: dict[str, object]
) -> None:
    session.call("36")
    payload = json.loads(session.log[0].raw)
    payload["cut"] |= wrong
    plain = json.loads(to_line(session.log[0])) | {"id": "another", "payload": payload}
    with refused(BadImport, "Line 1"):
        session.take_in([rehashed(json.dumps(plain))])
    assert len(session.store.events()) == 1


def test_entries_that_name_each_other_come_in_one_order_whatever_order_they_come_in() -> None:
    raw = '{"order":"longest"}'
    at = "2026-05-04T07:30:00+00:00"
    payload = decode("order set", 2, raw)
    first, second = (
        Event(name, at, "saw", "ben", "order set", 2, payload, raw, name, 1, (other,))
        for name, other in (("a", "b"), ("b", "a"))
    )
    third = Event("c", at, "saw", "ben", "order set", 2, payload, raw, "c", 1, ("a",))
    listed = [in_order(each) for each in permutations((first, second, third))]
    assert {tuple(event.id for event in each) for each in listed} == {("a", "b", "c")}


def test_a_call_of_a_newer_program_takes_one_number(
    open_session: Callable[..., Desk], tmp_path: Path
) -> None:
    open_session().call("36")
    newer(tmp_path / "porch.cutmemo", "cut added", 3, {"row": "x", "deduct": "1/2"})
    again = open_session()
    again.call("48")
    assert [row.number for row in again.state.rows.values()] == [1, 3]


def in_first_format(**fields: object) -> dict[str, object]:
    return {"length": "36", "count": 1, **fields}


def test_an_allowance_of_the_first_format_keeps_its_side_and_whether_it_was_doubled() -> None:
    for word, side, other in (("a hair", "over", True), ("a hair", "under", False)):
        read = cut_from_plain(in_first_format(shade=[word, side, other]))
        assert read.allowance == Allowance(word, side, other)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("inches", "opens"),
    [
        ("1/1000000000", True),
        ("1/1000000001", False),
        ("1000000", True),
        ("1000001", False),
        ("-1000001", False),
    ],
)
def test_a_board_of_the_first_format_is_read_up_to_the_finest_and_the_largest(
    inches: str, opens: bool
) -> None:
    section = {"thick": "2", "wide": inches, "material": "", "treated": False}
    if opens:
        assert cut_from_plain(in_first_format(section=section)).section is not None
    else:
        with pytest.raises(ValueError, match="beyond any board"):
            cut_from_plain(in_first_format(section=section))


def test_no_row_of_a_set_is_added_a_second_time(session: Desk) -> None:
    """Not the first row of a set only: each is looked at."""
    session.call("wall 12' high 97-1/8")
    line = json.loads(to_line(session.log[0]))
    rows = line["payload"]["rows"]
    assert len(rows) > 1
    for known in range(len(rows)):
        other = [
            each | {"row": each["row"] if k == known else f"new {k}"} for k, each in enumerate(rows)
        ]
        forged = line | {"id": f"another {known}", "payload": line["payload"] | {"rows": other}}
        with refused(BadImport, "another entry added"):
            session.take_in([rehashed(json.dumps(forged))])

"""Boards: one that was begun or printed keeps its plan, whatever is called, cut or struck after it."""

from __future__ import annotations

import importlib
import itertools
import random
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from desk import Desk, refused
from hypothesis import given, settings
from hypothesis import strategies as st
from memory_store import MemoryStore

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadBoards
from cutmemo.memo import open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.commands import PrintBoards, ReleaseBoards
from cutmemo.memo.events import Event
from cutmemo.planning import (
    BoardPlan,
    Lot,
    Rack,
    SectionPlan,
    Wanted,
    breaches,
    plan,
    printed,
    sawn_off,
    with_printed,
    with_released,
    with_sawn,
)
from cutmemo.present import boards_as_text, order_as_text, rack_as_text

STUD = Section(F(2), F(4))
CREW = Settings()


class Bench:
    """A rack, rows and a saw, without a memo."""

    def __init__(self, rack: Rack, rows: dict[str, tuple[F, int]]) -> None:
        self.rack, self.rows = rack, dict(rows)
        numbers = itertools.count(1)
        self.new_id: Callable[[], str] = lambda: f"id{next(numbers)}"

    def wanted(self) -> list[Wanted]:
        return [
            Wanted(k, row, inches, count, STUD)
            for k, (row, (inches, count)) in enumerate(self.rows.items(), start=1)
            if count
        ]

    def plan(self) -> SectionPlan | None:
        found = plan(self.wanted(), self.rack.lots, CREW, kept=self.rack.boards)
        return found[0] if found else None

    def cut(self, row: str, pieces: int = 1) -> None:
        made = self.plan()
        assert made is not None
        self.rack = with_sawn(
            self.rack, sawn_off(made, self.rack, row, pieces, self.new_id), CREW.shortest
        )
        inches, count = self.rows[row]
        self.rows[row] = inches, count - pieces


def marks(made: SectionPlan | None, kept: str) -> list[tuple[str, F]]:
    boards = () if made is None else made.boards
    return [(p.row_id, p.start) for board in boards if board.kept == kept for p in board.pieces]


def lots(*boards: tuple[F | int, int]) -> Rack:
    return Rack(
        tuple(Lot(f"lot{k}", k, STUD, F(n), count) for k, (n, count) in enumerate(boards, 1)),
        len(boards),
    )


def test_a_begun_board_keeps_the_pieces_that_are_still_to_come_off_it() -> None:
    bench = Bench(
        lots((96, 4), (120, 3), (192, 2)),
        {"stud": (F(741, 8), 2), "block": (F(29, 2), 2), "a": (F(84), 1), "b": (F(64), 1)},
    )
    before = bench.plan()
    assert before is not None
    assert [p.row_id for p in before.boards[0].pieces] == ["stud", "stud"]
    bench.cut("stud")
    (kept,) = bench.rack.boards
    assert marks(bench.plan(), kept.id) == [("stud", F(371, 4))]
    bench.cut("stud")
    assert bench.rack.boards == ()  # 6-1/2 in. are left, too short to keep


def test_a_stub_with_a_piece_planned_on_it_stays_however_short() -> None:
    bench = Bench(lots((96, 1)), {"stud": (F(85), 1), "block": (F(21, 2), 1)})
    bench.cut("stud")
    made = bench.plan()
    assert made is not None
    assert not made.order
    assert [(p.row_id, p.start) for p in made.boards[0].pieces] == [("block", F(0))]
    bench.cut("block")
    assert (bench.rack.boards, bench.rack.lots) == ((), ())


def test_a_new_call_may_use_only_the_free_end() -> None:
    bench = Bench(lots((192, 1)), {"a": (F(60), 2)})
    bench.cut("a")
    (kept,) = bench.rack.boards
    before = marks(bench.plan(), kept.id)
    bench.rows["new"] = F(70), 1
    after = marks(bench.plan(), kept.id)
    assert after[: len(before)] == before
    assert after[-1] == ("new", F(60) + F(1, 8) + F(60) + F(1, 8))
    bench.rows["long"] = F(72), 1  # does not fit beside the others any more
    assert marks(bench.plan(), kept.id)[: len(before)] == before


def test_what_is_cut_away_frees_the_end_and_never_a_gap() -> None:
    bench = Bench(lots((192, 1)), {"a": (F(60), 1), "b": (F(50), 1), "c": (F(40), 1)})
    bench.cut("a")
    (kept,) = bench.rack.boards
    del bench.rows["c"]
    assert marks(bench.plan(), kept.id) == [("b", F(481, 8))]
    bench.rows["d"] = F(80), 1
    assert marks(bench.plan(), kept.id) == [("b", F(481, 8)), ("d", F(481, 8) + 50 + F(1, 8))]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_no_cut_changes_what_comes_next_off_a_begun_board(seed: int) -> None:
    r = random.Random(seed)
    rows = {f"r{k}": (F(r.randrange(12 * 8, 150 * 8), 8), r.randrange(1, 4)) for k in range(4)}
    bench = Bench(lots((96, 3), (144, 2), (192, 2)), rows)
    wood = sum((lot.inches * lot.count for lot in bench.rack.lots), F(0))
    while bench.wanted():
        made = bench.plan()
        assert made is not None
        expected = {b.id: marks(made, b.id) for b in bench.rack.boards}
        row = r.choice([each.row_id for each in bench.wanted()])
        bench.cut(row)
        after = bench.plan()
        for name, before in expected.items():
            now = marks(after, name)
            kept = [each for each in before if each in now]
            assert len(before) - len(kept) <= (any(each[0] == row for each in before))
            assert now[: len(kept)] == kept
        left = sum((lot.inches * lot.count for lot in bench.rack.lots), F(0))
        assert left <= wood


def test_a_board_with_a_bad_part_is_begun_as_one() -> None:
    rack = Rack((Lot("x", 1, STUD, F(120), 2, bad=((F(50), F(60)),)),), 1)
    bench = Bench(rack, {"a": (F(34), 1)})
    bench.cut("a")
    # 50 and 60 in. are sound: 34 and a kerf leave 15-7/8; the other stretch lies there whole.
    assert sorted((lot.inches, lot.count, lot.leftover) for lot in bench.rack.lots) == [
        (F(127, 8), 1, True),
        (F(60), 1, True),
        (F(120), 1, False),
    ]


def test_a_printed_page_stays_true_while_it_is_worked_down() -> None:
    bench = Bench(lots((192, 3), (96, 4)), {"a": (F(80), 3), "b": (F(70), 3), "c": (F(20), 4)})
    made = bench.plan()
    assert made is not None
    page = printed([made], bench.rack, "page 1", bench.new_id)
    bench.rack = with_printed(bench.rack, page)
    on_paper = [[(p.row_id, p.start) for p in each.pieces] for each in page]
    order = [p.row_id for each in page for p in each.pieces]
    for row in order:
        bench.cut(row)
        assert breaches(bench.rack.boards, bench.wanted(), bench.rack.lots) == []
        now = bench.plan()
        for paper, each in zip(on_paper, page, strict=True):
            shown = marks(now, each.id)
            assert all(piece in paper for piece in shown)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda bench: bench.rows.pop("a"), "row gone"),
        (lambda bench: bench.rows.update(a=(F(81), 3)), "row changed"),
        (lambda bench: setattr(bench, "rack", replace(bench.rack, lots=())), "board gone"),
    ],
)
def test_from_which_board_on_a_page_no_longer_holds_is_known(
    change: Callable[[Bench], object], why: str
) -> None:
    bench = Bench(lots((192, 3)), {"b": (F(180), 1), "a": (F(80), 3)})
    made = bench.plan()
    assert made is not None
    page: tuple[BoardPlan, ...] = printed([made], bench.rack, "page 1", bench.new_id)
    bench.rack = with_printed(bench.rack, page)
    assert breaches(page, bench.wanted(), bench.rack.lots) == []
    change(bench)
    found = breaches(page, bench.wanted(), bench.rack.lots)
    first = (
        0
        if why == "board gone"
        else next(k for k, each in enumerate(page) if any(p.row_id == "a" for p in each.pieces))
    )
    assert found[0] == (page[first], why)
    now = bench.plan()
    if now is not None:
        assert now.breach == (page[first].place, why)


def test_a_printed_board_to_buy_is_taken_from_the_rack_once_it_lies_there() -> None:
    bench = Bench(Rack(), {"a": (F(90), 2)})
    made = bench.plan()
    assert made is not None
    bench.rack = with_printed(bench.rack, printed([made], bench.rack, "p", bench.new_id))
    (length,) = {board.inches for board in made.boards}
    bench.rack = replace(bench.rack, lots=(Lot("new", 1, STUD, length, 5),), given=1)
    now = bench.plan()
    assert now is not None
    assert not now.order
    assert [board.kept for board in now.boards] == [each.id for each in bench.rack.boards]
    bench.cut("a")
    assert bench.rack.lots[0].count == 4


def test_a_board_that_is_let_go_gives_back_its_free_end() -> None:
    bench = Bench(lots((192, 1)), {"a": (F(60), 2)})
    bench.cut("a")
    (kept,) = bench.rack.boards
    bench.rack = with_released(bench.rack, kept.board, CREW.shortest)
    assert bench.rack.boards == ()
    assert [(lot.inches, lot.leftover) for lot in bench.rack.lots] == [(F(1055, 8), True)]


# --- in a memo
# -------------------------------------------------------------------------------------------


def off(session: Desk) -> list[tuple[str, F]]:
    """Return what comes off the first board, in order."""
    (made,) = session.plans()
    return [(str(p.row), p.start) for p in made.boards[0].pieces]


def test_in_a_memo_a_begun_board_keeps_its_marks(session: Desk) -> None:
    session.add_boards(STUD, F(96), 4)
    session.add_boards(STUD, F(120), 3)
    session.add_boards(STUD, F(192), 2)
    for call in ("2 @ 92-5/8 2x4 stud", "2 @ 14-1/2 2x4 block", "84 2x4", "64 2x4"):
        session.call(call)
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    session.clear(session.find("1").id)
    assert off(session) == [("1", F(371, 4))]
    assert "begun" in boards_as_text(session.plans(), Settings())
    assert "2 pieces" not in rack_as_text(session.state.rack, Settings())
    assert "3a  begun" in rack_as_text(session.state.rack, Settings())


def test_in_a_memo_the_stub_for_a_planned_piece_stays(session: Desk) -> None:
    session.add_boards(STUD, F(96), 1)
    session.call("85 2x4 stud")
    session.call("10-1/2 2x4 block")
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    session.clear(session.find("1").id)
    assert off(session) == [("2", F(0))]
    assert order_as_text(session.plans(), session.state.rack, Settings()) == ""
    session.clear()
    assert (session.state.rack.lots, session.state.rack.boards) == ((), ())
    session.undo()
    assert off(session) == [("2", F(0))]
    session.undo()
    assert [lot.count for lot in session.state.rack.lots] == [1]


def test_begun_boards_go_from_memo_to_memo(session: Desk, tmp_path: Path) -> None:
    session.add_boards(Section(F(2), F(6)), F(192), 2)
    session.call("3 @ 30-1/16 2x6 brace miter 37 both ends long point")
    session.call("2 @ 20 2x6 miter 22.5 one end short point")
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    session.clear()
    assert session.state.rack.boards
    with open_store(tmp_path / "other.cutmemo") as store:
        other = Desk(store, "yard", "lee")
        other.take_in([to_line(event) for event in session.log])
        assert other.state.rack == session.state.rack
        assert other.plans() == session.plans()


def test_a_begun_board_is_taken_off_the_rack_by_its_name(session: Desk) -> None:
    session.add_boards(STUD, F(192), 1)
    session.call("2 @ 60 2x4")
    session.clear()
    session.change_boards("1a", count=0)
    assert session.state.rack.boards == ()
    session.undo()
    assert session.state.rack.boards != ()


def test_two_stations_apart_that_cut_from_one_board_leave_it_cut_by_both() -> None:
    bench = Bench(lots((192, 1)), {"a": (F(50), 1), "b": (F(40), 1), "c": (F(30), 1)})
    bench.cut("a")
    made = bench.plan()
    assert made is not None
    one = sawn_off(made, bench.rack, "b", 1, bench.new_id)
    other = sawn_off(made, bench.rack, "c", 1, bench.new_id)
    both = with_sawn(with_sawn(bench.rack, one, CREW.shortest), other, CREW.shortest)
    assert both.boards == ()
    assert [lot.inches for lot in both.lots] == [192 - 50 - 40 - 30 - F(3, 8)]


def test_boards_of_a_page_are_laid_before_the_memo_is_locked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whoever calls meanwhile does not wait for a search."""
    laying = importlib.import_module("cutmemo.planning.plan")
    laid: list[bool] = []

    class Locked(MemoryStore):
        now = False

        def record(self, *facts: Any, **more: Any) -> list[Event]:
            self.now = True
            try:
                return super().record(*facts, **more)
            finally:
                self.now = False

    store = Locked()
    lay = laying._laid
    monkeypatch.setattr(laying, "_laid", lambda *facts: laid.append(store.now) or lay(*facts))
    desk = Desk(store)
    desk.call("7 @ 83-3/16 2x4")
    for thorough in (False, True):
        laying._section_plan.cache_clear()
        desk.done(PrintBoards(thorough))
    assert laid
    assert not any(laid)


def test_in_a_memo_a_printed_page_stays_true_until_it_is_worked_down(session: Desk) -> None:
    session.add_boards(STUD, F(192), 2)
    session.call("6 @ 80 2x4")
    session.done(PrintBoards())
    (page,) = session.plans()
    paper = {board.number: [p.start for p in board.pieces] for board in page.boards}
    assert sorted(paper) == [1, 2, 3]  # two of the rack, and one to buy
    session.call("2 @ 20 2x4")
    while session.find("1").left:
        (now,) = session.plans()
        assert now.breach is None
        for board in now.boards:
            of_page = [p.start for p in board.pieces if p.row == 1]
            assert not of_page or paper[board.number][-len(of_page) :] == of_page
        session.clear(session.find("1").id)
    # What a page lays on a board to buy was cut off one that was bought: its rest lies there.
    assert [lot.count for lot in session.state.rack.lots if not lot.leftover] == []


def test_a_page_printed_again_says_the_same_and_writes_nothing(session: Desk) -> None:
    session.add_boards(STUD, F(192), 2)
    session.call("3 @ 80 2x4")
    session.done(PrintBoards())
    position = session.state.position
    session.done(PrintBoards())
    assert session.state.position == position
    shown = rack_as_text(session.state.rack, Settings())
    assert shown.endswith("2 boards of the printed page keep their plans, those to buy too.")
    session.call("20 in 2x4")
    session.done(PrintBoards())
    assert session.state.position == position + 2


def test_the_screen_says_from_which_board_on_a_page_no_longer_holds(session: Desk) -> None:
    session.add_boards(STUD, F(96), 3)
    for call in ("90 2x4", "80 2x4", "70 2x4"):
        session.call(call)
    session.done(PrintBoards())
    number = next(b.number for b in session.plans()[0].boards if b.pieces[0].row == 2)
    session.call("no, make that 71")
    session.strike(session.find("2").id)
    shown = boards_as_text(session.plans(), Settings())
    assert f"no longer holds from board {number} on: a row on it was struck" in shown
    assert "not on the printed page" in shown
    session.done(PrintBoards())
    assert "printed page" not in boards_as_text(session.plans(), Settings())


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"count": 1}, "board gone"),
        ({"inches": F(150)}, "board gone"),
        ({"bad": ((F(3), F(9)),)}, "board gone"),
        ({"count": 2}, None),
    ],
)
def test_a_printed_board_that_is_gone_or_other_than_thought_does_not_hold(
    session: Desk, change: dict[str, Any], why: str | None
) -> None:
    session.add_boards(STUD, F(192), 3)
    session.call("4 @ 80 2x4")
    session.done(PrintBoards())
    session.change_boards("1", **change)
    (made,) = session.plans()
    assert (made.breach[1] if made.breach is not None else None) == why
    assert sum(len(board.pieces) for board in made.boards) == 4
    for board in made.boards:
        if board.lot is not None:
            assert (board.start, board.start + board.inches) in board.lot.runs()


def test_printed_boards_are_let_go_and_that_is_taken_back(session: Desk) -> None:
    session.add_boards(STUD, F(192), 1)
    session.call("2 @ 80 2x4")
    session.done(PrintBoards())
    kept = session.state.rack.boards
    session.done(ReleaseBoards())
    assert session.state.rack.boards == ()
    session.undo()
    assert session.state.rack.boards == kept
    session.undo()
    assert session.state.rack.boards == ()


def test_a_begun_board_is_let_go_by_its_name(session: Desk) -> None:
    session.add_boards(STUD, F(192), 1)
    session.call("2 @ 60 2x4")
    session.clear()
    session.done(ReleaseBoards("1a"))
    assert [(lot.inches, lot.leftover) for lot in session.state.rack.lots] == [(F(1055, 8), True)]
    with refused(BadBoards, "9z"):
        session.done(ReleaseBoards("9z"))


def test_a_printed_board_with_a_bad_part_keeps_its_other_end_for_new_calls(session: Desk) -> None:
    session.add_boards(STUD, F(144), 1, bad=((F(60), F(70)),))
    session.call("50 2x4")
    session.done(PrintBoards())
    session.call("70 2x4")
    (made,) = session.plans()
    assert [(b.start, b.fetch, b.number) for b in made.boards] == [(F(0), 1, 1), (F(70), 1, 1)]
    session.clear(session.find("1").id)
    (made,) = session.plans()
    assert [(b.start, b.inches) for b in made.boards] == [(F(70), F(74))]


def test_a_piece_off_a_begun_board_is_no_waste(session: Desk) -> None:
    session.add_boards(STUD, F(192), 1)
    session.call("2 @ 90 2x4")
    session.clear()
    (made,) = session.plans()
    # 192 less two pieces and two kerfs leaves 11-3/4: with the second kerf that is the waste.
    assert made.waste(CREW.leftover) == F(47, 4) + F(1, 8)

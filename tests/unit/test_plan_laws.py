"""Laws of plans: steps that make them easier to cut, marks, what is kept of them, what a plan says of itself."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import STUD, only, wanted

from cutmemo.domain.settings import Settings
from cutmemo.planning import (
    Lot,
    Rack,
    Wanted,
    breaches,
    plan,
    printed,
    sawn_off,
    with_printed,
    with_released,
    with_sawn,
)
from cutmemo.planning.arrange import fewer_settings, gathered, whole_first
from cutmemo.planning.checker import faults
from cutmemo.planning.greedy import filled
from cutmemo.planning.layout import Board, Piece, SectionPlan
from cutmemo.planning.marks import in_saw_order, marked
from cutmemo.planning.problem import (
    Item,
    PackedBoard,
    Problem,
    StockType,
    objective,
)

CREW = Settings()
SIXTEENTH = F(1, 16)

# --- easier to cut -----------------------------------------------------------------------------------------


@settings(max_examples=70, deadline=None)
@given(st.integers(0, 10_000))
def test_steps_that_make_it_easier_to_cut_change_no_cost_and_lose_no_piece(seed: int) -> None:
    r = random.Random(seed)
    job = Problem(
        (StockType(24, 24), StockType(15, 15), StockType(12, 12, 2)),
        tuple(Item(r.randrange(3, 13), r.choice([1, 2, 3, 4])) for _ in range(4)),
    )
    boards = filled(job, r.randrange(6))
    assert boards is not None
    whole = [
        next((k for k, item in enumerate(job.items) if item.size == s.capacity), None)
        for s in job.stock
    ]
    fixed = [item is not None for item in whole]
    first = whole_first(job, boards, whole)
    fewer = fewer_settings(job, first, fixed)
    last = gathered(job, fewer, fixed)
    for after in (first, fewer, last):
        assert not faults(job, after)
        assert objective(job, after) == objective(job, boards)
        assert Counter(b.stock for b in after) == Counter(b.stock for b in boards)

    def wholes(of: tuple[PackedBoard, ...]) -> int:
        return sum(b.items == (whole[b.stock],) for b in of)

    def different(of: tuple[PackedBoard, ...]) -> int:
        return sum(len({*b.items}) for b in of if not fixed[b.stock])

    def longest_free(of: tuple[PackedBoard, ...]) -> int:
        rooms = [job.stock[b.stock].capacity - job.need(b.items) for b in of if not fixed[b.stock]]
        return max(rooms, default=0)

    assert wholes(first) >= wholes(boards)
    for k, board in enumerate(first):  # as far as there are any
        item = whole[board.stock]
        if item is not None and board.items != (item,):
            others = [b for j, b in enumerate(first) if j != k and item in b.items]
            assert all(whole[b.stock] == item for b in others)
    assert different(fewer) <= different(first)
    assert longest_free(last) >= longest_free(fewer)
    for one, other in zip(fewer, last, strict=True):
        if fixed[one.stock]:
            assert one == other


def test_two_boards_that_change_pieces_are_left_with_fewer_lengths() -> None:
    job = Problem((StockType(20, 20),), (Item(10, 3), Item(9, 3)))
    mixed = (PackedBoard(0, (0, 1)), PackedBoard(0, (1, 1)), PackedBoard(0, (0, 0)))
    assert fewer_settings(job, mixed, [False]) == mixed
    three = Problem((StockType(30, 30),), (Item(10, 3), Item(9, 3)))
    before = (PackedBoard(0, (0, 0, 1)), PackedBoard(0, (0, 1, 1)))
    after = fewer_settings(three, before, [False])
    assert sorted(len({*b.items}) for b in after) == [1, 1]


# --- marks ---------------------------------------------------------------------------------------------------


def test_pieces_come_short_ones_first_then_by_setting_then_the_longest() -> None:
    crew = Settings()
    rows = [
        Wanted(1, "1", F(40), 1, STUD, setting="miter 45"),
        Wanted(2, "2", crew.shortest, 1, STUD),
        Wanted(3, "3", crew.shortest - SIXTEENTH, 1, STUD, setting="miter 45"),
        Wanted(4, "4", F(60), 1, STUD),
        Wanted(5, "5", F(60), 1, STUD, setting="miter 45"),
        Wanted(6, "6", F(40), 1, STUD),
        Wanted(7, "7", F(60), 1, STUD),
    ]
    assert [each.row for each in in_saw_order(rows, crew)] == [3, 4, 7, 6, 2, 5, 1]
    after = (F(40), "miter 45")
    assert [each.row for each in in_saw_order(rows, crew, after)] == [3, 1, 4, 7, 6, 2, 5]


def test_marks_begin_behind_the_trim_and_a_kerf_apart() -> None:
    crew = Settings(kerf=F(1, 8))
    pieces, free = marked(wanted(40, 30, 20), F(1, 2), crew)
    assert [(p.start, p.end) for p in pieces] == [
        (F(1, 2), F(81, 2)),
        (F(325, 8), F(565, 8)),
        (F(283, 4), F(363, 4)),
    ]
    assert free == F(363, 4) + F(1, 8)
    assert not any(p.shares for p in pieces)
    assert marked([], F(3), crew) == ((), F(3))


# --- plans that are kept --------------------------------------------------------------------------------------


def _rack(*boards: tuple[int, int]) -> Rack:
    return Rack(
        tuple(Lot(f"lot{k}", k, STUD, F(n), count) for k, (n, count) in enumerate(boards, 1)),
        len(boards),
    )


def test_letting_go_of_one_printed_board_frees_the_page_and_of_a_begun_one_its_rest() -> None:
    numbers = itertools.count(1)

    def new_id() -> str:
        return f"id{next(numbers)}"

    rack = _rack((96, 3))
    rows = [
        Wanted(1, "a", F(90), 1, STUD),
        Wanted(2, "b", F(80), 1, STUD),
        Wanted(3, "c", F(70), 1, STUD),
    ]
    plans = plan(rows, rack.lots, CREW)
    rack = with_printed(rack, printed(plans, rack, "page", new_id))
    assert sorted(each.place for each in rack.boards) == [1, 2, 3]
    assert {each.page for each in rack.boards} == {"page"}
    gone, *others = sorted(rack.boards, key=lambda each: each.place)
    after = with_released(rack, gone.board, CREW.shortest)
    assert {each.id for each in after.boards} == {each.id for each in others}
    assert {(each.page, each.place) for each in after.boards} == {("", 0)}
    assert [lot.count for lot in after.lots] == [lot.count for lot in rack.lots]
    # Begun: the page goes on, and what is left lies on the rack.
    made = only(plan(rows, rack.lots, CREW, kept=rack.boards))
    cut = with_sawn(rack, sawn_off(made, rack, "c", 1, new_id), CREW.shortest)
    assert [lot.count for lot in cut.lots if not lot.leftover] == [2]
    rests = [lot for lot in cut.lots if lot.leftover]
    assert [(lot.inches, lot.count) for lot in rests] == [(96 - 70 - CREW.kerf, 1)]
    assert {each.page for each in cut.boards} == {"page"}


def test_a_rest_is_kept_from_the_shortest_length_on() -> None:
    for inches, kept in (
        (96 - CREW.kerf - CREW.shortest, True),
        (96 - CREW.kerf - CREW.shortest + SIXTEENTH, False),
    ):
        rack = _rack((96, 1))
        made = only(plan([Wanted(1, "a", inches, 1, STUD)], rack.lots, CREW))
        after = with_sawn(rack, sawn_off(made, rack, "a", 1, lambda: "id"), CREW.shortest)
        assert [lot.inches for lot in after.lots] == ([CREW.shortest] if kept else [])
        assert after.given == (2 if kept else 1)


def test_a_kept_plan_is_broken_by_a_row_gone_or_changed_or_a_board_gone() -> None:
    numbers = itertools.count(1)
    rack = _rack((96, 2))
    rows = [Wanted(1, "a", F(90), 2, STUD)]
    rack = with_printed(
        rack, printed(plan(rows, rack.lots, CREW), rack, "p", lambda: f"id{next(numbers)}")
    )

    def why(wants: list[Wanted], lots: tuple[Lot, ...]) -> list[tuple[int, str]]:
        return [(each.place, reason) for each, reason in breaches(rack.boards, wants, lots)]

    assert why(rows, rack.lots) == []
    assert why([replace(rows[0], count=1)], rack.lots) == [(2, "row gone")]
    assert why([replace(rows[0], inches=F(91))], rack.lots) == [
        (1, "row changed"),
        (2, "row changed"),
    ]
    assert why([], rack.lots) == [(1, "row gone"), (2, "row gone")]
    assert why(rows, (replace(rack.lots[0], count=1),)) == [(2, "board gone")]
    assert why(rows, ()) == [(1, "board gone"), (2, "board gone")]
    assert why(rows, (replace(rack.lots[0], inches=F(95)),)) == [
        (1, "board gone"),
        (2, "board gone"),
    ]


# --- what a plan says of itself -------------------------------------------------------------------------------


def _board(*lengths: int, inches: int = 96, lot: Lot | None = None, setting: str = "") -> Board:
    at, pieces = F(0), []
    for k, each in enumerate(lengths):
        pieces.append(Piece(k + 1, f"r{k}", F(each), at, setting=setting))
        at += each + F(1, 8)
    return Board(lot, F(0), F(inches), tuple(pieces), max(F(inches) - at, F(0)))


def test_a_plan_counts_inches_settings_and_boards() -> None:
    lot = Lot("a", 7, STUD, F(96), 2)
    boards = (
        replace(_board(40, 40, lot=lot), fetch=1),
        replace(_board(40, 40, lot=lot), fetch=2),
        replace(_board(40, 30), fetch=3),
        replace(_board(30, 20, inches=144), fetch=4),
        replace(_board(30, setting="miter"), fetch=5),
        replace(
            _board(50, lot=lot),
            fetch=6,
            begun=True,
            pieces=(Piece(1, "r", F(40), F(50)),),
            left=F(47, 8),
        ),
    )
    made = SectionPlan(STUD, boards)
    assert made.settings == 5  # 40; 30 behind it; 20; 30 at an angle; 40 anew
    assert made.order == {F(96): 2, F(144): 1}
    assert made.pull == {(7, F(96)): 2}
    assert (made.fetched, made.pieces) == (6, 10)
    assert made.laid_inches == 96 * 4 + 144 + (96 - 50)
    assert made.piece_inches == 80 + 80 + 70 + 50 + 30 + 40
    lefts = [F(63, 4), F(63, 4), F(103, 4), F(375, 4), F(527, 8), F(47, 8)]
    assert [b.left for b in boards] == lefts
    for least in (F(103, 4), F(103, 4) + SIXTEENTH):
        kept = sum((each for each in lefts if each >= least), F(0))
        assert made.kept(least) == kept
        assert made.waste(least) == made.laid_inches - made.piece_inches - kept
    assert made.waiting == {1: 3, 2: 2}


def test_what_is_proven_of_the_shown_boards_is_what_another_plan_proves_of_their_cost() -> None:
    shown = SectionPlan(STUD, (), proven=False, over=F(1, 10), cost=100, bound=90)
    assert shown.standing == "open"
    assert shown.proven_by(replace(shown, bound=95)).over == F(1, 20)
    assert shown.proven_by(replace(shown, bound=80)).over == F(1, 10)
    least = shown.proven_by(replace(shown, bound=100))
    assert [least.over, least.standing] == [0, "least board"]
    best = shown.proven_by(replace(shown, bound=100, proven=True))
    assert best.standing == "best"
    assert shown.proven_by(replace(shown, cost=98, bound=98, proven=True)).standing == "open"


@pytest.mark.parametrize("by", [F(0), SIXTEENTH, CREW.kerf, CREW.kerf + SIXTEENTH])
def test_a_piece_that_misses_a_board_by_a_kerf_is_told_and_by_more_is_not(by: F) -> None:
    lot = Lot("a", 1, STUD, F(96), 1)
    last = 96 - 50 - CREW.kerf + by
    made = only(plan([Wanted(1, "a", F(50), 1, STUD), Wanted(2, "b", last, 1, STUD)], [lot], CREW))
    told = [(short.by, short.board) for short in made.kerf_short]
    assert told == ([(by, 0)] if 0 < by <= CREW.kerf else [])

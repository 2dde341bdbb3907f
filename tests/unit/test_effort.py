"""How much is tried before a layout stands: counted, never timed, and ended where nothing can be better."""

from __future__ import annotations

from fractions import Fraction as F
from typing import Any

import pytest

from cutmemo.planning import arrange, enumeration, greedy, solver, spare
from cutmemo.planning.arrange import fewer_settings, gathered
from cutmemo.planning.bounds import boards_bound, cost_bound
from cutmemo.planning.enumeration import _TooMany, _Waste, patterns_within
from cutmemo.planning.exhaustive import is_small
from cutmemo.planning.greedy import quick
from cutmemo.planning.highs import Pattern
from cutmemo.planning.model import _scale
from cutmemo.planning.problem import (
    AT_ONCE,
    Boards,
    Effort,
    Item,
    PackedBoard,
    Problem,
    Solution,
    StockType,
)
from cutmemo.planning.solver import _part, _regrouped
from cutmemo.planning.spare import Kind, levels
from cutmemo.planning.stock import Source
from cutmemo.planning.wanted import Wanted


def job(pieces: int, stock: int = 1, cost: int = 10) -> Problem:
    return Problem(tuple(StockType(10, cost + k) for k in range(stock)), (Item(4, pieces),))


def board(cost_of: int) -> Boards:
    return (PackedBoard(cost_of, (0,)),)


# --- ways to begin -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pieces", "thorough", "fits", "fills"),
    [(60, True, 6, 24), (61, True, 6, 6), (60, False, 2, 1), (61, False, 2, 1), (1, True, 6, 24)],
)
def test_short_lists_are_filled_in_more_ways_than_long_ones(
    pieces: int, thorough: bool, fits: int, fills: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """First and best fit on any board, and on each of two for a while; then fills from seeds."""
    fitted: list[tuple[int | None, bool]] = []
    seeds: list[int] = []

    def fit(problem: Problem, only: int | None, tight: bool) -> None:
        fitted.append((only, tight))

    def filled(problem: Problem, seed: int) -> None:
        seeds.append(seed)

    monkeypatch.setattr(greedy, "fit", fit)
    monkeypatch.setattr(greedy, "filled", filled)
    assert quick(job(pieces, 2), 0, thorough) is None
    kinds: list[int | None] = [None, 0, 1] if thorough else [None]
    assert fitted == [(only, tight) for only in kinds for tight in (False, True)]
    assert len(fitted) == fits
    assert seeds == [*range(fills)]


@pytest.mark.parametrize(
    ("at", "least", "fills"), [(0, 10, 6), (3, 10, 6), (9, 10, 10), (3, 9, 24)]
)
def test_once_nothing_can_be_cheaper_six_fills_are_enough(
    at: int, least: int, fills: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    seeds: list[int] = []

    def filled(problem: Problem, seed: int) -> Boards:
        seeds.append(seed)
        return board(0 if seed == at else 1)

    monkeypatch.setattr(greedy, "fit", lambda *_: None)
    monkeypatch.setattr(greedy, "filled", filled)
    assert quick(job(4, 2), least) == board(0)
    assert seeds == [*range(fills)]


# --- every way, while there are few --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pieces", "limited", "small"), [(9, 3, True), (10, 3, False), (9, 4, False)]
)
def test_every_way_is_tried_for_nine_pieces_and_three_kinds_that_run_out(
    pieces: int, limited: int, small: bool
) -> None:
    stock = [StockType(10, 10, 1) for _ in range(limited)]
    assert is_small(Problem((*stock, StockType(10, 10)), (Item(4, pieces),))) is small
    stretches = StockType(10, 10, 1, board=1)
    assert not is_small(Problem((stretches, StockType(10, 10)), (Item(4, 2),)))


# --- long lists ----------------------------------------------------------------------------------------


def test_long_lists_are_laid_anew_group_by_group_until_three_in_a_row_gain_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[int] = []
    long = Problem((StockType(100, 100),), tuple(Item(9, 2) for _ in range(200)))
    boards = tuple(PackedBoard(0, (k, k)) for k in range(200))

    def nothing(problem: Problem, effort: Effort) -> None:
        asked.append(problem.pieces)

    monkeypatch.setattr(solver, "solve", nothing)
    assert _regrouped(long, boards, 0, AT_ONCE) == boards
    assert asked == [70, 70, 70]
    asked.clear()
    assert _regrouped(long, boards, 20_000, AT_ONCE) == boards  # already as cheap as can be
    assert asked == []

    def better(problem: Problem, effort: Effort) -> Solution:
        asked.append(problem.pieces)
        items = [k for k, item in enumerate(problem.items) for _ in range(item.demand)]
        pairs = (tuple(items[at : at + 2]) for at in range(4, len(items), 2))
        made = tuple(PackedBoard(0, each) for each in (tuple(items[:4]), *pairs))
        return Solution(made, 100 * len(made), 0, len(made), 0)

    monkeypatch.setattr(solver, "solve", better)
    found = _regrouped(long, boards, 0, AT_ONCE)
    assert len(asked) == 12
    assert len(found) == 200 - 12


def test_after_a_gain_three_tries_begin_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    long = Problem((StockType(100, 100),), tuple(Item(9, 2) for _ in range(200)))
    boards = tuple(PackedBoard(0, (k, k)) for k in range(200))
    gains = iter([False, False, True, False, False, True, *[False] * 9])
    tries: list[bool] = []

    def sometimes(problem: Problem, effort: Effort) -> Solution | None:
        tries.append(next(gains))
        number = len(problem.items)
        made = tuple(PackedBoard(0, (k, k)) for k in range(number - 1))
        return Solution(made, 100 * len(made), 0, len(made), 0) if tries[-1] else None

    monkeypatch.setattr(solver, "solve", sometimes)
    assert len(_regrouped(long, boards, 0, AT_ONCE)) == 198
    assert tries == [False, False, True, False, False, True, False, False, False]


def test_a_group_has_its_own_pieces_on_what_the_others_leave() -> None:
    whole = Problem(
        (StockType(100, 100, 5), StockType(100, 120)), (Item(9, 4), Item(8, 3), Item(7, 2))
    )
    group = [PackedBoard(1, (2, 0)), PackedBoard(0, (0,))]
    rest = [PackedBoard(0, (1, 1)), PackedBoard(0, (0, 0)), PackedBoard(1, (1, 2))]
    part, names = _part(whole, group, rest)
    assert names == [0, 2]
    assert [(item.size, item.demand) for item in part.items] == [(9, 2), (7, 1)]
    assert [stock.available for stock in part.stock] == [3, None]


# --- bounds ------------------------------------------------------------------------------------------------


def test_a_bound_is_exact_up_to_eight_thousand_steps_of_cost() -> None:
    one = Problem((StockType(10, 10), StockType(20, 21)), (Item(4, 2), Item(3, 1)))
    # 11 wide: a board and a tenth is 11, whole boards are 20.
    assert cost_bound(one, 8_000) == 20
    assert cost_bound(one, 8_001) == 11
    assert cost_bound(one, 20) == 20
    assert cost_bound(one, 11) == 11
    # The fewest boards: up to four times as many steps times boards.
    few = Problem((StockType(10, 10), StockType(15, 21)), (Item(16, 1),))
    assert boards_bound(few, 20, 2) == 2
    short = Problem((StockType(10, 1_000), StockType(14, 1_001)), (Item(25, 1),))
    cost = 3_000
    assert boards_bound(short, cost, 10) == 3
    assert boards_bound(short, cost, 11) == -(-cost // 1_001)


def test_no_more_than_two_thousand_sums_are_kept_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    sums = [(n, n) for n in range(2_000)]
    assert spare._thinned(sums) == sums
    more = spare._thinned([(n, n) for n in range(2_001)])
    assert len(more) == 1_001
    assert more[:2] == [(0, 1), (2, 3)]
    assert more[-1] == (2_000, 2_000)
    assert spare._thinned([(n, n) for n in range(4_002)])[0] == (0, 3)
    # Neighbours become one, to the safe side: no cost is missed and no spare is less.
    boards = [Kind(3, 3, 9), Kind(7, 8, 9)]
    exact = levels(boards, 20, 60)
    monkeypatch.setattr(spare, "MAX_STATES", 3)
    rough = levels(boards, 20, 60)
    assert rough[0].cost <= exact[0].cost
    for each in exact:
        assert max(r.spare for r in rough if r.cost <= each.cost) >= each.spare


# --- lists of patterns ------------------------------------------------------------------------------------


def test_a_search_gives_up_after_forty_steps_for_each_pattern_it_may_list(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    steps: list[int] = []

    class Counted:
        def __init__(self, problem: Problem, prices: object, visits: Any) -> None:
            steps.append(len(list(visits)))

        def within(self, *_: object) -> list[Any]:
            return []

    monkeypatch.setattr(enumeration, "_Search", Counted)
    waste = _Waste.at(job(3), (1,))
    for number in (1, 7, 150):
        assert patterns_within(waste, 5, number) == []
    assert steps == [40, 280, 6_000]


def test_tables_of_more_than_three_million_cells_are_not_made(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(enumeration, "MAX_CELLS", 40)
    for capacity, fits in ((20, True), (21, False)):
        square = Problem((StockType(capacity, 10),), (Item(4, 3), Item(5, 3)))
        waste = _Waste.at(square, (1, 1))
        if fits:
            assert patterns_within(waste, 0, 100)
        else:
            with pytest.raises(_TooMany):
                patterns_within(waste, 0, 100)


@pytest.mark.parametrize(
    ("patterns", "listed"),
    [(4_000, [300, 1_200, 4_000]), (600, [300, 600]), (300, [300]), (150, [150])],
)
def test_four_times_as_many_patterns_are_listed_each_time_up_to_the_effort(
    patterns: int, listed: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes: list[int] = []

    def some(waste: _Waste, left: list[Any], size: int) -> tuple[int, list[Pattern]]:
        sizes.append(size)
        return 0, []

    monkeypatch.setattr(enumeration, "_listed", some)
    monkeypatch.setattr(enumeration, "_least_wasting", lambda *_: [(0, ((0, 1),))])
    monkeypatch.setattr(enumeration, "_within", lambda *_: (None, True))
    monkeypatch.setattr(enumeration, "_cheaper", lambda *given: given[2])
    waste = _Waste.at(job(3), (5,))
    boards = (PackedBoard(0, (0,)),) * 3
    effort = Effort(patterns, patterns, 1_000_000, 1)
    enumeration._cheapest(waste, [], boards, 0, effort)
    assert sizes == listed


def test_of_what_is_wasted_less_and_less_is_listed_while_it_is_too_much(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A third of the levels each time, then a third of the waste of the lowest, down to a thirtieth."""
    asked: list[int] = []

    def too_many(waste: object, most: int, number: int) -> None:
        asked.append(most)
        raise _TooMany

    monkeypatch.setattr(enumeration, "patterns_within", too_many)
    left: Any = [spare.Level(10 * n, 90 * n) for n in range(1, 11)]
    assert enumeration._listed(None, left, 5) == (0, [])  # type: ignore[arg-type]  # not looked at
    assert asked == [900, 360, 180, 90, 30, 10, 3]


# --- easier to cut ------------------------------------------------------------------------------------------


def test_eight_thousand_pairs_of_boards_are_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[int] = []

    def unchanged(*_: object) -> None:
        looked.append(1)

    monkeypatch.setattr(arrange, "_exchanged", unchanged)
    two = Problem((StockType(20, 20),), tuple(Item(9, 1) for _ in range(300)))
    for boards, pairs in ((126, 7_875), (127, 8_000)):
        looked.clear()
        made = tuple(PackedBoard(0, (2 * k % 300, (2 * k + 1) % 300)) for k in range(boards))
        assert fewer_settings(two, made, [False]) == made
        assert len(looked) == pairs


def test_the_emptiest_board_gives_its_pieces_to_those_with_the_least_room_for_them() -> None:
    jobs = Problem((StockType(20, 20), StockType(30, 30)), (Item(8, 1), Item(6, 3), Item(3, 4)))
    full, near, empty = PackedBoard(0, (0, 1, 1)), PackedBoard(0, (1, 2, 2)), PackedBoard(1, (2, 2))
    # Rooms: 0, 8 and 24; a piece of 3 goes to the near one, the last stays.
    assert gathered(jobs, (full, near, empty), [False, False]) == (
        full,
        PackedBoard(0, (1, 2, 2, 2)),
        PackedBoard(1, (2,)),
    )
    fixed = gathered(jobs, (full, near, empty), [True, False])
    assert fixed == (full, near, empty)
    assert gathered(jobs, (near,), [False, False]) == (near,)


# --- whole numbers --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("parts", "count", "scale"),
    [
        ((1, 1), 13, 1),
        ((8, 3), 13, 24),
        ((64, 3), 13, 192),
        ((64, 1), 13, 64),
        ((193, 1), 13, 64),
        ((64, 5), 13, 64),
        ((192, 1), 13, 192),
        ((193, 1), 12, 193),
        ((64, 5), 12, 320),
    ],
)
def test_lengths_are_whole_numbers_up_to_a_192nd_of_an_inch_and_finer_for_few_pieces(
    parts: tuple[int, int], count: int, scale: int
) -> None:
    from cutmemo.domain.settings import Settings

    one, other = parts
    crew = Settings(kerf=F(1), trim=F(0))
    found = [Source(None, F(0), F(96) + F(1, other), None)]
    todo = [Wanted(1, "r", 36 + F(1, one), count, None)]
    assert _scale(found, todo, crew) == scale

"""How a layout is fixed step by step: patterns cut, rests filled, fractions rounded, dives, and the best of all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from cutmemo.planning import column_generation as columns
from cutmemo.planning.column_generation import (
    _dived,
    _Master,
    _Partial,
    _rounded,
    cut_by,
    improve,
)
from cutmemo.planning.enumeration import (
    Proof,
    _cut_by,
)
from cutmemo.planning.highs import Pattern, infinity
from cutmemo.planning.problem import AT_ONCE, Boards, Item, PackedBoard, Problem, StockType, cost_of


def test_patterns_are_cut_without_a_piece_or_a_board_too_many() -> None:
    job = Problem((StockType(20, 10, 2), StockType(20, 11)), (Item(5, 5), Item(4, 2)))
    pattern: Pattern = (0, ((0, 2), (1, 1)))
    for number, made in (
        (0, []),
        (1, [(0, 0, 1)]),
        (2, [(0, 0, 1), (0, 0, 1)]),
        (9, [(0, 0, 1), (0, 0, 1)]),
    ):
        partly = _Partial(job)
        partly.fix(pattern, number)
        assert [board.items for board in partly.boards] == made
        assert partly.todo == [5 - 2 * len(made), 2 - len(made)]
        assert partly.left == [2 - len(made), None]
    endless = _Partial(job)
    endless.fix((1, ((0, 2), (1, 1))), 9)
    assert [board.items for board in endless.boards] == [(0, 0, 1), (0, 0, 1), (0,)]
    assert endless.left == [2, None]
    every: list[Pattern] = [pattern, (1, ((0, 3),))]
    assert [(b.stock, b.items) for b in cut_by(job, every, [2, 1]) or ()] == [
        (0, (0, 0, 1)),
        (0, (0, 0, 1)),
        (1, (0,)),
    ]
    assert _cut_by(job, every, [2, 1]) == cut_by(job, every, [2, 1])
    assert _cut_by(job, every, [0, 1]) == (PackedBoard(1, (0, 0, 0)),)
    # What is not cut by a pattern is filled; where boards run out there is nothing.
    rest = cut_by(job, every, [0, 1])
    assert rest is not None
    assert sorted(item for board in rest for item in board.items) == [0] * 5 + [1] * 2
    # By the patterns as they are, though a fill would take the cheaper board for both.
    dear = Problem((StockType(20, 10), StockType(20, 11)), (Item(5, 1), Item(4, 1)))
    apart: list[Pattern] = [(0, ((0, 1),)), (1, ((1, 1),))]
    assert cut_by(dear, apart, [1, 1]) == (PackedBoard(0, (0,)), PackedBoard(1, (1,)))
    few = Problem((StockType(5, 1, 2),), (Item(5, 3),))
    assert cut_by(few, [(0, ((0, 1),))], [2]) is None


def test_what_is_left_is_filled_six_ways_and_the_cheapest_is_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    job = Problem((StockType(10, 6, 9), StockType(10, 9)), (Item(5, 4),))
    tried: list[tuple[int, list[int], list[int | None]]] = []
    dear, cheap = (PackedBoard(1, (0, 0)),), (PackedBoard(0, (0, 0)),)

    def fill(problem: Problem, seed: int, todo: list[int], left: list[int | None]) -> Boards | None:
        tried.append((seed, list(todo), list(left)))
        return (dear, None, dear, cheap, dear, dear)[seed]

    monkeypatch.setattr(columns, "filled", fill)
    assert cut_by(job, [(0, ((0, 2),))], [1]) == (PackedBoard(0, (0, 0)), *cheap)
    assert tried == [(seed, [2], [8, None]) for seed in range(6)]
    assert cut_by(job, [(0, ((0, 2),))], [2]) == (PackedBoard(0, (0, 0)),) * 2


class Fixed:
    """A programme whose fractions are known; what is asked of it is noted."""

    def __init__(self, patterns: list[Pattern], values: list[float], bound: int = 0) -> None:
        self.patterns, self.values, self.bound = patterns, values, bound
        self.asked: list[list[int]] = []

    def set_right_hand_sides(self, todo: Sequence[int], left: Sequence[int | None]) -> None:
        self.asked.append(list(todo))

    def solve(self, rounds: int, enough: int) -> tuple[list[float], int]:
        return self.values, self.bound


def first_fixed(values: list[float], seed: int, pieces: int = 5) -> list[int]:
    """Return which items have a board to themselves after the first step of a dive, given what each pattern is worth."""
    job = Problem((StockType(10, 1),), tuple(Item(5, pieces) for _ in values))
    master: Any = Fixed([(0, ((k, 1),)) for k in range(len(values))], values)
    _dived(job, master, seed, 10**9)
    before, after = master.asked[0], master.asked[1]
    return [k for k, (a, b) in enumerate(zip(before, after, strict=True)) for _ in range(a - b)]


def test_a_dive_fixes_what_is_whole_and_else_what_is_most_nearly_so() -> None:
    assert first_fixed([0.2, 0.9, 0.4, 0.6], 0) == [1]
    assert first_fixed([0.2, 0.4, 0.6, 0.9], 0) == [3]
    assert first_fixed([0.2, 1.0, 0.4, 0.9], 0) == [1]
    assert first_fixed([0.2, 2.7, 0.4, 1.0], 0) == [1, 1, 3]
    assert first_fixed([0.2, 0.9999999, 0.4, 0.9], 0) == [1]
    # A board more at a time for every sixty pieces.
    assert first_fixed([0.2, 0.9, 0.4, 0.6], 0, pieces=14) == [1]
    assert first_fixed([0.2, 0.9, 0.4, 0.6], 0, pieces=15) == [1, 3]
    assert first_fixed([0.2, 0.9, 0.4, 0.6], 0, pieces=30) == [1, 2, 3]
    # Other tries take one of the three that are most nearly whole, each its own.
    others = [first_fixed([0.2, 0.9, 0.4, 0.6, 0.1], seed) for seed in range(1, 40)]
    assert {tuple(each) for each in others} == {(1,), (2,), (3,)}
    assert others == [first_fixed([0.2, 0.9, 0.4, 0.6, 0.1], seed) for seed in range(1, 40)]


def test_a_dive_ends_where_it_can_cost_no_less() -> None:
    job = Problem((StockType(10, 2),), (Item(5, 4),))
    one: Pattern = (0, ((0, 1),))
    for bound, cost, steps in ((3, 3, 1), (3, 4, 2), (0, 1, 2), (0, 2, 3), (0, 9, 4)):
        master: Any = Fixed([one], [1.0], bound)
        made = _dived(job, master, 0, cost)
        assert len(master.asked) == steps
        assert made is not None
        assert sorted(item for board in made for item in board.items) == [0] * 4
    # Nothing to fix: the rest is filled.
    for seed in (0, 1):
        master = Fixed([one], [0.0])
        made = _dived(job, master, seed, 99)
        assert made is not None
        assert (len(master.asked), cost_of(job, made)) == (1, 4)


COSTLY = Problem((StockType(10, 6), StockType(10, 9)), (Item(5, 2),))
"""In steps of 3."""
DEAR, MIDDLING, CHEAP = (
    tuple(PackedBoard(stock, (0,)) for stock in stocks) for stocks in ((1, 1), (0, 1), (0, 0))
)
"""Boards for 18, 15 and 12."""


@pytest.mark.parametrize(
    ("rounded", "listed", "bound", "proven", "dives", "ends"),
    [
        (None, DEAR, 2, 0, [DEAR, DEAR], (DEAR, 6, 0, 2)),
        (MIDDLING, MIDDLING, 2, 0, [DEAR, DEAR], (MIDDLING, 6, 0, 2)),
        (MIDDLING, CHEAP, 2, 9, [DEAR, DEAR], (CHEAP, 9, 0, 2)),
        (MIDDLING, CHEAP, 2, 12, [], (CHEAP, 12, 7, 0)),
        (CHEAP, CHEAP, 4, 9, [], (CHEAP, 12, 7, 0)),
        (DEAR, DEAR, 2, 15, [MIDDLING], (MIDDLING, 15, 0, 1)),
        (DEAR, DEAR, 2, 12, [None, MIDDLING], (MIDDLING, 12, 0, 2)),
        (DEAR, DEAR, 2, 12, [MIDDLING, DEAR], (MIDDLING, 12, 0, 2)),
    ],
)
def test_the_cheapest_of_all_ways_stands_with_the_best_bound(
    monkeypatch: pytest.MonkeyPatch,
    rounded: Boards | None,
    listed: Boards,
    bound: int,
    proven: int,
    dives: list[Boards | None],
    ends: tuple[Boards, int, int, int],
) -> None:
    """Rounding, then the patterns listed, then dives, each only where what came before is not proven."""
    asked: list[tuple[object, ...]] = []
    dived: list[int] = []

    def solved(self: _Master, rounds: int, enough: int, least: int) -> tuple[list[float], int]:
        asked.append((enough, least))
        self.prices = (1,)
        return [], bound

    def proof(*given: Any) -> Proof:
        asked.append((given[1], given[3], given[4], given[6]))
        return Proof(listed, proven, 7)

    def dive(problem: Problem, master: object, seed: int, cost: int) -> Boards | None:
        dived.append(cost)
        return dives[seed]

    monkeypatch.setattr(_Master, "solve", solved)
    monkeypatch.setattr(columns, "_rounded", lambda *_: rounded)
    monkeypatch.setattr(columns, "proven_best", proof)
    monkeypatch.setattr(columns, "_dived", dive)
    effort = replace(AT_ONCE, dives=max(len(dives), 1))
    found = improve(COSTLY, DEAR, 5, effort, count=False)
    boards, cost_bound, boards_bound, tries = ends
    assert (found.boards, found.cost_bound, found.boards_bound) == (
        boards,
        cost_bound,
        boards_bound,
    )
    assert len(dived) == tries
    best = DEAR if rounded is None else rounded
    assert asked == [(18 // 3, 5 // 3), ((1,), best, 3 * bound, False)]


def test_the_first_patterns_are_those_of_the_start_and_of_four_fills(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seeds: list[int] = []
    made: list[Boards] = []

    def fill(problem: Problem, seed: int) -> Boards | None:
        seeds.append(seed)
        return None if seed == 1 else (PackedBoard(seed % 2, (0, 0)),)

    def begun(self: _Master, problem: Problem, start: Boards) -> None:
        made.append(start)
        raise RuntimeError

    monkeypatch.setattr(columns, "filled", fill)
    monkeypatch.setattr(_Master, "__init__", begun)
    with pytest.raises(RuntimeError):
        improve(COSTLY, DEAR, 0)
    assert seeds == [0, 1, 2, 3]
    assert made == [(*DEAR, *(PackedBoard(k, (0, 0)) for k in (0, 0, 1)))]


def test_fractions_are_rounded_at_several_thresholds_and_the_best_is_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A pattern counts from 1, 0.9, 0.75, 0.6 or 0.5 of a board on; what they leave is filled."""
    job = Problem((StockType(10, 1),), (Item(5, 9),))
    tried: list[list[int]] = []

    def noted(problem: Problem, patterns: Sequence[Pattern], numbers: Sequence[int]) -> None:
        tried.append(list(numbers))

    monkeypatch.setattr(columns, "cut_by", noted)
    values = [0.0, 0.49, 0.5, 0.59, 0.6, 0.74, 0.75, 0.89, 0.9, 0.99, 1.0, 1.49, 1.5, 2.0]
    assert _rounded(job, [], values) is None
    whole = [int(value) for value in values]
    expected = []
    for threshold in (1.0, 0.9, 0.75, 0.6, 0.5):
        expected.append([n + (v - n >= threshold) for v, n in zip(values, whole, strict=True)])
    assert tried == expected
    costs = {1.0: 9, 0.9: 4, 0.75: 2, 0.6: 7, 0.5: 3}
    each = iter(costs.values())
    monkeypatch.setattr(columns, "cut_by", lambda *_: (PackedBoard(0, (0,)),) * next(each))
    assert len(_rounded(job, [], values) or ()) == 2


def test_a_limit_of_the_solver_is_no_number() -> None:
    assert infinity() > 1e29

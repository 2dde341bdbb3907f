"""What a board can hold at given prices, which patterns are worth listing, and how a layout is fixed step by step: all against every way counted."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import pytest

from cutmemo.planning import column_generation as columns
from cutmemo.planning.column_generation import (
    SCALE,
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
    _dominated,
    _least_wasting,
    _TooMany,
    _Waste,
    patterns_within,
)
from cutmemo.planning.exhaustive import best_of_all
from cutmemo.planning.greedy import fit
from cutmemo.planning.highs import Pattern, infinity, programme, whole_numbers
from cutmemo.planning.pricing import Counts, Pricing
from cutmemo.planning.problem import AT_ONCE, Boards, Item, PackedBoard, Problem, StockType, cost_of
from cutmemo.planning.spare import Kind, levels


def some_job(r: random.Random, slanted: bool) -> Problem:
    """Return a few boards and items, some of them of families with open ends."""
    charges = tuple(r.randrange(4) for _ in range(r.choice([1, 2]))) if slanted else ()
    stock = [
        StockType(r.randrange(10, 26), r.randrange(1, 30), r.choice([None, None, 1, 2]))
        for _ in range(r.choice([1, 2, 3]))
    ]
    items = []
    for _ in range(r.choice([1, 2, 3])):
        family = r.choice([None, *range(len(charges))])
        size = r.randrange(8, 12) if family is not None else r.randrange(2, 12)
        items.append(Item(size, r.randrange(1, 5), family, r.random() < 0.5))
    return Problem(tuple(stock), tuple(items), charges, slanted and r.random() < 0.5)


def every_way(job: Problem, counts: Sequence[int], room: int) -> Iterator[tuple[int, ...]]:
    """Yield every choice of items that one board of *room* holds, as numbers of each."""
    for numbers in itertools.product(*(range(most + 1) for most in counts)):
        if job.need([k for k, number in enumerate(numbers) for _ in range(number)]) <= room:
            yield numbers


def worth_of(numbers: Sequence[int], prices: Sequence[int]) -> int:
    return sum(number * price for number, price in zip(numbers, prices, strict=True))


def listed(numbers: Sequence[int]) -> Counts:
    return tuple((k, number) for k, number in enumerate(numbers) if number)


JOBS = [(seed, slanted) for seed in range(30) for slanted in (False, True)]


@pytest.mark.parametrize("unit", [1, 1 << 40])
@pytest.mark.parametrize(("seed", "slanted"), JOBS)
def test_in_every_room_the_dearest_pieces_are_found_and_fit(
    seed: int, slanted: bool, unit: int
) -> None:
    """Prices are parts of a cost step in a million, and a board may cost a million steps."""
    r = random.Random(seed)
    job = some_job(r, slanted)
    counts = [r.randrange(item.demand + 1) for item in job.items]
    prices = [unit * r.choice([0, 1, 3, 5, 8]) for _ in job.items]
    pricing = Pricing(job, counts)
    table = pricing.table(prices)
    for room in range(max(each.capacity for each in job.stock) + 1):
        most = max(worth_of(way, prices) for way in every_way(job, counts, room))
        assert pricing.worth(table, room) == most
        best = dict(pricing.best(table, room))
        numbers = [best.get(k, 0) for k in range(len(job.items))]
        assert worth_of(numbers, prices) == most
        assert all(number <= count for number, count in zip(numbers, counts, strict=True))
        assert job.need([k for k, n in enumerate(numbers) for _ in range(n)]) <= room
    assert pricing.worth(table, -1) == 0


@pytest.mark.parametrize(("seed", "slanted"), JOBS)
def test_every_full_pattern_that_wastes_no_more_is_listed_once(seed: int, slanted: bool) -> None:
    """Full: nothing more fits on it. A board that a cheaper endless one could be as well is left out."""
    r = random.Random(seed)
    job = some_job(r, slanted)
    prices = tuple(r.choice([0, 1, 3, 5, 8]) for _ in job.items)
    waste = _Waste.at(job, prices)
    demands = [item.demand for item in job.items]
    for k, stock in enumerate(job.stock):
        ways = [*every_way(job, demands, stock.capacity)]
        assert waste.worth[k] == max(worth_of(way, prices) for way in ways)
    for most in (0, 2, 9, 1000):
        expected = set()
        for k, stock in enumerate(job.stock):
            larger = [
                each
                for j, each in enumerate(job.stock)
                if each.available is None
                and each.capacity >= stock.capacity
                and (each.cost, -each.capacity, j) < (stock.cost, -stock.capacity, k)
            ]
            assert _dominated(job, k) is bool(larger)
            if larger:
                continue
            cheaper = [
                each.capacity
                for each in job.stock
                if each.available is None and each.cost < stock.cost
            ]
            ways = [*every_way(job, demands, stock.capacity)]
            for way in ways:
                more = [
                    other
                    for other in ways
                    if sum(other) == sum(way) + 1
                    and all(a >= b for a, b in zip(other, way, strict=True))
                ]
                need = job.need([j for j, n in enumerate(way) for _ in range(n)])
                wasted = waste.worth[k] - worth_of(way, prices)
                if any(way) and not more and need > max(cheaper, default=-1) and wasted <= most:
                    expected.add((k, listed(way)))
                    assert waste.of((k, listed(way))) == wasted
        found = patterns_within(waste, most, 5000)
        assert len(found) == len({*found})
        assert {*found} == expected
        by_waste = _least_wasting(waste, found, 3)
        assert [waste.of(each) for each in by_waste] == sorted(
            waste.of(each) for each in found if waste.of(each) <= 3
        )
        if len(expected) > 1:
            with pytest.raises(_TooMany):
                patterns_within(waste, most, len(expected) - 1)


@pytest.mark.parametrize("seed", range(40))
def test_levels_are_the_costs_at_which_boards_are_worth_more_than_at_any_before(seed: int) -> None:
    r = random.Random(seed)
    boards = [
        Kind(r.randrange(8), r.randrange(9), r.randrange(4)) for _ in range(r.choice([1, 2, 3, 4]))
    ]
    need, most = r.randrange(1, 25), r.randrange(25)
    best: dict[int, int] = {}
    for numbers in itertools.product(*(range(each.number + 1) for each in boards)):
        cost = sum(n * each.cost for n, each in zip(numbers, boards, strict=True))
        worth = sum(n * each.worth for n, each in zip(numbers, boards, strict=True))
        if cost <= most:
            best[cost] = max(best.get(cost, -1), worth)
    expected, held = [], need - 1
    for cost in sorted(best):
        if best[cost] > held:
            held = best[cost]
            expected.append((cost, held - need))
    assert [(each.cost, each.spare) for each in levels(boards, need, most)] == expected


# --- the programme over patterns ---------------------------------------------------------------------


def full_programme(job: Problem) -> tuple[float, bool]:
    """Return the least cost in parts of boards over every pattern there is, and whether there is one."""
    patterns: list[Pattern] = []
    for k, stock in enumerate(job.stock):
        for way in every_way(job, [item.demand for item in job.items], stock.capacity):
            if any(way):
                patterns.append((k, listed(way)))
    solver = programme(job, patterns, [float(stock.cost) for stock in job.stock])
    solver.run()
    info = solver.getInfo()
    return float(info.objective_function_value), bool(info.primal_solution_status == 2)


@pytest.mark.parametrize("seed", range(40))
def test_the_bound_is_that_of_all_patterns_and_stands_on_prices_that_no_board_beats(
    seed: int,
) -> None:
    r = random.Random(seed)
    job = some_job(r, slanted=seed % 2 == 1)
    job = Problem(
        (*job.stock, StockType(26, r.randrange(20, 60))), job.items, job.charges, job.nested
    )
    start = tuple(
        PackedBoard(len(job.stock) - 1, (k,))
        for k, item in enumerate(job.items)
        for _ in range(item.demand)
    )
    master = _Master(job, start)
    values, bound = master.solve(400, 10**9)
    whole, feasible = full_programme(job)
    assert feasible
    step = job.cost_step
    assert whole / step - 0.001 <= bound < whole / step + 1 + 0.001
    # What the fractions are worth and hold: no dearer than the bound says, and every piece.
    assert len(values) == len(master.patterns)
    spent = sum(v * job.stock[k].cost for v, (k, _) in zip(values, master.patterns, strict=True))
    assert spent == pytest.approx(whole, abs=0.01)
    # The prices: the dearest pieces of a board cost no more than it, but for the price of its limit.
    assert master.prices is not None
    table = Pricing(job, [item.demand for item in job.items]).table(list(master.prices))
    proven = sum(p * item.demand for p, item in zip(master.prices, job.items, strict=True))
    for stock in job.stock:
        over = Pricing(job, [item.demand for item in job.items]).worth(table, stock.capacity)
        over -= stock.cost // step * SCALE
        if stock.available is None:
            assert over <= len(job.items) * 8
        else:
            proven -= max(over, 0) * stock.available
    assert -(-proven // SCALE) == bound


def test_bounds_from_before_and_enough_of_one_end_the_search() -> None:
    job = Problem((StockType(10, 10),), (Item(5, 4), Item(3, 4)))
    start = tuple(PackedBoard(0, (k,)) for k in (0, 0, 0, 0, 1, 1, 1, 1))
    assert _Master(job, start).solve(400, 10**9)[1] == 4  # 32 wide at 10 each, in boards of ten
    assert _Master(job, start).solve(400, 10**9, bound=7)[1] == 7
    at_once = _Master(job, start)
    before = len(at_once.patterns)
    values, bound = at_once.solve(400, 0)
    assert (len(at_once.patterns), bound >= 0) == (before, True)
    assert sum(values) == pytest.approx(8)


def test_boards_that_cost_nothing_have_prices_too() -> None:
    master = _Master(Problem((StockType(10, 0),), (Item(5, 4),)), (PackedBoard(0, (0,)),) * 4)
    assert master.solve(400, 10**9)[1] == 0
    assert master.prices == (0,)
    # Beside boards at a price: what they do not hold is paid for.
    job = Problem((StockType(4, 0), StockType(10, 7)), (Item(5, 3), Item(3, 2)))
    start = tuple(PackedBoard(1, (k,)) for k in (0, 0, 0, 1, 1))
    assert _Master(job, start).solve(400, 10**9)[1] == 2  # 10-1/2 in steps of 7


@pytest.mark.parametrize("seed", range(60))
def test_no_bound_is_above_the_best_where_the_yard_gives_some_boards_for_nothing(seed: int) -> None:
    r = random.Random(seed)
    stock = (
        StockType(r.randrange(3, 8), 0),
        StockType(r.randrange(12, 20), 7),
        StockType(r.randrange(10, 16), 5),
    )
    job = Problem(stock, tuple(Item(r.randrange(2, 9), r.randrange(1, 4)) for _ in range(3)))
    best = best_of_all(job)
    start = fit(job)
    assert best is not None
    assert start is not None
    found = improve(job, start, 0)
    assert found.cost_bound <= cost_of(job, best) <= cost_of(job, found.boards)


def test_asking_for_less_on_fewer_boards_is_a_programme_of_that() -> None:
    job = Problem((StockType(10, 8, 4), StockType(12, 12)), (Item(5, 4), Item(4, 6)))
    start = tuple(PackedBoard(1, (k,)) for k in (0,) * 4 + (1,) * 6)
    master = _Master(job, start)
    master.solve(400, 10**9)
    for todo, left in (
        ([2, 3], [4, None]),
        ([4, 0], [1, None]),
        ([0, 6], [0, None]),
        ([1, 1], [2, None]),
    ):
        master.set_right_hand_sides(todo, left)
        before = len(master.patterns)
        values, bound = master.solve(400, 10**9)
        part = Problem(
            (StockType(10, 8, left[0]), StockType(12, 12)),
            tuple(Item(item.size, n) for item, n in zip(job.items, todo, strict=True) if n),
        )
        whole, feasible = full_programme(part)
        assert feasible
        assert whole / 4 - 0.001 <= bound < whole / 4 + 1.001
        assert (master.todo, master.left) == (todo, left)
        made, used = [0.0, 0.0], [0.0, 0.0]
        for value, (stock, counts) in zip(values, master.patterns, strict=True):
            used[stock] += value
            for item, count in counts:
                made[item] += value * count
        assert all(m >= n - 1e-6 for m, n in zip(made, todo, strict=True))
        assert 8 * used[0] + 12 * used[1] == pytest.approx(whole, abs=0.01)
        assert all(n is None or u <= n + 1e-6 for u, n in zip(used, left, strict=True))
        if left[0] == 0:
            assert all(stock == 1 for stock, _ in master.patterns[before:])


@pytest.mark.parametrize("seed", range(30))
def test_whole_numbers_are_the_least_of_every_way(seed: int) -> None:
    r = random.Random(seed)
    stock = tuple(
        StockType(20, r.randrange(1, 9), r.choice([None, 1, 2])) for _ in range(r.choice([1, 2]))
    )
    job = Problem(stock, tuple(Item(3, r.randrange(1, 4)) for _ in range(2)))
    patterns: list[Pattern] = [
        (r.randrange(len(stock)), ((0, r.randrange(1, 3)), (1, r.randrange(1, 3))))
        for _ in range(4)
    ]
    patterns = list(dict.fromkeys(patterns))
    ways = []
    for numbers in itertools.product(range(4), repeat=len(patterns)):
        made = [0, 0]
        used = [0] * len(stock)
        for number, (k, counts) in zip(numbers, patterns, strict=True):
            used[k] += number
            for item, count in counts:
                made[item] += number * count
        enough = all(m >= item.demand for m, item in zip(made, job.items, strict=True))
        there = all(
            s.available is None or u <= s.available for u, s in zip(used, stock, strict=True)
        )
        if enough and there:
            ways.append((sum(u * s.cost for u, s in zip(used, stock, strict=True)), sum(used)))
    found, ended = whole_numbers(job, patterns, [s.cost for s in stock], 10_000)
    assert ended
    if not ways:
        assert found is None
        return
    assert found is not None
    cost = sum(n * stock[k].cost for n, (k, _) in zip(found, patterns, strict=True))
    assert cost == min(ways)[0]
    # Held to a cost, the fewest boards; a limit that no way keeps is none.
    for most in (cost, cost + 3):
        limit = [s.cost for s in stock], most
        fewest, ended = whole_numbers(
            job, patterns, [s.cost for s in stock], 10_000, limit=limit, count_boards=True
        )
        assert ended
        assert fewest is not None
        assert sum(fewest) == min(number for spent, number in ways if spent <= most)
    below = [s.cost for s in stock], cost - 1
    assert whole_numbers(job, patterns, [s.cost for s in stock], 10_000, limit=below) == (
        None,
        True,
    )


# --- step by step -----------------------------------------------------------------------------------------


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

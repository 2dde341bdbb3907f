"""What a board can hold at given prices, and which patterns are worth listing: all against every way counted."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Sequence

import pytest

from cutmemo.planning.column_generation import (
    SCALE,
    _Master,
    improve,
)
from cutmemo.planning.enumeration import (
    _dominated,
    _least_wasting,
    _TooMany,
    _Waste,
    patterns_within,
)
from cutmemo.planning.exhaustive import best_of_all
from cutmemo.planning.greedy import fit
from cutmemo.planning.highs import Pattern, programme, whole_numbers
from cutmemo.planning.pricing import Counts, Pricing
from cutmemo.planning.problem import Item, PackedBoard, Problem, StockType, cost_of
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

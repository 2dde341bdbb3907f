"""Solutions by column generation, and a bound that is safe in whole numbers.

Source: Gilmore and Gomory, A linear programming approach to the cutting-stock problem,
Operations Research 9, 1961, and Part II, 11, 1963 (several lengths of stock). The bound
from rounded dual prices is the dual bound of the same programme, computed in integers.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from cutmemo.planning.enumeration import proven_best
from cutmemo.planning.greedy import filled
from cutmemo.planning.highs import (
    Pattern,
    add_pattern,
    infinity,
    limit_row,
    pattern_of,
    programme,
)
from cutmemo.planning.pricing import Pricing, Table
from cutmemo.planning.problem import (
    AT_ONCE,
    Boards,
    Effort,
    PackedBoard,
    Problem,
    objective,
)

MAX_ROUNDS = 400
"""Rounds of new patterns; counted, so that a rerun gives the same solution."""
STARTS = 4
DIVE_ROUNDS = 7
PIECES_A_STEP = 60
"""The first dive fixes a board for every so many pieces at once."""
SCALE = 1 << 20
"""Dual prices are rounded down to this part of a cost step."""


@dataclass(frozen=True, slots=True)
class Improvement:
    """The best solution found, and what is proven about it."""

    boards: Boards
    cost_bound: int
    boards_bound: int = 0
    """No solution of the least cost has fewer boards; 0 where that was not looked into."""


class _Master:
    """The linear programme over the patterns found so far."""

    def __init__(self, problem: Problem, start: Boards) -> None:
        self.problem = problem
        self.units = [float(stock.cost // problem.cost_step) for stock in problem.stock]
        self.costs = [stock.cost // problem.cost_step * SCALE for stock in problem.stock]
        self.patterns = list(dict.fromkeys(pattern_of(board) for board in start))
        self.known = set(self.patterns)
        self.solver = programme(problem, self.patterns, self.units)
        self.todo = [item.demand for item in problem.items]
        self.left: list[int | None] = [stock.available for stock in problem.stock]
        self.pricing = Pricing(problem, self.todo)
        self.prices: tuple[int, ...] | None = None
        """Those of the items that the best bound of the last solve stands on."""

    def set_right_hand_sides(self, todo: Sequence[int], left: Sequence[int | None]) -> None:
        """Ask for what is *todo* only, on the boards that are *left*."""
        for number, (before, now) in enumerate(zip(self.todo, todo, strict=True)):
            if before != now:
                self.solver.changeRowBounds(number, float(now), infinity())
        for stock, available in enumerate(left):
            row = limit_row(self.problem, stock)
            if row is not None and available is not None:
                self.solver.changeRowBounds(row, -infinity(), float(available))
        self.todo, self.left = list(todo), list(left)
        self.pricing = Pricing(self.problem, todo)

    def solve(self, rounds: int, enough: int, bound: int = 0) -> tuple[list[float], int]:
        """Return how many boards of each pattern, in fractions, and the best bound in cost steps.

        Stop at a bound of *enough*.
        """
        values: list[float] = []
        self.prices, best = None, -1
        for _ in range(rounds):
            self.solver.run()
            found = self.solver.getSolution()
            duals, values = list(found.row_dual), list(found.col_value)
            prices = [max(0, int(value * SCALE)) for value in duals[: len(self.todo)]]
            rows = [limit_row(self.problem, k) for k in range(len(self.problem.stock))]
            limits = [0 if row is None else min(0, int(duals[row] * SCALE)) for row in rows]
            table = self.pricing.table(prices)
            safe, proven = self._safe(prices, table)
            if proven > best:
                best, self.prices = proven, safe
            bound = max(bound, -(-proven // SCALE))
            if bound >= enough or not self._price_in(table, limits):
                break
        return values + [0.0] * (len(self.patterns) - len(values)), bound

    def _price_in(self, table: Table, limits: list[int]) -> bool:
        """Add the patterns of negative reduced cost; return whether there were any."""
        before = len(self.patterns)
        for k, stock in enumerate(self.problem.stock):
            worth = self.pricing.worth(table, stock.capacity)
            if self.left[k] == 0 or worth <= self.costs[k] - limits[k] + SCALE // 10_000:
                continue
            pattern = (k, self.pricing.best(table, stock.capacity))
            if pattern not in self.known:
                self.known.add(pattern)
                self.patterns.append(pattern)
                add_pattern(self.solver, self.problem, pattern, self.units[k])
        return len(self.patterns) > before

    def _safe(self, prices: list[int], table: Table) -> tuple[tuple[int, ...], int]:
        """Return dual prices under which no pattern has a negative reduced cost, and the bound they give, in whole numbers of 1/SCALE.

        Where a board could hold more than it costs, all prices give way by the same part, or,
        where such boards run out, the price of their limit does.
        """  # noqa: E501 - one sentence
        over, under = 1, 1
        worth = [self.pricing.worth(table, stock.capacity) for stock in self.problem.stock]
        for k in range(len(self.problem.stock)):
            if self.left[k] is None and worth[k] * under > over * self.costs[k]:
                over, under = worth[k], self.costs[k]
        safe = [price * under // over for price in prices]
        limits = [
            0 if number is None else min(0, self.costs[k] - -(-worth[k] * under // over))
            for k, number in enumerate(self.left)
        ]
        bound = sum(price * count for price, count in zip(safe, self.todo, strict=True))
        bound += sum(
            limit * number
            for limit, number in zip(limits, self.left, strict=True)
            if number is not None
        )
        return tuple(safe), bound


def improve(
    problem: Problem,
    start: Boards,
    cost_bound: int,
    effort: Effort = AT_ONCE,
    count: bool = True,
) -> Improvement:
    """Return the best solution found from *start* on, and the best bound.

    All patterns that a better solution could use are listed and searched, where they are few
    enough; with *count*, then those that as cheap a solution with fewer boards could use.
    """
    step = problem.cost_step
    more = [
        boards for boards in (filled(problem, seed) for seed in range(STARTS)) if boards is not None
    ]
    master = _Master(problem, (*start, *(board for boards in more for board in boards)))
    values, bound = master.solve(
        MAX_ROUNDS, objective(problem, start)[0] // step, cost_bound // step
    )
    prices, patterns = master.prices, list(master.patterns)

    def better(one: Boards, other: Boards | None) -> Boards:
        return one if other is None else min(one, other, key=lambda each: objective(problem, each))

    best = better(start, _rounded(problem, patterns, values))
    if prices is not None:
        found = proven_best(problem, prices, patterns, best, bound * step, effort, count)
        best, bound = found.boards, max(bound, found.cost_bound // step)
        if objective(problem, best)[0] <= bound * step:
            return Improvement(best, bound * step, found.boards_bound)
    ways: list[Callable[[int], Boards | None]] = [
        partial(_dived, problem, master, seed) for seed in range(effort.dives)
    ]
    for way in ways:
        cost = objective(problem, best)[0] // step
        if cost <= bound:
            break
        best = better(best, way(cost))
    return Improvement(best, bound * step)


class _Partial:
    """What is fixed so far, and what is left of pieces and boards."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.boards: list[PackedBoard] = []
        self.todo = [item.demand for item in problem.items]
        self.left: list[int | None] = [stock.available for stock in problem.stock]

    def fix(self, pattern: Pattern, number: int) -> None:
        """Cut boards by *pattern*, without a piece too many."""
        stock, counts = pattern
        for _ in range(number):
            chosen: list[int] = []
            for item, count in counts:
                chosen += [item] * min(count, self.todo[item])
            now = self.left[stock]
            if not chosen or now == 0:
                break
            for item in chosen:
                self.todo[item] -= 1
            if now is not None:
                self.left[stock] = now - 1
            self.boards.append(PackedBoard(stock, tuple(chosen)))

    def finished(self) -> Boards | None:
        """Return the boards, with the rest filled onto more of them.

        ``None`` where they run out.
        """
        if not any(self.todo):
            return tuple(self.boards)
        rests = [
            rest
            for rest in (filled(self.problem, seed, self.todo, self.left) for seed in range(6))
            if rest is not None
        ]
        if not rests:
            return None
        return (*self.boards, *min(rests, key=lambda rest: objective(self.problem, rest)))


def cut_by(problem: Problem, patterns: Sequence[Pattern], numbers: Sequence[int]) -> Boards | None:
    """Return the boards that *numbers* of the *patterns* are, without a piece too many."""
    partly = _Partial(problem)
    for pattern, number in zip(patterns, numbers, strict=True):
        partly.fix(pattern, number)
    return partly.finished()


def _rounded(problem: Problem, patterns: list[Pattern], values: list[float]) -> Boards | None:
    """Return the best of some roundings of the fractional solution, each finished by the greedy fill."""  # noqa: E501 - one sentence
    found = []
    for threshold in (1.0, 0.9, 0.75, 0.6, 0.5):
        boards = cut_by(problem, patterns, [int(v + 1 - threshold + 1e-6) for v in values])
        if boards is not None:
            found.append(boards)
    return min(found, key=lambda boards: objective(problem, boards), default=None)


def _dived(problem: Problem, master: _Master, seed: int, cost: int) -> Boards | None:
    """Return a solution made by fixing the pattern that is most nearly whole, again and again, with new patterns for the rest.

    Gives up where it cannot cost less than *cost*.
    """  # noqa: E501 - one sentence
    r = random.Random(seed)  # noqa: S311 - no secret
    partly, spent = _Partial(problem), 0
    while any(partly.todo):
        master.set_right_hand_sides(partly.todo, partly.left)
        values, bound = master.solve(DIVE_ROUNDS, cost)
        if spent + bound >= cost:
            break
        whole = [k for k, value in enumerate(values) if value >= 1 - 1e-6]
        near = sorted(
            (k for k, value in enumerate(values) if value > 1e-6), key=lambda k: -values[k]
        )
        if not near:
            break
        many = 1 + sum(partly.todo) // PIECES_A_STEP
        chosen = whole or (near[:many] if seed == 0 else [r.choice(near[:3])])
        before = len(partly.boards)
        for k in chosen:
            partly.fix(master.patterns[k], max(1, int(values[k] + 1e-6)))
        if len(partly.boards) == before:
            break
        spent += (
            sum(problem.stock[board.stock].cost for board in partly.boards[before:])
            // problem.cost_step
        )
    return partly.finished()

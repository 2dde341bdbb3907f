"""Proof by listing every pattern whose reduced cost lies within the gap, and solving over those alone.

A pattern whose reduced cost is more than the gap between a known cost and the dual bound
is in no solution of that cost or less. Source: reduced-cost fixing (Dantzig, Fulkerson and
Johnson, Operations Research 2, 1954), used on patterns; what is left is a small integer
programme.
"""  # noqa: E501 - one sentence

from __future__ import annotations

import itertools
from dataclasses import dataclass

from cutmemo.planning.bounds import boards_bound
from cutmemo.planning.checker import faults
from cutmemo.planning.highs import Pattern, pattern_of, whole_numbers
from cutmemo.planning.pricing import Counts
from cutmemo.planning.problem import Boards, Effort, PackedBoard, Problem, cost_of, objective

MAX_LISTED = 4_000
"""Patterns that the integer programme may have."""
MAX_VISITS = 60_000
"""Steps of the search for them; counted, so that a rerun gives the same answer."""
FIRST_SOLVED = 200
"""Patterns that are solved over first, those of least reduced cost."""
MAX_NARROWED = 4
"""How often a smaller gap is tried where there are too many patterns."""
MAX_CELLS = 3_000_000
"""Rooms times items of the tables that guide the search."""


@dataclass(frozen=True, slots=True)
class Duals:
    """Dual prices under which no pattern has a negative reduced cost, in parts of a cost step."""

    prices: tuple[int, ...]
    limits: tuple[int, ...]
    """Of one board of each stock type; 0 or less."""
    bound: int
    scale: int


@dataclass(frozen=True, slots=True)
class Proof:
    """The best solution known, and what is proven about it."""

    boards: Boards
    cost_bound: int
    boards_bound: int


class _TooMany(Exception):
    """There are more patterns than the search may list."""


def proven_best(  # noqa: PLR0913 - facts of one problem, named by every caller
    problem: Problem,
    duals: Duals,
    boards: Boards,
    cost_bound: int,
    effort: Effort,
    count: bool = True,
) -> Proof:
    """Return the best solution by cost, then by number of boards, as far as listing the patterns can prove it.

    *boards* is a solution and *cost_bound* a bound on its cost. The number is looked into with
    *count* only.
    """  # noqa: E501 - one sentence
    step = problem.cost_step
    best, bound = boards, cost_bound
    if cost_of(problem, best) > bound:
        best, ended = _cheapest(problem, duals, best, bound // step, effort)
        if not ended:
            return Proof(best, bound, 0)
        bound = cost_of(problem, best)
    number = problem.number_of(best)
    if not count or number <= boards_bound(problem, bound, number):
        return Proof(best, bound, number if count else 0)
    try:
        patterns = patterns_within(problem, duals, bound // step * duals.scale - duals.bound)
    except _TooMany:
        return Proof(best, bound, 0)
    if len(patterns) > effort.counted:
        return Proof(best, bound, 0)  # the solver has another way to the fewest boards
    units = [stock.cost // step for stock in problem.stock]
    best, ended = _best_of(problem, patterns, units, best, effort, (units, bound // step))
    return Proof(best, bound, problem.number_of(best) if ended else 0)


def _cheapest(
    problem: Problem, duals: Duals, boards: Boards, bound: int, effort: Effort
) -> tuple[Boards, bool]:
    """Return the cheapest boards found, and whether none can be cheaper; *bound* is in cost steps.

    The patterns of least reduced cost are solved over first: a better solution narrows the gap
    for the others.
    """
    units = [stock.cost // problem.cost_step for stock in problem.stock]

    def cost() -> int:
        return cost_of(problem, boards) // problem.cost_step

    def gap() -> int:
        return (cost() - 1) * duals.scale - duals.bound

    listed, patterns = gap(), None
    for _ in range(MAX_NARROWED):
        try:
            patterns = patterns_within(problem, duals, listed)
            break
        except _TooMany:
            listed //= 3
    if patterns is None:
        return boards, False
    ranked = sorted((reduced_cost(problem, duals, pattern), pattern) for pattern in patterns)
    size = FIRST_SOLVED
    while True:
        most = gap()
        within = [pattern for reduced, pattern in ranked if reduced <= most]
        boards, ended = _best_of(problem, within[:size], units, boards, effort)
        if cost() <= bound:
            return boards, True
        most = gap()
        needed = sum(reduced <= most for reduced, _ in ranked)
        if most > listed or needed <= size:
            return boards, ended and most <= listed
        if not ended or size >= effort.patterns:
            return boards, False
        size = min(4 * size, effort.patterns)


def reduced_cost(problem: Problem, duals: Duals, pattern: Pattern) -> int:
    """Return what one board by *pattern* costs beyond what its pieces are worth, in parts of a cost step."""  # noqa: E501 - one sentence
    stock, counts = pattern
    cost = problem.stock[stock].cost // problem.cost_step * duals.scale - duals.limits[stock]
    return cost - sum(duals.prices[item] * count for item, count in counts)


def _best_of(  # noqa: PLR0913 - facts of one problem, named by every caller
    problem: Problem,
    patterns: list[Pattern],
    costs: list[int],
    boards: Boards,
    effort: Effort,
    limit: tuple[list[int], int] | None = None,
) -> tuple[Boards, bool]:
    """Return the cheapest boards by *patterns* and those of *boards*, which are known, and whether none can be cheaper.

    Where costs have a *limit*, the fewest boards instead.
    """  # noqa: E501 - one sentence
    every = list(dict.fromkeys([*patterns, *map(pattern_of, boards)]))
    numbers, ended = whole_numbers(
        problem,
        every,
        costs,
        effort.work // len(every) // len(problem.items),
        boards,
        limit,
        count_boards=limit is not None,
    )
    found = boards if numbers is None else _cut_by(problem, every, numbers)
    sound = objective(problem, found) <= objective(problem, boards) or limit is None
    if not sound or faults(problem, found):
        return boards, False
    return found, ended


def _cut_by(problem: Problem, patterns: list[Pattern], numbers: list[int]) -> Boards:
    """Return the boards that *numbers* of the *patterns* are, without a piece too many."""
    todo = [item.demand for item in problem.items]
    out = []
    for (stock, counts), number in zip(patterns, numbers, strict=True):
        for _ in range(number):
            chosen: list[int] = []
            for item, count in counts:
                take = min(count, todo[item])
                todo[item] -= take
                chosen += [item] * take
            if chosen:
                out.append(PackedBoard(stock, tuple(chosen)))
    return tuple(out)


def patterns_within(problem: Problem, duals: Duals, gap: int) -> list[Pattern]:
    """Return every maximal pattern whose reduced cost is at most *gap*.

    A board that a cheaper unlimited one could be is left out.

    Raises :class:`_TooMany`.
    """
    found: dict[Pattern, None] = {}
    visits = itertools.count()
    for chosen in _family_sets(problem):
        charge = sum(problem.charges[family] for family in chosen)
        search = _Search(problem, duals, chosen, visits)
        for k, stock in enumerate(problem.stock):
            room = stock.capacity - charge
            cost = stock.cost // problem.cost_step * duals.scale
            if room < 0 or stock.available == 0 or _dominated(problem, k):
                continue
            # A pattern that the next cheaper unlimited board holds as well costs more than it
            # needs.
            above = max(
                (
                    each.capacity - charge
                    for each in problem.stock
                    if each.available is None and each.cost < stock.cost
                ),
                default=-1,
            )
            for counts in search.within(room, cost - duals.limits[k] - gap, above):
                found[k, counts] = None
                if len(found) > MAX_LISTED:
                    raise _TooMany
    return list(found)


def _dominated(problem: Problem, k: int) -> bool:
    """Return whether an unlimited board holds more and costs no more."""
    stock = problem.stock[k]
    return stock.board is None and any(
        each.available is None
        and each.capacity >= stock.capacity
        and (each.cost, -each.capacity, j) < (stock.cost, -stock.capacity, k)
        for j, each in enumerate(problem.stock)
    )


def _family_sets(problem: Problem) -> list[tuple[int, ...]]:
    return [
        chosen
        for size in range(len(problem.families) + 1)
        for chosen in itertools.combinations(problem.families, size)
    ]


class _Search:
    """Lists the patterns of one set of families, guided by what the items still to come are worth at most."""  # noqa: E501 - one sentence

    def __init__(
        self,
        problem: Problem,
        duals: Duals,
        families: tuple[int, ...],
        visits: itertools.count[int],
    ) -> None:
        import numpy

        self.families, self.visits = set(families), visits
        self.problem = problem
        self.numbers = sorted(
            (
                k
                for k, item in enumerate(problem.items)
                if item.family is None or item.family in self.families
            ),
            key=lambda k: -problem.items[k].size,
        )
        self.sizes = [problem.items[k].size for k in self.numbers]
        self.prices = [duals.prices[k] for k in self.numbers]
        top = max(stock.capacity for stock in problem.stock)
        self.most = [
            min(problem.items[k].demand, top // problem.items[k].size) for k in self.numbers
        ]
        if top * len(self.numbers) > MAX_CELLS:
            raise _TooMany
        values = numpy.zeros(top + 1, numpy.int64)
        self.worth = [values.tolist()]
        for size, price, most in zip(
            reversed(self.sizes), reversed(self.prices), reversed(self.most), strict=True
        ):
            left, lot = most, 1
            while left > 0:
                take = min(lot, left)
                shift = size * take
                if shift <= top and price > 0:
                    numpy.maximum(
                        values[shift:], values[:-shift] + price * take, out=values[shift:]
                    )
                left -= take
                lot *= 2
            self.worth.append(values.tolist())
        self.worth.reverse()

    def within(self, room: int, least: int, above: int) -> list[Counts]:
        """Return the maximal patterns in *room* that are worth *least* or more and take more than *above*."""  # noqa: E501 - one sentence
        out: list[Counts] = []
        sizes, prices, most, worth = self.sizes, self.prices, self.most, self.worth
        last = len(sizes)
        counts = [0] * last

        def visit(k: int, free: int, value: int) -> None:
            if next(self.visits) > MAX_VISITS:
                raise _TooMany
            if k == last:
                if room - free > above and self._maximal(counts, free):
                    out.append(
                        tuple(sorted((self.numbers[j], n) for j, n in enumerate(counts) if n))
                    )
                return
            size, price, after = sizes[k], prices[k], worth[k + 1]
            for count in range(min(most[k], free // size), -1, -1):
                rest = free - count * size
                now = value + count * price
                if now + after[rest] >= least:
                    counts[k] = count
                    visit(k + 1, rest, now)
            counts[k] = 0

        if worth[0][room] >= least:
            visit(0, room, 0)
        return out

    def _maximal(self, counts: list[int], free: int) -> bool:
        """Return whether nothing more fits, and every family is there."""
        if not any(counts):
            return False
        for size, count, most in zip(self.sizes, counts, self.most, strict=True):
            if size <= free and count < most:
                return False
        present = {
            self.problem.items[self.numbers[k]].family for k, count in enumerate(counts) if count
        }
        return self.families <= present

"""Proof by listing every pattern that a better solution could use, and solving over those alone.

A pattern that leaves more of its board's worth unused than boards of a lower cost have to spare
is in no solution of that cost. Source: reduced-cost fixing (Dantzig, Fulkerson and Johnson,
Operations Research 2, 1954), used on patterns; what is left is a small integer programme.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from cutmemo.planning.bounds import boards_bound
from cutmemo.planning.checker import faults
from cutmemo.planning.highs import Pattern, pattern_of, whole_numbers
from cutmemo.planning.pricing import IMPOSSIBLE, Counts
from cutmemo.planning.problem import (
    NONE,
    OPEN_ENDS,
    Boards,
    Effort,
    Item,
    PackedBoard,
    Problem,
    after,
    cost_of,
    objective,
)
from cutmemo.planning.spare import Kind, Level, kinds, levels, worths

LEAST_SHARE = 30
"""What part of the waste at the lowest cost is listed at the least, where all are too many."""
FIRST_LISTED = 300
"""Patterns that are solved over first; four times as many where that is no proof."""
VISITS = 40
"""Steps of the search for each pattern that is listed at most."""
MAX_CELLS = 3_000_000
"""Rooms times items of the tables that guide the search."""


@dataclass(frozen=True, slots=True)
class Proof:
    """The best solution known, and what is proven about it."""

    boards: Boards
    cost_bound: int
    boards_bound: int


class _TooMany(Exception):
    """There are more patterns than the search may list."""


@dataclass(frozen=True, slots=True)
class _Waste:
    """What boards are worth at the *prices* of the items, and so what a pattern wastes."""

    problem: Problem
    prices: tuple[int, ...]
    worth: list[int]
    boards: list[Kind]
    need: int

    @classmethod
    def at(cls, problem: Problem, prices: tuple[int, ...]) -> _Waste:
        worth = worths(problem, prices)
        need = sum(price * item.demand for price, item in zip(prices, problem.items, strict=True))
        return cls(problem, prices, worth, kinds(problem, worth), need)

    def levels(self, most: int) -> list[Level]:
        """Return the costs up to *most* that a solution may have, and what its boards then have to spare."""  # noqa: E501 - one sentence
        return levels(self.boards, self.need, most)

    def of(self, pattern: Pattern) -> int:
        stock, counts = pattern
        return self.worth[stock] - sum(self.prices[item] * count for item, count in counts)


def proven_best(  # noqa: PLR0913 - facts of one problem, named by every caller
    problem: Problem,
    prices: tuple[int, ...],
    known: list[Pattern],
    boards: Boards,
    cost_bound: int,
    effort: Effort,
    count: bool = True,
) -> Proof:
    """Return the best solution by cost, then by number of boards, as far as listing the patterns can prove it.

    *boards* is a solution, *cost_bound* a bound on its cost, *prices* are whole dual prices of
    the items and *known* the patterns that they were found by. The number is looked into with *count* only.
    """  # noqa: E501 - one sentence
    waste = _Waste.at(problem, prices)
    best, bound = boards, cost_bound
    if cost_of(problem, best) > bound:
        best, bound = _cheapest(waste, known, best, bound, effort)
        if cost_of(problem, best) > bound:
            return Proof(best, bound, 0)
    number = problem.number_of(best)
    if not count or number <= boards_bound(problem, bound, number):
        return Proof(best, bound, number if count else 0)
    spare, whole = waste.levels(bound)[-1].spare, True
    try:
        patterns = patterns_within(waste, spare, effort.counted)
    except _TooMany:  # fewer boards may be found, and no proof
        patterns, whole = _least_wasting(waste, known, spare)[: effort.counted], False
    units = [stock.cost // problem.cost_step for stock in problem.stock]
    limit = units, bound // problem.cost_step
    best, ended = _fewest_of(problem, patterns, units, best, effort, limit)
    return Proof(best, bound, problem.number_of(best) if ended and whole else 0)


def _cheapest(
    waste: _Waste, known: list[Pattern], boards: Boards, bound: int, effort: Effort
) -> tuple[Boards, int]:
    """Return the cheapest boards found, and a bound on the cost of all, *bound* or better.

    From the lowest cost that boards can have: at that, few patterns are wasteful enough to be
    listed, and there are boards by them, or it is none.
    """
    problem, size = waste.problem, min(FIRST_LISTED, effort.patterns)
    left = waste.levels(cost_of(problem, boards) - problem.cost_step)
    while left:
        bound = max(bound, left[0].cost)
        many, patterns = _listed(waste, left, size)
        patterns = patterns or _least_wasting(waste, known, left[0].spare)[:size]
        after = left[max(many, 1)].cost if max(many, 1) < len(left) else cost_of(problem, boards)
        found, ended = _within(problem, patterns, bound, after - problem.cost_step, effort)
        if found is not None:
            boards, cost = found, cost_of(problem, found)
            if cost <= bound or (ended and many):
                return boards, cost
            left = [level for level in left if level.cost < cost]
        elif ended and many:
            left = left[many:]
            continue
        if not ended or size == effort.patterns:
            return _cheaper(waste, patterns, known, boards, bound, effort), bound
        size = min(4 * size, effort.patterns)
    return boards, cost_of(problem, boards)


def _cheaper(  # noqa: PLR0913 - facts of one problem, named by its caller
    waste: _Waste,
    patterns: list[Pattern],
    known: list[Pattern],
    boards: Boards,
    bound: int,
    effort: Effort,
) -> Boards:
    """Return *boards*, or cheaper ones by those of the *known* patterns and of *patterns*, which were searched, that waste least."""  # noqa: E501 - one sentence
    problem, cost = waste.problem, cost_of(waste.problem, boards)
    left = waste.levels(cost - problem.cost_step)
    if not left or cost <= bound:
        return boards
    every = list(dict.fromkeys([*patterns, *known]))
    chosen = _least_wasting(waste, every, left[-1].spare)[:FIRST_LISTED]
    if set(chosen) <= set(patterns):
        return boards
    found, _ = _within(problem, chosen, bound, cost - problem.cost_step, effort)
    return boards if found is None else found


def _listed(waste: _Waste, left: list[Level], most: int) -> tuple[int, list[Pattern]]:
    """Return how many of the levels can be searched with no more than *most* patterns, and all these.

    Where none can, those that waste least, or nothing.
    """  # noqa: E501 - one sentence
    many, share = len(left), 1
    while share < LEAST_SHARE:
        try:
            return many, patterns_within(waste, left[max(many, 1) - 1].spare // share, most)
        except _TooMany:
            if many > 1:
                many = (many + 2) // 3
            else:
                many, share = 0, 3 * share
    return 0, []


def _least_wasting(waste: _Waste, patterns: list[Pattern], most: int) -> list[Pattern]:
    """Return those of *patterns* that waste at most *most*, the least first."""
    return sorted((each for each in patterns if waste.of(each) <= most), key=waste.of)


def _within(
    problem: Problem, patterns: list[Pattern], least: int, most: int, effort: Effort
) -> tuple[Boards | None, bool]:
    """Return the cheapest boards by *patterns* that cost from *least* to *most*, and whether the search came to its end."""  # noqa: E501 - one sentence
    if not patterns:
        return None, True
    units = [stock.cost // problem.cost_step for stock in problem.stock]
    limit = units, most // problem.cost_step
    enough = least // problem.cost_step
    numbers, ended = whole_numbers(problem, patterns, units, effort.work, (), limit, enough=enough)
    if numbers is None:
        return None, ended
    found = _cut_by(problem, patterns, numbers)
    sound = cost_of(problem, found) <= most and not faults(problem, found)
    return (found, ended) if sound else (None, False)


def _fewest_of(  # noqa: PLR0913 - facts of one problem, named by every caller
    problem: Problem,
    patterns: list[Pattern],
    costs: list[int],
    boards: Boards,
    effort: Effort,
    limit: tuple[list[int], int],
) -> tuple[Boards, bool]:
    """Return the fewest boards by *patterns* and those of *boards*, which are known, whose costs keep the *limit*.

    And whether none can be fewer.
    """  # noqa: E501 - one sentence
    every = list(dict.fromkeys([*patterns, *map(pattern_of, boards)]))
    numbers, ended = whole_numbers(
        problem, every, costs, effort.work, boards, limit, count_boards=True
    )
    found = boards if numbers is None else _cut_by(problem, every, numbers)
    if objective(problem, found) > objective(problem, boards) or faults(problem, found):
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


def patterns_within(waste: _Waste, most: int, number: int) -> list[Pattern]:
    """Return every maximal pattern that wastes at most *most*.

    A board that a cheaper unlimited one could be is left out.

    Raises :class:`_TooMany` for more than *number*.
    """
    problem = waste.problem
    found: dict[Pattern, None] = {}
    search = _Search(problem, waste.prices, iter(range(VISITS * number)))
    for k, stock in enumerate(problem.stock):
        if stock.capacity < 0 or stock.available == 0 or _dominated(problem, k):
            continue
        # A pattern that the next cheaper unlimited board holds as well costs more than it needs.
        above = max(
            (
                each.capacity
                for each in problem.stock
                if each.available is None and each.cost < stock.cost
            ),
            default=-1,
        )
        for counts in search.within(stock.capacity, waste.worth[k] - most, above):
            found[k, counts] = None
            if len(found) > number:
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


class _Search:
    """Lists patterns, guided by what the items still to come are worth at most.

    The items of a family come one after the other, and after them the charge of their open ends.
    """

    def __init__(self, problem: Problem, prices: tuple[int, ...], visits: Iterator[int]) -> None:
        import numpy

        self.problem, self.visits = problem, visits
        by_size = sorted(range(len(problem.items)), key=lambda k: -problem.items[k].size)
        self.steps = [(k, 0) for k in by_size if problem.items[k].family is None]
        """An item, or -1 and a charge."""
        for family, charge in enumerate(problem.charges):
            self.steps += [(k, 0) for k in by_size if problem.items[k].family == family]
            self.steps.append((-1, charge))
        self.prices = prices
        top = max(stock.capacity for stock in problem.stock)
        self.most = [min(item.demand, top // item.size) for item in problem.items]
        square = sum(item.family is None for item in problem.items)
        if top * (square + len(OPEN_ENDS) * (len(self.steps) - square)) > MAX_CELLS:
            raise _TooMany
        values = [numpy.zeros(top + 1, numpy.int64) for _ in OPEN_ENDS]
        self.worth = [[each.tolist() for each in values]]
        for number, charge in reversed(self.steps):
            if number >= 0 and problem.items[number].family is None:
                values = values[:1]  # they come first, where nothing else stands
            if number < 0:
                values = [
                    self._before(values[state if problem.nested else NONE], charge * ends)
                    for state, ends in enumerate(OPEN_ENDS)
                ]
            elif prices[number] > 0:
                values = self._with(values, number, top)
            self.worth.append([each.tolist() for each in values])
        self.worth.reverse()

    def _before(self, values: Any, charge: int) -> Any:
        """Return what every room is worth where a *charge* of it is taken first."""
        import numpy

        out = numpy.full(len(values), IMPOSSIBLE, numpy.int64)
        out[min(charge, len(values)) :] = values[: max(len(values) - charge, 0)]
        return out

    def _with(self, values: list[Any], number: int, top: int) -> list[Any]:
        """Return what every room is worth in every state where item *number* may be taken."""
        import numpy

        item, price = self.problem.items[number], self.prices[number]
        left, lot = self.most[number], 1
        while left > 0:
            take = min(lot, left)
            shift = item.size * take
            if shift <= top:
                before, values = values, [each.copy() for each in values]
                for state, each in enumerate(values):
                    then = before[_then(item, state, take)]
                    numpy.maximum(each[shift:], then[:-shift] + price * take, out=each[shift:])
            left -= take
            lot *= 2
        return values

    def within(self, room: int, least: int, above: int) -> list[Counts]:
        """Return the maximal patterns in *room* that are worth *least* or more and take more than *above*."""  # noqa: E501 - one sentence
        out: list[Counts] = []
        items, prices, worth = self.problem.items, self.prices, self.worth
        last, nested = len(self.steps), self.problem.nested
        counts = [0] * len(items)

        def visit(k: int, free: int, value: int, state: int) -> None:
            if next(self.visits, None) is None:
                raise _TooMany
            if k == last:
                if room - free > above and self._maximal(counts, free):
                    out.append(tuple((number, n) for number, n in enumerate(counts) if n))
                return
            number, charge = self.steps[k]
            if number < 0:
                visit(k + 1, free - charge * OPEN_ENDS[state], value, state if nested else NONE)
                return
            item, price, after_it = items[number], prices[number], worth[k + 1]
            for count in range(min(self.most[number], free // item.size), -1, -1):
                rest = free - count * item.size
                now = value + count * price
                then = _then(item, state, count)
                if now + after_it[then][rest] >= least:
                    counts[number] = count
                    visit(k + 1, rest, now, then)
            counts[number] = 0

        if worth[0][NONE][room] >= least:
            visit(0, room, 0, NONE)
        return out

    def _maximal(self, counts: list[int], free: int) -> bool:
        """Return whether there is something, and nothing more fits."""
        if not any(counts):
            return False
        problem = self.problem
        chosen: list[int] = []
        for number, count in enumerate(counts):
            if problem.items[number].family is not None:
                chosen += [number] * count
        return not any(
            counts[number] < self.most[number]
            and problem.least(number) <= free
            and problem.more(chosen, number) <= free
            for number in range(len(counts))
        )


def _then(item: Item, state: int, count: int) -> int:
    """Return what stands on a board of the family being looked at after *count* of *item*."""
    return state if item.family is None else after(state, item.single, count)

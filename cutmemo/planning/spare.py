"""What boards of a given cost are worth at most, beyond all pieces.

Give each item any price. A board is worth no more than the dearest pieces that it holds, and
boards that hold all pieces are worth no less than all of them together. Boards are whole, so
that only few sums of their costs lie below a known cost: the least of these that is worth
enough bounds the cost of every solution, and what it is worth beyond the pieces is all that
its boards may leave unused. Weak duality and a knapsack over the boards, both exact; the
bound of the linear programme is the same with boards in parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from cutmemo.planning.pricing import Pricing
from cutmemo.planning.problem import Problem

MAX_STATES = 2_000
"""Sums of costs that are kept apart; beyond, neighbours become one, to the safe side."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Boards that are alike: what one costs and is worth, and how many there are."""

    cost: int
    worth: int
    number: int


@dataclass(frozen=True, slots=True)
class Level:
    """A cost at which boards are worth enough, up to the next such cost."""

    cost: int
    spare: int
    """No boards below the next level are worth more than this beyond what is needed."""


def worths(problem: Problem, prices: Sequence[int]) -> list[int]:
    """Return the most that the pieces on one board of each stock type come to at *prices*."""
    pricing = Pricing(problem, [item.demand for item in problem.items])
    table = pricing.table(list(prices))
    return [pricing.worth(table, stock.capacity) for stock in problem.stock]


def kinds(problem: Problem, worth: Sequence[int]) -> list[Kind]:
    """Return the boards of *problem*, of which no solution takes more than there are pieces."""
    return [
        Kind(
            stock.cost,
            each,
            problem.pieces if stock.available is None else min(stock.available, problem.pieces),
        )
        for stock, each in zip(problem.stock, worth, strict=True)
    ]


def levels(boards: Sequence[Kind], need: int, most: int) -> list[Level]:
    """Return the costs up to *most* at which *boards* are worth *need*, and at each more than at the one before."""  # noqa: E501 - one sentence
    useful = sorted(
        (each for each in boards if each.worth > 0 and each.number > 0 and each.cost <= most),
        key=_rate,
        reverse=True,
    )
    states = [(0, 0)]
    for k, kind in enumerate(useful):
        rest, found = useful[k + 1 :], dict[int, int]()
        for cost, worth in states:
            many = kind.number
            if kind.cost > 0:
                many = min(many, (most - cost) // kind.cost)
            for number in range(many, -1, -1):
                spent, held = cost + number * kind.cost, worth + number * kind.worth
                if held + _at_most(rest, most - spent) < need:
                    break  # with fewer boards of this kind, the best of those to come, it is less
                if held > found.get(spent, -1):
                    found[spent] = held
        states = _thinned(_rising(found))
    return [Level(cost, worth - need) for cost, worth in states if worth >= need]


def _rate(kind: Kind) -> tuple[bool, Fraction]:
    return kind.cost == 0, Fraction(kind.worth, max(kind.cost, 1))


def _at_most(boards: Sequence[Kind], room: int) -> int:
    """Return the most that *boards*, the best rates first, are worth within a cost of *room*, in parts of boards."""  # noqa: E501 - one sentence
    worth = 0
    for each in boards:
        whole = each.number * each.cost
        if whole > room:
            return worth + each.worth * room // each.cost
        room -= whole
        worth += each.number * each.worth
    return worth


def _rising(found: dict[int, int]) -> list[tuple[int, int]]:
    """Return the sums that are worth more than every cheaper one, cheapest first."""
    out: list[tuple[int, int]] = []
    for cost in sorted(found):
        if not out or found[cost] > out[-1][1]:
            out.append((cost, found[cost]))
    return out


def _thinned(states: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return no more than so many *states*: of two neighbours the lower cost with the higher worth."""  # noqa: E501 - one sentence
    while len(states) > MAX_STATES:
        merged = [(one[0], two[1]) for one, two in list(pairwise(states))[::2]]
        states = [*merged, *(states[-1:] if len(states) % 2 else [])]
    return states

"""The pricing problem: which items are worth most in every room up to the longest board, given a price for each.

A bounded knapsack with family setups, solved by dynamic programming over the room. One
table for every set of families that may stand on a board serves all stock types.
"""  # noqa: E501 - one sentence

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from cutmemo.planning.problem import Problem

Counts = tuple[tuple[int, int], ...]
"""Item numbers, and how many of each."""


@dataclass(frozen=True, slots=True)
class Table:
    """The most that pieces come to in every room, for one set of families."""

    charge: int
    values: Any
    steps: list[tuple[int, int, Any]]


class Pricing:
    """Prices the items of one problem, of which *counts* may be used."""

    def __init__(self, problem: Problem, counts: Sequence[int]) -> None:
        """Split the counts in 1, 2, 4 … pieces, so that every number of each item can be made."""
        import numpy

        self.np, self.problem = numpy, problem
        self.top = max(stock.capacity for stock in problem.stock)
        self.lots: dict[int | None, list[tuple[int, int]]] = {}
        for number, item in enumerate(problem.items):
            left, lot = min(counts[number], self.top // item.size), 1
            while left > 0:
                self.lots.setdefault(item.family, []).append((number, min(lot, left)))
                left -= lot
                lot *= 2
        families = [family for family in problem.families if family in self.lots]
        self.sets = [
            chosen
            for size in range(len(families) + 1)
            for chosen in itertools.combinations(families, size)
        ]

    def tables(self, prices: list[int]) -> list[Table]:
        """Return the tables at whole-number *prices*, one for each set of families."""
        done: dict[tuple[int, ...], Table] = {}
        for chosen in self.sets:
            if chosen:
                before = done[chosen[:-1]]
                values, steps = before.values.copy(), list(before.steps)
                charge = before.charge + self.problem.charges[chosen[-1]]
                lots = self.lots[chosen[-1]]
            else:
                values, steps, charge = self.np.zeros(self.top + 1, self.np.int64), [], 0
                lots = self.lots.get(None, [])
            for number, lot in lots:
                shift = self.problem.items[number].size * lot
                if prices[number] <= 0 or shift > self.top:
                    continue
                with_it = values[:-shift] + prices[number] * lot
                better = with_it > values[shift:]
                steps.append((number, lot, better))
                self.np.maximum(values[shift:], with_it, out=values[shift:])
            done[chosen] = Table(charge, values, steps)
        return list(done.values())

    def worth(self, tables: list[Table], room: int) -> int:
        """Return the most that pieces in *room* come to."""
        return max(
            (int(table.values[room - table.charge]) for table in tables if table.charge <= room),
            default=0,
        )

    def best(self, tables: list[Table], room: int) -> Counts:
        """Return how many of each item make up the most in *room*."""
        table = max(
            (table for table in tables if table.charge <= room),
            key=lambda each: int(each.values[room - each.charge]),
        )
        room -= table.charge
        found: dict[int, int] = {}
        for number, lot, better in reversed(table.steps):
            shift = self.problem.items[number].size * lot
            if room >= shift and better[room - shift]:
                found[number] = found.get(number, 0) + lot
                room -= shift
        return tuple(sorted(found.items()))

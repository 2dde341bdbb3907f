"""The pricing problem: which items are worth most in every room up to the longest board, given a price for each.

A bounded knapsack, solved by dynamic programming over the room and, for the family that is
being looked at, over which of its ends are open. One table serves all stock types.
"""  # noqa: E501 - one sentence

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from cutmemo.planning.problem import NONE, OPEN_ENDS, Problem, after

Counts = tuple[tuple[int, int], ...]
"""Item numbers, and how many of each."""
States = list[Any]
"""The most that pieces come to in every room, for each state of a family; ``None`` where there is none yet."""  # noqa: E501 - one sentence
IMPOSSIBLE = -(1 << 60)


@dataclass(frozen=True, slots=True)
class _Lot:
    """One choice: whether so many of an item are taken."""

    number: int
    lot: int
    shift: int
    came: States
    """For each state and room less the shift the state before; -1 where they are not taken."""


@dataclass(frozen=True, slots=True)
class _Close:
    """The charge of a family for its open ends."""

    charge: int
    came: Any
    """For each room the state before; ``None`` where the state goes on."""


@dataclass(frozen=True, slots=True)
class Table:
    """The most that pieces come to in every room."""

    values: Any
    steps: list[_Lot | _Close]


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

    def table(self, prices: list[int]) -> Table:
        """Return the table at whole-number *prices*."""
        states: States = [self.np.zeros(self.top + 1, self.np.int64), None, None, None]
        steps: list[_Lot | _Close] = []
        for number, lot in self.lots.get(None, []):
            self._take(states, steps, number, lot, prices[number])
        for family, charge in enumerate(self.problem.charges):
            for number, lot in self.lots.get(family, []):
                self._take(states, steps, number, lot, prices[number])
            self._close(states, steps, charge)
        if self.problem.nested:
            self._merge(states, steps, 0)
        return Table(states[NONE], steps)

    def _take(
        self, states: States, steps: list[_Lot | _Close], number: int, lot: int, price: int
    ) -> None:
        """Let so many of an item be taken, from every state."""
        item, numpy = self.problem.items[number], self.np
        came: States
        shift = item.size * lot
        if price <= 0 or shift > self.top:
            return
        if item.family is None:
            values = states[NONE]
            with_it = values[:-shift] + price * lot
            better = with_it > values[shift:]
            numpy.maximum(values[shift:], with_it, out=values[shift:])
            came = [better.astype(numpy.int8) - 1, *[None] * len(states[1:])]
            steps.append(_Lot(number, lot, shift, came))
            return
        before: States = list(states)
        came = [None] * len(states)
        for state, values in enumerate(before):
            if values is None:
                continue
            now = after(state, item.single, lot)
            if states[now] is None:
                states[now] = numpy.full(self.top + 1, IMPOSSIBLE, numpy.int64)
            elif states[now] is before[now]:
                states[now] = before[now].copy()
            if came[now] is None:
                came[now] = numpy.full(self.top + 1 - shift, -1, numpy.int8)
            with_it = values[:-shift] + price * lot
            better = with_it > states[now][shift:]
            numpy.maximum(states[now][shift:], with_it, out=states[now][shift:])
            came[now][better] = state
        steps.append(_Lot(number, lot, shift, came))

    def _close(self, states: States, steps: list[_Lot | _Close], charge: int) -> None:
        """Charge the open ends of a family, and go on to the next one."""
        if all(values is None for values in states[1:]):
            return
        if not self.problem.nested:
            self._merge(states, steps, charge)
            return
        for state, values in enumerate(states):
            if values is not None:
                states[state] = self._charged(values, charge * OPEN_ENDS[state])
        steps.append(_Close(charge, None))

    def _merge(self, states: States, steps: list[_Lot | _Close], charge: int) -> None:
        """Take the best of all states in every room."""
        most = self._charged(states[NONE], charge * OPEN_ENDS[NONE])
        came = self.np.full(self.top + 1, NONE, self.np.int8)
        for state, values in enumerate(states):
            if values is None or state == NONE:
                continue
            charged = self._charged(values, charge * OPEN_ENDS[state])
            came[charged > most] = state
            most = self.np.maximum(most, charged)
        states[:] = [most, None, None, None]
        steps.append(_Close(charge, came))

    def _charged(self, values: Any, charge: int) -> Any:
        if charge == 0:
            return values
        out = self.np.full(self.top + 1, IMPOSSIBLE, self.np.int64)
        if charge <= self.top:
            out[charge:] = values[:-charge]
        return out

    def worth(self, table: Table, room: int) -> int:
        """Return the most that pieces in *room* come to."""
        return int(table.values[room]) if room >= 0 else 0

    def best(self, table: Table, room: int) -> Counts:
        """Return how many of each item make up the most in *room*."""
        state = NONE
        found: dict[int, int] = {}
        for step in reversed(table.steps):
            if isinstance(step, _Close):
                state = state if step.came is None else int(step.came[room])
                room -= step.charge * OPEN_ENDS[state]
                continue
            came = step.came[state]
            if came is not None and room >= step.shift and came[room - step.shift] >= 0:
                state = int(came[room - step.shift])
                found[step.number] = found.get(step.number, 0) + step.lot
                room -= step.shift
        return tuple(sorted(found.items()))

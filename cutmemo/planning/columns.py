"""Layouts by column generation with HiGHS, and a bound that is safe in whole numbers.

Source: Gilmore and Gomory, A linear programming approach to the cutting-stock problem,
Operations Research 9, 1961, and Part II, 11, 1963 (several lengths of stock). The bound
from rounded prices is the dual bound of the same programme, computed in integers.
"""

from __future__ import annotations

import importlib.util
import os
import random
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import Any

from cutmemo.planning.fill import Boards, filled, rank
from cutmemo.planning.job import Job, LaidBoard

MAX_ROUNDS = 400
"""Rounds of new patterns; counted, so that a rerun gives the same layout."""
MAX_NODES = 300
"""Nodes of the search over whole patterns."""
MAX_PATTERNS = 1_500
MAX_DEMANDS = 110
"""Beyond this many different pieces the search over whole patterns takes too long."""
DIVES = 10
DIVE_ROUNDS = 7
PIECES_A_STEP = 60
"""The first dive lays a board for every so many pieces at once."""
SCALE = 1 << 20
"""Prices are rounded down to this part of a cost step."""

Pattern = tuple[int, tuple[tuple[int, int], ...]]
"""A kind, and how many of which demand are cut from one board of it."""


@dataclass
class Improved:
    """What came of it."""

    boards: Boards
    cost_bound: int


def can_improve() -> bool:
    """Return whether HiGHS is installed; without it the fill's layout stands, with its bound."""
    return importlib.util.find_spec("highspy") is not None


class _Prices:
    """One table over all room up to the longest board: the dearest pieces that fit, and which they are."""

    def __init__(self, job: Job, counts: Sequence[int]) -> None:
        import numpy

        self.np, self.job = numpy, job
        self.top = max(kind.capacity for kind in job.kinds)
        self.lots: list[tuple[int, int]] = []
        for piece, demand in enumerate(job.demands):
            left, lot = min(counts[piece], self.top // demand.weight), 1
            while left > 0:
                self.lots.append((piece, min(lot, left)))
                left -= lot
                lot *= 2

    def dearest(self, prices: list[int]) -> tuple[Any, list[tuple[int, int, Any]]]:
        """Return the most that pieces in each room come to at whole-number *prices*, and how."""
        table = self.np.zeros(self.top + 1, self.np.int64)
        steps: list[tuple[int, int, Any]] = []
        for piece, lot in self.lots:
            shift = self.job.demands[piece].weight * lot
            if prices[piece] <= 0 or shift > self.top:
                continue
            with_it = table[:-shift] + prices[piece] * lot
            better = with_it > table[shift:]
            steps.append((piece, lot, better))
            self.np.maximum(table[shift:], with_it, out=table[shift:])
        return table, steps

    def pieces(self, steps: list[tuple[int, int, Any]], room: int) -> tuple[tuple[int, int], ...]:
        """Return how many of each piece make up the dearest in *room*."""
        found: dict[int, int] = {}
        for piece, lot, better in reversed(steps):
            shift = self.job.demands[piece].weight * lot
            if room >= shift and better[room - shift]:
                found[piece] = found.get(piece, 0) + lot
                room -= shift
        return tuple(sorted(found.items()))


class _Master:
    """The linear programme over the patterns found so far."""

    def __init__(self, job: Job, start: Boards) -> None:
        self.job, self.units = job, [float(kind.cost // job.cost_step) for kind in job.kinds]
        self.costs = [kind.cost // job.cost_step * SCALE for kind in job.kinds]
        self.patterns = list(dict.fromkeys(_pattern(board) for board in start))
        self.known = set(self.patterns)
        self.solver = _linear(job, self.patterns, self.units)
        self.todo = [demand.count for demand in job.demands]
        self.left: list[int | None] = [kind.available for kind in job.kinds]
        self._prices = _Prices(job, self.todo)

    def ask(self, todo: Sequence[int], left: Sequence[int | None]) -> None:
        """Lay only what is *todo*, on the boards that are *left*."""
        for piece, (before, now) in enumerate(zip(self.todo, todo, strict=True)):
            if before != now:
                self.solver.changeRowBounds(piece, float(now), _endless())
        for kind, number in enumerate(left):
            row = _limit_row(self.job, kind)
            if row is not None and number is not None:
                self.solver.changeRowBounds(row, -_endless(), float(number))
        self.todo, self.left = list(todo), list(left)
        self._prices = _Prices(self.job, todo)

    def solve(self, rounds: int, enough: int, bound: int = 0) -> tuple[list[float], int]:
        """Return how many of each pattern, in parts, and the best bound in cost steps; stop at a bound of *enough*."""
        values: list[float] = []
        for _ in range(rounds):
            self.solver.run()
            found = self.solver.getSolution()
            duals, values = list(found.row_dual), list(found.col_value)
            prices = [max(0, int(value * SCALE)) for value in duals[: len(self.todo)]]
            rows = [_limit_row(self.job, k) for k in range(len(self.job.kinds))]
            limits = [0 if row is None else min(0, int(duals[row] * SCALE)) for row in rows]
            table, steps = self._prices.dearest(prices)
            bound = max(bound, -(-self._bound(prices, table) // SCALE))
            if bound >= enough or not self._taken_in(table, steps, limits):
                break
        return values + [0.0] * (len(self.patterns) - len(values)), bound

    def _taken_in(self, table: Any, steps: list[tuple[int, int, Any]], limits: list[int]) -> bool:
        """Add the patterns that are worth more than they cost; return whether there were any."""
        before = len(self.patterns)
        for k, kind in enumerate(self.job.kinds):
            if (
                self.left[k] == 0
                or int(table[kind.capacity]) <= self.costs[k] - limits[k] + SCALE // 10_000
            ):
                continue
            pattern = (k, self._prices.pieces(steps, kind.capacity))
            if pattern not in self.known:
                self.known.add(pattern)
                self.patterns.append(pattern)
                _add(self.solver, self.job, pattern, self.units[k])
        return len(self.patterns) > before

    def _bound(self, prices: list[int], table: Any) -> int:
        """Return a cost, in units of SCALE, that no layout beats, from whole-number *prices*.

        Where a board could hold more than it costs, all prices give way by the same part, or,
        where such boards run out, the bound by what they would save.
        """
        over, under = 1, 1
        for k, kind in enumerate(self.job.kinds):
            worth = int(table[kind.capacity])
            if self.left[k] is None and worth * under > over * self.costs[k] and self.costs[k] > 0:
                over, under = worth, self.costs[k]
        total = sum(price * count for price, count in zip(prices, self.todo, strict=True)) * under
        for k, kind in enumerate(self.job.kinds):
            number = self.left[k]
            if number is not None:
                total -= max(0, int(table[kind.capacity]) * under - self.costs[k] * over) * number
        return -(-total // over)


def _endless() -> float:
    import highspy

    return float(highspy.kHighsInf)


def _solver() -> Any:
    """Return a silent solver that always takes the same way.

    HiGHS prints its name when it is made, before it can be told not to.
    """
    import highspy

    with _SILENCE, _stdout_closed():
        solver: Any = highspy.Highs()  # type: ignore[no-untyped-call]
    for name, value in (("output_flag", False), ("threads", 1), ("random_seed", 1)):
        solver.setOptionValue(name, value)
    return solver


_SILENCE = threading.Lock()
"""Two threads at once would each take the other's silence for standard output, and leave it closed."""


@contextmanager
def _stdout_closed() -> Iterator[None]:
    """Let nothing through to standard output, not even from C."""
    sys.stdout.flush()
    kept = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _linear(job: Job, patterns: list[Pattern], units: list[float]) -> Any:
    """Return a programme with a row for each demand, then one for each kind that can run out."""
    solver = _solver()
    for demand in job.demands:
        solver.addRow(float(demand.count), _endless(), 0, [], [])
    for kind in job.kinds:
        if kind.available is not None:
            solver.addRow(-_endless(), float(kind.available), 0, [], [])
    for pattern in patterns:
        _add(solver, job, pattern, units[pattern[0]])
    return solver


def _limit_row(job: Job, kind: int) -> int | None:
    if job.kinds[kind].available is None:
        return None
    return len(job.demands) + sum(1 for each in job.kinds[:kind] if each.available is not None)


def _add(solver: Any, job: Job, pattern: Pattern, cost: float) -> None:
    kind, pieces = pattern
    rows, values = [piece for piece, _ in pieces], [float(number) for _, number in pieces]
    limit = _limit_row(job, kind)
    if limit is not None:
        rows, values = [*rows, limit], [*values, 1.0]
    solver.addCol(cost, 0.0, _endless(), len(rows), rows, values)


def _pattern(board: LaidBoard) -> Pattern:
    found: dict[int, int] = {}
    for piece in board.pieces:
        found[piece] = found.get(piece, 0) + 1
    return board.kind, tuple(sorted(found.items()))


def improve(job: Job, start: Boards, cost_bound: int, thorough: bool = True) -> Improved:
    """Return the best layout found from *start* on, and the best bound; less *thorough*, a few quick ways are enough."""
    step = job.cost_step
    more = [boards for boards in (filled(job, seed) for seed in range(8)) if boards is not None]
    master = _Master(job, (*start, *(board for boards in more for board in boards)))
    best = start
    values, bound = master.solve(MAX_ROUNDS, rank(job, best)[0] // step, cost_bound // step)
    ways: list[Callable[[], Boards | None]] = [lambda: _rounded(job, master.patterns, values)]
    if thorough and len(job.demands) <= MAX_DEMANDS:
        ways.append(lambda: _whole(job, master.patterns))

    def dived(seed: int) -> Boards | None:
        return _dived(job, master, seed, rank(job, best)[0] // step)

    ways += [partial(dived, seed) for seed in range(DIVES if thorough else 1)]
    for way in ways:
        if rank(job, best)[0] <= bound * step:
            break
        boards = way()
        if boards is not None and rank(job, boards) < rank(job, best):
            best = boards
    return Improved(best, bound * step)


class _Laying:
    """What is laid so far, and what is left of pieces and boards."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.boards: list[LaidBoard] = []
        self.todo = [demand.count for demand in job.demands]
        self.left: list[int | None] = [kind.available for kind in job.kinds]

    def lay(self, pattern: Pattern, number: int) -> bool:
        """Lay boards by *pattern*, without a piece too many; return whether there was any."""
        kind, pieces = pattern
        laid = False
        for _ in range(number):
            chosen: list[int] = []
            for piece, wanted in pieces:
                take = min(wanted, self.todo[piece])
                chosen += [piece] * take
            now = self.left[kind]
            if not chosen or now == 0:
                break
            for piece in chosen:
                self.todo[piece] -= 1
            if now is not None:
                self.left[kind] = now - 1
            self.boards.append(LaidBoard(kind, tuple(chosen)))
            laid = True
        return laid

    def finished(self) -> Boards | None:
        """Return the boards, with the rest filled onto more of them; ``None`` where they run out."""
        if not any(self.todo):
            return tuple(self.boards)
        rests = [
            rest
            for rest in (filled(self.job, seed, self.todo, self.left) for seed in range(6))
            if rest is not None
        ]
        return (*self.boards, *min(rests, key=lambda rest: rank(self.job, rest))) if rests else None


def _rounded(job: Job, patterns: list[Pattern], values: list[float]) -> Boards | None:
    """Return the best of some roundings of the layout in parts, each finished by the fill."""
    best: Boards | None = None
    for threshold in (1.0, 0.9, 0.75, 0.6, 0.5):
        laying = _Laying(job)
        for pattern, value in zip(patterns, values, strict=True):
            laying.lay(pattern, int(value + 1 - threshold + 1e-6))
        boards = laying.finished()
        if boards is not None and (best is None or rank(job, boards) < rank(job, best)):
            best = boards
    return best


def _dived(job: Job, master: _Master, seed: int, cost: int) -> Boards | None:
    """Return a layout made by laying the pattern that is most nearly whole, again and again, with new patterns for the rest.

    Gives up where it cannot cost less than *cost*.
    """
    r = random.Random(seed)  # noqa: S311 - no secret
    laying, spent = _Laying(job), 0
    while any(laying.todo):
        master.ask(laying.todo, laying.left)
        values, bound = master.solve(DIVE_ROUNDS, cost)
        if spent + bound >= cost:
            break
        whole = [k for k, value in enumerate(values) if value >= 1 - 1e-6]
        near = sorted(
            (k for k, value in enumerate(values) if value > 1e-6), key=lambda k: -values[k]
        )
        if not near:
            break
        many = 1 + sum(laying.todo) // PIECES_A_STEP
        chosen = whole or (near[:many] if seed == 0 else [r.choice(near[:3])])
        before = len(laying.boards)
        for k in chosen:
            laying.lay(master.patterns[k], max(1, int(values[k] + 1e-6)))
        if len(laying.boards) == before:
            break
        spent += (
            sum(job.kinds[board.kind].cost for board in laying.boards[before:]) // job.cost_step
        )
    return laying.finished()


def _whole(job: Job, patterns: list[Pattern]) -> Boards | None:
    """Return the best whole numbers of the *patterns*, fewest boards among equal costs."""
    if len(patterns) > MAX_PATTERNS:
        return None
    import highspy

    step, weight = job.cost_step, job.pieces + 1
    solver = _linear(job, patterns, [float(kind.cost // step * weight + 1) for kind in job.kinds])
    solver.setOptionValue("mip_max_nodes", MAX_NODES)
    solver.setOptionValue("mip_rel_gap", 0.0)
    for column in range(len(patterns)):
        solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    solver.run()
    values = list(solver.getSolution().col_value)
    if len(values) != len(patterns):
        return None
    laying = _Laying(job)
    for pattern, value in zip(patterns, values, strict=True):
        laying.lay(pattern, round(value))
    return laying.finished()

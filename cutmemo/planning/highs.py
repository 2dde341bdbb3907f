"""Linear and integer programmes over patterns; the only module that imports HiGHS."""

from __future__ import annotations

import importlib.util
import os
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from cutmemo.planning.pricing import Counts
from cutmemo.planning.problem import PackedBoard, Problem

Pattern = tuple[int, Counts]
"""A stock type, and how many of which item are cut from one board of it."""


def has_highs() -> bool:
    """Return whether HiGHS is installed; without it the greedy solution stands, with its bound."""
    return importlib.util.find_spec("highspy") is not None


def pattern_of(board: PackedBoard) -> Pattern:
    """Return the pattern that *board* is cut by."""
    found: dict[int, int] = {}
    for number in board.items:
        found[number] = found.get(number, 0) + 1
    return board.stock, tuple(sorted(found.items()))


def infinity() -> float:
    """Return what HiGHS takes for no limit."""
    import highspy

    return float(highspy.kHighsInf)


def new_solver() -> Any:
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


def limit_row(problem: Problem, stock: int) -> int | None:
    """Return the row that limits how many boards of *stock* are used, where one does."""
    if problem.stock[stock].available is None:
        return None
    return len(problem.items) + sum(
        1 for each in problem.stock[:stock] if each.available is not None
    )


def add_pattern(solver: Any, problem: Problem, pattern: Pattern, cost: float) -> None:
    """Give the programme one more column."""
    stock, counts = pattern
    rows, values = [number for number, _ in counts], [float(count) for _, count in counts]
    limit = limit_row(problem, stock)
    if limit is not None:
        rows, values = [*rows, limit], [*values, 1.0]
    solver.addCol(cost, 0.0, infinity(), len(rows), rows, values)


def programme(problem: Problem, patterns: Sequence[Pattern], costs: Sequence[float]) -> Any:
    """Return a programme with a row for each item, then one for each stock type that can run out.

    *costs* are those of a board of each stock type.
    """
    solver = new_solver()
    for item in problem.items:
        solver.addRow(float(item.demand), infinity(), 0, [], [])
    for stock in problem.stock:
        if stock.available is not None:
            solver.addRow(-infinity(), float(stock.available), 0, [], [])
    for pattern in patterns:
        add_pattern(solver, problem, pattern, costs[pattern[0]])
    return solver


def whole_numbers(
    problem: Problem,
    patterns: Sequence[Pattern],
    costs: Sequence[int],
    most: int | None,
    nodes: int,
    limits: Sequence[tuple[Sequence[int], int]] = (),
) -> tuple[list[int] | None, bool]:
    """Return how many boards of each pattern cost least, at *most* in all where that is given, and whether the search came to its end.

    ``None`` where none was found. Each of *limits* holds another cost of each stock type to
    its number. Costs are whole numbers, so that the search ends where less than 1 is left.
    """
    import highspy

    solver = programme(problem, patterns, [float(cost) for cost in costs])
    for name, value in (
        ("mip_max_nodes", nodes),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.999),
        ("mip_heuristic_run_root_reduced_cost", False),
    ):
        solver.setOptionValue(name, value)
    columns = list(range(len(patterns)))
    for others, number in (*([] if most is None else [(costs, most)]), *limits):
        solver.addRow(
            -infinity(),
            number + 0.5,
            len(columns),
            columns,
            [float(others[pattern[0]]) for pattern in patterns],
        )
    for column in columns:
        solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None, True
    values = list(solver.getSolution().col_value)
    if len(values) != len(patterns) or not solver.getInfo().primal_solution_status:
        return None, False
    return [round(value) for value in values], status == highspy.HighsModelStatus.kOptimal

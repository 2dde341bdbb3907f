"""Linear and integer programmes over patterns; the only module that imports HiGHS."""

from __future__ import annotations

import importlib.util
import math
import os
import sys
import threading
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
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


BOUND_ERROR = 1e-4
"""What a bound of HiGHS may be off: in cost steps, and its square as a part of the bound.

Its tolerances are 1e-6 and 1e-7 in a constraint and a reduced cost; a job has tens of boards.
"""


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
"""Two threads at once would each take the other's silence for standard output, and leave it closed."""  # noqa: E501 - one sentence


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


def whole_numbers(  # noqa: PLR0913 - facts of one problem, named by every caller
    problem: Problem,
    patterns: Sequence[Pattern],
    costs: Sequence[int],
    work: int,
    start: Sequence[PackedBoard] = (),
    limit: tuple[Sequence[int], int] | None = None,
    count_boards: bool = False,
    enough: int | None = None,
) -> tuple[list[int] | None, bool]:
    """Return how many boards of each pattern cost least, or with *count_boards* are fewest, and whether the search came to its end.

    ``None`` where there is none, or none was found. *start* is a solution by some of the patterns; another cost
    of each stock type may be held to a *limit*. Costs are whole numbers, and so is the bound that
    ends the search, as does a solution of no more than *enough*, and *work* done: the times that the solver
    asks whether to go on, times the patterns. With a *start* the solver's own heuristics are off: ours came before.
    """  # noqa: E501 - one sentence
    import highspy

    ones = [1.0 if stock.board is None else 0.0 for stock in problem.stock]
    solver = programme(problem, patterns, ones if count_boards else [float(c) for c in costs])
    for name, value in (
        ("mip_rel_gap", 0.0),
        (
            "presolve",
            "off",
        ),  # finds nothing in patterns that are all different, and took 1/3 of the time
        ("mip_heuristic_run_feasibility_jump", False),  # the same, in 1/7 of the time
        *((("objective_target", enough + 0.5),) if enough is not None else ()),
        *((("mip_heuristic_effort", 0.0), *_HEURISTICS_OFF) if start else ()),
    ):
        solver.setOptionValue(name, value)
    columns = list(range(len(patterns)))
    if limit is not None:
        others, most = limit
        values = [float(others[pattern[0]]) for pattern in patterns]
        solver.addRow(-infinity(), most + 0.5, len(columns), columns, values)
    stretches = _add_boards(solver, problem, patterns) if count_boards else []
    for column in range(len(patterns) + len(stretches)):
        solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    if start:
        used = Counter(map(pattern_of, start))
        known = highspy.HighsSolution()
        known.col_value = [float(used[pattern]) for pattern in patterns] + [
            float(max(sum(used[patterns[k]] for k in each) for each in board))
            for board in stretches
        ]
        solver.setSolution(known)
    stopped = _stop_after(solver, work // len(patterns))
    solver.run()
    values, info = list(solver.getSolution().col_value), solver.getInfo()
    if solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None, True
    if len(values) != len(patterns) + len(stretches) or not info.primal_solution_status:
        return None, False
    numbers = [round(value) for value in values[: len(patterns)]]
    boards = [
        PackedBoard(stock, ())
        for (stock, _), number in zip(patterns, numbers, strict=True)
        for _ in range(number)
    ]
    total = problem.number_of(boards) if count_boards else sum(costs[each.stock] for each in boards)
    bound = info.mip_dual_bound
    ended = math.isfinite(bound) and (  # no bound at all where it was stopped before the first
        math.ceil(bound - BOUND_ERROR * max(1.0, abs(bound) * BOUND_ERROR)) >= total
    )
    ended = ended or (enough is not None and total <= enough)
    if start and not ended and not stopped():
        # Seen in HiGHS 1.16: the objective is that of a better solution, the values are still the
        # start's.
        return whole_numbers(problem, patterns, costs, work, (), limit, count_boards)
    return numbers, ended


def _stop_after(solver: Any, asked: int) -> Callable[[], bool]:
    """Let *solver* ask so many times whether to go on, and return what tells whether it was stopped.

    It asks at every node and in every round of cuts and dives: nodes alone say nothing of a
    root that takes seconds.
    """  # noqa: E501 - one sentence
    times = 0

    def asks(event: Any) -> None:
        nonlocal times
        times += 1
        event.data_in.user_interrupt = times > asked

    solver.cbMipInterrupt.subscribe(asks)
    return lambda: times > asked


def _add_boards(
    solver: Any, problem: Problem, patterns: Sequence[Pattern]
) -> list[list[list[int]]]:
    """Add a column for each board that has several stretches, no less than each of them.

    Return their columns.
    """
    out: list[list[list[int]]] = []
    for board in dict.fromkeys(each.board for each in problem.stock if each.board is not None):
        column = len(patterns) + len(out)
        solver.addCol(1.0, 0.0, infinity(), 0, [], [])
        out.append(
            [
                [k for k, pattern in enumerate(patterns) if pattern[0] == stock]
                for stock, each in enumerate(problem.stock)
                if each.board == board
            ]
        )
        for columns in out[-1]:
            solver.addRow(
                0.0,
                infinity(),
                len(columns) + 1,
                [column, *columns],
                [1.0, *(-1.0 for _ in columns)],
            )
    return out


_HEURISTICS_OFF = tuple(
    (f"mip_heuristic_run_{name}", False)
    for name in ("rins", "rens", "root_reduced_cost", "shifting", "zi_round")
)

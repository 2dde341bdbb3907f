"""The best solution that can be found for a problem, and how good it is known to be."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

from cutmemo.planning.bounds import boards_bound, cost_bound
from cutmemo.planning.checker import assured
from cutmemo.planning.column_generation import improve
from cutmemo.planning.exhaustive import best_of_all, is_small
from cutmemo.planning.greedy import SHORT_LIST, quick
from cutmemo.planning.highs import has_highs
from cutmemo.planning.problem import (
    AT_ONCE,
    Boards,
    Effort,
    PackedBoard,
    Problem,
    Solution,
    objective,
)

GROUP_PIECES = 70
"""About how many pieces are laid anew at once in a long list."""
REGROUPINGS = 12
MAX_FRUITLESS = 3
MAX_AT_ONCE = 200
"""Beyond this many different items the whole is not solved in one go."""


def solve(
    problem: Problem,
    start: Boards | None = None,
    effort: Effort = AT_ONCE,
    known: Boards | None = None,
) -> Solution | None:
    """Return a solution with all pieces, or ``None`` where the boards cannot hold them.

    The same problem gives the same solution. The pure-Python fill comes first, or *start*
    where it finds none; a *known* solution takes its place. HiGHS is loaded only where that is
    not proven best. Every solution passes the checker.
    """
    if not problem.items:
        return Solution((), 0, 0, 0, 0)
    small = problem.reduced()
    largest = max((stock.capacity for stock in small.stock if stock.available != 0), default=0)
    if largest < max(map(small.alone, range(len(small.items)))):
        return None
    boards = known
    if boards is None:
        boards = quick(small, cost_bound(small, 1 << 62), thorough=not has_highs()) or start
    if boards is None and is_small(small):
        boards = best_of_all(small)
    if boards is None:
        return None
    cost, number = objective(small, boards)
    least = cost_bound(small, cost)
    fewest = boards_bound(small, cost, number) if cost == least else 0  # not looked into
    if is_small(small) and number > fewest:
        boards = best_of_all(small) or boards
        cost, number = objective(small, boards)
        return Solution(assured(problem, boards), cost, cost, number, number)
    if len(small.items) > MAX_AT_ONCE:
        boards = _regrouped(small, boards, least, effort)
    if number > fewest and _in_one_go(small):
        improved = improve(small, boards, least, effort)
        boards, least, fewest = improved.boards, improved.cost_bound, improved.boards_bound
    cost, number = objective(small, boards)
    least = min(least, cost)
    fewest = max(fewest, boards_bound(small, least, number))
    looked_into = small.whole_boards and (small.pieces <= SHORT_LIST or effort.long_lists)
    if least == cost and fewest < number and looked_into and _in_one_go(small):
        boards, fewest = _fewest(small, boards, fewest, effort)
    number = small.number_of(boards)
    return Solution(assured(problem, boards), cost, least, number, min(fewest, number))


def _in_one_go(problem: Problem) -> bool:
    """Return whether all of *problem* may be solved at once."""
    return len(problem.items) <= MAX_AT_ONCE and has_highs()


def _fewest(problem: Problem, boards: Boards, fewest: int, effort: Effort) -> tuple[Boards, int]:
    """Return *boards*, of proven cost, or as cheap ones with fewer of them, and the best bound on their number.

    The same search, with a board more always dearer than nothing and cheaper than any cost.
    """  # noqa: E501 - one sentence
    cost, number = objective(problem, boards)
    step, much = problem.cost_step, problem.pieces + 1
    both = replace(
        problem,
        stock=tuple(replace(each, cost=each.cost // step * much + 1) for each in problem.stock),
    )
    much_less = replace(effort, patterns=effort.counted, dives=1)
    improved = improve(both, boards, cost // step * much + fewest, much_less, count=False)
    if objective(problem, improved.boards) <= (cost, number):
        boards = improved.boards
    return boards, max(fewest, min(improved.cost_bound - cost // step * much, len(boards)))


def _regrouped(problem: Problem, boards: Boards, least: int, effort: Effort) -> Boards:
    """Return *boards* after solving groups of them anew, the most wasteful with some others."""
    r, fruitless = random.Random(0), 0  # noqa: S311 - no secret
    for _ in range(REGROUPINGS):
        if objective(problem, boards)[0] <= least or fruitless == MAX_FRUITLESS:
            break

        def waste(board: PackedBoard) -> float:
            capacity = problem.stock[board.stock].capacity
            return capacity - problem.need(board.items) + r.uniform(0, capacity / 20)

        group, pieces, rest = [], 0, []
        for board in sorted(boards, key=waste, reverse=True):
            if pieces < GROUP_PIECES:
                group.append(board)
                pieces += len(board.items)
            else:
                rest.append(board)
        part, names = _part(problem, group, rest)
        solved = solve(part, effort=effort)
        if solved is not None and objective(part, solved.boards) < objective(problem, group):
            again = [
                PackedBoard(board.stock, tuple(names[item] for item in board.items))
                for board in solved.boards
            ]
            boards, fruitless = (*rest, *again), 0
        else:
            fruitless += 1
    return boards


def _part(
    problem: Problem, group: list[PackedBoard], rest: list[PackedBoard]
) -> tuple[Problem, list[int]]:
    """Return the problem of the pieces of *group* on what *rest* leaves, and which item each of its items is."""  # noqa: E501 - one sentence
    counts = Counter(item for board in group for item in board.items)
    used = Counter(board.stock for board in rest)
    names = sorted(counts)
    stock = tuple(
        replace(each, available=None if each.available is None else each.available - used[k])
        for k, each in enumerate(problem.stock)
    )
    items = tuple(replace(problem.items[number], demand=counts[number]) for number in names)
    return replace(problem, stock=stock, items=items), names

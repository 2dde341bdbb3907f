"""The best layout that can be found for a job, and how good it is known to be."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

from cutmemo.planning.bound import boards_bound, cost_bound
from cutmemo.planning.checker import assured
from cutmemo.planning.columns import can_improve, improve
from cutmemo.planning.few import best_of_few, is_few
from cutmemo.planning.fill import SHORT_LIST, Boards, quick, rank
from cutmemo.planning.job import Demand, Job, LaidBoard, Layout

GROUP_PIECES = 70
"""About how many pieces are laid anew at once in a long list."""
REGROUPINGS = 12
MAX_FRUITLESS = 3
MAX_AT_ONCE = 200
"""Beyond this many different pieces the whole is not laid in one go."""


def lay_out(job: Job) -> Layout | None:
    """Return a layout of all pieces, or ``None`` where the boards cannot hold them.

    The same job gives the same layout. The pure-Python fill comes first; HiGHS is loaded
    only where its layout is not proven best. Every layout passes the checker.
    """
    if not job.demands:
        return Layout((), 0, 0, 0)
    small = job.reduced()
    largest = max((kind.capacity for kind in small.kinds if kind.available != 0), default=0)
    if largest < max(demand.weight for demand in small.demands):
        return None
    boards = quick(small, cost_bound(small, 1 << 62))
    if boards is None:
        boards = best_of_few(small) if is_few(small) else None
    if boards is None:
        return None
    cost, number = rank(small, boards)
    least = cost_bound(small, cost)
    if is_few(small) and (cost > least or number > boards_bound(small, cost, number)):
        boards = best_of_few(small) or boards
        cost, number = rank(small, boards)
        return Layout(assured(job, boards), rank(job, boards)[0], cost, number)
    if len(small.demands) > MAX_AT_ONCE:
        boards = _regrouped(small, boards, least)
    if rank(small, boards)[0] > least and len(small.demands) <= MAX_AT_ONCE and can_improve():
        improved = improve(small, boards, least)
        boards, least = improved.boards, improved.cost_bound
    cost, number = rank(small, boards)
    fewest = boards_bound(small, cost, number)
    if number > fewest and small.pieces <= SHORT_LIST and can_improve():
        boards, fewest = _fewest(small, boards, fewest)
    boards = assured(job, boards)
    return Layout(boards, rank(job, boards)[0], min(least, cost), fewest)


def _fewest(job: Job, boards: Boards, fewest: int) -> tuple[Boards, int]:
    """Return *boards*, or as cheap ones with fewer of them, and the best bound on their number.

    The same search, with a board more always dearer than nothing and cheaper than any cost.
    """
    cost, number = rank(job, boards)
    step, much = job.cost_step, job.pieces + 1
    both = Job(
        tuple(replace(kind, cost=kind.cost // step * much + 1) for kind in job.kinds), job.demands
    )
    improved = improve(both, boards, cost // step * much + fewest, thorough=False)
    if rank(job, improved.boards) <= (cost, number):
        boards = improved.boards
    return boards, max(fewest, min(improved.cost_bound - cost // step * much, len(boards)))


def _regrouped(job: Job, boards: Boards, least: int) -> Boards:
    """Return *boards* after laying groups of them anew, the most wasteful with some others."""
    r, fruitless = random.Random(0), 0  # noqa: S311 - no secret
    for _ in range(REGROUPINGS):
        if rank(job, boards)[0] <= least or fruitless == MAX_FRUITLESS:
            break

        def waste(board: LaidBoard) -> float:
            held = sum(job.demands[piece].weight for piece in board.pieces)
            return (
                job.kinds[board.kind].capacity
                - held
                + r.uniform(0, job.kinds[board.kind].capacity / 20)
            )

        group, pieces, rest = [], 0, []
        for board in sorted(boards, key=waste, reverse=True):
            if pieces < GROUP_PIECES:
                group.append(board)
                pieces += len(board.pieces)
            else:
                rest.append(board)
        part = _part(job, group, rest)
        laid = lay_out(part[0])
        if laid is not None and laid.rank < rank(job, tuple(group)):
            again = [
                LaidBoard(board.kind, tuple(part[1][piece] for piece in board.pieces))
                for board in laid.boards
            ]
            boards, fruitless = (*rest, *again), 0
        else:
            fruitless += 1
    return boards


def _part(job: Job, group: list[LaidBoard], rest: list[LaidBoard]) -> tuple[Job, list[int]]:
    """Return the job of laying the pieces of *group* on what *rest* leaves, and which demand each of its demands is."""
    counts = Counter(piece for board in group for piece in board.pieces)
    used = Counter(board.kind for board in rest)
    names = sorted(counts)
    kinds = tuple(
        replace(kind, available=None if kind.available is None else kind.available - used[k])
        for k, kind in enumerate(job.kinds)
    )
    return Job(
        kinds, tuple(Demand(job.demands[piece].weight, counts[piece]) for piece in names)
    ), names

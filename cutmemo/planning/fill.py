"""Layouts in pure Python: first fit and best fit, then boards filled as full as the pieces allow.

Source: Johnson, Demers, Ullman, Garey and Graham, Worst-case performance bounds for simple
one-dimensional packing algorithms, SIAM J. Computing 3, 1974 (first and best fit, decreasing);
the fill by largest reachable sum is Gupta and Ho, A new heuristic for the one-dimensional
bin-packing problem, Production Planning and Control 10, 1999.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from functools import partial

from cutmemo.planning.job import Job, LaidBoard, cost_of

STARTS = 24
"""Tries of the fill, each from its own seed; counted, so that a rerun gives the same layout."""
FEWER_STARTS = 6
"""Tries for long lists, and after the least cost is reached."""

SHORT_LIST = 60

Boards = tuple[LaidBoard, ...]


def _cheapest(job: Job, left: Sequence[int | None], weight: int) -> int | None:
    """Return the kind of which boards are left that costs least by weight and takes a piece of *weight*."""
    fits = [k for k, kind in enumerate(job.kinds) if kind.capacity >= weight and left[k] != 0]
    return min(
        fits,
        key=lambda k: (job.kinds[k].cost / job.kinds[k].capacity, -job.kinds[k].capacity),
        default=None,
    )


def _shrunk(job: Job, boards: list[tuple[int, list[int]]], left: list[int | None]) -> Boards:
    """Return *boards*, each on the cheapest kind that still holds its pieces."""
    out = []
    for kind, pieces in boards:
        weight = sum(job.demands[piece].weight for piece in pieces)
        _give(left, kind, 1)
        fits = [k for k, each in enumerate(job.kinds) if each.capacity >= weight and left[k] != 0]
        best = min(fits, key=lambda k: (job.kinds[k].cost, job.kinds[k].capacity))
        _give(left, best, -1)
        out.append(LaidBoard(best, tuple(pieces)))
    return tuple(out)


def _give(left: list[int | None], kind: int, number: int) -> None:
    now = left[kind]
    if now is not None:
        left[kind] = now + number


def fit(job: Job, only: int | None = None, tight: bool = False) -> Boards | None:
    """Return first fit (or, where *tight*, best fit) decreasing, on kind *only* while it lasts; ``None`` where boards run out."""
    left: list[int | None] = [kind.available for kind in job.kinds]
    boards: list[tuple[int, list[int]]] = []
    room: list[int] = []
    for piece in sorted(range(len(job.demands)), key=lambda k: -job.demands[k].weight):
        weight = job.demands[piece].weight
        for _ in range(job.demands[piece].count):
            fits = [k for k, free in enumerate(room) if free >= weight]
            if fits:
                at = min(fits, key=lambda k: room[k]) if tight else fits[0]
            else:
                takes_only = (
                    only is not None and left[only] != 0 and job.kinds[only].capacity >= weight
                )
                kind = only if takes_only else _cheapest(job, left, weight)
                if kind is None:
                    return None
                _give(left, kind, -1)
                boards.append((kind, []))
                room.append(job.kinds[kind].capacity)
                at = len(room) - 1
            boards[at][1].append(piece)
            room[at] -= weight
    return _shrunk(job, boards, left)


def fullest(job: Job, counts: Sequence[int], order: Sequence[int], room: int) -> list[int]:
    """Return the pieces, of those *counts* leaves, that come nearest to filling *room*; earlier in *order* is preferred.

    The reachable sums are the bits of one whole number.
    """
    reach, steps = 1, []
    mask = (1 << (room + 1)) - 1
    for piece in order:
        weight = job.demands[piece].weight
        for _ in range(min(counts[piece], room // weight)):
            more = (reach | reach << weight) & mask
            if more == reach:
                break
            steps.append((piece, reach))
            reach = more
        if reach >> room & 1:
            break
    total = reach.bit_length() - 1
    chosen = []
    for piece, before in reversed(steps):
        if not before >> total & 1:
            chosen.append(piece)
            total -= job.demands[piece].weight
    return chosen


def filled(
    job: Job,
    seed: int,
    counts: Sequence[int] | None = None,
    left: Sequence[int | None] | None = None,
) -> Boards | None:
    """Return a layout that fills board after board around its largest piece; ``None`` where boards run out."""
    r = random.Random(seed)  # noqa: S311 - no secret
    todo = [demand.count for demand in job.demands] if counts is None else list(counts)
    rest: list[int | None] = [kind.available for kind in job.kinds] if left is None else list(left)
    boards: list[tuple[int, list[int]]] = []
    by_weight = sorted(range(len(job.demands)), key=lambda k: -job.demands[k].weight)
    shaken = (
        by_weight
        if seed == 0
        else sorted(by_weight, key=lambda k: -job.demands[k].weight * r.uniform(0.7, 1.3))
    )
    while any(todo):
        first = next(piece for piece in by_weight if todo[piece])
        weight = job.demands[first].weight
        todo[first] -= 1
        order = [piece for piece in shaken if todo[piece]]
        best: tuple[float, int, list[int]] | None = None
        for k, kind in enumerate(job.kinds):
            if rest[k] == 0 or kind.capacity < weight:
                continue
            pieces = fullest(job, todo, order, kind.capacity - weight)
            held = weight + sum(job.demands[piece].weight for piece in pieces)
            rate = kind.cost / held * (1 if seed < 2 else r.uniform(0.99, 1.01))
            if best is None or (rate, -kind.capacity) < (best[0], -job.kinds[best[1]].capacity):
                best = rate, k, pieces
        if best is None:
            return None
        for piece in best[2]:
            todo[piece] -= 1
        _give(rest, best[1], -1)
        boards.append((best[1], sorted([first, *best[2]])))
    return _shrunk(job, boards, rest)


def rank(job: Job, boards: Boards) -> tuple[int, int]:
    """Return what layouts are compared by: cost, then boards."""
    return cost_of(job, boards), len(boards)


def quick(job: Job, least: int) -> Boards | None:
    """Return the best of all these ways; *least* is a cost that none can beat, after which fewer are tried."""
    best: Boards | None = None
    fits = [
        partial(fit, job, k, tight)
        for k in (None, *range(len(job.kinds)))
        for tight in (False, True)
    ]
    starts = STARTS if job.pieces <= SHORT_LIST else FEWER_STARTS
    for seed, way in enumerate(
        [*fits, *(partial(filled, job, seed) for seed in range(starts))], start=-len(fits)
    ):
        if seed >= FEWER_STARTS and best is not None and rank(job, best)[0] <= least:
            break
        boards = way()
        if boards is not None and (best is None or rank(job, boards) < rank(job, best)):
            best = boards
    return best

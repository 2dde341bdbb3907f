"""Solutions in pure Python: first fit and best fit, then boards filled as full as the pieces allow.

Source: Johnson, Demers, Ullman, Garey and Graham, Worst-case performance bounds for simple
one-dimensional packing algorithms, SIAM J. Computing 3, 1974 (first and best fit, decreasing);
the greedy subset-sum fill is Gupta and Ho, A new heuristic for the one-dimensional
bin-packing problem, Production Planning and Control 10, 1999.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from functools import partial

from cutmemo.planning.problem import Boards, PackedBoard, Problem, objective

STARTS = 24
"""Tries of the fill, each from its own seed; counted, so that a rerun gives the same solution."""
FEWER_STARTS = 6
"""Tries for long lists, and after the least cost is reached."""
SHORT_LIST = 60


def _cheapest(problem: Problem, left: Sequence[int | None], need: int) -> int | None:
    """Return the stock type of which boards are left that costs least by size and takes *need*."""
    fits = [k for k, stock in enumerate(problem.stock) if stock.capacity >= need and left[k] != 0]
    return min(
        fits,
        key=lambda k: (
            problem.stock[k].cost / problem.stock[k].capacity,
            -problem.stock[k].capacity,
        ),
        default=None,
    )


def _shrunk(
    problem: Problem, boards: list[tuple[int, list[int]]], left: list[int | None]
) -> Boards:
    """Return *boards*, each on the cheapest stock that still holds its pieces."""
    out = []
    for stock, items in boards:
        need = problem.need(items)
        _give(left, stock, 1)
        fits = [k for k, each in enumerate(problem.stock) if each.capacity >= need and left[k] != 0]
        best = min(fits, key=lambda k: (problem.stock[k].cost, problem.stock[k].capacity))
        _give(left, best, -1)
        out.append(PackedBoard(best, tuple(items)))
    return tuple(out)


def _give(left: list[int | None], stock: int, number: int) -> None:
    now = left[stock]
    if now is not None:
        left[stock] = now + number


def fit(problem: Problem, only: int | None = None, tight: bool = False) -> Boards | None:
    """Return first fit (or, where *tight*, best fit) decreasing, on stock *only* while it lasts.

    ``None`` where boards run out.
    """
    left: list[int | None] = [stock.available for stock in problem.stock]
    boards: list[tuple[int, list[int]]] = []
    room: list[int] = []
    for number in sorted(range(len(problem.items)), key=lambda k: -problem.alone(k)):
        item, alone, least = problem.items[number], problem.alone(number), problem.least(number)
        for _ in range(item.demand):
            fits = [
                k
                for k, free in enumerate(room)
                if free >= alone or (free >= least and free >= problem.more(boards[k][1], number))
            ]
            if fits:
                at = min(fits, key=lambda k: room[k]) if tight else fits[0]
            else:
                takes_only = (
                    only is not None and left[only] != 0 and problem.stock[only].capacity >= alone
                )
                stock = only if takes_only else _cheapest(problem, left, alone)
                if stock is None:
                    return None
                _give(left, stock, -1)
                boards.append((stock, []))
                room.append(problem.stock[stock].capacity)
                at = len(room) - 1
            room[at] -= problem.more(boards[at][1], number)
            boards[at][1].append(number)
    return _shrunk(problem, boards, left)


def fullest(problem: Problem, counts: Sequence[int], order: Sequence[int], room: int) -> list[int]:
    """Return the items, of those *counts* leaves, that come nearest to filling *room*.

    Earlier in *order* is preferred.

    The reachable sums are the bits of one whole number.
    """
    reach, steps = 1, []
    mask = (1 << (room + 1)) - 1
    for number in order:
        size = problem.items[number].size
        for _ in range(min(counts[number], room // size)):
            more = (reach | reach << size) & mask
            if more == reach:
                break
            steps.append((number, reach))
            reach = more
        if reach >> room & 1:
            break
    total = reach.bit_length() - 1
    chosen = []
    for number, before in reversed(steps):
        if not before >> total & 1:
            chosen.append(number)
            total -= problem.items[number].size
    return chosen


def _fullest_with(
    problem: Problem, counts: Sequence[int], order: Sequence[int], first: int, capacity: int
) -> list[int]:
    """Return what fills the board of item *first* best.

    With its own family alone, or with all of them; with ends left open, or none.
    """
    family = problem.items[first].family
    own = frozenset() if family is None else frozenset({family})
    best: list[int] = []
    held = -1
    for allowed in dict.fromkeys((own, own | frozenset(problem.families))):
        usable = [k for k in order if problem.items[k].family in (None, *allowed)]
        room = capacity - problem.items[first].size
        for charge in dict.fromkeys((2 * sum(problem.charges[f] for f in allowed), 0)):
            chosen = fullest(problem, counts, usable, max(room - charge, 0))
            if allowed:
                chosen = _fitted(problem, counts, usable, [first, *chosen], capacity)
            size = sum(problem.items[k].size for k in chosen)
            if size > held:
                best, held = chosen, size
    return best


def _fitted(
    problem: Problem, counts: Sequence[int], order: Sequence[int], items: list[int], capacity: int
) -> list[int]:
    """Return *items* but the first, less those that do not fit with their open ends, and more where they do."""  # noqa: E501 - one sentence
    free = capacity - problem.need(items)
    while free < 0 and len(items) > 1:
        items.pop()
        free = capacity - problem.need(items)
    for number in order:
        while problem.least(number) <= free and items[1:].count(number) < counts[number]:
            taken = problem.more(items, number)
            if taken > free:
                break
            free -= taken
            items.append(number)
    return items[1:]


def filled(
    problem: Problem,
    seed: int,
    counts: Sequence[int] | None = None,
    left: Sequence[int | None] | None = None,
) -> Boards | None:
    """Return a solution that fills board after board around its largest piece.

    ``None`` where boards run out.
    """
    r = random.Random(seed)  # noqa: S311 - no secret
    todo = [item.demand for item in problem.items] if counts is None else list(counts)
    rest: list[int | None] = (
        [stock.available for stock in problem.stock] if left is None else list(left)
    )
    boards: list[tuple[int, list[int]]] = []
    by_size = sorted(range(len(problem.items)), key=lambda k: -problem.alone(k))
    shaken = (
        by_size
        if seed == 0
        else sorted(by_size, key=lambda k: -problem.alone(k) * r.uniform(0.7, 1.3))
    )
    while any(todo):
        first = next(number for number in by_size if todo[number])
        alone = problem.alone(first)
        todo[first] -= 1
        order = [number for number in shaken if todo[number]]
        best: tuple[float, int, list[int]] | None = None
        for k, stock in enumerate(problem.stock):
            if rest[k] == 0 or stock.capacity < alone:
                continue
            items = _fullest_with(problem, todo, order, first, stock.capacity)
            held = problem.items[first].size + sum(problem.items[each].size for each in items)
            rate = stock.cost / held * (1 if seed < 2 else r.uniform(0.99, 1.01))
            if best is None or (rate, -stock.capacity) < (
                best[0],
                -problem.stock[best[1]].capacity,
            ):
                best = rate, k, items
        if best is None:
            return None
        for number in best[2]:
            todo[number] -= 1
        _give(rest, best[1], -1)
        boards.append((best[1], sorted([first, *best[2]])))
    return _shrunk(problem, boards, rest)


def quick(problem: Problem, least: int, thorough: bool = True) -> Boards | None:
    """Return the best of all these ways.

    *least* is a cost that none can beat, after which fewer are tried, as where not *thorough*.
    """
    best: Boards | None = None
    fits = [
        partial(fit, problem, k, tight)
        for k in (None, *(range(len(problem.stock)) if thorough else ()))
        for tight in (False, True)
    ]
    starts = (STARTS if problem.pieces <= SHORT_LIST else FEWER_STARTS) if thorough else 1
    for seed, way in enumerate(
        [*fits, *(partial(filled, problem, seed) for seed in range(starts))], start=-len(fits)
    ):
        if seed >= FEWER_STARTS and best is not None and objective(problem, best)[0] <= least:
            break
        boards = way()
        if boards is not None and (
            best is None or objective(problem, boards) < objective(problem, best)
        ):
            best = boards
    return best

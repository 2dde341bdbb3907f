"""The best solution for a few pieces, by trying every way to fill the board of the largest one."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from cutmemo.planning.problem import Boards, PackedBoard, Problem

MAX_PIECES = 9
MAX_LIMITED = 3
"""With more stock types that can run out there are too many ways."""

_Found = tuple[int, int, Boards]


def is_small(problem: Problem) -> bool:
    """Return whether every way can be tried."""
    return (
        problem.pieces <= MAX_PIECES
        and problem.whole_boards
        and sum(stock.available is not None for stock in problem.stock) <= MAX_LIMITED
    )


def best_of_all(problem: Problem) -> Boards | None:
    """Return the solution that costs least, with the fewest boards among those.

    ``None`` where the boards cannot hold the pieces.
    """

    @cache
    def best(todo: tuple[int, ...], left: tuple[int | None, ...]) -> _Found | None:
        largest = max((k for k, count in enumerate(todo) if count), key=problem.alone, default=None)
        if largest is None:
            return 0, 0, ()
        found: _Found | None = None
        for items in _fillings(problem, todo, largest):
            need = problem.need(items)
            after = tuple(count - items.count(k) for k, count in enumerate(todo))
            for k in _candidates(problem, left, need):
                number = left[k]
                rest = best(
                    after, left if number is None else (*left[:k], number - 1, *left[k + 1 :])
                )
                if rest is None:
                    continue
                tried = rest[0] + problem.stock[k].cost, rest[1] + 1
                if found is None or tried < found[:2]:
                    found = (*tried, (PackedBoard(k, items), *rest[2]))
        return found

    found = best(
        tuple(item.demand for item in problem.items),
        tuple(stock.available for stock in problem.stock),
    )
    return None if found is None else found[2]


def _candidates(problem: Problem, left: tuple[int | None, ...], need: int) -> list[int]:
    """Return the stock types that hold *need*.

    The cheapest without a limit, and those cheaper that can run out.
    """
    fits = [k for k, stock in enumerate(problem.stock) if stock.capacity >= need and left[k] != 0]
    unlimited = min(
        (k for k in fits if left[k] is None), key=lambda k: problem.stock[k].cost, default=None
    )
    most = (
        problem.stock[unlimited].cost
        if unlimited is not None
        else max((problem.stock[k].cost for k in fits), default=0)
    )
    return [
        k for k in fits if k == unlimited or (left[k] is not None and problem.stock[k].cost <= most)
    ]


def _fillings(problem: Problem, todo: tuple[int, ...], largest: int) -> Iterator[tuple[int, ...]]:
    """Yield every choice of items for one board that has the *largest* on it."""
    room = max(stock.capacity for stock in problem.stock)

    def more(k: int, chosen: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if k == len(todo):
            yield chosen
            return
        for count in range(todo[k] - (k == largest) + 1):
            now = chosen + (k,) * count
            if problem.need(now) > room:
                break
            yield from more(k + 1, now)

    if problem.alone(largest) <= room:
        yield from more(0, (largest,))

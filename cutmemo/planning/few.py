"""The best layout of a few pieces, by trying every way to fill the board of the heaviest one."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from cutmemo.planning.fill import Boards
from cutmemo.planning.job import Job, LaidBoard

FEW_PIECES = 9
FEW_LIMITS = 3
"""With more kinds of board that can run out there are too many ways."""

_Found = tuple[int, int, Boards]


def is_few(job: Job) -> bool:
    """Return whether every way can be tried."""
    return (
        job.pieces <= FEW_PIECES
        and sum(kind.available is not None for kind in job.kinds) <= FEW_LIMITS
    )


def best_of_few(job: Job) -> Boards | None:
    """Return the layout that costs least, with the fewest boards among those; ``None`` where the boards cannot hold the pieces."""

    @cache
    def best(todo: tuple[int, ...], left: tuple[int | None, ...]) -> _Found | None:
        heaviest = max(
            (k for k, count in enumerate(todo) if count),
            key=lambda k: job.demands[k].weight,
            default=None,
        )
        if heaviest is None:
            return 0, 0, ()
        found: _Found | None = None
        for pieces in _fillings(job, todo, heaviest):
            weight = sum(job.demands[piece].weight for piece in pieces)
            after = tuple(count - pieces.count(k) for k, count in enumerate(todo))
            for k in _worth_it(job, left, weight):
                number = left[k]
                rest = best(
                    after, left if number is None else (*left[:k], number - 1, *left[k + 1 :])
                )
                if rest is None:
                    continue
                tried = rest[0] + job.kinds[k].cost, rest[1] + 1
                if found is None or tried < found[:2]:
                    found = (*tried, (LaidBoard(k, pieces), *rest[2]))
        return found

    found = best(
        tuple(demand.count for demand in job.demands), tuple(kind.available for kind in job.kinds)
    )
    return None if found is None else found[2]


def _worth_it(job: Job, left: tuple[int | None, ...], weight: int) -> list[int]:
    """Return the kinds that hold *weight*: the cheapest there is no end of, and those cheaper that can run out."""
    fits = [k for k, kind in enumerate(job.kinds) if kind.capacity >= weight and left[k] != 0]
    endless = min(
        (k for k in fits if left[k] is None), key=lambda k: job.kinds[k].cost, default=None
    )
    most = (
        job.kinds[endless].cost
        if endless is not None
        else max((job.kinds[k].cost for k in fits), default=0)
    )
    return [k for k in fits if k == endless or (left[k] is not None and job.kinds[k].cost <= most)]


def _fillings(job: Job, todo: tuple[int, ...], heaviest: int) -> Iterator[tuple[int, ...]]:
    """Yield every choice of pieces for one board that has the *heaviest* on it."""
    room = max(kind.capacity for kind in job.kinds)

    def more(k: int, free: int, chosen: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if k == len(todo):
            yield chosen
            return
        for count in range(todo[k] - (k == heaviest) + 1):
            weight = job.demands[k].weight * count
            if weight > free:
                break
            yield from more(k + 1, free - weight, chosen + (k,) * count)

    yield from more(0, room - job.demands[heaviest].weight, (heaviest,))

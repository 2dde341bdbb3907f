"""What a layout has to do, and what it came to: whole numbers only.

A piece weighs its length and one kerf; a board holds its length less its trim, and one
kerf more, since the last piece needs none. Source: Gilmore and Gomory, A linear
programming approach to the cutting-stock problem, Operations Research 9, 1961; the kerf
so counted is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import gcd


@dataclass(frozen=True, slots=True)
class Kind:
    """Boards that are alike."""

    capacity: int
    cost: int
    available: int | None = None
    """``None`` where there is no end of them."""


@dataclass(frozen=True, slots=True)
class Demand:
    """Pieces that are alike."""

    weight: int
    count: int


@dataclass(frozen=True)
class Job:
    """Pieces to lay onto boards."""

    kinds: tuple[Kind, ...]
    demands: tuple[Demand, ...]

    @cached_property
    def pieces(self) -> int:
        """Return how many pieces there are."""
        return sum(demand.count for demand in self.demands)

    @cached_property
    def weight(self) -> int:
        """Return what all pieces weigh."""
        return sum(demand.weight * demand.count for demand in self.demands)

    @cached_property
    def cost_step(self) -> int:
        """Return what every cost is a multiple of."""
        return gcd(*(kind.cost for kind in self.kinds)) or 1

    def reduced(self) -> Job:
        """Return the same job in the coarsest step that changes nothing."""
        step = gcd(*(demand.weight for demand in self.demands)) or 1
        return Job(
            tuple(Kind(kind.capacity // step, kind.cost, kind.available) for kind in self.kinds),
            tuple(Demand(demand.weight // step, demand.count) for demand in self.demands),
        )


@dataclass(frozen=True, slots=True)
class LaidBoard:
    """One board and the demands cut from it, by their numbers in the job."""

    kind: int
    pieces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """Every piece on a board."""

    boards: tuple[LaidBoard, ...]
    cost: int
    cost_bound: int
    """No layout costs less than this."""
    boards_bound: int
    """No layout of this cost has fewer boards."""

    @property
    def proven(self) -> bool:
        """Return whether nothing costs less, and nothing of this cost takes fewer boards."""
        return self.cost == self.cost_bound and len(self.boards) == self.boards_bound

    @property
    def rank(self) -> tuple[int, int]:
        """Return what layouts are compared by: cost, then boards."""
        return self.cost, len(self.boards)


def cost_of(job: Job, boards: tuple[LaidBoard, ...]) -> int:
    """Return what *boards* cost together."""
    return sum(job.kinds[board.kind].cost for board in boards)

"""The cutting-stock problem of one section, and its solution: whole numbers only.

An item's size is its length and one kerf; a stock type's capacity is its length less its
trim, and one kerf more, since the last piece needs none. Source: Gilmore and Gomory, A
linear programming approach to the cutting-stock problem, Operations Research 9, 1961; the
kerf so counted is common practice.

Items of one family have slanted ends that share a cut when they lie side by side: the
family takes its charge of a board once, and each of its items the rest (a knapsack with
family setups: Chebil and Khemakhem, Computers and Operations Research 64, 2015).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import gcd


@dataclass(frozen=True, slots=True)
class StockType:
    """Boards that are alike."""

    capacity: int
    cost: int
    available: int | None = None
    """``None`` where there is no limit."""
    board: int | None = None
    """Sound stretches of the same boards have the same number.

    A board counts once, however many of them are used.
    """


@dataclass(frozen=True, slots=True)
class Item:
    """Pieces that are alike."""

    size: int
    demand: int
    family: int | None = None
    """Its place in the charges of the problem; ``None`` for square ends."""


@dataclass(frozen=True)
class Problem:
    """Items to cut from stock."""

    stock: tuple[StockType, ...]
    items: tuple[Item, ...]
    charges: tuple[int, ...] = ()
    """What each family takes of every board it stands on."""

    @cached_property
    def pieces(self) -> int:
        """Return how many pieces there are."""
        return sum(item.demand for item in self.items)

    @cached_property
    def families(self) -> tuple[int, ...]:
        """Return the families that have items."""
        return tuple(sorted({item.family for item in self.items if item.family is not None}))

    @cached_property
    def total_size(self) -> int:
        """Return what all pieces take at the least: every family is charged once."""
        return sum(item.size * item.demand for item in self.items) + sum(
            self.charges[family] for family in self.families
        )

    @cached_property
    def whole_boards(self) -> bool:
        """Return whether every stock type is a board of its own."""
        return all(stock.board is None for stock in self.stock)

    def number_of(self, boards: Sequence[PackedBoard]) -> int:
        """Return how many boards there are; of stretches, as many as of the one used most."""
        if self.whole_boards:
            return len(boards)
        used = Counter(board.stock for board in boards)
        most: dict[tuple[bool, int], int] = {}
        for k, number in used.items():
            whole = self.stock[k].board
            key = (whole is None, k if whole is None else whole)
            most[key] = max(most.get(key, 0), number)
        return sum(most.values())

    @cached_property
    def cost_step(self) -> int:
        """Return the greatest common divisor of all costs."""
        return gcd(*(stock.cost for stock in self.stock)) or 1

    def need(self, items: Iterable[int]) -> int:
        """Return what *items*, by their numbers, take of one board together."""
        chosen = list(items)
        families = {self.items[number].family for number in chosen}
        return sum(self.items[number].size for number in chosen) + sum(
            self.charges[family] for family in families if family is not None
        )

    def alone(self, number: int) -> int:
        """Return what one piece of item *number* takes of a board to itself."""
        item = self.items[number]
        return item.size + (0 if item.family is None else self.charges[item.family])

    def reduced(self) -> Problem:
        """Return the same problem in the coarsest unit that changes nothing."""
        unit = gcd(*(item.size for item in self.items), *self.charges) or 1
        return Problem(
            tuple(replace(stock, capacity=stock.capacity // unit) for stock in self.stock),
            tuple(Item(item.size // unit, item.demand, item.family) for item in self.items),
            tuple(charge // unit for charge in self.charges),
        )


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is tried before a solution stands as it is.

    Counted, so that a rerun gives the same one.
    """

    patterns: int
    """That an integer programme may have at most; beyond, it takes seconds."""
    counted: int
    """The same for the fewest boards, which takes several times as long."""
    work: int
    """Nodes of an integer programme times its patterns and items."""
    dives: int
    """Tries of fixing pattern after pattern."""
    long_counts: bool = False
    """Whether the fewest boards are looked into for long lists too."""


AT_ONCE = Effort(600, 400, 1_000_000, 1)
"""For a plan that somebody waits for."""
NESTED = Effort(150, 150, 200_000, 1)
"""For slants: the patterns of a family are many, and a proof over them is none over how they really lie."""  # noqa: E501 - one sentence
THOROUGH = Effort(4_000, 4_000, 50_000_000, 10, long_counts=True)
"""For a proof that may take its time."""


@dataclass(frozen=True, slots=True)
class PackedBoard:
    """One board of a stock type and the items cut from it, by their numbers in the problem."""

    stock: int
    items: tuple[int, ...]


Boards = tuple[PackedBoard, ...]


@dataclass(frozen=True, slots=True)
class Solution:
    """Every piece on a board."""

    boards: Boards
    cost: int
    cost_bound: int
    """No solution costs less than this."""
    number: int
    """How many boards there are; stretches of one board count once."""
    boards_bound: int
    """No solution of this cost has fewer boards."""

    @property
    def cost_proven(self) -> bool:
        """Return whether nothing costs less."""
        return self.cost == self.cost_bound

    @property
    def proven(self) -> bool:
        """Return whether nothing costs less, and nothing of this cost takes fewer boards."""
        return self.cost_proven and self.number == self.boards_bound


def cost_of(problem: Problem, boards: Sequence[PackedBoard]) -> int:
    """Return what *boards* cost together."""
    return sum(problem.stock[board.stock].cost for board in boards)


def objective(problem: Problem, boards: Sequence[PackedBoard]) -> tuple[int, int]:
    """Return what solutions are compared by: cost, then number of boards."""
    return cost_of(problem, boards), problem.number_of(boards)

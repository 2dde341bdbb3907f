"""The cutting-stock problem of one section, and its solution: whole numbers only.

An item's size is its length and one kerf; a stock type's capacity is its length less its
trim, and one kerf more, since the last piece needs none. Source: Gilmore and Gomory, A
linear programming approach to the cutting-stock problem, Operations Research 9, 1961; the
kerf so counted is common practice.

Items of one family have ends of one slant, which share a cut where two of them meet. Each item
takes its length less half of what it can lie into its neighbours, and each end that meets none
of its family takes the other half, its charge. Pieces with one such end meet in pairs, and those
with two lie between them, so that one end is open where the number of the first is odd, and two
where there are none of the first. That is the number of odd corners of a graph whose edges are
the pieces, which a walk over all edges needs (Euler's theorem).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
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
    single: bool = False
    """Whether only one of its ends is of its family."""


NONE, INNER, ODD, EVEN = range(4)
"""What stands on a board of one family: nothing, pieces with two ends only, or some with one."""
OPEN_ENDS = (0, 2, 1, 0)
"""How many of its ends are open then."""


def after(state: int, single: bool, count: int) -> int:
    """Return what stands on a board after *count* pieces more, with a *single* end or with two."""
    if count == 0:
        return state
    if not single:
        return state or INNER
    return ODD if (state == ODD) != bool(count % 2) else EVEN


@dataclass(frozen=True)
class Problem:
    """Items to cut from stock."""

    stock: tuple[StockType, ...]
    items: tuple[Item, ...]
    charges: tuple[int, ...] = ()
    """What each open end of a family takes."""
    nested: bool = False
    """Whether the families go from the longest slant to the shortest, and each charge is what its
    slant is longer than the next: slants of two families lie into each other as far as the shorter
    one goes.
    """

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
        """Return what all pieces take at the least: as if they were on one board."""
        return sum(item.size * item.demand for item in self.items) + self.open_ends(
            {number: item.demand for number, item in enumerate(self.items)}
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
        size, slanted = 0, Counter[int]()
        for number in items:
            item = self.items[number]
            size += item.size
            if item.family is not None:
                slanted[number] += 1
        return size + self.open_ends(slanted) if slanted else size

    def open_ends(self, counts: Mapping[int, int]) -> int:
        """Return what the open ends of so many of each item on one board take."""
        ends = [[0, 0] for _ in self.charges]
        for number, count in counts.items():
            item = self.items[number]
            if item.family is not None:
                ends[item.family][item.single] += count
        taken, state = 0, NONE
        for (double, single), charge in zip(ends, self.charges, strict=True):
            state = after(after(state, False, double), True, single)
            taken += charge * OPEN_ENDS[state]
            state = state if self.nested else NONE
        return taken

    def more(self, items: Sequence[int], number: int) -> int:
        """Return what one piece of item *number* takes beside *items*."""
        if self.items[number].family is None:
            return self.items[number].size
        return self.need((*items, number)) - self.need(items)

    def alone(self, number: int) -> int:
        """Return what one piece of item *number* takes of a board to itself."""
        return self._alone[number]

    @cached_property
    def _alone(self) -> tuple[int, ...]:
        return tuple(self.need((number,)) for number in range(len(self.items)))

    def least(self, number: int) -> int:
        """Return the least that one piece more of item *number* can take, where it closes open ends."""  # noqa: E501 - one sentence
        return 2 * self.items[number].size - self.alone(number)

    def reduced(self) -> Problem:
        """Return the same problem in the coarsest unit that changes nothing."""
        unit = gcd(*(item.size for item in self.items), *self.charges) or 1
        return replace(
            self,
            stock=tuple(replace(stock, capacity=stock.capacity // unit) for stock in self.stock),
            items=tuple(replace(item, size=item.size // unit) for item in self.items),
            charges=tuple(charge // unit for charge in self.charges),
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
    """The times that an integer programme asks whether to go on, times its patterns."""
    dives: int
    """Tries of fixing pattern after pattern."""
    long_lists: bool = False
    """Whether the fewest boards, and how slants lie best, are looked into for long lists too."""


AT_ONCE = Effort(600, 400, 15_000, 1)
"""For a plan that somebody waits for."""
NESTED = Effort(150, 150, 10_000, 1)
"""For slants: their boards are solved for, and then once more for a bound on how they can lie."""
THOROUGH = Effort(4_000, 4_000, 5_000_000, 10, long_lists=True)
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

"""What the yard has to bring for one section, and what it comes to: boards, feet, money, waste."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.planning.layout import SectionPlan
from cutmemo.planning.yard import Price, Yard


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Boards of one length."""

    inches: Fraction
    needed: int
    """How many the layout takes."""
    count: int
    """How many are ordered: with the waste allowance, and no fewer than the yard hands out."""
    price: Fraction | None
    """Of one board, where it is known."""

    @property
    def cost(self) -> Fraction | None:
        """Return what the line costs, or ``None``."""
        return None if self.price is None else self.price * self.count


@dataclass(frozen=True, slots=True)
class Order:
    """What has to be bought of one section."""

    section: Section | None
    lines: tuple[OrderLine, ...]
    pieces: int
    """How many pieces come off the boards that are bought."""
    waste: Fraction
    """What part of those boards ends as sawdust, trim and ends too short to keep.

    Spare boards do not count.
    """

    @property
    def boards(self) -> int:
        """Return how many boards are ordered."""
        return sum(line.count for line in self.lines)

    @property
    def inches(self) -> Fraction:
        """Return how long they are together."""
        return sum((line.inches * line.count for line in self.lines), Fraction(0))

    @property
    def board_feet(self) -> Fraction:
        """Return their board feet; 0 where the section has no nominal size."""
        return Fraction(0) if self.section is None else self.section.board_feet(self.inches)

    @property
    def cost(self) -> Fraction | None:
        """Return what they cost, or ``None`` where a price is not known."""
        known = [line.cost for line in self.lines if line.cost is not None]
        return sum(known, Fraction(0)) if len(known) == len(self.lines) else None


def order_of(
    plan: SectionPlan, settings: Settings, yard: Yard | None = None, prices: Iterable[Price] = ()
) -> Order:
    """Return what has to be bought for *plan*.

    *prices* are those last paid, where the *yard* names none.
    """
    known = yard or Yard()
    terms = known.of(plan.section)
    paid = {inches: price for size, inches, price in reversed(list(prices)) if size == plan.section}
    paid |= dict(terms.prices)
    spare = _spare(plan.order, known.waste_allowance)
    lines = tuple(
        OrderLine(inches, needed, max(needed + spare[inches], terms.minimum), paid.get(inches))
        for inches, needed in plan.order.items()
    )
    bought = [board for board in plan.boards if board.lot is None]
    length = sum((board.inches for board in bought), Fraction(0))
    used = sum((piece.inches for board in bought for piece in board.pieces), Fraction(0))
    used += sum((board.left for board in bought if board.left >= settings.leftover), Fraction(0))
    waste = max(1 - used / length, Fraction(0)) if length else Fraction(0)
    return Order(plan.section, lines, sum(len(board.pieces) for board in bought), waste)


def _spare(order: Mapping[Fraction, int], allowance: Fraction) -> dict[Fraction, int]:
    """Return how many more boards of each length make *allowance* more inches of all of them together.

    Whole boards of each length as far as its share goes; then one of the length whose share was
    cut shortest, the longer of two, until it is enough.
    """  # noqa: E501 - one sentence
    spare = {inches: int(needed * allowance) for inches, needed in order.items()}
    short = allowance * sum(inches * needed for inches, needed in order.items())
    short -= sum(inches * number for inches, number in spare.items())
    for inches in sorted(order, key=lambda each: (order[each] * allowance % 1, each), reverse=True):
        if short <= 0:
            break
        spare[inches] += 1
        short -= inches
    return spare


def total_cost(orders: Sequence[Order]) -> Fraction | None:
    """Return what all *orders* cost, or ``None`` where a price is not known."""
    known = [order.cost for order in orders if order.cost is not None]
    return sum(known, Fraction(0)) if len(known) == len(orders) else None

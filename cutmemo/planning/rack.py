"""The boards at hand, as the events of the memo leave them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from cutmemo.domain.cut import Section

if TYPE_CHECKING:
    from cutmemo.planning.kept import BoardPlan

MAX_BOARDS = 5_000
"""More boards of one kind than any rack holds: a slip of the keys."""
MAX_BOARD_INCHES = Fraction(60 * 12)
"""60 ft: longer than any board a crew handles."""


@dataclass(frozen=True, slots=True)
class Lot:
    """Boards that are alike."""

    id: str
    number: int
    """What a person calls them: 1 for the first ever put on the rack."""
    section: Section | None
    inches: Fraction
    count: int
    price: Fraction | None = None
    """Of one board."""
    bad: tuple[tuple[Fraction, Fraction], ...] = ()
    """Parts that cannot be used, from and to, measured from one end."""
    leftover: bool = False
    """True for what is left of a board that was started."""

    def runs(self) -> tuple[tuple[Fraction, Fraction], ...]:
        """Return the sound stretches, from and to."""
        out, at = [], Fraction(0)
        for begin, end in sorted(self.bad):
            if begin > at:
                out.append((at, begin))
            at = max(at, end)
        if at < self.inches:
            out.append((at, self.inches))
        return tuple(out)


@dataclass(frozen=True, slots=True)
class Rack:
    """All lots, the emptied ones left out."""

    lots: tuple[Lot, ...] = ()
    given: int = 0
    """How many numbers were given out."""
    prices: tuple[tuple[Section | None, Fraction, Fraction], ...] = ()
    """What a board of a section and a length cost when it was put on the rack, the last said first."""  # noqa: E501 - one sentence
    boards: tuple[BoardPlan, ...] = ()
    """Boards that keep their plan, since they were begun or printed.

    A begun one is in no lot any more.
    """

    def price_of(self, section: Section | None, inches: Fraction) -> Fraction | None:
        """Return what such a board cost last, or ``None`` where nobody said."""
        return next(
            (price for size, length, price in self.prices if (size, length) == (section, inches)),
            None,
        )

    def lot(self, number: int) -> Lot | None:
        """Return the lot called *number*, or ``None``."""
        return next((lot for lot in self.lots if lot.number == number), None)

    def by_id(self, lot_id: str) -> Lot | None:
        """Return the lot with this id, or ``None``."""
        return next((lot for lot in self.lots if lot.id == lot_id), None)

    def with_number_spent(self) -> Rack:
        """Return the rack after a number was given to boards that are undone.

        No number ever means two lots.
        """
        return replace(self, given=self.given + 1)

    def with_lot(self, lot: Lot) -> Rack:
        """Return the rack with *lot* on it under the next number."""
        lot = replace(lot, number=self.given + 1)
        paid = () if lot.price is None else ((lot.section, lot.inches, lot.price),)
        prices = (*paid, *self.prices)
        return replace(self, lots=(*self.lots, lot), given=self.given + 1, prices=prices)

    def changed(
        self,
        lot_id: str,
        count: int | None = None,
        inches: Fraction | None = None,
        bad: tuple[tuple[Fraction, Fraction], ...] | None = None,
    ) -> Rack:
        """Return the rack with another count, length or other bad parts of a lot.

        An emptied one goes.
        """
        lot = self.by_id(lot_id)
        if lot is None:
            return self
        new = replace(
            lot,
            count=lot.count if count is None else count,
            inches=lot.inches if inches is None else inches,
            bad=lot.bad if bad is None else bad,
        )
        lots = (new if each.id == lot.id else each for each in self.lots)
        return replace(self, lots=tuple(each for each in lots if each.count > 0))

    def sawn(self, lot_id: str) -> Rack:
        """Return the rack after one board of a lot was started."""
        lot = self.by_id(lot_id)
        return self if lot is None else self.changed(lot_id, lot.count - 1)

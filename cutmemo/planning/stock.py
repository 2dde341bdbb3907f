"""Where the boards of one section come from, and what each costs in the layout.

A board costs its exact length, an inch from the rack twice that of a left-over and an inch
from the yard sixteen times: left-overs first, and the yard last. Where the yard's prices are
known, prices stand in for lengths; a left-over, and a board on the rack without a price, then
costs its share of the lowest price an inch.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from cutmemo.domain.settings import Settings
from cutmemo.planning.kept import Held
from cutmemo.planning.rack import Lot
from cutmemo.planning.yard import Offer, Yard

BOUGHT, RACKED, STARTED = 16, 2, 1
"""Weights of what is bought, on the rack, and left over."""


@dataclass(frozen=True, slots=True)
class Source:
    """Boards of one length from one place."""

    lot: Lot | None
    start: Fraction
    """Where a sound stretch begins on its board."""
    inches: Fraction
    available: int | None
    trim: Fraction = Fraction(0)
    """Comes off the end first."""
    price: Fraction | None = None
    held: Held | None = None
    """The board that keeps its plan, of which this is the free end."""
    exact: bool = False
    """True for a pre-cut stud: bought for pieces of its very length only."""

    @property
    def weight(self) -> int:
        """Return how much an inch of it weighs in the layout."""
        if self.held is not None:
            begun = self.held.plan.begun or self.held.plan.leftover
            return STARTED if begun or self.held.pieces else RACKED
        return BOUGHT if self.lot is None else STARTED if self.lot.leftover else RACKED


def sources(  # noqa: PLR0913 - facts of one problem, named by every caller
    lots: Iterable[Lot],
    kept: Iterable[Held],
    offered: Iterable[Offer],
    shortest_piece: Fraction,
    settings: Settings,
    yard: Yard,
) -> list[Source]:
    """Return the free ends of *kept* boards, the sound stretches of the *lots*, then what the yard has."""  # noqa: E501 - one sentence
    out = [
        Source(None, each.plan.start, each.plan.inches - each.free, 1, held=each)
        for each in kept
        if each.plan.inches - each.free >= shortest_piece
    ]
    for lot in lots:
        runs = lot.runs()
        out += [
            Source(
                lot,
                begin,
                end - begin,
                lot.count,
                trim_of(lot, settings, yard),
                lot.price if len(runs) == 1 else None,
            )
            for begin, end in runs
            if end - begin >= shortest_piece
        ]
    out += [
        Source(
            None,
            Fraction(0),
            offer.inches,
            offer.available,
            Fraction(0) if offer.precut else settings.trim,
            offer.price,
            exact=offer.precut,
        )
        for offer in offered
    ]
    return out


def trim_of(lot: Lot | None, settings: Settings, yard: Yard | None = None) -> Fraction:
    """Return what comes off the end first.

    Nothing of a left-over, whose end is fresh, nor of a pre-cut stud.
    """
    studs = (yard or Yard()).studs
    fresh = lot is not None and (lot.leftover or lot.inches in studs)
    return Fraction(0) if fresh else settings.trim


def priced(found: Sequence[Source], longest_need: Fraction) -> list[Source] | None:
    """Return the sources to choose from by price, or ``None`` where too few prices are known.

    Of the yard's lengths two need one, or all; those without one are left out then, unless a piece
    needs them. A left-over, and a board on the rack that has none, has its share of the lowest
    price an inch.
    """
    racked = [each for each in found if each.lot is not None and not each.lot.leftover]
    bought = [each for each in found if each.lot is None and each.held is None]
    known = [each for each in bought if each.price is not None]
    enough = len(known) == len(bought) or (
        len([each for each in known if not each.exact]) >= 2
        and any(each.inches - each.trim >= longest_need for each in known)
    )
    if not known or not enough:
        return None
    rate = min(each.price / each.inches for each in (*known, *racked) if each.price is not None)
    return [
        each
        if each.price is not None
        else Source(
            each.lot,
            each.start,
            each.inches,
            each.available,
            each.trim,
            rate * each.inches,
            each.held,
        )
        for each in found
        if each not in bought or each in known
    ]


def costs(found: Sequence[Source], by_price: bool) -> list[int]:
    """Return what a board of each source costs, exact and in whole numbers."""
    worth = [
        each.weight * (each.price if by_price and each.price is not None else each.inches)
        for each in found
    ]
    parts = lcm(*(each.denominator for each in worth))
    return [int(each * parts) for each in worth]

"""What the yard sells, by section: lengths, prices, pre-cut studs, the fewest it hands out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from cutmemo.domain.cut import Section

USUAL_LENGTHS = tuple(Fraction(12 * feet) for feet in (8, 10, 12, 14, 16))
LONGER_LENGTHS = tuple(Fraction(12 * feet) for feet in (18, 20, 22, 24))
"""Common practice: 2 ft steps, 8 to 16 ft usual, to 24 ft. Where nobody said what the yard sells,
no more of the longer ones are bought than there are pieces that need one."""
PRECUT_STUDS = (Fraction(741, 8), Fraction(837, 8), Fraction(933, 8))
"""92-5/8, 104-5/8 and 116-5/8 in. (common practice)."""

Price = tuple[Section | None, Fraction, Fraction]
"""Of one board of a section and a length."""


@dataclass(frozen=True, slots=True)
class Terms:
    """What the yard sells of one section."""

    section: Section | None
    lengths: tuple[Fraction, ...] = ()
    """In inches; none for the usual ones."""
    precuts: tuple[Fraction, ...] = ()
    """Lengths of studs it sells cut to length: bought for pieces of that very length, and for those
    that no board holds.
    """
    prices: tuple[tuple[Fraction, Fraction], ...] = ()
    """Length and price of one board."""
    minimum: int = 1
    """The fewest boards of one length it hands out."""

    def price(self, inches: Fraction) -> Fraction | None:
        """Return the price of a board of *inches*, or ``None``."""
        return dict(self.prices).get(inches)


@dataclass(frozen=True, slots=True)
class Yard:
    """What is known of the yard, and how much is ordered beyond what the layout takes."""

    terms: tuple[Terms, ...] = ()
    studs: tuple[Fraction, ...] = PRECUT_STUDS
    """Lengths at which a board on the rack is a pre-cut stud.

    No end is trimmed off, it is used whole first.
    """
    waste_allowance: Fraction = Fraction(0)
    """What part more is ordered, as 1/10."""
    budget: Fraction | None = None
    """What the whole order may cost."""

    def of(self, section: Section | None) -> Terms:
        """Return what the yard sells of *section*; the usual where nobody said."""
        return next((each for each in self.terms if each.section == section), Terms(section))

    def with_terms(self, terms: Terms) -> Yard:
        """Return the yard with other terms for one section."""
        return replace(
            self, terms=(*(each for each in self.terms if each.section != terms.section), terms)
        )


@dataclass(frozen=True, slots=True)
class Offer:
    """One length that can be bought."""

    inches: Fraction
    price: Fraction | None
    available: int | None = None
    """``None`` where as many as wanted can be had."""
    precut: bool = False


def offers(  # noqa: PLR0913 - facts of one problem, named by every caller
    yard: Yard,
    section: Section | None,
    pieces: Iterable[tuple[Fraction, int, bool]],
    trim: Fraction,
    longest: Fraction,
    known: Iterable[Price] = (),
) -> list[Offer]:
    """Return what of the yard's boards is worth considering for *pieces*.

    Inches, how many, and whether both ends are square.

    *known* prices serve where the terms name none; boards over *longest* cannot be loaded.
    """
    terms, wanted = yard.of(section), list(pieces)
    said = {inches: price for size, inches, price in reversed(list(known)) if size == section}
    prices = said | dict(terms.prices)
    lengths = terms.lengths or tuple(
        sorted({*USUAL_LENGTHS, *dict(terms.prices)} - set(yard.studs))
    )
    out = [Offer(each, prices.get(each)) for each in lengths if each <= longest]
    if not terms.lengths:
        shorter = max((each.inches for each in out), default=Fraction(0)) - trim
        for each in LONGER_LENGTHS:
            needing = sum(count for inches, count, _ in wanted if shorter < inches <= each - trim)
            if needing and each <= longest and each not in lengths:
                out.append(Offer(each, prices.get(each), needing))
            shorter = max(shorter, each - trim)
    boarded = max((each.inches for each in out), default=Fraction(0)) - trim
    for each in dict.fromkeys(
        (*terms.precuts, *(i for i in dict(terms.prices) if i in yard.studs))
    ):
        same = sum(count for inches, count, square in wanted if square and inches == each)
        needing = sum(count for inches, count, _ in wanted if boarded < inches < each)
        if same + needing and each <= longest:
            out.append(Offer(each, prices.get(each), same + needing, precut=True))
    return out

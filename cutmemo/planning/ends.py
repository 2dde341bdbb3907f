"""How much board a piece takes, and how much less it takes beside its like.

The geometry of slanted ends.

An end is the plane x = across · y + through · z, with x along the board, y over its width
and z through its thickness. A plumb cut runs off rise over 12 of the width, a seat (level)
cut 12 over rise, a hip's plumb cut rise over 16.97, a miter its tangent. A bevel is tilted
from the line on the face, so that along the board it takes its tangent over the cosine of
the angle on the face. A blade takes its kerf square to the plane: along the board that is
the kerf times the root of 1 + across² + through². All of it is plane trigonometry; the
pitches are common practice (rise in 12 of run; 16.97 is the diagonal of a 12 in. square).

Irrational figures are rounded to a millionth of an inch, always to the side that takes more board.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.cut import Cut, End, Section

GRAIN = 1_000_000
MARK_PARTS = 1 << 16
"""Marks beside slants are rounded up to this part of an inch, so that they can be kept exactly."""
CHEEK_BEVEL = 45.0
"""Degrees of a cheek cut where none were said.

Equal pitches meet at 45° in plan (common practice).
"""


def _up(value: float) -> Fraction:
    return Fraction(math.ceil(value * GRAIN - 1e-4), GRAIN)


@dataclass(frozen=True, slots=True)
class Slant:
    """How far one end runs along the board, a side."""

    across: Fraction = Fraction(0)
    """Along the board for one of width."""
    through: Fraction = Fraction(0)
    """Along the board for one of thickness; a double cheek counts half."""
    shares: bool = True
    """Whether the next piece's end can be cut by the same cut.

    Not where it slants both ways, or is pointed.
    """

    @property
    def square(self) -> bool:
        """Return whether it does not slant."""
        return not (self.across or self.through)

    def run(self, section: tuple[Fraction, Fraction]) -> Fraction:
        """Return the inches between its long and its short point on a board of dressed (thickness, width)."""  # noqa: E501 - one sentence
        return section[1] * self.across + section[0] * self.through

    def kerf_factor(self) -> Fraction:
        """Return what a kerf takes along the board, in kerfs."""
        if self.square:
            return Fraction(1)
        return _up(math.sqrt(1 + float(self.across) ** 2 + float(self.through) ** 2))


SQUARE_END = Slant()


def slant(end: End) -> Slant:
    """Return how *end* slants, rounded up."""
    across = 0.0
    exact: Fraction | None = None
    if end.rise:
        if end.kind == "hip":
            across = float(end.rise) / math.sqrt(288)
        else:
            exact = 12 / end.rise if end.kind == "seat" else end.rise / 12
            across = float(exact)
    elif end.miter:
        across = math.tan(math.radians(float(end.miter)))
    bevel = float(end.bevel) if end.bevel else CHEEK_BEVEL if end.cheek else 0.0
    through = math.tan(math.radians(bevel)) * math.hypot(1, across)
    if end.cheek == "double":
        through /= 2
    return Slant(
        _up(across) if exact is None else exact,
        _up(through),
        end.cheek is None and not (across and through),
    )


def dressed(section: Section | None) -> tuple[Fraction, Fraction] | None:
    """Return the dressed (thickness, width) of *section*, or ``None`` where there is no standard one."""  # noqa: E501 - one sentence
    return None if section is None else section.dressed()


def long_point(cut: Cut) -> Fraction | None:
    """Return the inches of board that one piece of *cut* takes: its length between the long points.

    ``None`` where an end is called to its short point and the section is needed to reckon it.
    """
    extra = Fraction(0)
    for end in cut.ends:
        leaning = slant(end)
        if end.point != "short" or leaning.square:
            continue
        size = dressed(cut.section)
        if size is None:
            return None
        extra += leaning.run(size)
    return cut.length.inches + extra


@dataclass(frozen=True, slots=True)
class Shape:
    """The ends of a piece, as far as they save board beside their like."""

    ends: tuple[Slant, Slant]
    section: tuple[Fraction, Fraction]
    """Dressed thickness and width."""

    def shared(self, end: int) -> Fraction:
        """Return the inches that two pieces lie into each other where both have this *end* (0 or 1) at one cut."""  # noqa: E501 - one sentence
        leaning = self.ends[end]
        if leaning.square or not leaning.shares:
            return Fraction(0)
        grain = Fraction(2, GRAIN)
        down = Slant(
            max(leaning.across - grain, Fraction(0)), max(leaning.through - grain, Fraction(0))
        )
        return down.run(self.section)

    @property
    def saving(self) -> Fraction:
        """Return what a piece takes less of a board on which its ends meet their like."""
        return (self.shared(0) + self.shared(1)) / 2

    @property
    def sharing(self) -> tuple[Slant, ...]:
        """Return the ends whose cut the next piece can share."""
        return tuple(leaning for end, leaning in enumerate(self.ends) if self.shared(end))

    def kerf(self, kerf: Fraction, end: int) -> Fraction:
        """Return what the cut of this *end* (0 or 1) takes along the board."""
        return kerf * self.ends[end].kerf_factor()

    def widest_kerf(self, kerf: Fraction) -> Fraction:
        """Return the larger kerf of the two ends, along the board."""
        return max(self.kerf(kerf, 0), self.kerf(kerf, 1))


Family = Slant | Shape
"""What pieces on the boards of one section share cuts by.

A slant; where both ends slant and not alike, the shape.
"""


def family_of(inches: Fraction, shape: Shape | None) -> Family | None:
    """Return the family of a piece of *inches* between its long points; ``None`` where it shares no cut.

    A piece has to be long enough that its slants do not cross, however they lean.
    """  # noqa: E501 - one sentence
    if shape is None or inches < shape.shared(0) + shape.shared(1) or not shape.sharing:
        return None
    return shape.sharing[0] if len(set(shape.sharing)) == 1 else shape


def shape_of(cut: Cut) -> Shape | None:
    """Return the shape of *cut*; ``None`` for square ends, and where the section has no standard size."""  # noqa: E501 - one sentence
    size = dressed(cut.section)
    first, second = sorted((slant(end) for end in cut.ends), key=_order)
    if size is None or (first.square and second.square):
        return None
    return Shape((first, second), size)


def _order(leaning: Slant) -> tuple[Fraction, Fraction, bool]:
    return leaning.across, leaning.through, leaning.shares

"""What is to be cut, and the board it comes from, as frozen facts."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from fractions import Fraction
from typing import Literal

from cutmemo.domain.length import Length

Side = Literal["over", "under"]
Point = Literal["long", "short"]
EndKind = Literal["square", "plumb", "seat", "hip", "angled"]


@dataclass(frozen=True, slots=True)
class Allowance:
    """A touch more or less than the length, in the crew's own word; a number only if the crew set
    one.
    """

    word: str
    side: Side
    slight: bool = False
    """True for "a hair", "a skosh", "a tad"."""

    def __str__(self) -> str:
        """Return the words."""
        return self.word


# American Softwood Lumber Standard PS 20, dry, as reproduced in handbooks; inches by nominal
# inches.
_DRESSED_THIN = {
    Fraction(1): Fraction(3, 4),
    Fraction(5, 4): Fraction(1),
    Fraction(6, 4): Fraction(5, 4),
    Fraction(2): Fraction(3, 2),
    Fraction(3): Fraction(5, 2),
    Fraction(4): Fraction(7, 2),
}
_DRESSED_WIDE = {
    Fraction(2): Fraction(3, 2),
    Fraction(3): Fraction(5, 2),
    Fraction(4): Fraction(7, 2),
    Fraction(6): Fraction(11, 2),
    Fraction(8): Fraction(29, 4),
    Fraction(10): Fraction(37, 4),
    Fraction(12): Fraction(45, 4),
    Fraction(14): Fraction(53, 4),
}


_INCHES_A_MM = Fraction(5, 127)
"""An inch is exactly 25.4 mm (NIST Special Publication 811, appendix B)."""


def mixed(inches: Fraction) -> str:
    """Return *inches* as a mixed number, ``11-7/8``."""
    whole, part = divmod(inches, 1)
    return "-".join(str(each) for each in (whole, part) if each)


@dataclass(frozen=True, slots=True)
class Section:
    """What a board is across: its nominal size in inches, or a material that has none."""

    thickness: Fraction | None = None
    width: Fraction | None = None
    material: str = ""
    """``LVL`` or ``rim board``; empty for sawn lumber."""
    treated: bool = False
    metric: bool = False
    """True where both sides are millimetres, and actual: 45x95."""

    def __str__(self) -> str:
        """Return the yard's name, ``2x6`` or ``5/4x6 treated``."""
        sides = [side for side in (self.thickness, self.width) if side]
        size = "x".join(mixed(side) if self.material else str(side) for side in sides)
        return " ".join(
            part for part in (size, self.material, "treated" if self.treated else "") if part
        )

    def dressed(self) -> tuple[Fraction, Fraction] | None:
        """Return the dry surfaced size in inches, or ``None`` where there is no standard one.

        Source: American Softwood Lumber Standard PS 20. Engineered boards are called by their
        actual size.
        """
        if self.thickness is None or self.width is None:
            return None
        if self.metric:
            return self.thickness * _INCHES_A_MM, self.width * _INCHES_A_MM
        if self.material:
            return self.thickness, self.width
        thickness = _DRESSED_THIN.get(self.thickness, _DRESSED_WIDE.get(self.thickness))
        width = _DRESSED_WIDE.get(self.width)
        return (thickness, width) if thickness is not None and width is not None else None

    def board_feet(self, inches: Fraction) -> Fraction:
        """Return the board feet in *inches* of this section; under 1 in. thick counts as 1.

        Nominal thickness (in.) × nominal width (in.) × length (ft) / 12; 0 where there is no
        nominal size.
        """
        if self.thickness is None or self.width is None or self.material or self.metric:
            return Fraction(0)
        return max(self.thickness, Fraction(1)) * self.width * inches / 144


class Rise(Fraction):
    """Inches of rise in 12 of run; a memo keeps a whole one as a whole number."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class End:
    """How one end is cut."""

    kind: EndKind = "square"
    rise: Rise | None = None
    """Inches of rise in 12 of run, for plumb, seat and hip."""
    miter: Fraction | None = None
    """Degrees across the face."""
    bevel: Fraction | None = None
    """Degrees through the thickness."""
    point: Point | None = None
    """Which point of an angled end the length is taken to."""
    cheek: Literal["single", "double"] | None = None

    def __str__(self) -> str:
        """Return the end in few words, as it stands in the queue."""
        parts = [
            f"{self.kind} {mixed(self.rise) or 0}/12"
            if self.rise is not None
            else ""
            if self.kind == "angled"
            else self.kind
        ]
        parts += [
            f"{degrees(angle)}° {name}"
            for angle, name in ((self.miter, "miter"), (self.bevel, "bevel"))
            if angle
        ]
        parts += [
            f"{self.cheek} cheek" if self.cheek else "",
            f"{self.point} point" if self.point else "",
        ]
        return " ".join(part for part in parts if part)


def degrees(angle: Fraction) -> str:
    """Return *angle* with a decimal point where it needs one, ``22.5``."""
    return str(angle.numerator) if angle.denominator == 1 else f"{float(angle):g}"


SQUARE = End()


class Field(StrEnum):
    """The fields of a cut. A correction that names a field settles the doubts about it."""

    LENGTH = "length"
    COUNT = "count"
    ALLOWANCE = "allowance"
    SECTION = "section"
    PIECE = "piece"
    PLACE = "place"
    ENDS = "ends"
    NOTE = "note"


KEPT_IN_WORDS = {"kept_in_words": True}
"""Marks a field that is one of the words of a table of the lexicon, or several, with commas."""


@dataclass(frozen=True, slots=True)
class Cut:
    """One row of the memo: a length, how many, and what is known of the piece."""

    length: Length
    count: int = 1
    allowance: Allowance | None = None
    section: Section | None = None
    piece: str | None = None
    place: str | None = None
    ends: tuple[End, End] = (SQUARE, SQUARE)
    note: str | None = field(default=None, metadata=KEPT_IN_WORDS)
    """``leave the line``, ``birdsmouth``, ``parallel``."""

    def words(self) -> list[str]:
        """Return what of it is kept in words."""
        said = (getattr(self, name) for name in WORD_FIELDS)
        return [each for each in said if each]

    def angled(self) -> bool:
        """Return whether any end is not square."""
        return self.ends != (SQUARE, SQUARE)

    def ends_shown(self) -> str:
        """Return both ends in few words, empty for two square ends."""
        if not self.angled():
            return ""
        first, second = self.ends
        return f"{first} both ends" if first == second else f"{first} · {second}"


WORD_FIELDS = tuple(f.name for f in fields(Cut) if f.metadata == KEPT_IN_WORDS)
"""The fields of a cut that are kept in words."""


@dataclass(frozen=True, slots=True)
class Change:
    """What was named of a cut; ``None`` where nothing was said of it."""

    length: Length | None = None
    count: int | None = None
    allowance: Allowance | None = None
    section: Section | None = None
    piece: str | None = None
    place: str | None = None
    ends: tuple[End, End] | None = None
    note: str | None = None

    def cut(self) -> Cut:
        """Return the cut this says. The length must have been said."""
        if self.length is None:
            raise ValueError("a cut needs a length")
        said = {f.name: getattr(self, f.name) for f in fields(self)}
        return Cut(**{name: value for name, value in said.items() if value is not None})

    def named(self) -> frozenset[Field]:
        """Return the fields that were named: what was doubtful about them is settled."""
        return frozenset(field for field in Field if getattr(self, field) is not None)

    def applied(self, cut: Cut) -> Cut:
        """Return *cut* with what was named replaced, and nothing else."""
        named = {
            f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) is not None
        }
        if "length" in named and "allowance" not in named:
            named["allowance"] = None  # "strong" belonged to the length that is gone
        return replace(cut, **named)

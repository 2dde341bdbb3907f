"""What is worked out: the cuts of a set, where its pieces stand, and what to know beside them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.cut import SQUARE, Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.framing.remarks import Remark, RemarkKind, remark

CAUTION = remark(RemarkKind.ARITHMETIC_ONLY)
USUAL_THICKNESS = Fraction(3, 2)
"""Inches, where a section has no standard size (common practice)."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece where it stands, seen from the front (of a floor: from above); inches from the near
    end and from below.
    """

    piece: str
    left: Fraction
    bottom: Fraction
    width: Fraction
    height: Fraction
    upright: bool = True
    """Whether its length runs up (or across a floor's span), not along."""
    section: Section | None = None
    plies: int = 1
    """How many of it lie behind each other."""
    length: Fraction | None = None
    """Its length where that is neither width nor height, as a sloping end makes it."""
    ends: tuple[End, End] = (SQUARE, SQUARE)

    @property
    def right(self) -> Fraction:
        """Return where it ends, from the near end."""
        return self.left + self.width

    @property
    def cut_length(self) -> Fraction:
        """Return the length to cut it."""
        if self.length is not None:
            return self.length
        return self.height if self.upright else self.width


@dataclass(frozen=True, slots=True)
class Profile:
    """The slope that a picture of a roof or of stairs shows."""

    rise: Fraction
    run: Fraction
    """Inches, both."""
    steps: int = 0
    """How many risers; 0 for a roof."""
    piece: str = ""


@dataclass(frozen=True, slots=True)
class Assembly:
    """A set of cuts, all called at once and undone as one."""

    title: Remark
    cuts: tuple[Cut, ...]
    facts: tuple[Remark, ...] = ()
    """Angles, marks and sizes that are no cuts of their own."""
    cautions: tuple[Remark, ...] = ()
    layout: tuple[Placed, ...] = ()
    """Where the pieces of a wall or a floor stand; its cuts are counted from it."""
    profile: Profile | None = None


def cuts_of(layout: Iterable[Placed]) -> tuple[Cut, ...]:
    """Return the cuts of all pieces in *layout*, equal pieces in one row, in the order they first
    stand.
    """
    counted: Counter[tuple[Fraction, Section | None, str, tuple[End, End]]] = Counter()
    for each in layout:
        counted[each.cut_length, each.section, each.piece, each.ends] += each.plies
    return tuple(
        Cut(Length(length), count, section=section, piece=piece, ends=ends)
        for (length, section, piece, ends), count in counted.items()
    )


def thickness(section: Section) -> Fraction:
    """Return how thick *section* is dressed, in inches; 1-1/2 where there is no standard size
    (common practice).
    """
    size = section.dressed()
    return size[0] if size else USUAL_THICKNESS


def depth(section: Section | None) -> Fraction | None:
    """Return how deep *section* is dressed, in inches, or ``None`` where there is no standard
    size.
    """
    size = section.dressed() if section is not None else None
    return size[1] if size else None

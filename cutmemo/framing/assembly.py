"""What is worked out: the cuts of a set, what to know beside them, and a picture."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings

FINE = 1024
"""Roots are kept to this part of an inch: far finer than a tape, so that the glass marks them as rounded."""
CAUTION = "Arithmetic only: plans, local code and the inspector govern. Cut one, try it, then cut the rest."


@dataclass(frozen=True, slots=True)
class Assembly:
    """A set of cuts, all called at once and undone as one."""

    title: str
    """What it is, in one line."""
    cuts: tuple[Cut, ...]
    facts: tuple[str, ...] = ()
    """Angles, marks and sizes that are no cuts of their own."""
    warnings: tuple[str, ...] = ()
    picture: str = ""
    """Lines of signs, at most 76 wide."""


def root(square: Fraction) -> Fraction:
    """Return the square root of *square* to the nearest 1/1024, halves up."""
    doubled = square * (2 * FINE) ** 2
    return Fraction((math.isqrt(doubled.numerator // doubled.denominator) + 1) // 2, FINE)


def inches(value: Fraction, settings: Settings) -> str:
    """Return *value* as the crew shows lengths, rounded to its tape."""
    return str(format_length(Length(value), settings.display, settings.fineness))


def thickness(section: Section) -> Fraction:
    """Return how thick *section* is dressed; 1-1/2 in. where there is no standard size (common practice)."""
    size = section.dressed()
    return size[0] if size else Fraction(3, 2)


def depth(section: Section) -> Fraction | None:
    """Return how deep *section* is dressed, or ``None`` where there is no standard size."""
    size = section.dressed()
    return size[1] if size else None

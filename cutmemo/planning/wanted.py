"""What one row asks of the boards: how much of them each of its pieces takes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from cutmemo.domain.checks import sawn
from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.settings import Settings
from cutmemo.planning.ends import MARK_PARTS, Shape, long_point, shape_of

Measure = Literal["as called", "long points", "section needed"]
"""What the marks are to: the length as called; the long points, which lie further out; or a short
point whose long point cannot be reckoned, since the section was not said."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Pieces of one row that are still to cut."""

    row: int
    row_id: str
    inches: Fraction
    """To the long points: what a piece takes of the board."""
    count: int
    section: Section | None
    label: str = ""
    """What the crew called it by."""
    setting: str = ""
    """How the saw is set for it; empty for two square ends."""
    shape: Shape | None = None
    """How its ends slant, where that is known."""
    measure: Measure = "as called"


def _kept_exactly(inches: Fraction) -> Fraction:
    """Return *inches*, rounded up where a slant made them finer than any mark."""
    if inches.denominator <= MARK_PARTS:
        return inches
    return Fraction(-(-inches * MARK_PARTS // 1), MARK_PARTS)


def wanted_of(number: int, row_id: str, cut: Cut, count: int, settings: Settings) -> Wanted:
    """Return what *count* pieces of *cut* take of a board.

    The allowance sawn as the crew set it, to the long points.
    """
    exact = replace(cut, length=sawn(cut, settings))
    takes = long_point(exact)
    ends = cut.ends_shown()
    called = (
        str(cut.allowance or ""),
        cut.piece,
        ends,
        cut.note,
        f"for {cut.place}" if cut.place else "",
    )
    return Wanted(
        number,
        row_id,
        exact.length.inches if takes is None else _kept_exactly(takes),
        count,
        cut.section,
        " ".join(part for part in called if part),
        ends,
        shape_of(exact),
        "section needed"
        if takes is None
        else "as called"
        if takes == exact.length.inches
        else "long points",
    )

"""The angle a saw is set to for an end that was called by its rise.

A plumb cut stands atan(rise / 12) off square, a seat cut the rest of a right angle, and a hip's
plumb cut atan(rise / 16.97), since a hip runs 12·√2 = 16.97 in. for each foot that a common runs.
Source: NAVEDTRA 14044 (US Navy carpentry course).
"""

from __future__ import annotations

import math
from fractions import Fraction

from cutmemo.domain.cut import End

MARKS_A_DEGREE = 4
"""How fine a saw's scale is read (a quarter degree, common practice)."""


def off_square(end: End) -> float | None:
    """Return how many degrees off square an end is cut that was called by its rise in 12; ``None``
    for another end.
    """
    if end.rise is None:
        return None
    run = 12 * math.sqrt(2) if end.kind == "hip" else 12
    plumb = math.degrees(math.atan2(end.rise, run))
    return 90 - plumb if end.kind == "seat" else plumb


def saw_degrees(end: End) -> tuple[Fraction, bool] | None:
    """Return the nearest mark of the saw's scale, and whether it is exact; ``None`` for an end
    without a rise.
    """
    angle = off_square(end)
    if angle is None:
        return None
    nearest = Fraction(round(angle * MARKS_A_DEGREE), MARKS_A_DEGREE)
    return nearest, abs(angle - float(nearest)) < 1e-9

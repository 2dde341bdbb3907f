"""Members on centres between solid wood, so that no spacing passes the centres and every mark has
wood under it.

Marks stand at whole multiples of the spacing from the near end, and a member stands with its
middle on a mark. Where solid wood is in its way, a member stands tight beside that wood instead,
if the spacing would otherwise be passed or the mark, on which a sheet may end, would be in the
air. Sheets are as long as a whole number of spacings (48 in. at 12, 16 and 24; 96 in. at 19.2),
so that each of their edges is a mark (common practice). Where they are not, that is told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from cutmemo.framing.remarks import Remark, RemarkKind, remark, wrong

INCHES_IN_MM = Fraction(10, 254)
"""An inch is 25.4 mm exactly (NIST SP 811, appendix B)."""
SHEETS = ((Fraction(48), Fraction(96)), (1200 * INCHES_IN_MM, 2400 * INCHES_IN_MM))
"""Width and length of sheets, 4 by 8 ft and 1200 by 2400 mm (common practice)."""


def marks_near(left: Fraction, right: Fraction, spacing: Fraction) -> list[Fraction]:
    """Return the marks from *left* to *right*, both included."""
    first, last = math.ceil(left / spacing), math.floor(right / spacing)
    return [spacing * n for n in range(first, last + 1)]


def fit(spacing: Fraction, thickness: Fraction) -> None:
    """Raise :class:`MeasureError` where members so thick have no room between them on *spacing*."""
    if spacing <= thickness:
        raise wrong(RemarkKind.TOO_CLOSE, spacing=spacing, thick=thickness)


def between(
    left: Fraction, right: Fraction, spacing: Fraction, thickness: Fraction
) -> list[Fraction]:
    """Return the near edges of the members in the gap from *left* to *right*.

    Solid wood ends at *left* and begins at *right*; its nearest member is as thick as those in the
    gap. A gap too narrow for a member stays empty: it has to be packed. Raises
    :class:`MeasureError` where members would stand in each other's place.
    """
    fit(spacing, thickness)
    half = thickness / 2
    marks = marks_near(left, right, spacing)
    edges = [mark - half for mark in marks if left <= mark - half and mark + half <= right]
    in_air = [mark for mark in marks if left < mark < right]

    def room() -> tuple[Fraction, Fraction]:
        """Return what is free beside the wood at *left* and at *right*, 0 where no member fits."""
        near = (edges[0] if edges else right) - left
        far = right - (edges[-1] + thickness if edges else left)
        none = Fraction(0)
        return near if near >= thickness else none, far if far >= thickness else none

    # The marks first: a member that one needs may make another needless.
    if room()[0] and any(mark < left + half for mark in in_air):
        edges.insert(0, left)
    if room()[1] and any(mark > right - half for mark in in_air):
        edges.append(right - thickness)
    if room()[0] > spacing - thickness:
        edges.insert(0, left)
    if room()[1] > spacing - thickness:
        edges.append(right - thickness)
    return edges


def sheets(spacing: Fraction, across: bool = False) -> Iterator[Remark]:
    """Yield what to mind where sheets do not end on marks of *spacing*: upright ones, or only ones
    laid *across* the members.
    """
    fits = [(short % spacing == 0, long % spacing == 0) for short, long in SHEETS]
    if any(long if across else short for short, long in fits):
        return
    metric = spacing.denominator > 1 and (spacing / INCHES_IN_MM).denominator == 1
    short, long = SHEETS[metric]
    turned = any(long for _, long in fits)
    kind = RemarkKind.SHEETS_ACROSS if turned else RemarkKind.SHEETS_NEVER
    yield remark(kind, spacing=spacing, short=short, long=long)

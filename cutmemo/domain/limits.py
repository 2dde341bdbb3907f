"""What no piece of wood is: beyond these a measure is a slip of the keys, or damage."""

from __future__ import annotations

from cutmemo.domain.cut import Cut, Field

MAX_PIECES_AT_ONCE = 1_000_000
"""No call and no event is about more pieces."""
MAX_INCHES = 1_000_000
"""No length or board is longer."""
MAX_SIDE_INCHES = 1_000
"""No board is thicker or wider."""
MAX_RISE = 1_000
"""No roof rises more in 12."""


def past_all_wood(cut: Cut) -> list[Field]:
    """Return what of *cut* is more than any wood, roof or saw has; mostly nothing."""
    found = []
    inches = cut.length.inches  # compared as whole numbers: every event read comes this way
    if inches.numerator > MAX_INCHES * inches.denominator:
        found.append(Field.LENGTH)
    if cut.count > MAX_PIECES_AT_ONCE:
        found.append(Field.COUNT)
    sides = (cut.section.thickness, cut.section.width) if cut.section is not None else ()
    if any(side is not None and not 0 < side <= MAX_SIDE_INCHES for side in sides):
        found.append(Field.SECTION)
    for end in cut.ends if cut.angled() else ():
        angles = (end.miter, end.bevel)
        if any(angle is not None and not 0 <= angle < 90 for angle in angles) or (
            end.rise is not None and not 0 <= end.rise <= MAX_RISE
        ):
            found.append(Field.ENDS)
    return found

"""What no event may say, however it came: lengths, counts and angles that cannot be are damage."""

from __future__ import annotations

from fractions import Fraction

from cutmemo.domain.cut import Cut, Section
from cutmemo.planning.begun import Sawn
from cutmemo.planning.kept import BoardPlan

MAX_PIECES_AT_ONCE = 1_000_000
"""No event is about more pieces."""
MAX_INCHES = 1_000_000
"""No length or board is longer: more is damage."""
MAX_SIDE_INCHES = 1_000
"""No board is thicker or wider."""
MAX_RISE = 1_000
"""No roof rises more in 12."""


def check_section(section: Section | None) -> None:
    """Raise :class:`ValueError` for a section that no board has."""
    sides = (section.thickness, section.width) if section is not None else ()
    if any(side is not None and not 0 < side <= MAX_SIDE_INCHES for side in sides):
        raise ValueError(f"a section of {section} cannot be")


def check_cut(*cuts: Cut) -> None:
    """Raise :class:`ValueError` for a cut that no call can make."""
    for cut in cuts:
        inches = cut.length.inches  # compared as whole numbers: every event read comes this way
        if not 0 < inches.numerator <= MAX_INCHES * inches.denominator:
            raise ValueError(f"a cut of {cut.length.inches} in. cannot be")
        if not 1 <= cut.count <= MAX_PIECES_AT_ONCE:
            raise ValueError(f"a count of {cut.count} cannot be")
        check_section(cut.section)
        for end in cut.ends if cut.angled() else ():
            if any(angle is not None and not 0 <= angle < 90 for angle in (end.miter, end.bevel)):
                raise ValueError("an angle past 90° cannot be")
            if end.rise is not None and not 0 <= end.rise <= MAX_RISE:
                raise ValueError(f"a rise of {end.rise} in 12 cannot be")


def check_pieces(pieces: int) -> None:
    """Raise :class:`ValueError` for a number of pieces that no event is about."""
    if not 0 <= pieces <= MAX_PIECES_AT_ONCE:
        raise ValueError(f"{pieces} pieces cannot be")


def check_inches(inches: Fraction) -> None:
    """Raise :class:`ValueError` for a length that no board has."""
    if not 0 < inches <= MAX_INCHES:
        raise ValueError(f"a board of {inches} in. cannot be")


def check_sawn(sawn: tuple[Sawn, ...]) -> None:
    """Raise :class:`ValueError` for a plan that no board has."""
    for each in sawn:
        check_plans(each.stretches)
        if any(plan.board != each.board for plan in each.stretches):
            raise ValueError("a plan that is not of its board cannot be")


def check_plans(plans: tuple[BoardPlan, ...]) -> None:
    """Raise :class:`ValueError` for a plan that no board has."""
    for plan in plans:
        check_inches(plan.inches)
        check_section(plan.section)
        check_pieces(plan.place)
        if plan.start < 0 or plan.kerf < 0 or plan.number < 0:
            raise ValueError("a plan below nothing cannot be")
        if any(
            piece.start < 0 or piece.inches <= 0 or piece.end > plan.inches for piece in plan.pieces
        ):
            raise ValueError("a piece that is not on its board cannot be")


def check_boards(
    section: Section | None,
    inches: Fraction,
    count: int,
    price: Fraction | None,
    bad: tuple[tuple[Fraction, Fraction], ...],
) -> None:
    """Raise :class:`ValueError` for boards that no rack holds."""
    check_inches(inches)
    check_section(section)
    check_pieces(count)
    if price is not None and price < 0:
        raise ValueError("a price below nothing cannot be")
    if any(not 0 <= begin < end <= inches for begin, end in bad):
        raise ValueError("a bad part that is not on the board cannot be")

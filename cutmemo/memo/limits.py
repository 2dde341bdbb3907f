"""What no event may say, however it came: lengths, counts and angles that cannot be are damage."""

from __future__ import annotations

from fractions import Fraction

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.limits import (
    MAX_INCHES,
    MAX_PIECES_AT_ONCE,
    MAX_SIDE_INCHES,
    past_all_wood,
)
from cutmemo.planning.begun import Sawn
from cutmemo.planning.kept import BoardPlan


def check_section(section: Section | None) -> None:
    """Raise :class:`ValueError` for a section that no board has."""
    sides = (section.thickness, section.width) if section is not None else ()
    if any(side is not None and not 0 < side <= MAX_SIDE_INCHES for side in sides):
        raise ValueError(f"a section of {section} cannot be")


def check_cut(*cuts: Cut) -> None:
    """Raise :class:`ValueError` for a cut that no call can make."""
    for cut in cuts:
        if cut.length.inches.numerator < 1 or cut.count < 1 or past_all_wood(cut):
            raise ValueError(f"a cut of {cut.count} × {cut.length.inches} in. cannot be")


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

"""Lengths as the crew and the yard say them."""

from __future__ import annotations

from fractions import Fraction

from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings


def inches_shown(inches: Fraction, settings: Settings) -> str:
    """Return a length as this crew reads it."""
    return str(format_length(Length(inches), settings.display, settings.fineness))


def board_length(inches: Fraction, settings: Settings) -> str:
    """Return a board's length: whole feet in feet as the yard says it, else as this crew reads it."""
    whole = settings.display != "mm" and inches % 12 == 0
    return f"{inches / 12} ft" if whole else inches_shown(inches, settings)

"""Lengths as the crew and the yard say them."""

from __future__ import annotations

from fractions import Fraction

from cutmemo.domain.cut import degrees
from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings

ANGLES = ("miter", "bevel")
"""The settings that are degrees."""


def inches_shown(inches: Fraction, settings: Settings) -> str:
    """Return a length as this crew reads it."""
    return str(format_length(Length(inches), settings.display, settings.fineness))


def board_length(inches: Fraction, settings: Settings) -> str:
    """Return a board's length: whole feet in feet as the yard says it, else as this crew reads
    it.
    """
    whole = settings.display != "mm" and inches % 12 == 0
    return f"{inches / 12} ft" if whole else inches_shown(inches, settings)


def setting_shown(name: str, settings: Settings) -> str:
    """Return the value of one setting: a size as this crew reads it, an angle in degrees."""
    value = getattr(settings, name)
    if value is None:
        return "off"
    if not isinstance(value, Fraction):
        return str(value)
    if name in ANGLES:
        return f"{degrees(value)}°"
    return inches_shown(value, settings)


def setting_is(name: str, settings: Settings) -> str:
    """Return what is said once a setting was changed."""
    return f"{name} is {setting_shown(name, settings)} from now on."

"""An exact length, rounded only where it is shown, and marked when it was."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from cutmemo.domain.units import from_inches

Display = Literal["inches", "feet", "mm"]
"""How lengths are shown: whole inches and a fraction, feet and inches, or millimetres."""

ROUNDED = "≈"
"""Stands before a figure that was rounded for showing."""


@dataclass(frozen=True, order=True, slots=True)
class Length:
    """An exact length, held in inches."""

    inches: Fraction

    def __post_init__(self) -> None:
        """Refuse floats: a float here is a bug in the caller."""
        if not isinstance(self.inches, Fraction):
            raise TypeError(f"inches must be a Fraction, not {self.inches!r}")


@dataclass(frozen=True, slots=True)
class FormattedLength:
    """A length as it stands on the glass, split so that each part can have its own size."""

    mark: str
    """``≈`` when it was rounded, else empty."""
    feet: str
    whole: str
    over: str
    under: str
    unit: str
    """``"``, or ``mm``."""

    def __str__(self) -> str:
        """Return one line; a fraction always hangs on its whole by a hyphen, never by a bare
        space.
        """
        fraction = f"{self.over}/{self.under}" if self.over else ""
        number = "-".join(part for part in (self.whole, fraction) if part)
        feet = f"{self.feet}' " if self.feet else ""
        gap = " " if self.unit == "mm" else ""
        return f"{self.mark}{feet}{number}{gap}{self.unit}"


def to_tape(inches: Fraction, fineness: int = 16) -> Fraction:
    """Return *inches* at the nearest mark of a tape with *fineness* marks an inch, halves up.

    Source: NAVEDTRA 14044 (US Navy carpentry course) rounds half of a sixteenth up.
    """
    return Fraction(math.floor(inches * fineness + Fraction(1, 2)), fineness)


def format_length(
    length: Length, display: Display = "inches", fineness: int = 16
) -> FormattedLength:
    """Return *length* split for showing, rounded to *fineness* marks an inch (to 1 mm when shown
    metric).
    """
    if display == "mm":
        millimetres = from_inches(length.inches, "millimetre")
        nearest = to_tape(millimetres, 1)
        return FormattedLength(
            ROUNDED if nearest != millimetres else "", "", str(nearest), "", "", "mm"
        )
    nearest = to_tape(length.inches, fineness)
    mark = ROUNDED if nearest != length.inches else ""
    feet, rest = divmod(nearest, 12) if display == "feet" else (0, nearest)
    whole, fraction = divmod(rest, 1)
    over, under = (str(fraction.numerator), str(fraction.denominator)) if fraction else ("", "")
    shown_whole = str(whole) if whole or not fraction or feet else ""
    return FormattedLength(mark, str(feet) if feet else "", shown_whole, over, under, '"')

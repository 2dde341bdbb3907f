"""The only door to pint: exact conversion between the units a tape shows."""

from __future__ import annotations

import functools
import re
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    import pint

Unit = Literal["inch", "foot", "millimetre", "centimetre", "metre"]

_DEFINITIONS = (
    "metre = [length]",
    "millimetre = metre / 1000",
    "centimetre = metre / 100",
    # Exactly 25.4 mm: NIST Special Publication 811, appendix B.
    "inch = 254 * metre / 10000",
    "foot = 12 * inch",
)


@functools.cache
def _registry() -> pint.UnitRegistry[Any]:
    """Build a private registry over exact fractions, with only the units a tape shows."""
    import pint  # deferred: a typed call in inches never needs it, and it costs 0.15 s

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(None, non_int_type=Fraction)
    for line in _DEFINITIONS:
        registry.define(line)
    return registry


@functools.cache
def _inches_in(unit: Unit) -> Fraction:
    """Return how many inches one *unit* is, exactly."""
    if unit == "inch":
        return Fraction(1)
    if unit == "foot":
        return Fraction(12)  # deferred registry: feet are in half of all calls
    return Fraction(_registry().Quantity(Fraction(1), unit).to("inch").magnitude)


_NUMBER = re.compile(r"[+-]?[0-9]{1,30}(?:\.[0-9]{1,30}|/[0-9]{1,30})?|[+-]?\.[0-9]{1,30}")


def exact_number(text: str) -> Fraction:
    """Return the number in *text*: ``12``, ``-3/8`` or ``0.25``, with no power of ten.

    A power of ten is two signs to write and a gigabyte to hold. Raises :class:`ValueError` or
    :class:`ZeroDivisionError`.
    """
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"no exact number: {text[:40]!r}")
    return Fraction(text)


def to_inches(amount: Fraction, unit: Unit) -> Fraction:
    """Return *amount* of *unit* in inches, exactly."""
    return amount * _inches_in(unit)


def from_inches(inches: Fraction, unit: Unit) -> Fraction:
    """Return *inches* in *unit*, exactly."""
    return inches / _inches_in(unit)

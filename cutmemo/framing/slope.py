"""A roof's pitch, and lengths along it: exact where a length is rational, else to a millionth of an
inch.

For a rise of r in 12 of run the slope lengths per foot of run are sqrt(12² + r²) for a common
and sqrt(288 + r²) for a hip rafter; the plumb angle is atan(r / 12), a hip's atan(r / 16.97).
Source: NAVEDTRA 14044 (US Navy carpentry course), framing square tables. Every length is one
root of an exact square, so that it lands on the mark of the tape that is nearest to the truth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.cut import End, EndKind, Point, Rise
from cutmemo.framing.remarks import Angle, RemarkKind, wrong

FINE = 2**20
"""Roots that are no fraction are kept to this part of an inch: rounded far finer than any tape."""
_FINER = 2**40
FOOT = Fraction(12)
MAX_DEGREES = Fraction(80)
"""Steeper than this is no roof but a wall."""


def root(square: Fraction, fine: int = FINE) -> Fraction:
    """Return the square root of *square*: exactly where it is a fraction, else to the nearest
    1/*fine*, halves up.
    """
    over, under = math.isqrt(square.numerator), math.isqrt(square.denominator)
    if over**2 == square.numerator and under**2 == square.denominator:
        return Fraction(over, under)
    doubled = square * (2 * fine) ** 2
    return Fraction((math.isqrt(doubled.numerator // doubled.denominator) + 1) // 2, fine)


def half_across(thickness: Fraction, tangent: Fraction = Fraction(1)) -> Fraction:
    """Return half of *thickness* measured level along a piece that meets it.

    *tangent* is that of the angle on the plan between the two, 1 at 45°: 1-1/16 for 1-1/2 stock
    (NAVEDTRA 14044: half the 45° thickness).
    """
    return thickness / 2 * root(1 + 1 / tangent**2, _FINER)


def angle_of(tangent: Fraction) -> Angle:
    """Return the angle of *tangent*, to a hundredth of a degree."""
    return Angle(Fraction(round(math.degrees(math.atan(tangent)) * 100), 100))


def _tangent_of(degrees: Fraction) -> Fraction:
    """Return the tangent of an angle."""
    return Fraction(round(math.tan(math.radians(degrees)) * _FINER), _FINER)


@dataclass(frozen=True, slots=True)
class Pitch:
    """How steep a roof is: inches of rise in 12 of run, or degrees. One of the two is given."""

    rise: Fraction | None = None
    degrees: Fraction | None = None

    def __post_init__(self) -> None:
        """Refuse a roof that does not rise, or stands."""
        if not 0 < self.tangent <= _tangent_of(MAX_DEGREES):
            raise wrong(RemarkKind.FLAT_OR_STEEP, pitch=str(self))

    def __str__(self) -> str:
        """Return it as crews write it: ``7/12``, ``6-1/2/12``, ``30°``."""
        if self.rise is None:
            return f"{float(self.degrees or 0):g}°"
        whole, part = divmod(self.rise, 1)
        return f"{'-'.join(str(each) for each in (whole, part) if each)}/12"

    @property
    def tangent(self) -> Fraction:
        """Return the rise over the run."""
        if self.rise is not None:
            return self.rise / FOOT
        return _tangent_of(self.degrees or Fraction(0))

    def along(self, level: Fraction) -> Fraction:
        """Return the slope length of a *level* measure of a common rafter."""
        return root(level**2 * (1 + self.tangent**2))

    @property
    def common(self) -> Fraction:
        """Return the length of a common rafter per 12 in. of run."""
        return self.along(FOOT)

    @property
    def plumb(self) -> Angle:
        """Return the angle of a common's plumb cut off square."""
        return angle_of(self.tangent)

    def end(self, point: Point, kind: EndKind = "plumb") -> End:
        """Return a plumb cut to *point*, by the rise where the pitch was said so."""
        if self.rise is not None:
            return End(kind, Rise(self.rise), point=point)
        return End(kind, miter=self.plumb.degrees, point=point)


@dataclass(frozen=True, slots=True)
class HipSlope:
    """Where two roofs meet in a hip or a valley, the *main* one and the one at its *end*.

    On the plan the rafter runs where both roofs are equally high, so a run of 1 on the main roof
    goes
    with main / end of the other.
    """

    main: Pitch
    end: Pitch

    @property
    def equal(self) -> bool:
        """Return whether both roofs are equally steep, so that the rafter runs at 45° on the
        plan.
        """
        return self.main.tangent == self.end.tangent

    @property
    def aside(self) -> Fraction:
        """Return how far it runs along the main plate for each inch across it."""
        return self.main.tangent / self.end.tangent

    @property
    def level(self) -> Fraction:
        """Return its level length for each inch of the main run."""
        return root(1 + self.aside**2, _FINER)

    @property
    def tangent(self) -> Fraction:
        """Return its rise over its own level length."""
        return self.main.tangent / self.level

    def along(self, run: Fraction) -> Fraction:
        """Return its length over so much of the main *run*."""
        return root(run**2 * (1 + self.aside**2 + self.main.tangent**2))

    @property
    def plumb(self) -> Angle:
        """Return the angle of its plumb cut off square."""
        return angle_of(self.tangent)

    @property
    def backing(self) -> Angle:
        """Return the bevel that backs it where both roofs are equal: atan(sin(hip plumb))."""
        return Angle(
            Fraction(round(math.degrees(math.atan(math.sin(math.atan(self.tangent)))) * 100), 100)
        )

    def drops(self, thickness: Fraction) -> tuple[Fraction, Fraction]:
        """Return how far its edge stands over the main and over the end roof, plumb.

        At half the *thickness* beside the middle the main roof lies main² / n lower for each inch,
        with n the root of main² + end²; equal roofs: half the thickness × the hip's own tangent.
        """
        total = root(self.main.tangent**2 + self.end.tangent**2, _FINER)
        return tuple(  # type: ignore[return-value]  # two of them
            thickness / 2 * pitch.tangent**2 / total for pitch in (self.main, self.end)
        )

    def cut(self, point: Point, double_cheek: bool = False) -> End:
        """Return its plumb cut to *point*."""
        rise = self.main.rise
        cheek = "double" if double_cheek else None
        if self.equal and rise is not None:
            return End("hip", Rise(rise), point=point, cheek=cheek)  # type: ignore[arg-type]  # one of the two
        return End("hip", miter=self.plumb.degrees, point=point, cheek=cheek)  # type: ignore[arg-type]  # the same

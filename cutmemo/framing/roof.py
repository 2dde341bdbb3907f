"""Common, hip and jack rafters of a roof with equal pitches.

For a rise of r inches in 12 of run the slope lengths per foot of run are sqrt(12² + r²) for a
common and sqrt(288 + r²) for a hip rafter, and a jack changes by spacing × common / 12; the
plumb angle is atan(r / 12), a hip's atan(r / 16.97). Source: NAVEDTRA 14044 (US Navy carpentry
course), framing square tables. Half the ridge's thickness is taken off level at the ridge, half
of it across 45° at a hip; the cheek of equal pitches is a miter of the plumb angle with a bevel
of 45° (common practice).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.cut import Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import Refused
from cutmemo.framing.assembly import CAUTION, Assembly, depth, inches, root, thickness
from cutmemo.language.intent import AssemblyCall

FOOT = Fraction(12)
HIP_THICKNESS = Fraction(3, 2)
JACK = Section(Fraction(2), Fraction(6))
"""What a jack is cut from where nothing was said: only its thickness counts."""
MIN_BEARING = Fraction(3, 2)
"""Inches of bearing on wood (IRC R802.6, as quoted by trade pages; editions differ)."""
DEEPEST_NOTCH_AT_ENDS = Fraction(1, 4)
"""Of the depth (IRC R802.7.1, as quoted by trade pages; editions differ)."""


@dataclass(frozen=True, slots=True)
class Slope:
    """A pitch of *rise* inches in 12 of run, and what follows from it."""

    rise: int

    @property
    def common(self) -> Fraction:
        """Return the length of a common rafter per 12 in. of run."""
        return root(Fraction(144 + self.rise**2))

    @property
    def hip(self) -> Fraction:
        """Return the length of a hip or valley rafter per 12 in. of a common's run."""
        return root(Fraction(288 + self.rise**2))

    @property
    def plumb(self) -> float:
        """Return the angle of a common's plumb cut off square, in degrees."""
        return math.degrees(math.atan(self.rise / 12))

    @property
    def hip_plumb(self) -> float:
        """Return the angle of a hip's plumb cut off square, in degrees."""
        return math.degrees(math.atan(self.rise / math.sqrt(288)))

    @property
    def backing(self) -> float:
        """Return the bevel that backs a hip, in degrees: atan(sin(hip plumb))."""
        return math.degrees(math.atan(math.sin(math.radians(self.hip_plumb))))


@dataclass(frozen=True, slots=True)
class _Roof:
    """The measures of one roof, in inches."""

    called: AssemblyCall
    slope: Slope
    run: Fraction
    overhang: Fraction
    ridge: Fraction
    plate: Fraction
    settings: Settings

    def along(self, level: Fraction) -> Fraction:
        """Return the slope length of a *level* measure."""
        return level * self.slope.common / FOOT

    def of(self, value: Fraction) -> str:
        return inches(value, self.settings)


def rafters(called: AssemblyCall, settings: Settings) -> Assembly:
    """Return the common rafters of a roof. Raises :class:`Refused` where a measure is missing or cannot be."""
    roof = _roof(called, settings)
    upper = roof.along(roof.run - roof.ridge / 2)
    tail = roof.along(roof.overhang)
    ends = (End("plumb", called.rise, point="long"), End("plumb", called.rise, point="short"))
    cut = Cut(
        Length(upper + tail), called.count, section=called.section, piece="common rafter", ends=ends
    )
    facts = [
        f"Ridge to building line {roof.of(upper)} along the top edge, tail {roof.of(tail)}.",
        f"Plumb cuts {roof.slope.plumb:.1f}° off square ({called.rise} on 12).",
        *_birdsmouth_facts(roof),
    ]
    title = f"{_many(called.count, 'common rafter')}, {called.rise}/12, run {roof.of(roof.run)}"
    return Assembly(
        title, (cut,), tuple(facts), (*_birdsmouth_warnings(roof), CAUTION), _picture(roof)
    )


def hips(called: AssemblyCall, settings: Settings) -> Assembly:
    """Return the hip or valley rafters of a roof. Raises :class:`Refused` where a measure is missing or cannot be.

    A valley of equal pitches is as long as a hip, and is not backed.
    """
    piece = "hip rafter" if called.what == "hips" else "valley rafter"
    roof = _roof(called, settings)
    per_level = roof.slope.hip / root(Fraction(288))
    theory = roof.run * roof.slope.hip / FOOT
    upper = theory - _half_across(roof.ridge) * per_level
    tail = roof.overhang * roof.slope.hip / FOOT
    ends = (
        End("hip", called.rise, point="long", cheek="double"),
        End("hip", called.rise, point="short"),
    )
    cut = Cut(Length(upper + tail), called.count, section=called.section, piece=piece, ends=ends)
    facts = (
        f"In theory {roof.of(theory)} to the corner, shortened at the ridge {roof.of(upper)}, tail {roof.of(tail)}.",
        f"Plumb cuts {roof.slope.hip_plumb:.1f}° off square ({called.rise} on 16.97).",
        f"Cheeks at 45°, backing {roof.slope.backing:.1f}°."
        if called.what == "hips"
        else "Cheeks at 45°; a valley is not backed.",
        "Measured along the middle of the top edge.",
    )
    title = f"{_many(called.count, piece)}, {called.rise}/12, run {roof.of(roof.run)}"
    return Assembly(title, (cut,), facts, (CAUTION,), _corner(piece.split()[0]))


def jacks(called: AssemblyCall, settings: Settings) -> Assembly:
    """Return the jack rafters of *called.count* hips, a pair for each, laid out from the corner.

    Raises :class:`Refused` where a measure is missing or cannot be.
    """
    roof = _roof(called, settings)
    spacing = called.named("spacing")
    if spacing is None:
        raise Refused("jacks", ("Say their spacing too: jacks … spacing 16.",))
    tail, thick = roof.along(roof.overhang), thickness(called.section or JACK)
    less, cheek = _half_across(HIP_THICKNESS), thick / 2
    runs = [spacing * n for n in range(1, math.ceil(roof.run / spacing)) if spacing * n < roof.run]
    if not runs:
        raise Refused(
            "jacks",
            (
                f"No jack fits: the spacing of {roof.of(spacing)} reaches past the run of {roof.of(roof.run)}.",
            ),
        )
    ends = (
        End("plumb", called.rise, point="long", cheek="single"),
        End("plumb", called.rise, point="short"),
    )
    cuts = tuple(
        Cut(
            Length(roof.along(run - less + cheek) + tail),
            2 * called.count,
            section=called.section,
            piece="jack rafter",
            ends=ends,
        )
        for run in reversed(runs)
    )
    side = float(144 / roof.slope.common)
    facts = (
        f"Each is {roof.of(roof.along(spacing))} longer than the one before, {roof.of(spacing)} apart from the corner.",
        f"Cheek: miter {roof.slope.plumb:.1f}° with a 45° bevel; on the top edge {side:.1f} on 12.",
        "Half of each length is left, half right.",
        f"To the long point of the cheek, shortened for a hip 1-1/2 thick; {roof.of(roof.along(cheek))} less along the middle.",
    )
    title = f"{sum(cut.count for cut in cuts)} jack rafters for {_many(called.count, 'hip')}, {called.rise}/12"
    return Assembly(title, cuts, facts, (CAUTION,), _steps(cuts, roof))


def _roof(called: AssemblyCall, settings: Settings) -> _Roof:
    """Return the measures of *called* with what is usual where nothing was said."""
    span, run = called.named("span"), called.named("run")
    missing = [
        name
        for name, there in (("the span or the run", span or run), ("the pitch", called.rise))
        if not there
    ]
    if missing or called.rise is None:
        raise Refused(
            called.what, (f"Say {' and '.join(missing)} too: {called.what} span 24' pitch 7/12.",)
        )
    half = span / 2 if span is not None else run or Fraction(0)
    ridge = called.named("ridge")
    plate = called.named("plate")
    roof = _Roof(
        called,
        Slope(called.rise),
        half,
        called.named("overhang") or Fraction(0),
        Fraction(3, 2) if ridge is None else ridge,
        Fraction(7, 2) if plate is None else plate,
        settings,
    )
    if roof.ridge / 2 >= roof.run:
        raise Refused(called.what, (f"A run of {roof.of(roof.run)} is no roof.",))
    return roof


def _many(count: int, name: str) -> str:
    return f"{count} {name}{'s' if count != 1 else ''}"


def _half_across(thickness: Fraction) -> Fraction:
    """Return half of *thickness* measured level across 45°: 1-1/16 for 1-1/2 stock."""
    return root(thickness * thickness * 2) / 2


def seat_depth(roof_rise: int, seat: Fraction) -> Fraction:
    """Return how deep a birdsmouth with a level *seat* goes, square to the edge: seat × sin(plumb)."""
    return seat * roof_rise / root(Fraction(144 + roof_rise**2))


def _birdsmouth_facts(roof: _Roof) -> list[str]:
    heel = roof.plate * roof.slope.rise / FOOT
    notch = seat_depth(roof.slope.rise, roof.plate)
    return [
        f"Birdsmouth: seat {roof.of(roof.plate)} level, heel {roof.of(heel)} plumb, {roof.of(notch)} deep square to the edge."
    ]


def _birdsmouth_warnings(roof: _Roof) -> list[str]:
    found = []
    if roof.plate < MIN_BEARING:
        found.append(
            f"A seat of {roof.of(roof.plate)} bears less than 1-1/2 in.: ask the plan or the inspector."
        )
    deep = depth(roof.called.section) if roof.called.section is not None else None
    notch = seat_depth(roof.slope.rise, roof.plate)
    if deep is not None and notch > deep * DEEPEST_NOTCH_AT_ENDS:
        found.append(
            f"The notch of {roof.of(notch)} is more than a quarter of {roof.of(deep)}, "
            "and many codes allow no more at a bearing: ask first."
        )
    return found


def _picture(roof: _Roof) -> str:
    """Return one slope of the roof: ridge at the right, wall below, the tail out to the left."""
    width = 46
    tall = max(2, min(9, round(width * roof.slope.rise / 24)))
    lines = []
    for k in range(tall):
        gap = " " * (width - round(width * (k + 1) / tall))
        slope = "╱" + " " * max(0, width - len(gap) - 2)
        lines.append(gap + slope + ("▐" if k < 2 else ""))
    wall = 8
    lines[-1] = lines[-1][:wall] + "┬" + lines[-1][wall + 1 :]
    lines += [" " * wall + "│", " " * wall + f"├─ run {roof.of(roof.run)} " + "─" * 12 + "┤ ridge"]
    return "\n".join(lines)


def _corner(name: str) -> str:
    """Return one corner of the roof from above, with the rafter that runs to it."""
    width, tall = 30, 6
    lines = ["┌" + "─" * width]
    for k in range(1, tall):
        gap = k * 5 - 3
        rest = (
            f"  {name}, at 45° on the plan"
            if k == 2
            else "─" * (width - gap - 1) + " ridge"
            if k == tall - 1
            else ""
        )
        lines.append("│" + " " * gap + "╲" + rest)
    return "\n".join([*lines, "│"])


def _steps(cuts: tuple[Cut, ...], roof: _Roof) -> str:
    """Return the jacks beside each other, to scale, the longest first; of many the first and the last."""
    longest = cuts[0].length.inches
    shown = cuts if len(cuts) <= 12 else (*cuts[:6], *cuts[-6:])
    bars = ("▄" * max(1, round(cut.length.inches / longest * 50)) for cut in shown)
    return "\n".join(
        f"╱{bar}╱ {roof.of(cut.length.inches)}" for bar, cut in zip(bars, shown, strict=True)
    )


ROOFS: dict[str, Callable[[AssemblyCall, Settings], Assembly]] = {
    "rafters": rafters,
    "hips": hips,
    "valleys": hips,
    "jacks": jacks,
}

"""Common rafters, with their ridge and fascia where the building's length is known.

Half the ridge's thickness is taken off level at the ridge, and the fascia's off the overhang. The
height above the plate is the plumb depth of the rafter less the heel: depth / cos(plumb) - seat ×
tan
(common practice; geometry).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Profile, depth, thickness
from cutmemo.framing.centres import between
from cutmemo.framing.plates import joints
from cutmemo.framing.remarks import Remark, RemarkKind, remark, wrong
from cutmemo.framing.slope import Pitch
from cutmemo.framing.specs import RafterSpec

MIN_BEARING = Fraction(3, 2)
"""Inches of bearing on wood (IRC R802.6, as quoted by trade pages; editions differ)."""
MAX_NOTCH_AT_ENDS = Fraction(1, 4)
"""Of the depth (IRC R802.7.1, as quoted by trade pages; editions differ)."""
USUAL_RAFTER = Section(Fraction(2), Fraction(6))
"""What a rafter is where nothing was said: only its thickness counts."""


def seat_depth(pitch: Pitch, seat: Fraction) -> Fraction:
    """Return how deep a birdsmouth with a level *seat* goes, square to the edge: seat ×
    sin(plumb).
    """
    return seat * pitch.tangent * seat / pitch.along(seat) if seat else Fraction(0)


def height_above_plate(pitch: Pitch, section: Section | None, seat: Fraction) -> Fraction | None:
    """Return the plumb height of the top edge over the plate's outer edge, ``None`` where no depth
    is known.
    """
    deep = depth(section)
    return pitch.along(deep) - seat * pitch.tangent if deep is not None else None


def tail_of(overhang: Fraction, fascia: Fraction) -> Fraction:
    """Return the level tail that an *overhang* leaves. Raises :class:`MeasureError` where a fascia
    leaves none.
    """
    if fascia > overhang:
        raise wrong(RemarkKind.NO_TAIL, fascia=fascia, overhang=overhang)
    return overhang - fascia


def rafters(spec: RafterSpec, settings: Settings) -> Assembly:
    """Return the common rafters of a roof. Raises :class:`MeasureError` where it cannot be
    built.
    """
    if spec.ridge / 2 >= spec.run:
        raise wrong(RemarkKind.NO_ROOF, run=spec.run)
    upper, tail = spec.run - spec.ridge / 2, tail_of(spec.overhang, spec.fascia)
    marks = _marks(spec)
    count = 2 * len(marks) if marks else spec.count
    rafter = Cut(
        Length(spec.pitch.along(upper + tail)),
        count,
        section=spec.section,
        piece="common rafter",
        ends=(spec.pitch.end("long"), spec.pitch.end("short")),
    )
    facts = [
        remark(
            RemarkKind.SLOPE_LENGTHS, upper=spec.pitch.along(upper), tail=spec.pitch.along(tail)
        ),
        remark(RemarkKind.PLUMB_CUT, angle=spec.pitch.plumb, pitch=str(spec.pitch)),
        remark(
            RemarkKind.BIRDSMOUTH,
            seat=spec.seat,
            heel=spec.seat * spec.pitch.tangent,
            deep=seat_depth(spec.pitch, spec.seat),
        ),
        *_heights(spec, upper),
    ]
    if spec.fascia:
        facts.append(remark(RemarkKind.FASCIA_OFF, fascia=spec.fascia, overhang=spec.overhang))
    if marks:
        facts.append(remark(RemarkKind.RAFTER_COUNT, count=count, side=len(marks)))
        facts.append(remark(RemarkKind.RAFTER_MARKS, marks=tuple(marks)))
    return Assembly(
        remark(RemarkKind.RAFTERS, count=count, pitch=str(spec.pitch), run=spec.run),
        (rafter, *_along_the_roof(spec, marks, settings.longest)),
        tuple(facts),
        (*_cautions(spec), CAUTION),
        profile=Profile(spec.run * spec.pitch.tangent, spec.run),
    )


def _marks(spec: RafterSpec) -> list[Fraction]:
    """Return the near edge of every rafter of one side along the building; none where its length is
    not known.
    """
    if spec.length is None:
        return []
    thick = thickness(spec.section or USUAL_RAFTER)
    last = spec.length - thick
    if last < thick:
        raise wrong(RemarkKind.NO_ROOF, run=spec.length)
    return [Fraction(0), *between(thick, last, spec.spacing, thick), last]


def _heights(spec: RafterSpec, upper: Fraction) -> Iterator[Remark]:
    """Yield the heights that follow from the rafter's depth, where it is known."""
    above, deep = height_above_plate(spec.pitch, spec.section, spec.seat), depth(spec.section)
    rise = spec.run * spec.pitch.tangent
    if above is None or deep is None:
        yield remark(RemarkKind.RIDGE_HEIGHT, rise=rise)
        return
    yield remark(RemarkKind.HEIGHT_ABOVE_PLATE, above=above)
    yield remark(RemarkKind.RIDGE_HEIGHT, rise=rise, top=upper * spec.pitch.tangent + above)
    yield remark(RemarkKind.PLUMB_DEPTH, deep=spec.pitch.along(deep))


def _along_the_roof(spec: RafterSpec, marks: list[Fraction], longest: Fraction) -> Iterator[Cut]:
    """Yield the ridge and both fascias, joined at rafters where a board does not reach."""
    if spec.length is None:
        return
    start, end = -spec.rake, spec.length + spec.rake
    thick = thickness(spec.section or USUAL_RAFTER)
    found, _ = joints((start, end), longest, [mark + thick / 2 for mark in marks])
    stretches = [two - one for one, two in zip([start, *found], [*found, end], strict=True)]
    for piece, number in (("ridge", 1), ("fascia", 2)):
        for length in dict.fromkeys(stretches):
            yield Cut(Length(length), number * stretches.count(length), piece=piece)


def _cautions(spec: RafterSpec) -> Iterator[Remark]:
    if spec.seat < MIN_BEARING:
        yield remark(RemarkKind.SHORT_BEARING, seat=spec.seat)
    deep, notch = depth(spec.section), seat_depth(spec.pitch, spec.seat)
    if deep is not None and notch > deep * MAX_NOTCH_AT_ENDS:
        yield remark(RemarkKind.DEEP_NOTCH, notch=notch, depth=deep)

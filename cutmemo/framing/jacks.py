"""Jack rafters: from the plate to a hip, from the ridge to a valley, or between a hip and a valley.

Each differs from the next by the common length of the spacing. At a hip or valley half its
thickness is taken off across the angle on the plan, half the 45° thickness where both roofs are
equal, and at a ridge half the ridge's (NAVEDTRA 14044). The cheek of equal roofs is a miter of the
plumb angle with a bevel of 45° (common practice). Lengths are to the long point of the cheek.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Profile, thickness
from cutmemo.framing.centres import fit
from cutmemo.framing.remarks import Angle, Remark, RemarkKind, remark, wrong
from cutmemo.framing.roof import USUAL_RAFTER, tail_of
from cutmemo.framing.slope import Pitch, angle_of, half_across
from cutmemo.framing.specs import JackSpec


def jacks(spec: JackSpec, settings: Settings) -> Assembly:
    """Return the jack rafters. Raises :class:`MeasureError` where none fits."""
    main, end = spec.slope.main, spec.slope.end
    if spec.kind != "cripple":
        fit(spec.spacing, _thick(spec))
    cuts: tuple[Cut, ...]
    if spec.kind == "cripple":
        cuts = (_cripples(spec),)
    elif spec.kind == "valley cripple":
        cuts = tuple(_valley_cripples(spec))
    elif spec.slope.equal:
        cuts = tuple(_side(spec, main, Fraction(1), Fraction(1), 2))
    else:
        aside = spec.slope.aside
        cuts = (
            *_side(spec, main, aside, Fraction(1), 1),
            *_side(spec, end, 1 / aside, aside, 1),
        )
    if not cuts or any(cut.length.inches <= 0 for cut in cuts):
        raise wrong(RemarkKind.NO_JACK, spacing=spec.spacing, run=spec.run)
    return Assembly(
        remark(
            RemarkKind.JACKS,
            pieces=sum(cut.count for cut in cuts),
            jack=spec.kind,
            count=spec.count,
            pitch=str(main) if spec.slope.equal else f"{main} and {end}",
        ),
        cuts,
        tuple(_facts(spec)),
        (CAUTION,),
        profile=Profile(spec.run * main.tangent, spec.run, piece="jack"),
    )


def _thick(spec: JackSpec) -> Fraction:
    return thickness(spec.section or USUAL_RAFTER)


def _side(
    spec: JackSpec, pitch: Pitch, tangent: Fraction, aside: Fraction, of_each: int
) -> Iterator[Cut]:
    """Yield the jacks of one roof, the longest first.

    *tangent* is that of the angle on the plan at the cheek, *aside* how far this roof runs for each
    inch of the main one: its overhang too, so that all fascias stand at one height.
    """
    step = spec.spacing / tangent
    number = -(-spec.run * aside // step) - 1
    for n in range(int(number), 0, -1):
        level = step * n - half_across(spec.hip, tangent) + _thick(spec) / 2 / tangent
        if spec.kind == "hip":
            level += tail_of(spec.overhang * aside, spec.fascia)
            ends = (replace(pitch.end("long"), cheek="single"), pitch.end("short"))
        else:
            level -= spec.ridge / 2
            ends = (pitch.end("long"), replace(pitch.end("short"), cheek="single"))
        if level > 0:
            yield Cut(
                Length(pitch.along(level)),
                of_each * spec.count,
                section=spec.section,
                piece="jack rafter",
                ends=ends,
            )


def _cripples(spec: JackSpec) -> Cut:
    """Return the jacks between a hip and a valley that run beside each other: all alike, both
    cheeks parallel.
    """
    aside = spec.slope.aside
    level = spec.run / aside - 2 * half_across(spec.hip, aside)
    if level <= 0:
        raise wrong(RemarkKind.NO_JACK, spacing=spec.spacing, run=spec.run)
    pitch = spec.slope.main
    return Cut(
        Length(pitch.along(level)),
        spec.count,
        section=spec.section,
        piece="jack rafter",
        ends=(
            replace(pitch.end("long"), cheek="single"),
            replace(pitch.end("short"), cheek="single"),
        ),
    )


def _valley_cripples(spec: JackSpec) -> Iterator[Cut]:
    """Yield the jacks between two valleys that meet, the longest first; each differs from the next
    by twice the rest.

    Their cheeks run against each other, so that both ends are to the long point.
    """
    aside, pitch = spec.slope.aside, spec.slope.main
    step = 2 * spec.spacing / aside
    end = replace(pitch.end("long"), cheek="single")
    for n in range(int(-(-spec.run // step)) - 1, 0, -1):
        level = step * n - 2 * half_across(spec.hip, aside) + _thick(spec) / aside
        yield Cut(
            Length(pitch.along(level)),
            spec.count,
            section=spec.section,
            piece="jack rafter",
            ends=(end, replace(pitch.end("short"), cheek="single")),
        )


def _facts(spec: JackSpec) -> Iterator[Remark]:
    main, aside = spec.slope.main, spec.slope.aside
    one_roof = spec.slope.equal or spec.kind in ("cripple", "valley cripple")
    sides = [(main, aside)] if one_roof else [(main, aside), (spec.slope.end, 1 / aside)]
    for pitch, tangent in sides:
        if spec.kind != "cripple":
            each = 2 if spec.kind == "valley cripple" else 1
            step = pitch.along(each * spec.spacing / tangent)
            yield remark(RemarkKind.JACK_STEP, step=step, spacing=spec.spacing, pitch=str(pitch))
        on_top = float(144 * tangent / pitch.common)
        yield remark(
            RemarkKind.JACK_CHEEK,
            miter=pitch.plumb,
            bevel=angle_of(1 / tangent),
            top=Angle(Fraction(round(on_top * 100), 100)),
        )
    if spec.kind == "cripple":
        yield remark(RemarkKind.CRIPPLE_JACKS_ALIKE, hip=spec.hip)
        return
    if spec.kind == "valley cripple":
        yield remark(RemarkKind.VALLEY_CRIPPLE_POINTS, hip=spec.hip)
        return
    yield remark(RemarkKind.JACK_SIDES, equal=spec.slope.equal)
    kind = RemarkKind.JACK_POINT if spec.kind == "hip" else RemarkKind.VALLEY_JACK_POINT
    for pitch, tangent in sides:
        less = pitch.along(_thick(spec) / 2 / tangent)
        yield remark(kind, hip=spec.hip, pitch=str(pitch), less=less)
    if spec.overhang and not spec.slope.equal:
        yield remark(RemarkKind.OTHER_SIDE, overhang=spec.overhang * aside)

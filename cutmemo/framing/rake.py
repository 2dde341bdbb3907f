"""Studs under a slope: gable studs in pairs from the ridge, or the studs of a rake wall with its
plates.

Equal spacing makes an equal difference: spacing × rise / 12 (NAVEDTRA 14044 calls it the common
difference). Studs are measured to the long point of a top that is cut to the slope. Plates longer
than any board are joined over studs, those of the two rake plates apart as in any wall.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from cutmemo.domain.cut import SQUARE, Cut, End
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Placed, cuts_of, depth, thickness
from cutmemo.framing.centres import between, fit
from cutmemo.framing.plates import joints
from cutmemo.framing.remarks import Remark, RemarkKind, remark, wrong
from cutmemo.framing.slope import FOOT
from cutmemo.framing.specs import RakeSpec

RAKE_PLATES = 2


def rake(spec: RakeSpec, settings: Settings) -> Assembly:
    """Return gable studs or a rake wall. Raises :class:`MeasureError` where it cannot be built."""
    studs = list(_gable(spec) if spec.gable else _studs(spec))
    if not studs or any(each.cut_length <= 0 for each in studs):
        raise wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)
    if spec.gable:
        return _assembly(spec, cuts_of(studs), studs, tuple(studs))
    middles = [each.left + each.width / 2 for each in studs]
    # Level joints: the same 24 in. are more along the slope.
    longest = settings.longest * FOOT / spec.pitch.common
    lower, _ = joints((Fraction(0), spec.length), longest, middles)
    upper, apart = joints((Fraction(0), spec.length), longest, middles, lower)
    soles, _ = joints((Fraction(0), spec.length), settings.longest, middles)
    sole = [_sole(spec, *stretch) for stretch in pairwise([Fraction(0), *soles, spec.length])]
    cuts = (*cuts_of(sole), *_rake_plates(spec, lower, upper), *cuts_of(studs))
    found = {"sole": tuple(soles), "lower": tuple(lower), "upper": tuple(upper)}
    return _assembly(
        spec,
        cuts,
        studs,
        (*sole, *studs),
        [remark(RemarkKind.RAKE_JOINTS, **found)] if lower else [],
        [] if apart else [remark(RemarkKind.NO_ROOM_FOR_JOINTS)],
    )


def _assembly(  # noqa: PLR0913 - each is a part of its own
    spec: RakeSpec,
    cuts: tuple[Cut, ...],
    studs: Sequence[Placed],
    layout: tuple[Placed, ...],
    facts: Sequence[Remark] = (),
    cautions: Sequence[Remark] = (),
) -> Assembly:
    return Assembly(
        remark(
            RemarkKind.RAKE,
            set="Gable" if spec.gable else "Rake wall",
            length=spec.length,
            pitch=str(spec.pitch),
        ),
        cuts,
        (
            remark(
                RemarkKind.COMMON_DIFFERENCE,
                step=spec.spacing * spec.pitch.tangent,
                spacing=spec.spacing,
            ),
            remark(RemarkKind.STUD_TOPS, angle=spec.pitch.plumb),
            remark(RemarkKind.STUD_MARKS, marks=tuple(sorted(each.left for each in studs))),
            remark(RemarkKind.STUD_POINT),
            *facts,
        ),
        (*cautions, CAUTION),
        layout,
    )


def _top(spec: RakeSpec) -> tuple[End, End]:
    return SQUARE, End("angled", bevel=spec.pitch.plumb.degrees, point="long")


def _gable(spec: RakeSpec) -> Iterator[Placed]:
    """Yield pairs of studs under the end rafters, the longest pair half a spacing beside the ridge.

    The rafter's underside leaves the plate at its inner edge, so that the stud at x from the
    outside
    is (x - width of the plate) × tan long.
    """
    thick, tangent = thickness(spec.section), spec.pitch.tangent
    seat = depth(spec.section) or Fraction(0)
    fit(spec.spacing, thick)
    middle = spec.length / 2
    beside = spec.spacing / 2
    while True:
        inner = middle - beside + thick / 2
        short = (inner - thick - seat) * tangent
        if short <= 0:
            return
        tall = (inner - seat) * tangent
        for left in (inner - thick, spec.length - inner):
            yield Placed(
                "gable stud", left, Fraction(0), thick, tall, section=spec.section, ends=_top(spec)
            )
        beside += spec.spacing


def _plate(spec: RakeSpec) -> Fraction:
    """Return how tall both rake plates together stand, plumb."""
    return RAKE_PLATES * spec.pitch.along(thickness(spec.section))


def _studs(spec: RakeSpec) -> Iterator[Placed]:
    """Yield the studs of a rake wall, the low end on the left."""
    thick, tangent = thickness(spec.section), spec.pitch.tangent
    last = spec.length - thick
    if last < thick:
        raise wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)
    for left in (Fraction(0), *between(thick, last, spec.spacing, thick), last):
        tall = spec.height + (left + thick) * tangent - thick - _plate(spec)
        yield Placed("stud", left, thick, thick, tall, section=spec.section, ends=_top(spec))


def _sole(spec: RakeSpec, left: Fraction, right: Fraction) -> Placed:
    return Placed(
        "sole plate",
        left,
        Fraction(0),
        right - left,
        thickness(spec.section),
        upright=False,
        section=spec.section,
    )


def _rake_plates(
    spec: RakeSpec, lower: Sequence[Fraction], upper: Sequence[Fraction]
) -> Iterator[Cut]:
    """Yield both rake plates, joined at *lower* and at *upper* with cuts as plumb as their ends."""
    bevel = spec.pitch.plumb.degrees
    ends = (End("angled", bevel=bevel, point="long"), End("angled", bevel=bevel, point="short"))
    levels = [
        two - one
        for found in (lower, upper)
        for one, two in pairwise([Fraction(0), *found, spec.length])
    ]
    for level in dict.fromkeys(levels):
        yield Cut(
            Length(spec.pitch.along(level)),
            levels.count(level),
            section=spec.section,
            piece="plate",
            ends=ends,
        )

"""Studs under a slope: gable studs in pairs from the ridge, or the studs of a rake wall with its
plates.

Equal spacing makes an equal difference: spacing × rise / 12 (NAVEDTRA 14044 calls it the common
difference). Studs are measured to the long point of a top that is cut to the slope.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cutmemo.domain.cut import SQUARE, Cut, End
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Placed, cuts_of, depth, thickness
from cutmemo.framing.centres import between
from cutmemo.framing.remarks import RemarkKind, remark, wrong
from cutmemo.framing.specs import RakeSpec

RAKE_PLATES = 2


def rake(spec: RakeSpec, settings: Settings) -> Assembly:
    """Return gable studs or a rake wall. Raises :class:`MeasureError` where it cannot be built."""
    layout = tuple(_gable(spec) if spec.gable else _wall(spec))
    studs = [each for each in layout if each.piece in ("stud", "gable stud")]
    if not studs or any(each.cut_length <= 0 for each in studs):
        raise wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)
    cuts = list(cuts_of(layout))
    if not spec.gable:
        cuts.insert(1, _rake_plate(spec))
    return Assembly(
        remark(
            RemarkKind.RAKE,
            set="Gable" if spec.gable else "Rake wall",
            length=spec.length,
            pitch=str(spec.pitch),
        ),
        tuple(cuts),
        (
            remark(
                RemarkKind.COMMON_DIFFERENCE,
                step=spec.spacing * spec.pitch.tangent,
                spacing=spec.spacing,
            ),
            remark(RemarkKind.STUD_TOPS, angle=spec.pitch.plumb),
            remark(RemarkKind.STUD_MARKS, marks=tuple(sorted(each.left for each in studs))),
            remark(RemarkKind.STUD_POINT),
        ),
        (CAUTION,),
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


def _wall(spec: RakeSpec) -> Iterator[Placed]:
    """Yield the sole plate and the studs of a rake wall, the low end on the left."""
    thick, tangent = thickness(spec.section), spec.pitch.tangent
    last = spec.length - thick
    if last < thick:
        raise wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)
    yield Placed(
        "sole plate",
        Fraction(0),
        Fraction(0),
        spec.length,
        thick,
        upright=False,
        section=spec.section,
    )
    for left in (Fraction(0), *between(thick, last, spec.spacing, thick), last):
        tall = spec.height + (left + thick) * tangent - thick - _plate(spec)
        yield Placed("stud", left, thick, thick, tall, section=spec.section, ends=_top(spec))


def _rake_plate(spec: RakeSpec) -> Cut:
    return Cut(
        Length(spec.pitch.along(spec.length)),
        RAKE_PLATES,
        section=spec.section,
        piece="plate",
        ends=(
            End("angled", bevel=spec.pitch.plumb.degrees, point="long"),
            End("angled", bevel=spec.pitch.plumb.degrees, point="short"),
        ),
    )

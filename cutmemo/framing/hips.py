"""Hip and valley rafters, between roofs of equal or of unequal pitch.

At the ridge half the ridge's thickness is taken off across the angle on the plan, half the 45°
thickness where both roofs are equal; framed between the end commons, half that of the commons
(NAVEDTRA 14044). A valley is as long as a hip, and is neither backed nor dropped.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Profile, depth, thickness
from cutmemo.framing.plates import joints
from cutmemo.framing.remarks import Remark, RemarkKind, remark, wrong
from cutmemo.framing.roof import USUAL_RAFTER, height_above_plate, tail_of
from cutmemo.framing.slope import angle_of
from cutmemo.framing.specs import HipSpec

USUAL_HIP = Section(Fraction(2), Fraction(8))
"""What a hip is where nothing was said: only its thickness counts."""


def hips(spec: HipSpec, settings: Settings) -> Assembly:
    """Return the hip or valley rafters of a roof. Raises :class:`MeasureError` where it cannot be
    built.
    """
    off, tail = _taken_off(spec), tail_of(spec.overhang, spec.fascia)
    if off >= spec.run:
        raise wrong(RemarkKind.NO_ROOF, run=spec.run)
    piece = "valley rafter" if spec.valley else "hip rafter"
    cut = Cut(
        Length(spec.slope.along(spec.run - off + tail)),
        spec.count,
        section=spec.section,
        piece=piece,
        ends=(spec.slope.cut("long", double_cheek=True), spec.slope.cut("short")),
    )
    pitch = str(spec.slope.main)
    if not spec.slope.equal:
        pitch = f"{pitch} and {spec.slope.end}"
    return Assembly(
        remark(RemarkKind.HIPS, count=spec.count, piece=piece, pitch=pitch, run=spec.run),
        (cut, *_ridge(spec, settings.longest)),
        tuple(_facts(spec, off, tail)),
        (*_cautions(spec), CAUTION),
        profile=Profile(spec.run * spec.slope.main.tangent, spec.run, piece=piece.split()[0]),
    )


def _ridge(spec: HipSpec, longest: Fraction) -> Iterator[Cut]:
    """Yield the ridge board of a building with hips at both ends, where its length is known.

    In line it is as long as the building less the run of both ends; at each end it reaches half its
    own
    thickness farther, to the end common, or half that of the commons it is framed between.
    """
    if spec.length is None:
        return
    line = spec.length - 2 * spec.run * spec.slope.aside
    if line < 0:
        raise wrong(RemarkKind.NO_RIDGE, length=spec.length, span=2 * spec.run)
    if not line:
        return  # the hips meet in a point
    farther = thickness(spec.commons or USUAL_RAFTER) if spec.at_commons else spec.ridge
    end = line + farther
    found, _ = joints((Fraction(0), end), longest, [])
    for one, two in pairwise([Fraction(0), *found, end]):
        yield Cut(Length(two - one), piece="ridge")


def _cautions(spec: HipSpec) -> Iterator[Remark]:
    """Yield whether it is shallower than the commons' plumb cut (IRC R802.3, from memory)."""
    own, commons = depth(spec.section), depth(spec.commons)
    if own is not None and commons is not None and own < spec.slope.main.along(commons):
        cut = spec.slope.main.along(commons)
        yield remark(RemarkKind.SHALLOW_HIP, deep=own, cut=cut)


def _taken_off(spec: HipSpec) -> Fraction:
    """Return how much of the main run the ridge or the end commons take."""
    if not spec.at_commons:
        return spec.ridge / 2
    half = thickness(spec.commons or USUAL_RAFTER) / 2
    return half * max(Fraction(1), 1 / spec.slope.aside)


def _facts(spec: HipSpec, off: Fraction, tail: Fraction) -> Iterator[Remark]:
    slope = spec.slope
    yield remark(
        RemarkKind.HIP_LENGTHS,
        theory=slope.along(spec.run),
        upper=slope.along(spec.run - off),
        tail=slope.along(tail),
    )
    yield remark(
        RemarkKind.HIP_SHORTENED,
        level=off * slope.level,
        at="the end commons" if spec.at_commons else "the ridge",
    )
    yield remark(
        RemarkKind.HIP_PLUMB_CUT, angle=slope.plumb, pitch=str(slope.main), equal=slope.equal
    )
    if slope.equal:
        kind = RemarkKind.VALLEY_CHEEKS if spec.valley else RemarkKind.HIP_CHEEKS
        yield remark(kind, backing=slope.backing)
    else:
        yield remark(
            RemarkKind.HIP_CHEEKS_UNEQUAL,
            main=angle_of(1 / slope.aside),
            end=angle_of(slope.aside),
        )
        if spec.overhang:
            yield remark(RemarkKind.OTHER_SIDE, overhang=spec.overhang * slope.aside)
    if not spec.valley:
        main, end = slope.drops(thickness(spec.section or USUAL_HIP))
        if slope.equal:
            yield remark(RemarkKind.HIP_DROP, drop=main)
        else:
            yield remark(RemarkKind.HIP_DROPS, main=main, end=end)
    yield remark(RemarkKind.HIP_SEAT, seat=spec.seat * slope.level)
    above, deep = height_above_plate(slope.main, spec.commons, spec.seat), depth(spec.commons)
    rise = spec.run * slope.main.tangent
    if above is None or deep is None:
        yield remark(RemarkKind.RIDGE_HEIGHT, rise=rise)
    else:
        drop = (
            Fraction(0) if spec.valley else max(slope.drops(thickness(spec.section or USUAL_HIP)))
        )
        yield remark(RemarkKind.HIP_HEIGHT, commons=above, own=above - drop)
        upper = spec.run - spec.ridge / 2
        yield remark(RemarkKind.RIDGE_HEIGHT, rise=rise, top=upper * slope.main.tangent + above)
        yield remark(RemarkKind.PLUMB_DEPTH, deep=slope.main.along(deep))
    yield remark(RemarkKind.ALONG_MIDDLE)

"""What is told of a wall: where its pieces stand, how its plates are joined, and what to mind."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cutmemo.framing.assembly import Placed, depth, thickness
from cutmemo.framing.centres import sheets
from cutmemo.framing.plates import TOP_PLATES
from cutmemo.framing.remarks import Remark, RemarkKind, remark
from cutmemo.framing.specs import WallSpec
from cutmemo.framing.wall_frame import WallFrame


def facts(frame: WallFrame, layout: tuple[Placed, ...]) -> Iterator[Remark]:
    """Yield where everything stands; of each piece *layout* has those from the near end first."""
    spec = frame.spec

    def edges(
        piece: str, within: tuple[Fraction, Fraction], low: bool = True
    ) -> tuple[Fraction, ...]:
        return tuple(
            each.left
            for each in layout
            if each.piece == piece
            and within[0] <= each.left < within[1]
            and (each.bottom == frame.thick) == low
        )

    everywhere = (Fraction(0), spec.length)
    yield remark(RemarkKind.STUD_LENGTH, stud=frame.stud, plates=TOP_PLATES, spacing=spec.spacing)
    yield remark(RemarkKind.STUD_MARKS, marks=edges("stud", everywhere))
    for which in sorted(spec.corners):
        yield remark(RemarkKind.CORNER_PLACE, end=which)
    for at in sorted(spec.tees):
        yield remark(RemarkKind.TEE_PLACE, at=at)
    if spec.backing:
        yield remark(RemarkKind.BACKING_PLACE, rows=spec.backing)
    for opening in frame.openings():
        room = (
            opening.at - frame.thick * opening.side,
            opening.at + opening.width + frame.thick * opening.side,
        )
        yield remark(
            RemarkKind.OPENING_PLACE,
            left=opening.at,
            right=opening.at + opening.width,
            height=opening.height,
        )
        yield remark(
            RemarkKind.OPENING_SIDES,
            kings=edges("king stud", room),
            trimmers=edges("trimmer", room),
        )
        if opening.sill is not None:
            yield remark(RemarkKind.SILL_PLACE, length=opening.width, top=opening.sill)
        over, under = edges("cripple", room, low=False), edges("cripple", room)
        if over:
            yield remark(RemarkKind.CRIPPLE_MARKS, marks=over)
        if under:
            yield remark(RemarkKind.SILL_CRIPPLE_MARKS, marks=under)
        solid = thickness(opening.header.section) * opening.header.plies
        wide = depth(spec.section) or solid
        if opening.header.section.dressed() is not None and solid != wide:
            yield remark(
                RemarkKind.HEADER_THICKNESS,
                at=opening.at,
                thick=solid,
                wall=wide,
                plies=opening.header.plies,
            )


def plate_facts(
    spec: WallSpec, lower: tuple[Fraction, ...], upper: tuple[Fraction, ...]
) -> Iterator[Remark]:
    """Yield where plates are joined, and how the cap plate laps."""
    if lower or upper:
        yield remark(RemarkKind.PLATE_JOINTS, lower=lower, upper=upper)
    if spec.corners or spec.butts:
        yield remark(RemarkKind.CAP_LAPS, wide=depth(spec.section) or Fraction(0))
    if spec.tees:
        yield remark(RemarkKind.CAP_GAPS, wide=depth(spec.partition) or Fraction(0))


def cautions(
    frame: WallFrame, gaps: list[tuple[Fraction, Fraction]], apart: bool
) -> Iterator[Remark]:
    """Yield what to mind."""
    spec = frame.spec
    yield from sheets(spec.spacing)
    for left, right in gaps:
        yield remark(RemarkKind.PACK_GAP, gap=right - left, at=left)
    for opening in spec.openings:
        if 0 < frame.above(opening) < frame.thick:
            yield remark(RemarkKind.PACK_HEADER, gap=frame.above(opening), at=opening.at)
        if 0 < frame.under(opening) < frame.thick:
            yield remark(RemarkKind.PACK_SILL, gap=frame.under(opening), at=opening.at)
    if not apart:
        yield remark(RemarkKind.NO_ROOM_FOR_JOINTS)
    assumed = {each.header.plies for each in spec.openings if not each.header.plies_said}
    for plies in sorted(assumed):
        yield remark(RemarkKind.PLIES_ASSUMED, plies=plies)
    if any(opening.sill is None for opening in spec.openings):
        yield remark(RemarkKind.DOOR_PLATE)

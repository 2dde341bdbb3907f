"""The pieces of a stud wall, and where each stands: plates, studs, corners, tees, and what frames
each opening.

Studs stand on centres from the near end, so that the near edge of the first is half a stud before
its mark: 15-1/4, 31-1/4, 47-1/4 at 16 in. Beside each opening stand its kings and trimmers, and its
header bears on the trimmers; cripples stand on the marks, and under a sill at both of its ends too.
A corner where the wall runs through has a second stud that shows 1 in. past the wall that meets it,
and a tee a stud laid flat between two, so that both sides have wood to nail to (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Placed, cuts_of, depth
from cutmemo.framing.centres import between
from cutmemo.framing.plates import Stretch, plates
from cutmemo.framing.remarks import MeasureError, RemarkKind, remark, wrong
from cutmemo.framing.specs import OpeningSpec, WallEnd, WallSpec
from cutmemo.framing.wall_frame import WallFrame
from cutmemo.framing.wall_remarks import cautions, facts, plate_facts

SHOWS = Fraction(1)
"""Inches of a corner's second stud that show beside the wall that meets it (common practice)."""
_ENDS: tuple[WallEnd, WallEnd] = ("left", "right")


@dataclass(frozen=True, slots=True)
class _Solid:
    """Uprights that stand together, from *left* to *right*, with the near edges of those that reach
    the top plate.
    """

    left: Fraction
    right: Fraction
    pieces: tuple[Placed, ...]
    opening: OpeningSpec | None = None
    tee: Fraction | None = None


def wall(spec: WallSpec, settings: Settings) -> Assembly:
    """Return the pieces of a wall. Raises :class:`MeasureError` where it cannot be built."""
    frame = WallFrame(spec)
    if frame.stud <= 0 or spec.length < 2 * frame.thick:
        raise wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)
    solids = _solids(frame)
    if solids[0].left < 0 or max(solid.right for solid in solids) > spec.length:
        raise _outside(frame)
    _refuse(frame, solids)
    standing = [piece for solid in solids for piece in solid.pieces]
    for one, two in pairwise(solids):
        if not _is_opening(one, two):
            standing += [
                frame.full("stud", edge)
                for edge in between(one.right, two.left, spec.spacing, frame.thick)
            ]
    standing.sort(key=lambda piece: piece.left)
    middles = [each.left + each.width / 2 for each in standing if each.height == frame.stud]
    plated, lower, upper, apart = plates(spec, middles, settings.longest)
    around = [piece for opening in frame.openings() for piece in _around(frame, opening)]
    layout = (*plated, *standing, *around, *_backing(frame, standing, solids))
    gaps = [
        (one.right, two.left)
        for one, two in pairwise(solids)
        if 0 < two.left - one.right < frame.thick
    ]
    return Assembly(
        remark(RemarkKind.WALL, length=spec.length, height=spec.height),
        cuts_of(_in_order(layout)),
        (*facts(frame, layout), *plate_facts(spec, lower, upper)),
        (*cautions(frame, gaps, apart), CAUTION),
        layout,
    )


def _in_order(layout: tuple[Placed, ...]) -> list[Placed]:
    """Return *layout* in the order of a list: plates and studs before what stands around
    openings.
    """
    first = ("plate", "sole plate", "top plate", "cap plate", "stud", "backing stud")
    return sorted(
        layout, key=lambda each: first.index(each.piece) if each.piece in first else len(first)
    )


def _is_opening(one: _Solid, two: _Solid) -> bool:
    """Return whether the gap between *one* and *two* is an opening, with the trimmers of its two
    sides.
    """
    return one.opening is not None and one.opening == two.opening


def _solids(frame: WallFrame) -> list[_Solid]:
    """Return all that stands where it must, from the near end; end studs give way to kings that
    stand there.
    """
    spec = frame.spec
    found = [side for opening in frame.openings() for side in _sides(frame, opening)]
    found += [_tee(frame, at) for at in spec.tees]
    kings = {solid.left for solid in found} | {solid.right for solid in found}
    for which in _ENDS:
        outer = Fraction(0) if which == "left" else spec.length
        if which in spec.corners & spec.butts:
            raise wrong(RemarkKind.CORNER_AND_BUTT, end=which)
        if outer not in kings:
            found += _wall_end(frame, which)
        elif which in spec.corners:
            raise wrong(RemarkKind.NO_ROOM_FOR_CORNER, end=which)
    return sorted(found, key=lambda solid: (solid.left, solid.right))


def _sides(frame: WallFrame, opening: OpeningSpec) -> Iterator[_Solid]:
    """Yield the kings and trimmers at each side of *opening*."""
    thick, right = frame.thick, opening.at + opening.width
    trimmer, bottom = opening.height - thick, thick
    for way, edge in ((-1, opening.at), (1, right)):
        lefts = [
            edge + thick * n - (thick * opening.side if way < 0 else 0) for n in range(opening.side)
        ]
        if way > 0:
            lefts.reverse()  # kings stand farthest from the opening
        pieces = [frame.full("king stud", left) for left in lefts[: opening.kings]]
        pieces += [
            frame.upright("trimmer", left, bottom, trimmer) for left in lefts[opening.kings :]
        ]
        yield _Solid(min(lefts), max(lefts) + thick, tuple(pieces), opening)


def _tee(frame: WallFrame, at: Fraction) -> _Solid:
    """Return the three studs where the middle of a partition meets the wall at *at*: one flat
    between two.
    """
    meets = depth(frame.spec.partition) or frame.thick
    left, right = at - meets / 2 - frame.thick, at + meets / 2
    flat = Placed(
        "backing stud",
        at - meets / 2,
        frame.thick,
        meets,
        frame.stud,
        section=frame.spec.partition,
    )
    return _Solid(
        left,
        right + frame.thick,
        (frame.full("stud", left), flat, frame.full("stud", right)),
        tee=at,
    )


def _wall_end(frame: WallFrame, which: WallEnd) -> Iterator[_Solid]:
    """Yield the end stud, and a corner's second stud, with room for spacers between."""
    spec, thick = frame.spec, frame.thick
    edges = [Fraction(0)]
    if which in spec.corners:
        edges.append((depth(spec.section) or thick) + SHOWS - thick)
    for edge in edges:
        left = edge if which == "left" else spec.length - thick - edge
        yield _Solid(left, left + thick, (frame.full("stud", left),))


def _spacers(frame: WallFrame, which: WallEnd) -> Stretch:
    """Return where the spacers of a corner are."""
    near, far = (solid for solid in _wall_end(frame, which))
    return (near.right, far.left) if which == "left" else (far.right, near.left)


def _refuse(frame: WallFrame, solids: list[_Solid]) -> None:
    """Raise :class:`MeasureError` for what does not fit."""
    spec = frame.spec
    for opening in spec.openings:
        if opening.at - frame.thick * opening.side < 0 or (
            opening.at + opening.width + frame.thick * opening.side > spec.length
        ):
            raise wrong(RemarkKind.NO_ROOM_FOR_KING, at=opening.at)
        if min(opening.height, opening.width) <= frame.thick:
            raise wrong(RemarkKind.NO_OPENING, width=opening.width, height=opening.height)
        if frame.above(opening) < 0:
            raise wrong(
                RemarkKind.HEADER_TOO_DEEP,
                section=str(opening.header.section),
                height=opening.height,
            )
        if opening.sill is not None and not 2 * frame.thick <= opening.sill < opening.height:
            raise wrong(RemarkKind.SILL_TOO_HIGH, sill=opening.sill, height=opening.height)
    _refuse_backing(frame)
    for tee in spec.tees:
        solid = _tee(frame, tee)
        if solid.left < 0 or solid.right > spec.length:
            raise wrong(RemarkKind.NO_ROOM_FOR_TEE, at=tee)
    for one, two in pairwise(solids):
        inside = one.opening is not None and one.right == one.opening.at  # its far side comes next
        if two.left < one.right or (inside and not _is_opening(one, two)):
            raise _no_room(frame, one, two)


def _outside(frame: WallFrame) -> MeasureError:
    """Return why something stands past an end: what is named says it better, where it can."""
    _refuse(frame, [])
    spec = frame.spec
    return wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)


def _refuse_backing(frame: WallFrame) -> None:
    spec, half = frame.spec, (depth(frame.spec.section) or frame.thick) / 2
    for middle in spec.backing:
        if not frame.thick <= middle - half < middle + half <= frame.thick + frame.stud:
            raise wrong(RemarkKind.BACKING_OUTSIDE, middle=middle, height=spec.height)


def _no_room(frame: WallFrame, one: _Solid, two: _Solid) -> MeasureError:
    """Return why *one* and *two*, which stand in each other's way, cannot."""
    spec = frame.spec
    tee = one.tee if one.tee is not None else two.tee
    if tee is not None:
        return wrong(RemarkKind.NO_ROOM_FOR_TEE, at=tee)
    if one.opening is not None and two.opening is not None:
        return wrong(RemarkKind.NO_ROOM_FOR_KING, at=two.opening.at)
    if two.opening is not None:
        return wrong(RemarkKind.NO_ROOM_FOR_END_STUD, at=two.opening.at, left=two.left)
    if one.opening is not None:
        left = spec.length - one.right
        return wrong(RemarkKind.NO_ROOM_FOR_END_STUD, at=one.opening.at, left=left)
    return wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)


def _around(frame: WallFrame, opening: OpeningSpec) -> Iterator[Placed]:
    """Yield the header, the sill and the cripples of one opening."""
    spec, thick = frame.spec, frame.thick
    trimmers, deep = thick * opening.trimmers, frame.header_depth(opening)
    left, right = opening.at - trimmers, opening.at + opening.width + trimmers
    yield Placed(
        "header",
        left,
        opening.height,
        right - left,
        deep,
        upright=False,
        section=opening.header.section,
        plies=opening.header.plies,
    )
    above = frame.above(opening)
    if above >= thick:
        for edge in between(left, right, spec.spacing, thick):
            yield frame.upright("cripple", edge, opening.height + deep, above)
    if opening.sill is None:
        return
    yield Placed(
        "sill",
        opening.at,
        opening.sill - thick,
        opening.width,
        thick,
        upright=False,
        section=spec.section,
    )
    ends = [opening.at, opening.at + opening.width - thick]
    under = frame.under(opening)
    if under >= thick:
        for edge in sorted({*ends, *between(ends[0] + thick, ends[1], spec.spacing, thick)}):
            yield frame.upright("cripple", edge, thick, under)


def _backing(frame: WallFrame, standing: list[Placed], solids: list[_Solid]) -> Iterator[Placed]:
    """Yield the rows of backing: a block in each gap between uprights that is no opening.

    A gap no wider than a stud is thick has wood near enough, and a corner has its spacers.
    """
    rooms = [(one.right, two.left) for one, two in pairwise(solids) if _is_opening(one, two)]
    rooms += [_spacers(frame, which) for which in frame.spec.corners]
    deep = depth(frame.spec.section) or frame.thick
    for middle in frame.spec.backing:
        for one, two in pairwise(standing):
            if two.left > one.right + frame.thick and (one.right, two.left) not in rooms:
                yield Placed(
                    "block",
                    one.right,
                    middle - deep / 2,
                    two.left - one.right,
                    deep,
                    upright=False,
                    section=frame.spec.section,
                )

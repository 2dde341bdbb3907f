"""The pieces of a stud wall, and where each stands: plates, studs, corners, tees, and what frames each opening.

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
from cutmemo.framing.assembly import CAUTION, Assembly, Placed, cuts_of, depth, thickness
from cutmemo.framing.centres import between
from cutmemo.framing.plates import TOP_PLATES, plates
from cutmemo.framing.remarks import MeasureError, Remark, RemarkKind, remark, wrong
from cutmemo.framing.specs import OpeningSpec, WallEnd, WallSpec

SHOWS = Fraction(1)
"""Inches of a corner's second stud that show beside the wall that meets it (common practice)."""
_ENDS: tuple[WallEnd, WallEnd] = ("left", "right")


@dataclass(frozen=True, slots=True)
class _Solid:
    """Uprights that stand together, from *left* to *right*, with the near edges of those that reach the top plate."""

    left: Fraction
    right: Fraction
    pieces: tuple[Placed, ...]
    opening: OpeningSpec | None = None
    tee: Fraction | None = None


@dataclass(frozen=True, slots=True)
class _Frame:
    """The measures that all pieces of a wall need."""

    spec: WallSpec

    @property
    def thick(self) -> Fraction:
        return thickness(self.spec.section)

    @property
    def stud(self) -> Fraction:
        """Return the length of a full stud."""
        return self.spec.height - (1 + TOP_PLATES) * self.thick

    def upright(self, piece: str, left: Fraction, bottom: Fraction, height: Fraction) -> Placed:
        return Placed(piece, left, bottom, self.thick, height, section=self.spec.section)

    def full(self, piece: str, left: Fraction) -> Placed:
        """Return an upright from the bottom plate to the top plates."""
        return self.upright(piece, left, self.thick, self.stud)

    def header_depth(self, opening: OpeningSpec) -> Fraction:
        """Return how deep the header of *opening* is. Raises :class:`MeasureError` where nobody knows."""
        deep = opening.header.depth or depth(opening.header.section)
        if deep is None:
            raise wrong(RemarkKind.HEADER_DEPTH_UNKNOWN, section=str(opening.header.section))
        return deep

    def above(self, opening: OpeningSpec) -> Fraction:
        """Return what is left between the header and the top plates."""
        under_plates = self.spec.height - TOP_PLATES * self.thick
        return under_plates - opening.height - self.header_depth(opening)


def wall(spec: WallSpec, settings: Settings) -> Assembly:
    """Return the pieces of a wall. Raises :class:`MeasureError` where it cannot be built."""
    frame = _Frame(spec)
    if frame.stud <= 0 or spec.length < 2 * frame.thick:
        raise wrong(RemarkKind.NO_ROOM_FOR_STUDS, length=spec.length, height=spec.height)
    solids = _solids(frame)
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
    around = [piece for opening in _openings(spec) for piece in _around(frame, opening)]
    layout = (*plated, *standing, *around, *_backing(frame, standing, solids))
    gaps = [
        (one.right, two.left)
        for one, two in pairwise(solids)
        if 0 < two.left - one.right < frame.thick and not _is_opening(one, two)
    ]
    return Assembly(
        remark(RemarkKind.WALL, length=spec.length, height=spec.height),
        cuts_of(_in_order(layout)),
        (*_facts(frame, layout), *_plate_facts(spec, lower, upper)),
        (*_cautions(frame, gaps, apart), CAUTION),
        layout,
    )


def _openings(spec: WallSpec) -> list[OpeningSpec]:
    return sorted(spec.openings, key=lambda each: each.at)


def _in_order(layout: tuple[Placed, ...]) -> list[Placed]:
    """Return *layout* in the order of a list: plates and studs before what stands around openings."""
    first = ("plate", "sole plate", "top plate", "cap plate", "stud", "backing stud")
    return sorted(
        layout, key=lambda each: first.index(each.piece) if each.piece in first else len(first)
    )


def _is_opening(one: _Solid, two: _Solid) -> bool:
    """Return whether the gap between *one* and *two* is an opening, with the trimmers of its two sides."""
    return one.opening is not None and one.opening == two.opening


def _solids(frame: _Frame) -> list[_Solid]:
    """Return all that stands where it must, from the near end; end studs give way to kings that stand there."""
    spec = frame.spec
    found = [side for opening in _openings(spec) for side in _sides(frame, opening)]
    found += [_tee(frame, at) for at in spec.tees]
    kings = {solid.left for solid in found} | {solid.right for solid in found}
    for which in _ENDS:
        outer = Fraction(0) if which == "left" else spec.length
        if outer not in kings:
            found += _wall_end(frame, which)
        elif which in spec.corners:
            raise wrong(RemarkKind.NO_ROOM_FOR_CORNER, end=which)
    return sorted(found, key=lambda solid: (solid.left, solid.right))


def _sides(frame: _Frame, opening: OpeningSpec) -> Iterator[_Solid]:
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


def _tee(frame: _Frame, at: Fraction) -> _Solid:
    """Return the three studs where the middle of a partition meets the wall at *at*: one flat between two."""
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


def _wall_end(frame: _Frame, which: WallEnd) -> Iterator[_Solid]:
    """Yield the end stud, and a corner's second stud, with room for spacers between."""
    spec, thick = frame.spec, frame.thick
    edges = [Fraction(0)]
    if which in spec.corners:
        edges.append((depth(spec.section) or thick) + SHOWS - thick)
    for edge in edges:
        left = edge if which == "left" else spec.length - thick - edge
        yield _Solid(left, left + thick, (frame.full("stud", left),))


def _refuse(frame: _Frame, solids: list[_Solid]) -> None:
    """Raise :class:`MeasureError` for what does not fit."""
    spec = frame.spec
    for opening in spec.openings:
        if opening.at - frame.thick * opening.side < 0 or (
            opening.at + opening.width + frame.thick * opening.side > spec.length
        ):
            raise wrong(RemarkKind.NO_ROOM_FOR_KING, at=opening.at)
        if opening.height <= frame.thick or opening.width <= 0:
            raise wrong(RemarkKind.NO_OPENING, width=opening.width, height=opening.height)
        if frame.above(opening) < 0:
            raise wrong(
                RemarkKind.HEADER_TOO_DEEP,
                section=str(opening.header.section),
                height=opening.height,
            )
        if opening.sill is not None and not 2 * frame.thick <= opening.sill < opening.height:
            raise wrong(RemarkKind.SILL_TOO_HIGH, sill=opening.sill, height=opening.height)
    for tee in spec.tees:
        solid = _tee(frame, tee)
        if solid.left < 0 or solid.right > spec.length:
            raise wrong(RemarkKind.NO_ROOM_FOR_TEE, at=tee)
    for one, two in pairwise(solids):
        inside = one.opening is not None and one.right == one.opening.at  # its far side comes next
        if two.left < one.right or (inside and not _is_opening(one, two)):
            raise _no_room(frame, one, two)


def _no_room(frame: _Frame, one: _Solid, two: _Solid) -> MeasureError:
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


def _around(frame: _Frame, opening: OpeningSpec) -> Iterator[Placed]:
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
    under = opening.sill - 2 * thick
    if under:
        for edge in sorted({*ends, *between(ends[0] + thick, ends[1], spec.spacing, thick)}):
            yield frame.upright("cripple", edge, thick, under)


def _backing(frame: _Frame, standing: list[Placed], solids: list[_Solid]) -> Iterator[Placed]:
    """Yield the rows of backing: a block in each gap between uprights that is no opening."""
    rooms = [(one.right, two.left) for one, two in pairwise(solids) if _is_opening(one, two)]
    deep = depth(frame.spec.section) or frame.thick
    for middle in frame.spec.backing:
        for one, two in pairwise(standing):
            if two.left > one.right and (one.right, two.left) not in rooms:
                yield Placed(
                    "block",
                    one.right,
                    middle - deep / 2,
                    two.left - one.right,
                    deep,
                    upright=False,
                    section=frame.spec.section,
                )


def _facts(frame: _Frame, layout: tuple[Placed, ...]) -> Iterator[Remark]:
    """Yield where everything stands."""
    spec = frame.spec

    def edges(
        piece: str, within: tuple[Fraction, Fraction], low: bool = True
    ) -> tuple[Fraction, ...]:
        return tuple(
            sorted(
                each.left
                for each in layout
                if each.piece == piece
                and within[0] <= each.left < within[1]
                and (each.bottom == frame.thick) == low
            )
        )

    everywhere = (Fraction(0), spec.length)
    yield remark(RemarkKind.STUD_LENGTH, stud=frame.stud, plates=TOP_PLATES, spacing=spec.spacing)
    yield remark(RemarkKind.STUD_MARKS, marks=edges("stud", everywhere))
    for which in sorted(spec.corners):
        yield remark(RemarkKind.CORNER_PLACE, end=which)
    for at in sorted(spec.tees):
        yield remark(RemarkKind.TEE_PLACE, at=at)
    for opening in _openings(spec):
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


def _plate_facts(
    spec: WallSpec, lower: tuple[Fraction, ...], upper: tuple[Fraction, ...]
) -> Iterator[Remark]:
    """Yield where plates are joined, and how the cap plate laps."""
    if lower or upper:
        yield remark(RemarkKind.PLATE_JOINTS, lower=lower, upper=upper)
    if spec.corners or spec.butts:
        yield remark(RemarkKind.CAP_LAPS, wide=depth(spec.section) or Fraction(0))
    if spec.tees:
        yield remark(RemarkKind.CAP_GAPS, wide=depth(spec.partition) or Fraction(0))


def _cautions(
    frame: _Frame, gaps: list[tuple[Fraction, Fraction]], apart: bool
) -> Iterator[Remark]:
    """Yield what to mind."""
    spec = frame.spec
    for left, right in gaps:
        yield remark(RemarkKind.PACK_GAP, gap=right - left, at=left)
    for opening in spec.openings:
        if 0 < frame.above(opening) < frame.thick:
            yield remark(RemarkKind.PACK_HEADER, gap=frame.above(opening), at=opening.at)
    if not apart:
        yield remark(RemarkKind.NO_ROOM_FOR_JOINTS)
    assumed = {each.header.plies for each in spec.openings if not each.header.plies_said}
    for plies in sorted(assumed):
        yield remark(RemarkKind.PLIES_ASSUMED, plies=plies)
    if any(opening.sill is None for opening in spec.openings):
        yield remark(RemarkKind.DOOR_PLATE)

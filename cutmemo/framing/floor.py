"""The joists of a floor between its rims, with blocks, and headers and doubled joists around
openings.

Joists stand on centres from the near end like studs. Beside an opening the joists are doubled, its
headers are doubled and hang between them, and tail joists run from the headers to the rims
(NAVEDTRA 14044, floor framing; common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Placed, cuts_of, thickness
from cutmemo.framing.centres import between, sheets
from cutmemo.framing.plates import Stretch, joints
from cutmemo.framing.remarks import Remark, RemarkKind, remark, wrong
from cutmemo.framing.specs import FloorOpeningSpec, FloorSpec

DOUBLED = 2


def floor(spec: FloorSpec, settings: Settings) -> Assembly:
    """Return the pieces of a floor. Raises :class:`MeasureError` where it cannot be built."""
    thick = thickness(spec.section)
    if spec.length < 2 * thick or spec.span <= 2 * thick:
        raise wrong(RemarkKind.NO_ROOM_FOR_JOISTS, length=spec.length, span=spec.span)
    openings = sorted(spec.openings, key=lambda each: each.at)
    solids = _solids(spec, openings)
    rooms = [(each.at, each.at + each.width) for each in openings]
    joists = sorted(
        [
            *(edge for left, right in solids for edge in _members(left, right, thick)),
            *(
                edge
                for one, two in pairwise(solids)
                if (one[1], two[0]) not in rooms
                for edge in between(one[1], two[0], spec.spacing, thick)
            ),
        ]
    )
    inside = spec.span - 2 * thick
    layout = [_joist(spec, edge, thick, inside) for edge in joists]
    middles = [edge + thick / 2 for edge in joists]
    rims, _ = joints((Fraction(0), spec.length), settings.longest, middles)
    for left, right in pairwise([Fraction(0), *rims, spec.length]):
        for bottom in (Fraction(0), spec.span - thick):
            layout.append(_across(spec, "rim", left, right, bottom))
    for opening in openings:
        layout += _around(spec, opening)
    layout += _blocks(spec, joists, openings)
    return Assembly(
        remark(RemarkKind.FLOOR, length=spec.length, span=spec.span),
        cuts_of(layout),
        tuple(_facts(spec, joists, openings, inside)),
        (*_cautions(spec, openings, solids), CAUTION),
        tuple(layout),
    )


def _members(left: Fraction, right: Fraction, thick: Fraction) -> list[Fraction]:
    """Return the near edges of joists that stand side by side from *left* to *right*."""
    return [left + thick * n for n in range(int((right - left) / thick))]


def _solids(spec: FloorSpec, openings: list[FloorOpeningSpec]) -> list[Stretch]:
    """Return where joists must stand: at both ends, and doubled beside each opening.

    A doubled joist at an end stands in for the end joist. Raises :class:`MeasureError` where an
    opening has no room.
    """
    thick = thickness(spec.section)
    found: list[Stretch] = []
    reached = Fraction(0)
    for each in openings:
        near, far = each.at - DOUBLED * thick, each.at + each.width + DOUBLED * thick
        deep = each.across + each.length
        if near < reached or far > spec.length or not 0 <= each.across < deep <= spec.span:
            raise wrong(RemarkKind.OPENING_OUTSIDE, at=each.at)
        found += [(near, each.at), (each.at + each.width, far)]
        reached = far
    if not found or found[0][0] > 0:
        found.insert(0, (Fraction(0), thick))
    if found[-1][1] < spec.length:
        found.append((spec.length - thick, spec.length))
    for one, two in pairwise(found):
        if two[0] < one[1]:
            near_end = openings[0] if one[0] == 0 else openings[-1]
            raise wrong(RemarkKind.OPENING_OUTSIDE, at=near_end.at)
    return found


def _joist(spec: FloorSpec, left: Fraction, bottom: Fraction, length: Fraction) -> Placed:
    return Placed("joist", left, bottom, thickness(spec.section), length, section=spec.section)


def _across(
    spec: FloorSpec, piece: str, left: Fraction, right: Fraction, bottom: Fraction
) -> Placed:
    thick = thickness(spec.section)
    return Placed(piece, left, bottom, right - left, thick, upright=False, section=spec.section)


def _around(spec: FloorSpec, opening: FloorOpeningSpec) -> Iterator[Placed]:
    """Yield the headers of *opening* and the tail joists beyond them; a side at a rim has
    neither.
    """
    thick = thickness(spec.section)
    left, right = opening.at, opening.at + opening.width
    edges = between(left, right, spec.spacing, thick)
    near, far = _tails(spec, opening)
    for room, header, tail in (
        (near, opening.across - DOUBLED * thick, thick),
        (far, opening.across + opening.length, opening.across + opening.length + DOUBLED * thick),
    ):
        if room == -DOUBLED * thick:
            continue  # the opening ends at the rim
        if room < 0:
            raise wrong(RemarkKind.OPENING_OUTSIDE, at=opening.at)
        for ply in range(DOUBLED):
            yield _across(spec, "header", left, right, header + ply * thick)
        for edge in edges if room >= thick else ():
            yield _joist(spec, edge, tail, room)


def _tails(spec: FloorSpec, opening: FloorOpeningSpec) -> tuple[Fraction, Fraction]:
    """Return the room for tail joists between the rims and the headers of *opening*."""
    beyond = (1 + DOUBLED) * thickness(spec.section)
    return opening.across - beyond, spec.span - opening.across - opening.length - beyond


def _cautions(
    spec: FloorSpec, openings: list[FloorOpeningSpec], solids: list[Stretch]
) -> Iterator[Remark]:
    yield from sheets(spec.spacing, across=True)
    for one, two in pairwise(solids):
        if 0 < two[0] - one[1] < thickness(spec.section):
            yield remark(RemarkKind.PACK_GAP, gap=two[0] - one[1], at=one[1])
    for each in openings:
        for room in _tails(spec, each):
            if 0 < room < thickness(spec.section):
                yield remark(RemarkKind.PACK_TAIL, gap=room, at=each.at)


def _blocks(
    spec: FloorSpec, joists: list[Fraction], openings: list[FloorOpeningSpec]
) -> Iterator[Placed]:
    """Yield rows of blocks between joists, evenly over the span.

    Tail joists have them too where a row misses the opening and its headers. A gap no wider than a
    joist is thick takes none.
    """
    thick = thickness(spec.section)
    rooms = {each.at: each for each in openings}
    for row in range(1, spec.blocking + 1):
        bottom = spec.span * row / (spec.blocking + 1) - thick / 2
        for one, two in pairwise(joists):
            left, opening = one + thick, rooms.get(one + thick)
            tails: list[Fraction] = []
            if opening is not None:
                near, far = opening.across, opening.across + opening.length
                if bottom + thick > near - DOUBLED * thick and bottom < far + DOUBLED * thick:
                    continue
                tails = between(left, two, spec.spacing, thick)
            for start, end in pairwise([one, *tails, two]):
                if end - start > 2 * thick:
                    yield _across(spec, "block", start + thick, end, bottom)


def _facts(
    spec: FloorSpec, joists: list[Fraction], openings: list[FloorOpeningSpec], inside: Fraction
) -> Iterator[Remark]:
    yield remark(RemarkKind.JOIST_LENGTH, inside=inside, spacing=spec.spacing)
    yield remark(RemarkKind.JOIST_MARKS, marks=tuple(joists))
    for each in openings:
        yield remark(
            RemarkKind.FLOOR_OPENING,
            left=each.at,
            right=each.at + each.width,
            near=each.across,
            far=each.across + each.length,
        )
    if spec.blocking:
        yield remark(RemarkKind.BLOCKING, rows=spec.blocking)

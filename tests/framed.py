"""Sets against rectangles, strips on the plan and planes, reckoned anew: what is wrong with each, in words.

Nothing here is taken from ``cutmemo.framing`` but the specs and the results: lengths of roofs are
floats between points, and pieces of walls and floors are rectangles that must stand on each other,
be clear of each other and leave the openings free. By themselves a right check says nothing.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction as F
from itertools import pairwise

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    FloorOpeningSpec,
    FloorSpec,
    HeaderSpec,
    HipSlope,
    HipSpec,
    JackSpec,
    MeasureError,
    OpeningSpec,
    Pitch,
    Placed,
    RafterSpec,
    RakeSpec,
    RemarkKind,
    StairSpec,
    WallSpec,
    calculate,
)
from cutmemo.framing.specs import JackKind

MM = F(10, 254)  # NIST SP 811: an inch is 25.4 mm exactly
SPACINGS = (F(12), F(16), F(96, 5), F(24), 400 * MM, 600 * MM)
HEIGHT = F(777, 8)
TWO_BY_FOUR, TWO_BY_SIX = Section(F(2), F(4)), Section(F(2), F(6))
METRIC_STUD = Section(F(45), F(95), metric=True)
HEADERS = (
    HeaderSpec(Section(F(2), F(8))),
    HeaderSpec(Section(F(2), F(6)), 3),
    HeaderSpec(Section(F(7, 4), F(95, 8), "LVL"), 1),
    HeaderSpec(Section(F(4), F(10)), 1),
)
# Dressed, as PS 20 has it, or as engineered and metric boards are called: thick and deep.
ACTUAL = {
    "2x4": (F(3, 2), F(7, 2)),
    "2x6": (F(3, 2), F(11, 2)),
    "2x8": (F(3, 2), F(29, 4)),
    "2x10": (F(3, 2), F(37, 4)),
    "2x12": (F(3, 2), F(45, 4)),
    "4x8": (F(7, 2), F(29, 4)),
    "4x10": (F(7, 2), F(37, 4)),
    "1-3/4x11-7/8 LVL": (F(7, 4), F(95, 8)),
    "1-3/4x9-1/2 LVL": (F(7, 4), F(19, 2)),
    "45x95": (45 * MM, 95 * MM),
}


def sixteenths(r: random.Random, low: int, high: int) -> F:
    """Return a length from *low* to *high* in. that a tape has."""
    return F(r.randrange(low * 16, high * 16 + 1), 16)


# --- walls ---------------------------------------------------------------------------------------


def any_wall(r: random.Random) -> WallSpec:
    """Return a wall with up to four openings, tees, corners, butts, backing; it may have no room."""
    length = sixteenths(r, 40, 480)
    openings = []
    for _ in range(r.choice([0, 0, 1, 1, 2, 3, 4])):
        width = sixteenths(r, 16, 100)
        if width < length:
            openings.append(
                OpeningSpec(
                    width,
                    r.choice([F(82), F(80), F(60), F(1325, 16)]),
                    sixteenths(r, 0, int(length - width)),
                    r.choice(HEADERS),
                    r.choice([None, F(36), F(30), F(3), F(65, 2), F(7, 2)]),
                    r.choice([1, 1, 2, 3]),
                    r.choice([1, 1, 2]),
                )
            )
    corners = frozenset(r.choice([(), ("left",), ("right",), ("left", "right")]))
    butts = frozenset(end for end in ("left", "right") if end not in corners and r.random() < 0.3)
    return WallSpec(
        length,
        r.choice([HEIGHT, F(969, 8), F(96), F(873, 8)]),
        r.choice(SPACINGS),
        r.choice([TWO_BY_FOUR, TWO_BY_FOUR, TWO_BY_SIX, METRIC_STUD]),
        tuple(openings),
        corners,  # type: ignore[arg-type]  # left and right
        butts,  # type: ignore[arg-type]  # the same
        tuple(sixteenths(r, 5, int(length)) for _ in range(r.choice([0, 0, 1, 2]))),
        r.choice([TWO_BY_FOUR, TWO_BY_SIX]),
        r.choice([(), (), (F(48),), (F(36), F(60))]),
    )


def studs_of(wall: Assembly) -> list[Placed]:
    """Return every upright from plate to plate, from the near end."""
    tall = max((p.height for p in wall.layout if p.piece == "stud"), default=F(0))
    found = [p for p in wall.layout if p.upright and p.height == tall]
    return sorted(found, key=lambda each: each.left)


def widest(spec: WallSpec, wall: Assembly) -> F:
    """Return the largest distance from middle to middle of neighbouring studs, openings left out."""
    rooms = [(each.at, each.at + each.width) for each in spec.openings]
    return max(
        (
            (two.left + two.right - one.left - one.right) / 2
            for one, two in pairwise(studs_of(wall))
            if not any(one.right <= left and right <= two.left for left, right in rooms)
        ),
        default=F(0),
    )


def _packed(wall: Assembly, kind: RemarkKind) -> list[tuple[F, F]]:
    told = [(c.value("at"), c.value("gap")) for c in wall.cautions if c.kind is kind]
    return [(at, gap) for at, gap in told if isinstance(at, F) and isinstance(gap, F)]


def hanging(spec: WallSpec, wall: Assembly) -> list[F]:
    """Return the marks, each of which may be the edge of a sheet, without wood somewhere between the plates."""
    thick = ACTUAL[str(spec.section)][0]
    low, high = thick, spec.height - 2 * thick
    gaps = _packed(wall, RemarkKind.PACK_GAP)
    over = {at for at, _ in _packed(wall, RemarkKind.PACK_HEADER)}
    under = {at for at, _ in _packed(wall, RemarkKind.PACK_SILL)}
    wood = [p for p in wall.layout if p.upright or p.piece == "header"]
    found = []
    for n in range(1, int(spec.length / spec.spacing) + 1):
        mark = spec.spacing * n
        if mark >= spec.length:
            continue
        held = [(p.bottom, p.bottom + p.height) for p in wood if p.left <= mark <= p.right]
        held += [(low, high) for at, gap in gaps if at <= mark <= at + gap]
        for each in spec.openings:
            sides = thick * each.trimmers
            if each.at < mark < each.at + each.width:
                held.append((low if each.sill is None else each.sill - thick, each.height))
                held += [(low, each.sill - thick)] if each.sill and each.at in under else []
            if each.at in over and each.at - sides <= mark <= each.at + each.width + sides:
                held.append((each.height, high))
        reached = low
        for bottom, top in sorted(held):
            if bottom <= reached:
                reached = max(reached, top)
        if reached < high:
            found.append(mark)
    return found


def _in_one_place(layout: Sequence[Placed]) -> Iterator[str]:
    pieces = sorted(layout, key=lambda each: each.left)
    for n, one in enumerate(pieces):
        for two in pieces[n + 1 :]:
            if two.left >= one.right:
                break
            if one.bottom < two.bottom + two.height and two.bottom < one.bottom + one.height:
                yield f"{one.piece} and {two.piece} in one place at {two.left}"


def _counted(set_of: Assembly) -> Iterator[str]:
    placed: Counter[tuple[str, F]] = Counter()
    for each in set_of.layout:
        placed[each.piece, each.cut_length] += each.plies
    listed: Counter[tuple[str, F]] = Counter()
    for cut in set_of.cuts:
        listed[cut.piece or "", cut.length.inches] += cut.count
    if placed != listed:
        yield "the list has other pieces than the picture"


def faults_of_wall(spec: WallSpec, wall: Assembly, longest: F = F(288)) -> Iterator[str]:
    """Yield what is wrong with *wall*."""
    thick = ACTUAL[str(spec.section)][0]
    yield from _in_one_place(wall.layout)
    yield from _counted(wall)
    if widest(spec, wall) > spec.spacing:
        yield f"a spacing of {widest(spec, wall)}"
    yield from (f"a mark in the air at {mark}" for mark in hanging(spec, wall))
    yield from _openings_are_framed(spec, wall, thick)
    yield from _stands_and_carries(wall, thick)
    yield from _plates(spec, wall, longest)
    told = {
        value
        for fact in wall.facts
        for _, values in fact.values
        if isinstance(values, tuple)
        for value in values
    }
    for piece in wall.layout:
        if piece.bottom < 0 or piece.bottom + piece.height > spec.height:
            yield f"{piece.piece} outside the wall"
        if piece.piece != "cap plate" and not 0 <= piece.left < piece.right <= spec.length:
            yield f"{piece.piece} outside the wall"
        if piece.cut_length < thick:
            yield f"a {piece.piece} of {piece.cut_length}"
        named = ("stud", "king stud", "trimmer", "cripple")
        if piece.piece in named and piece.left not in told:
            yield f"the place of a {piece.piece} at {piece.left} is not told"


def _openings_are_framed(spec: WallSpec, wall: Assembly, thick: F) -> Iterator[str]:
    for each in spec.openings:
        left, right = each.at, each.at + each.width
        floor = thick if each.sill is None else each.sill
        for p in wall.layout:
            clear = p.right <= left or p.left >= right
            if not clear and p.bottom < each.height and p.bottom + p.height > floor:
                yield f"{p.piece} in the opening at {left}"
        sides = thick * each.trimmers
        header = [
            p
            for p in wall.layout
            if p.piece == "header" and (p.left, p.right) == (left - sides, right + sides)
        ]
        if [(p.bottom, p.plies) for p in header] != [(each.height, each.header.plies)]:
            yield f"no header over {left}"
        trimmers = [
            p
            for p in wall.layout
            if p.piece == "trimmer"
            and (left - sides <= p.left < left or right <= p.left < right + sides)
        ]
        kings = [
            p
            for p in wall.layout
            if p.piece == "king stud"
            and (
                left - sides - thick * each.kings <= p.left < left - sides
                or right + sides <= p.left < right + sides + thick * each.kings
            )
        ]
        if len(trimmers) != 2 * each.trimmers or len(kings) != 2 * each.kings:
            yield f"{len(trimmers)} trimmers and {len(kings)} kings at {left}"


def _stands_and_carries(wall: Assembly, thick: F) -> Iterator[str]:
    for p in wall.layout:
        if p.upright:
            middle = (p.left + p.right) / 2
            over = [q for q in wall.layout if q is not p and q.left <= middle <= q.right]
            if not any(q.bottom + q.height == p.bottom for q in over):
                yield f"{p.piece} at {p.left} stands on nothing"
            if not any(q.bottom == p.bottom + p.height for q in over):
                yield f"{p.piece} at {p.left} carries nothing"
        elif p.piece == "block":
            middle = p.bottom + p.height / 2
            beside = [
                q for q in wall.layout if q.upright and q.bottom <= middle <= q.bottom + q.height
            ]
            if not any(q.right == p.left for q in beside) or not any(
                q.left == p.right for q in beside
            ):
                yield f"a block at {p.left} hangs in the air"


def _plates(spec: WallSpec, wall: Assembly, longest: F) -> Iterator[str]:
    """IRC R602.3.2: end joints of the two top plates 24 in. apart or more; told where they cannot be."""
    names = ("sole plate", "top plate", "cap plate")
    rows = {
        name: sorted((p.left, p.right) for p in wall.layout if p.piece == name) for name in names
    }
    if not rows["top plate"]:
        return
    if any(right - left > longest for row in rows.values() for left, right in row):
        yield "a plate longer than any board"
    lower = [right for _, right in rows["top plate"][:-1]]
    caps = rows["cap plate"]
    upper = [at for one, two in pairwise(caps) for at in (one[1], two[0])]
    apart = min((abs(one - two) for one in lower for two in upper), default=F(24))
    told = RemarkKind.NO_ROOM_FOR_JOINTS in {each.kind for each in wall.cautions}
    if apart < 24 and not told:
        yield f"joints of the top plates {apart} apart"


# --- floors --------------------------------------------------------------------------------------


def any_floor(r: random.Random) -> FloorSpec:
    """Return a floor with up to two openings; it may have no room."""
    length, span = sixteenths(r, 60, 480), sixteenths(r, 60, 260)
    section = r.choice(
        [Section(F(2), F(10)), Section(F(2), F(12)), Section(F(7, 4), F(95, 8), "LVL")]
    )
    thick = ACTUAL[str(section)][0]
    holes = [
        FloorOpeningSpec(
            sixteenths(r, 0, int(length)),
            r.choice([thick, sixteenths(r, 0, int(span))]),
            sixteenths(r, 20, 60),
            sixteenths(r, 20, 140),
        )
        for _ in range(r.choice([0, 1, 1, 2]))
    ]
    return FloorSpec(length, span, r.choice(SPACINGS), section, r.choice([0, 1, 2]), tuple(holes))


def faults_of_floor(spec: FloorSpec, floor: Assembly) -> Iterator[str]:
    """Yield what is wrong with *floor*: it is walked along at every height at which something changes."""
    thick = ACTUAL[str(spec.section)][0]
    yield from _in_one_place(floor.layout)
    yield from _counted(floor)
    for p in floor.layout:
        if min(p.left, p.bottom) < 0 or p.right > spec.length or p.bottom + p.height > spec.span:
            yield f"{p.piece} outside the floor"
        if p.cut_length < thick:
            yield f"a {p.piece} of {p.cut_length}"
        for hole in spec.openings:
            clear = p.right <= hole.at or p.left >= hole.at + hole.width
            reaches = p.bottom < hole.across + hole.length and p.bottom + p.height > hole.across
            if not clear and reaches:
                yield f"{p.piece} in the opening at {hole.at}"
    edges = {y for p in floor.layout for y in (p.bottom, p.bottom + p.height)}
    for low, high in pairwise(sorted(edges)):
        y = (low + high) / 2
        if thick < y < spec.span - thick:
            yield from _walked(spec, floor, thick, y)
    for row in range(1, spec.blocking + 1):
        yield from _blocked(spec, floor, thick, spec.span * row / (spec.blocking + 1))


def _across(floor: Assembly, y: F) -> list[tuple[F, F]]:
    return sorted(
        (p.left, p.right)
        for p in floor.layout
        if p.upright and p.bottom <= y <= p.bottom + p.height
    )


def _hole_at(spec: FloorSpec, left: F, right: F, low: F, high: F, thick: F) -> bool:
    for hole in spec.openings:
        near, far = hole.across - 2 * thick, hole.across + hole.length + 2 * thick
        # Less than a joist's thickness behind the headers is packed.
        near -= thick if near < 2 * thick else 0
        far += thick if far > spec.span - 2 * thick else 0
        if hole.at <= left and right <= hole.at + hole.width and near <= high and low <= far:
            return True
    return False


def _walked(spec: FloorSpec, floor: Assembly, thick: F, y: F) -> Iterator[str]:
    for one, two in pairwise(_across(floor, y)):
        wide = (two[0] + two[1] - one[0] - one[1]) / 2
        if wide > spec.spacing and not _hole_at(spec, one[1], two[0], y, y, thick):
            yield f"a spacing of {wide} at {one[1]}"
        missed = (two[0] / spec.spacing).__ceil__() * spec.spacing - spec.spacing
        packed = (one[1], two[0] - one[1]) in _packed(floor, RemarkKind.PACK_GAP)
        held = packed or _hole_at(spec, one[1], two[0], y, y, thick)
        if one[1] < missed < two[0] and not held:
            yield f"a mark in the air at {missed}"


def _blocked(spec: FloorSpec, floor: Assembly, thick: F, middle: F) -> Iterator[str]:
    blocks = {
        (p.left, p.right)
        for p in floor.layout
        if p.piece == "block" and p.bottom + p.height / 2 == middle
    }
    for one, two in pairwise(_across(floor, middle)):
        room = (one[1], two[0])
        held = two[0] - one[1] <= thick or room in blocks
        if not held and not _hole_at(spec, *room, middle - thick / 2, middle + thick / 2, thick):
            yield f"no block at {one[1]}"
        blocks.discard(room)
    yield from (f"a block at {left} hangs in the air" for left, _ in blocks)


# --- roofs ---------------------------------------------------------------------------------------

Difference = tuple[str, F, float]
"""What it is, its length as found, and between points."""
RAFTERS = (
    *(Section(F(2), F(n)) for n in (6, 8, 10, 12)),
    Section(F(4), F(8)),
    Section(F(7, 4), F(19, 2), "LVL"),
)


def any_pitch(r: random.Random) -> Pitch:
    """Return a whole, a half or a degree pitch."""
    kind = r.random()
    if kind < 0.5:
        return Pitch(F(r.randrange(2, 25)))
    if kind < 0.75:
        return Pitch(F(r.randrange(5, 40), 2))
    return Pitch(degrees=r.choice([F(45, 2), F(30), F(35), F(45), F(371, 10)]))


def tangent(pitch: Pitch) -> float:
    """Return the rise over the run."""
    if pitch.rise is not None:
        return float(pitch.rise) / 12
    return math.tan(math.radians(float(pitch.degrees or 0)))


def any_roof(r: random.Random) -> Iterator[Difference]:
    """Yield the lengths and heights of one random roof, found and between points: commons, a hip or a valley,
    jacks of one kind, gable studs, a rake wall.
    """
    main = any_pitch(r)
    end = main if r.random() < 0.5 else any_pitch(r)
    run = sixteenths(r, 36, 300)
    overhang = r.choice([F(0), F(6), F(12), F(16), sixteenths(r, 2, 25)])
    fascia = r.choice([F(0), F(3, 4), F(3, 2)]) if overhang else F(0)
    ridge = r.choice([F(0), F(3, 4), F(3, 2), F(7, 4), F(7, 2)])
    section = r.choice(RAFTERS)
    yield from _commons(RafterSpec(run, main, 1, overhang, fascia, ridge, section=section))
    slope = HipSlope(main, end)
    yield from _hips(
        HipSpec(
            run,
            slope,
            valley=r.random() < 0.3,
            overhang=overhang,
            fascia=fascia,
            ridge=ridge,
            section=section,
            commons=Section(F(2), F(8)),
            at_commons=r.random() < 0.4,
        )
    )
    kind: JackKind = r.choice(["hip", "valley", "cripple", "valley cripple"])  # type: ignore[assignment]  # of these
    out = (overhang, fascia) if kind == "hip" else (F(0), F(0))
    hip = r.choice([F(3, 2), F(7, 4), F(3)])
    yield from _jacks(JackSpec(kind, run, slope, r.choice(SPACINGS), 1, *out, ridge, hip, section))
    wall = r.choice([TWO_BY_FOUR, TWO_BY_SIX])
    for high, gable in ((F(0), True), (r.choice([F(48), F(96), HEIGHT]), False)):
        length = sixteenths(r, 60, 480)
        yield from _under_a_slope(RakeSpec(length, main, high, r.choice(SPACINGS), wall, gable))


def _value(found: Assembly, kind: RemarkKind, name: str) -> F:
    value = next(f for f in found.facts if f.kind is kind).value(name)
    assert isinstance(value, F)
    return value


def _commons(spec: RafterSpec) -> Iterator[Difference]:
    found, a = calculate(spec, Settings()), tangent(spec.pitch)
    top, tail = float(spec.run - spec.ridge / 2), float(spec.fascia - spec.overhang)
    truth = math.dist((top, top * a), (tail, tail * a))
    yield "common", found.cuts[0].length.inches, truth
    deep = float(ACTUAL[str(spec.section)][1])
    above = deep * math.hypot(1, a) - float(spec.seat) * a
    yield "height above plate", _value(found, RemarkKind.HEIGHT_ABOVE_PLATE, "above"), above
    yield "top of the ridge", _value(found, RemarkKind.RIDGE_HEIGHT, "top"), top * a + above
    cut = _value(found, RemarkKind.PLUMB_DEPTH, "deep")
    yield "plumb depth", cut, deep * math.hypot(1, a)


def _hips(spec: HipSpec) -> Iterator[Difference]:
    """The main roof rises with y, the other with x; the hip runs where both are equally high."""
    found = calculate(spec, Settings())
    a, b = tangent(spec.slope.main), tangent(spec.slope.end)
    run = float(spec.run)
    top = run - float(spec.ridge) / 2
    if spec.at_commons:  # the faces of the end common and of the main one, whichever comes first
        top = min(run - 0.75, (a * run / b - 0.75) * b / a)

    def point(y: float) -> tuple[float, float, float]:
        return a * y / b, y, a * y

    truth = math.dist(point(top), point(float(spec.fascia - spec.overhang)))
    yield "hip", found.cuts[0].length.inches, truth
    half = float(ACTUAL[str(spec.section)][0]) / 2
    x, y = a / math.hypot(a, b), b / math.hypot(a, b)
    stands = []
    for aside, along in ((y, -x), (-y, x)):  # to the main roof's side, to the other's
        corner = (100 * x + half * aside, 100 * y + half * along)
        stands.append(100 * a * y - min(a * corner[1], b * corner[0]))
    above = 7.25 * math.hypot(1, a) - float(spec.seat) * a
    own = _value(found, RemarkKind.HIP_HEIGHT, "own")
    yield "hip's height above plate", own, above - (0 if spec.valley else max(stands))
    if not spec.valley and abs(a - b) > 1e-9:
        for name, over in zip(("main", "end"), stands, strict=True):
            yield "drop", _value(found, RemarkKind.HIP_DROPS, name), over


def _jacks(spec: JackSpec) -> Iterator[Difference]:
    """Each jack is a strip on the plan; its long point is where one of its faces meets the face of the hip."""
    a, b = tangent(spec.slope.main), tangent(spec.slope.end)
    try:
        found = calculate(spec, Settings())
    except MeasureError:
        return
    q = a / b
    run, hip = float(spec.run), float(spec.hip) / 2
    if spec.kind == "cripple":
        level = run / q - 2 * hip * math.hypot(1, 1 / q)
        yield "cripple jack", found.cuts[0].length.inches, level * math.hypot(1, a)
        return
    one_roof = spec.kind == "valley cripple" or abs(a - b) < 1e-9
    roofs = [(a, q, run)] if one_roof else [(a, q, run), (b, 1 / q, run * q)]
    truths = []
    for slope, across, far in roofs:
        levels = [
            max(_level(spec, across, x + side) for side in _faces(spec))
            + float(spec.overhang) * (far / run)
            - (float(spec.fascia) if spec.overhang else 0)
            for x in _middles(spec, across, far)
        ]
        truths += [level * math.hypot(1, slope) for level in reversed(levels) if level > 0]
    lengths = [cut.length.inches for cut in found.cuts]
    yield "number of jacks", F(len(lengths)), float(len(truths))
    for length, truth in zip(lengths, truths, strict=False):
        yield f"{spec.kind} jack", length, truth


def _faces(spec: JackSpec) -> tuple[float, float]:
    half = float(ACTUAL[str(spec.section)][0]) / 2
    return -half, half


def _middles(spec: JackSpec, across: float, far: float) -> list[float]:
    spacing = float(spec.spacing)
    reach = far * across / (2 if spec.kind == "valley cripple" else 1)
    return [spacing * n for n in range(1, math.ceil(reach / spacing - 1e-9))]


def _level(spec: JackSpec, across: float, x: float) -> float:
    """Return how far the face at *x* reaches, level: to the face of the hip or between those of the valleys."""
    near = x / across - float(spec.hip) / 2 * math.hypot(1, 1 / across)
    if spec.kind == "valley cripple":
        return 2 * near
    return near - (float(spec.ridge) / 2 if spec.kind == "valley" else 0)


def _under_a_slope(spec: RakeSpec) -> Iterator[Difference]:
    a = tangent(spec.pitch)
    try:
        found = calculate(spec, Settings())
    except MeasureError:
        return
    studs = sorted((p for p in found.layout if p.upright), key=lambda each: each.left)
    thick, deep = (float(n) for n in ACTUAL[str(spec.section)])
    if spec.gable:
        for p in studs:
            inner = min(float(p.right), float(spec.length - p.left))
            yield "gable stud", p.cut_length, (inner - deep) * a
        return
    for p in studs:
        top = float(spec.height) + float(p.right) * a - 2 * thick * math.hypot(1, a)
        yield "rake stud", p.cut_length, top - thick
    plates = sum((c.length.inches * c.count for c in found.cuts if c.piece == "plate"), F(0))
    yield "rake plates", plates, 2 * float(spec.length) * math.hypot(1, a)
    middles = [p.left + p.width / 2 for p in studs]
    wide = max(two - one for one, two in pairwise(middles))
    yield "widest spacing", max(wide, spec.spacing), float(spec.spacing)


# --- stairs --------------------------------------------------------------------------------------


def any_stairs(r: random.Random) -> StairSpec:
    """Return a flight, or several with landings; it may be too low."""
    return StairSpec(
        sixteenths(r, 20, 420),
        r.choice([F(10), F(21, 2), F(11), sixteenths(r, 9, 12)]),
        F(36),
        r.choice([None, F(1), F(9, 8), F(19, 32)]),
        r.choice([Section(F(2), F(12)), Section(F(2), F(10))]),
        r.choice([2, 3, 4]),
        landings=r.choice([0, 0, 1, 2, 3]),
    )


def faults_of_stairs(spec: StairSpec, stairs: Assembly) -> Iterator[str]:
    """Yield what is wrong with *stairs*: every flight is walked up from its floor, step by step."""
    told = {fact.kind: fact for fact in stairs.facts}
    number, each = (told[RemarkKind.RISERS].value(name) for name in ("number", "each"))
    assert isinstance(number, int)
    assert isinstance(each, F)
    if number * each != spec.rise or each > F(31, 4):
        yield f"{number} risers of {each}"
    tops = [f.value("after") for f in stairs.facts if f.kind is RemarkKind.LANDING_PLACE]
    ends = [0, *(int(str(top)) for top in tops), number]
    flights = [two - one for one, two in pairwise(ends)]
    treads = sum(cut.count for cut in stairs.cuts if cut.piece == "tread")
    risers = sum(cut.count for cut in stairs.cuts if cut.piece == "riser")
    if (treads, risers) != (number - len(flights), number):
        yield f"{treads} treads and {risers} risers"
    step = math.hypot(float(each), float(spec.run))
    boards = Counter(round(n * step, 4) for n in flights for _ in range(spec.stringers))
    listed = Counter[float]()
    for cut in stairs.cuts:
        if cut.piece == "stringer":
            listed[round(float(cut.length.inches), 4)] += cut.count
    if any(
        abs(one - two) > 2e-4
        for one, two in zip(sorted(boards.elements()), sorted(listed.elements()), strict=True)
    ):
        yield "stringers of another length"
    marks = told[RemarkKind.STEP_MARKS].value("marks")
    assert isinstance(marks, tuple)
    walked = [
        math.dist((0, 0), (n * float(spec.run), n * float(each))) for n in range(1, max(flights))
    ]
    if len(marks) != len(walked) or any(
        abs(float(m) - w) > 1e-4 for m, w in zip(marks, walked, strict=False)
    ):
        yield "marks elsewhere"
    deep = float(ACTUAL[str(spec.section)][1])
    corner = float(each) * float(spec.run) / step  # of a step, square off the board's edge
    left = told[RemarkKind.THROAT].value("left")
    assert isinstance(left, F)
    if abs(float(left) - (deep - corner)) > 1e-5:
        yield f"a throat of {left}"

"""Walls against coordinates, common practice and the dressed sizes; the sources stand beside each check."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction as F

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    FloorSpec,
    HeaderSpec,
    HipSlope,
    JackSpec,
    MeasureError,
    OpeningSpec,
    Pitch,
    Placed,
    RakeSpec,
    RemarkKind,
    WallSpec,
    calculate,
)
from cutmemo.framing.centres import between
from cutmemo.framing.plates import MIN_APART, joints

THICK = F(3, 2)
MM = F(10, 254)  # NIST SP 811: an inch is 25.4 mm exactly
PRECUT = F(741, 8)
"""A stud of 92-5/8 in. (common practice)."""
HEIGHT = F(777, 8)
TWO_BY_EIGHT = HeaderSpec(Section(F(2), F(8)))


def frame(spec: WallSpec, longest: F = F(288)) -> Assembly:
    return calculate(spec, Settings(longest=longest))


def wall(length: int | F, **more: object) -> Assembly:
    return frame(WallSpec(F(length), HEIGHT, **more))  # type: ignore[arg-type]  # fields of the spec


def counts(assembly: Assembly) -> dict[str, int]:
    found: Counter[str] = Counter()
    for cut in assembly.cuts:
        found[cut.piece or ""] += cut.count
    return found


def full(assembly: Assembly, height: F = HEIGHT) -> list[Placed]:
    """Return every upright from plate to plate, from the near end."""
    tall = [p for p in assembly.layout if p.upright and p.height == height - 3 * THICK]
    return sorted(tall, key=lambda each: each.left)


def spacings(assembly: Assembly, rooms: list[tuple[F, F]]) -> list[F]:
    """Return from middle to middle of neighbouring full uprights, openings left out."""
    found = []
    for one, two in zip(full(assembly), full(assembly)[1:], strict=False):
        assert one.right <= two.left  # no two stand in the same place
        if not any(one.right <= left and right <= two.left for left, right in rooms):
            found.append((two.left + two.right) / 2 - (one.left + one.right) / 2)
    return found


def hanging(assembly: Assembly, spec: WallSpec) -> list[F]:
    """Return the marks, on each of which a sheet may end, that somewhere have no wood behind them."""
    wood = [
        (p.left, p.right, p.bottom, p.bottom + p.height)
        for p in assembly.layout
        if p.upright or p.piece == "header"
    ]
    wood += [
        (at, at + gap, THICK, spec.height)
        for at, gap in (
            (each.value("at"), each.value("gap"))
            for each in assembly.cautions
            if each.kind is RemarkKind.PACK_GAP
        )
        if isinstance(at, F) and isinstance(gap, F)
    ]
    levels = sorted({THICK, spec.height - 2 * THICK, *(y for w in wood for y in w[2:])})
    bands = [
        (low + high) / 2
        for low, high in zip(levels, levels[1:], strict=False)
        if low >= THICK and high <= spec.height - 2 * THICK
    ]
    marks = [spec.spacing * n for n in range(1, int(spec.length / spec.spacing) + 1)]
    return [
        mark
        for mark in marks
        if mark < spec.length
        and any(
            not any(left <= mark <= right and low <= y < high for left, right, low, high in wood)
            and not _in_hole(spec, mark, y)
            for y in bands
        )
    ]


def _in_hole(spec: WallSpec, edge: F, y: F) -> bool:
    return any(
        each.at < edge < each.at + each.width
        and (THICK if each.sill is None else each.sill - THICK) <= y < each.height
        for each in spec.openings
    )


SPACINGS = st.sampled_from([F(12), F(16), F(24), F(96, 5), 400 * MM, 600 * MM])


@given(st.integers(3 * 16, 480 * 16), SPACINGS)
@example(2333, F(16))  # 145-13/16: the last mark is nearer to the end stud than a stud is thick
@example(146 * 16, F(16))
def test_no_spacing_passes_the_centres_and_no_sheet_ends_in_the_air(
    sixteenths: int, spacing: F
) -> None:
    spec = WallSpec(F(sixteenths, 16), HEIGHT, spacing)
    found = frame(spec)
    assert max(spacings(found, [])) <= spacing
    assert not hanging(found, spec)
    assert full(found)[0].left == 0
    assert full(found)[-1].right == spec.length


OPENINGS = st.builds(
    OpeningSpec,
    st.integers(20 * 16, 72 * 16).map(lambda n: F(n, 16)),
    st.just(F(82)),
    st.integers(0, 400 * 16).map(lambda n: F(n, 16)),
    st.just(TWO_BY_EIGHT),
    st.sampled_from([None, F(36)]),
    st.integers(1, 2),
    st.integers(1, 2),
)


@given(
    st.integers(60 * 16, 480 * 16),
    st.lists(OPENINGS, min_size=1, max_size=3),
    SPACINGS,
    st.sampled_from([(), ("left",), ("right",), ("left", "right")]),
)
def test_nor_beside_openings_and_corners(
    sixteenths: int, openings: list[OpeningSpec], spacing: F, corners: tuple[str, ...]
) -> None:
    spec = WallSpec(
        F(sixteenths, 16),
        HEIGHT,
        spacing,
        openings=tuple(openings),
        corners=frozenset(corners),  # type: ignore[arg-type]  # left and right
    )
    try:
        found = frame(spec)
    except MeasureError:
        found = None
    if found is None:  # only what stands in each other's way may be refused
        sides = [(o.at - THICK * o.side, o.at + o.width + THICK * o.side) for o in openings]
        ends = [(F(-1), F(0)), (spec.length, spec.length + 1)]
        blocks = sorted([*sides, *ends])
        near = any(b[0] - a[1] < 6 for a, b in zip(blocks, blocks[1:], strict=False))
        assert near or any(end[1] > spec.length for end in sides)
        return
    rooms = [(each.at, each.at + each.width) for each in openings]
    assert max(spacings(found, rooms), default=F(0)) <= spacing
    assert not hanging(found, spec)
    for left, right in rooms:
        assert not any(p.left < right and left < p.right for p in full(found))


@given(
    st.fractions(0, 100, max_denominator=16),
    st.fractions(0, 100, max_denominator=16),
    SPACINGS,
)
def test_members_in_a_gap_stay_in_it_apart_and_near_enough(left: F, width: F, spacing: F) -> None:
    right = left + width
    edges = between(left, right, spacing, THICK)
    walls = [left - THICK, *edges, right]
    assert all(b - a >= THICK for a, b in zip(walls, walls[1:], strict=False))
    if width >= THICK:
        assert all(b - a <= spacing for a, b in zip(walls, walls[1:], strict=False))
        marks = [spacing * n for n in range(1, 20) if left < spacing * n < right]
        assert all(any(e <= m <= e + THICK for e in edges) for m in marks)
    else:
        assert not edges


@pytest.mark.parametrize("spacing", [F(0), F(1), THICK])
def test_a_spacing_that_leaves_no_room_is_refused(spacing: F) -> None:
    pitch = Pitch(F(7))
    for make in (
        lambda: wall(144, spacing=spacing),
        lambda: calculate(FloorSpec(F(144), F(144), spacing), Settings()),
        lambda: calculate(RakeSpec(F(144), pitch, spacing=spacing, gable=True), Settings()),
        lambda: calculate(JackSpec("hip", F(144), HipSlope(pitch, pitch), spacing), Settings()),
    ):
        with pytest.raises(MeasureError) as caught:
            make()
        assert caught.value.problem.kind is RemarkKind.TOO_CLOSE
    assert full(wall(144, spacing=F(25, 16)))


# Common practice: pre-cut studs with three 1-1/2 in. plates.
@pytest.mark.parametrize(
    "height, stud",
    [(HEIGHT, PRECUT), (F(873, 8), F(837, 8)), (F(969, 8), F(933, 8))],
)
def test_precut_studs(height: F, stud: F) -> None:
    cuts = {cut.piece: cut for cut in frame(WallSpec(F(144), height)).cuts}
    assert cuts["stud"].length.inches == stud
    assert (cuts["plate"].count, cuts["plate"].length.inches) == (3, 144)


def test_stud_marks_stand_half_a_stud_before_the_centre() -> None:
    # Common practice, and NAVEDTRA 14044: first near edge 15-1/4, then 16 in. on centre.
    marks = next(f for f in wall(96).facts if f.kind is RemarkKind.STUD_MARKS).value("marks")
    assert marks == (0, *(F(61, 4) + 16 * n for n in range(5)), F(189, 2))


def test_a_window_is_framed_all_round() -> None:
    window = OpeningSpec(F(36), F(82), F(40), TWO_BY_EIGHT, F(36))
    found = {
        (cut.piece, cut.length.inches): cut.count for cut in wall(144, openings=(window,)).cuts
    }
    assert found["king stud", PRECUT] == 2
    assert found["trimmer", F(161, 2)] == 2
    assert found["header", F(39)] == 2
    assert found["sill", F(36)] == 1
    # 97-1/8 less 3 in. of plates, 82, and 7-1/4 of header (PS 20)
    assert found["cripple", F(39, 8)] == 2
    # two on the marks, one at each end of the sill: common practice
    assert found["cripple", F(33)] == 4
    trimmer, header = F(161, 2), F(29, 4)
    assert THICK + trimmer + header + F(39, 8) + 3 == HEIGHT


def test_what_is_told_of_a_wall() -> None:
    window = OpeningSpec(F(36), F(82), F(40), TWO_BY_EIGHT, F(36))
    found = wall(300, openings=(window,), tees=(F(120),), corners=frozenset({"left"}))
    told = {each.kind: dict(each.values) for each in found.facts}
    kings, trimmers = ((F(37), F(155, 2)), (F(77, 2), F(76)))
    assert told[RemarkKind.OPENING_SIDES] == {"kings": kings, "trimmers": trimmers}
    assert told[RemarkKind.OPENING_PLACE] == {"left": 40, "right": 76, "height": 82}
    assert told[RemarkKind.CRIPPLE_MARKS] == {"marks": (F(189, 4), F(253, 4))}
    under = (40, F(189, 4), F(253, 4), F(149, 2))
    assert told[RemarkKind.SILL_CRIPPLE_MARKS] == {"marks": under}
    assert told[RemarkKind.HEADER_THICKNESS]["thick"] == 3
    assert told[RemarkKind.HEADER_THICKNESS]["wall"] == F(7, 2)
    assert told[RemarkKind.CORNER_PLACE] == {"end": "left"}
    assert told[RemarkKind.TEE_PLACE] == {"at": 120}
    assert told[RemarkKind.STUD_LENGTH]["stud"] == PRECUT
    joined = told[RemarkKind.PLATE_JOINTS]["lower"]
    assert joined == tuple(p.right for p in found.layout if p.piece == "top plate")[:-1]
    assert told[RemarkKind.CAP_LAPS] == told[RemarkKind.CAP_GAPS] == {"wide": F(7, 2)}


def test_a_gap_too_narrow_for_a_stud_is_packed_and_so_is_one_over_a_header() -> None:
    near = OpeningSpec(F(36), F(82), F(11, 2), TWO_BY_EIGHT)
    gap = next(c for c in wall(144, openings=(near,)).cautions if c.kind is RemarkKind.PACK_GAP)
    assert (gap.value("gap"), gap.value("at")) == (1, THICK)
    tall = OpeningSpec(F(36), F(86), F(40), TWO_BY_EIGHT)  # 97-1/8 - 3 - 86 - 7-1/4 = 7/8
    found = wall(144, openings=(tall,))
    assert not any(p.piece == "cripple" for p in found.layout)
    over = next(c for c in found.cautions if c.kind is RemarkKind.PACK_HEADER)
    assert (over.value("gap"), over.value("at")) == (F(7, 8), 40)
    doors = {c.kind for c in found.cautions}
    assert RemarkKind.DOOR_PLATE in doors
    window = OpeningSpec(F(36), F(82), F(40), TWO_BY_EIGHT, F(36))
    assert RemarkKind.DOOR_PLATE not in {c.kind for c in wall(144, openings=(window,)).cautions}


def test_double_trimmers_and_kings_carry_a_longer_header() -> None:
    one = OpeningSpec(F(72), F(82), F(40), TWO_BY_EIGHT)
    two = OpeningSpec(F(72), F(82), F(40), TWO_BY_EIGHT, trimmers=2, kings=2)
    single, double = counts(wall(240, openings=(one,))), counts(wall(240, openings=(two,)))
    assert (single["king stud"], single["trimmer"]) == (2, 2)
    assert (double["king stud"], double["trimmer"]) == (4, 4)
    header = next(c for c in wall(240, openings=(two,)).cuts if c.piece == "header")
    assert header.length.inches == 72 + 4 * THICK
    kings = [p.left for p in full(wall(240, openings=(two,))) if p.piece == "king stud"]
    assert kings == [34, F(71, 2), 115, F(233, 2)]


def test_each_opening_has_its_own_header() -> None:
    door = OpeningSpec(F(38), F(82), F(20), HeaderSpec(Section(F(2), F(6)), plies=2))
    deep = HeaderSpec(Section(material="LVL"), plies=1, depth=F(19, 2))
    window = OpeningSpec(F(60), F(80), F(100), deep, F(36))
    found = wall(240, openings=(window, door))
    headers = {
        (str(c.section), c.length.inches): c.count for c in found.cuts if c.piece == "header"
    }
    assert headers == {("2x6", F(41)): 2, ("LVL", F(63)): 1}
    over = {c.length.inches for c in found.cuts if c.piece == "cripple" and c.length.inches < 30}
    # 97-1/8 less 3 of plates, less opening and header: 82 and 5-1/2, 80 and 9-1/2
    assert over == {F(53, 8), F(37, 8)}


def test_plies_that_were_not_said_are_told() -> None:
    for header, told in (
        (TWO_BY_EIGHT, [2]),
        (HeaderSpec(Section(F(7, 4), F(95, 8), "LVL"), plies=1), [1]),
        (HeaderSpec(Section(F(2), F(8)), plies=3, plies_said=True), []),
    ):
        found = wall(144, openings=(OpeningSpec(F(38), F(80), F(40), header),))
        cautions = [c for c in found.cautions if c.kind is RemarkKind.PLIES_ASSUMED]
        assert [c.value("plies") for c in cautions] == told
    lvl = HeaderSpec(Section(F(7, 4), F(95, 8), "LVL"), plies=1)
    two = (
        OpeningSpec(F(38), F(80), F(20), TWO_BY_EIGHT),
        OpeningSpec(F(38), F(80), F(90), lvl),
    )
    cautions = [c for c in wall(240, openings=two).cautions if c.kind is RemarkKind.PLIES_ASSUMED]
    assert [c.value("plies") for c in cautions] == [1, 2]


def test_a_header_of_unknown_depth_is_asked_for() -> None:
    opening = OpeningSpec(F(38), F(82), F(40), HeaderSpec(Section(material="LVL")))
    with pytest.raises(MeasureError) as caught:
        wall(144, openings=(opening,))
    assert caught.value.problem.kind is RemarkKind.HEADER_DEPTH_UNKNOWN


def test_a_corner_leaves_an_inch_to_nail_to_and_the_cap_laps_over_it() -> None:
    found = wall(144, corners=frozenset({"left"}))
    assert [p.left for p in full(found)][:2] == [0, 3]
    # The wall that meets it is 3-1/2 wide: the second stud stands from 3 to 4-1/2, 1 in. past it.
    assert full(found)[1].right - F(7, 2) == 1
    cap = next(p for p in found.layout if p.piece == "cap plate")
    assert (cap.left, cap.right) == (F(7, 2), 144)
    butt = wall(144, butts=frozenset({"right"}))
    cap = next(p for p in butt.layout if p.piece == "cap plate")
    assert (cap.left, cap.right) == (0, 144 + F(7, 2))


def test_corners_follow_the_walls_own_depth_and_tees_the_partitions() -> None:
    two_by_six, two_by_four = Section(F(2), F(6)), Section(F(2), F(4))
    spec = WallSpec(F(240), HEIGHT, section=two_by_six, corners=frozenset({"left"}), tees=(F(100),))
    found = frame(spec)
    assert full(found)[1].right - F(11, 2) == 1  # PS 20: 5-1/2
    flat = next(p for p in found.layout if p.piece == "backing stud")
    assert (flat.width, flat.section) == (F(7, 2), two_by_four)


def test_a_tee_has_wood_on_both_sides_and_the_partitions_cap_laps_in() -> None:
    found = wall(240, tees=(F(100),))
    backing = next(p for p in found.layout if p.piece == "backing stud")
    assert (backing.left, backing.right) == (100 - F(7, 4), 100 + F(7, 4))
    assert {p.left for p in full(found)} >= {backing.left - THICK, backing.right}
    caps = sorted((p.left, p.right) for p in found.layout if p.piece == "cap plate")
    assert caps == [(0, backing.left), (backing.right, 240)]


@given(st.integers(289, 960), st.sampled_from([96, 144, 192, 240, 288]))
def test_joints_of_the_top_plates_are_two_feet_apart_and_over_studs(
    length: int, longest: int
) -> None:
    # IRC R602.3.2: end joints of the two top plates offset 24 in. or more.
    found = frame(WallSpec(F(length), HEIGHT), F(longest))
    rows = {
        name: sorted((p.left, p.right) for p in found.layout if p.piece == name)
        for name in ("sole plate", "top plate", "cap plate")
    }
    for pieces in rows.values():
        assert pieces[0][0] == 0
        assert pieces[-1][1] == length
        assert all(a[1] == b[0] for a, b in zip(pieces, pieces[1:], strict=False))
        assert all(right - left <= longest for left, right in pieces)
    top, cap = ([right for _, right in rows[n][:-1]] for n in ("top plate", "cap plate"))
    assert all(abs(a - b) >= MIN_APART for a in top for b in cap)
    middles = {p.left + p.width / 2 for p in full(found)}
    assert {*top, *cap} <= middles
    assert RemarkKind.NO_ROOM_FOR_JOINTS not in {c.kind for c in found.cautions}


@pytest.mark.parametrize("at", [250, 270, 280, 300])
def test_a_tees_gap_in_the_cap_plate_is_a_joint_too(at: int) -> None:
    # IRC R602.3.2: the partition's cap laps in there, so the top plate is joined 24 in. away from it.
    found = wall(400, tees=(F(at),))
    (joint,) = (p.right for p in found.layout if p.piece == "top plate" and p.right < 400)
    assert abs(joint - at) >= MIN_APART + F(7, 4)


def test_joints_that_cannot_be_apart_are_said_so() -> None:
    found, apart = joints((F(0), F(100)), F(30), [F(16), F(32), F(48)], [F(16), F(48)])
    assert found
    assert not apart


def test_backing_fills_each_gap_between_studs() -> None:
    found = wall(96, backing=(F(48),))
    blocks = [p for p in found.layout if p.piece == "block"]
    assert sum(p.width for p in blocks) + THICK * len(full(found)) == 96
    assert {p.bottom + p.height / 2 for p in blocks} == {48}


def test_backing_is_not_cut_where_wood_is_near_enough() -> None:
    # A king ends at 79, the next stud begins at 79-1/4: nobody cuts a block of 1/4 in. A corner's second
    # stud has spacers between, so it needs none either.
    near = OpeningSpec(F(36), F(82), F(40), TWO_BY_EIGHT, F(36))
    found = wall(144, openings=(near,), backing=(F(48),), corners=frozenset({"left", "right"}))
    blocks = sorted((p.left, p.right) for p in found.layout if p.piece == "block")
    assert not any(left in (F(3, 2), F(79)) for left, _ in blocks)
    assert (F(9, 2), F(61, 4)) in blocks
    assert min(right - left for left, right in blocks) > THICK
    # One stud of a 2x6 corner stands 3-1/2 in. from the other: spacers there too.
    six = frame(
        WallSpec(
            F(144),
            HEIGHT,
            section=Section(F(2), F(6)),
            corners=frozenset({"left", "right"}),
            backing=(F(48),),
        )
    )
    lefts = {p.left for p in six.layout if p.piece == "block"}
    assert THICK not in lefts
    assert 144 - F(13, 2) + THICK not in lefts
    rows = next(f for f in found.facts if f.kind is RemarkKind.BACKING_PLACE).value("rows")
    assert rows == (48,)


@pytest.mark.parametrize(
    "middle, fits", [(F(13, 4), 1), (F(51, 16), 0), (F(739, 8), 1), (F(93), 0)]
)
def test_backing_stays_between_the_plates(middle: F, fits: int) -> None:
    # 97-1/8 high: from 1-1/2 to 94-1/8, less half of 3-1/2 at both ends.
    if fits:
        blocks = [p for p in wall(96, backing=(middle,)).layout if p.piece == "block"]
        assert min(p.bottom for p in blocks) >= THICK
        assert max(p.bottom + p.height for p in blocks) <= HEIGHT - 3
        return
    with pytest.raises(MeasureError) as caught:
        wall(96, backing=(middle,))
    assert caught.value.problem.kind is RemarkKind.BACKING_OUTSIDE


@pytest.mark.parametrize("sill, cripples, packed", [(F(3), 0, 0), (F(4), 0, 1), (F(9, 2), 4, 0)])
def test_what_is_too_low_for_cripples_under_a_sill_is_packed(
    sill: F, cripples: int, packed: int
) -> None:
    found = wall(144, openings=(OpeningSpec(F(36), F(82), F(40), TWO_BY_EIGHT, sill),))
    under = [p for p in found.layout if p.piece == "cripple" and p.bottom == THICK]
    assert len(under) == cripples
    gaps = [c.value("gap") for c in found.cautions if c.kind is RemarkKind.PACK_SILL]
    assert gaps == [sill - 3] * packed
    told = next(f for f in found.facts if f.kind is RemarkKind.SILL_PLACE)
    assert dict(told.values) == {"length": 36, "top": sill}


# Sheets of 4 by 8 ft and of 1200 by 2400 mm (common practice); 96/5 fits five times into 96 in.
@pytest.mark.parametrize(
    "spacing, kinds, short",
    [
        (F(12), [], None),
        (F(16), [], None),
        (F(24), [], None),
        (400 * MM, [], None),
        (600 * MM, [], None),
        (F(96, 5), [RemarkKind.SHEETS_ACROSS], F(48)),
        (F(18), [RemarkKind.SHEETS_NEVER], F(48)),
        (450 * MM, [RemarkKind.SHEETS_NEVER], 1200 * MM),
        (480 * MM, [RemarkKind.SHEETS_ACROSS], 1200 * MM),
    ],
)
def test_a_spacing_on_which_sheets_do_not_end_is_told(
    spacing: F, kinds: list[RemarkKind], short: F | None
) -> None:
    found = frame(WallSpec(F(240), HEIGHT, spacing))
    told = [c for c in found.cautions if c.kind.value.startswith("sheets")]
    assert [c.kind for c in told] == kinds
    assert all(c.value("short") == short for c in told)


@given(st.integers(60, 480), st.lists(OPENINGS, max_size=2))
def test_the_picture_and_the_list_are_the_same_pieces(
    length: int, openings: list[OpeningSpec]
) -> None:
    try:
        found = wall(length, openings=tuple(openings))
    except MeasureError:
        return
    placed: Counter[tuple[str, F]] = Counter()
    for each in found.layout:
        placed[each.piece, each.cut_length] += each.plies
    listed: Counter[tuple[str, F]] = Counter()
    for cut in found.cuts:
        listed[cut.piece or "", cut.length.inches] += cut.count
    assert placed == listed
    assert all(each.width > 0 and each.height > 0 for each in found.layout)


@pytest.mark.parametrize(
    "spec, kind",
    [
        (
            WallSpec(F(144), HEIGHT, corners=frozenset({"left"}), butts=frozenset({"left"})),
            RemarkKind.CORNER_AND_BUTT,
        ),
        (WallSpec(F(144), F(4)), RemarkKind.NO_ROOM_FOR_STUDS),
        (WallSpec(F(3), HEIGHT, corners=frozenset({"left"})), RemarkKind.NO_ROOM_FOR_STUDS),
        (WallSpec(F(3), HEIGHT, corners=frozenset({"right"})), RemarkKind.NO_ROOM_FOR_STUDS),
        (WallSpec(F(2), HEIGHT), RemarkKind.NO_ROOM_FOR_STUDS),
        (
            WallSpec(F(144), HEIGHT, openings=(OpeningSpec(F(38), F(82), F(1), TWO_BY_EIGHT),)),
            RemarkKind.NO_ROOM_FOR_KING,
        ),
        (
            WallSpec(F(144), HEIGHT, openings=(OpeningSpec(F(38), F(82), F(4), TWO_BY_EIGHT),)),
            RemarkKind.NO_ROOM_FOR_END_STUD,
        ),
        (
            WallSpec(F(144), HEIGHT, openings=(OpeningSpec(F(38), F(92), F(40), TWO_BY_EIGHT),)),
            RemarkKind.HEADER_TOO_DEEP,
        ),
        (
            WallSpec(
                F(144), HEIGHT, openings=(OpeningSpec(F(38), F(82), F(40), TWO_BY_EIGHT, F(2)),)
            ),
            RemarkKind.SILL_TOO_HIGH,
        ),
        (
            WallSpec(F(144), HEIGHT, openings=(OpeningSpec(F(38), THICK, F(40), TWO_BY_EIGHT),)),
            RemarkKind.NO_OPENING,
        ),
        (
            WallSpec(F(144), HEIGHT, openings=(OpeningSpec(THICK, F(82), F(40), TWO_BY_EIGHT),)),
            RemarkKind.NO_OPENING,
        ),
        (WallSpec(F(144), HEIGHT, tees=(F(1),)), RemarkKind.NO_ROOM_FOR_TEE),
        (
            WallSpec(
                F(144),
                HEIGHT,
                openings=(
                    OpeningSpec(F(60), F(82), F(40), TWO_BY_EIGHT),
                    OpeningSpec(F(20), F(82), F(60), TWO_BY_EIGHT),
                ),
            ),
            RemarkKind.NO_ROOM_FOR_KING,
        ),
    ],
)
def test_what_cannot_be_built_is_an_error(spec: WallSpec, kind: RemarkKind) -> None:
    with pytest.raises(MeasureError) as caught:
        frame(spec)
    assert caught.value.problem.kind is kind

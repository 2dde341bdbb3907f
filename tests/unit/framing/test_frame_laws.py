"""Laws of sets: every limit on both of its sides, the same set in whatever order its parts were named, and all that is told."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise, permutations

import pytest

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    DeckSpec,
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
    Remark,
    RemarkKind,
    Spec,
    StairSpec,
    Value,
    WallSpec,
    calculate,
)
from cutmemo.framing.plates import joints
from cutmemo.framing.specs import JackKind

K = RemarkKind
SIXTEENTH = F(1, 16)
THICK = F(3, 2)
HEIGHT = F(777, 8)
HEADER = HeaderSpec(Section(F(2), F(8)))
DEEP = F(29, 4)
"""Of a 2x8 (PS 20)."""


def frame(spec: Spec, longest: F = F(288)) -> Assembly:
    return calculate(spec, Settings(longest=longest))


def refusal(spec: Spec) -> Remark | None:
    """Return why *spec* cannot be built, or ``None`` where it can."""
    try:
        frame(spec)
    except MeasureError as error:
        return error.problem
    return None


def told(assembly: Assembly, kind: RemarkKind) -> list[dict[str, Value]]:
    return [
        dict(each.values) for each in (*assembly.facts, *assembly.cautions) if each.kind is kind
    ]


def door(
    at: F | int, width: F | int = 36, height: F | int = 80, sill: F | None = None
) -> OpeningSpec:
    return OpeningSpec(F(width), F(height), F(at), HEADER, sill)


def wall(*openings: OpeningSpec, length: F | int = 144, **more: object) -> WallSpec:
    return WallSpec(F(length), HEIGHT, openings=openings, **more)  # type: ignore[arg-type]  # fields of the spec


def hole(
    at: F | int, across: F | int = 24, width: F | int = 40, long: F | int = 60
) -> FloorOpeningSpec:
    return FloorOpeningSpec(F(at), F(across), F(width), F(long))


def floor(*holes: FloorOpeningSpec, length: F | int = 288, span: F | int = 168) -> FloorSpec:
    return FloorSpec(F(length), F(span), openings=holes)


TOP = HEIGHT - 3 - DEEP
"""The highest opening whose header still fits under the top plates."""

# (the last that can be built, the first that cannot, why not and what is told of it). Kings and trimmers
# stand 1-1/2 each (PS 20), a partition is 3-1/2 wide between two studs: by coordinates.
LIMITS: list[tuple[Spec, Spec, RemarkKind, dict[str, Value]]] = [
    (wall(length=3), wall(length=3 - SIXTEENTH), K.NO_ROOM_FOR_STUDS, {"length": 3 - SIXTEENTH}),
    (
        WallSpec(F(144), F(9, 2) + SIXTEENTH),
        WallSpec(F(144), F(9, 2)),
        K.NO_ROOM_FOR_STUDS,
        {"height": F(9, 2)},
    ),
    (
        wall(length=9, corners=frozenset({"left", "right"})),
        wall(length=9 - SIXTEENTH, corners=frozenset({"left", "right"})),
        K.NO_ROOM_FOR_STUDS,
        {"length": 9 - SIXTEENTH},
    ),
    (wall(door(3)), wall(door(3 - SIXTEENTH)), K.NO_ROOM_FOR_KING, {"at": 3 - SIXTEENTH}),
    (wall(door(105)), wall(door(105 + SIXTEENTH)), K.NO_ROOM_FOR_KING, {"at": 105 + SIXTEENTH}),
    (
        wall(door(F(9, 2))),
        wall(door(F(9, 2) - SIXTEENTH)),
        K.NO_ROOM_FOR_END_STUD,
        {"at": F(9, 2) - SIXTEENTH, "left": THICK - SIXTEENTH},
    ),
    (
        wall(door(F(207, 2))),
        wall(door(F(207, 2) + SIXTEENTH)),
        K.NO_ROOM_FOR_END_STUD,
        {"at": F(207, 2) + SIXTEENTH, "left": THICK - SIXTEENTH},
    ),
    (
        wall(door(20), door(62)),
        wall(door(20), door(62 - SIXTEENTH)),
        K.NO_ROOM_FOR_KING,
        {"at": 62 - SIXTEENTH},
    ),
    (
        wall(door(20), door(72, 24)),
        wall(door(20, 80), door(60, 24)),
        K.NO_ROOM_FOR_KING,
        {"at": 60},
    ),
    (
        wall(door(40, THICK + SIXTEENTH)),
        wall(door(40, THICK)),
        K.NO_OPENING,
        {"width": THICK, "height": 80},
    ),
    (
        wall(door(40, 36, THICK + SIXTEENTH)),
        wall(door(40, 36, THICK)),
        K.NO_OPENING,
        {"width": 36, "height": THICK},
    ),
    (
        wall(door(40, 36, TOP)),
        wall(door(40, 36, TOP + SIXTEENTH)),
        K.HEADER_TOO_DEEP,
        {"section": "2x8", "height": TOP + SIXTEENTH},
    ),
    (
        wall(door(40, sill=F(3))),
        wall(door(40, sill=3 - SIXTEENTH)),
        K.SILL_TOO_HIGH,
        {"sill": 3 - SIXTEENTH, "height": 80},
    ),
    (
        wall(door(40, sill=80 - SIXTEENTH)),
        wall(door(40, sill=F(80))),
        K.SILL_TOO_HIGH,
        {"sill": 80, "height": 80},
    ),
    (
        wall(tees=(F(100), F(13, 4))),
        wall(tees=(F(100), F(13, 4) - SIXTEENTH)),
        K.NO_ROOM_FOR_TEE,
        {"at": F(13, 4) - SIXTEENTH},
    ),
    (
        wall(tees=(F(60), F(563, 4))),
        wall(tees=(F(60), F(563, 4) + SIXTEENTH)),
        K.NO_ROOM_FOR_TEE,
        {"at": F(563, 4) + SIXTEENTH},
    ),
    (wall(tees=(F(60), F(130))), wall(tees=(F(60), F(300))), K.NO_ROOM_FOR_TEE, {"at": 300}),
    (
        wall(tees=(F(19, 4),)),
        wall(tees=(F(19, 4) - SIXTEENTH,)),
        K.NO_ROOM_FOR_TEE,
        {"at": F(19, 4) - SIXTEENTH},
    ),
    (
        wall(door(60), tees=(F(215, 4),)),
        wall(door(60), tees=(F(215, 4) + SIXTEENTH,)),
        K.NO_ROOM_FOR_TEE,
        {"at": F(215, 4) + SIXTEENTH},
    ),
    (
        wall(door(60), tees=(F(409, 4),)),
        wall(door(60), tees=(F(409, 4) - SIXTEENTH,)),
        K.NO_ROOM_FOR_TEE,
        {"at": F(409, 4) - SIXTEENTH},
    ),
    (wall(door(60)), wall(door(60), tees=(F(78),)), K.NO_ROOM_FOR_TEE, {"at": 78}),
    (
        wall(door(F(15, 2)), corners=frozenset({"left"})),
        wall(door(3), corners=frozenset({"left"})),
        K.NO_ROOM_FOR_CORNER,
        {"end": "left"},
    ),
    (
        wall(door(F(201, 2)), corners=frozenset({"right"})),
        wall(door(105), corners=frozenset({"right"})),
        K.NO_ROOM_FOR_CORNER,
        {"end": "right"},
    ),
    # Floors: an end joist, and doubled ones beside a hole; its headers and rims are 1-1/2 each.
    (floor(length=3), floor(length=3 - SIXTEENTH), K.NO_ROOM_FOR_JOISTS, {"length": 3 - SIXTEENTH}),
    (floor(span=3 + SIXTEENTH), floor(span=3), K.NO_ROOM_FOR_JOISTS, {"length": 288, "span": 3}),
    (floor(hole(3)), floor(hole(3 - SIXTEENTH)), K.OPENING_OUTSIDE, {"at": 3 - SIXTEENTH}),
    (floor(hole(245)), floor(hole(245 + SIXTEENTH)), K.OPENING_OUTSIDE, {"at": 245 + SIXTEENTH}),
    (
        floor(hole(F(9, 2)), hole(150)),
        floor(hole(F(9, 2) - SIXTEENTH), hole(150)),
        K.OPENING_OUTSIDE,
        {"at": F(9, 2) - SIXTEENTH},
    ),
    (
        floor(hole(60), hole(F(487, 2))),
        floor(hole(60), hole(F(487, 2) + SIXTEENTH)),
        K.OPENING_OUTSIDE,
        {"at": F(487, 2) + SIXTEENTH},
    ),
    (
        floor(hole(30), hole(110), hole(F(487, 2))),
        floor(hole(30), hole(110), hole(F(487, 2) + SIXTEENTH)),
        K.OPENING_OUTSIDE,
        {"at": F(487, 2) + SIXTEENTH},
    ),
    (
        floor(hole(60), hole(106)),
        floor(hole(60), hole(106 - SIXTEENTH)),
        K.OPENING_OUTSIDE,
        {"at": 106 - SIXTEENTH},
    ),
    (floor(hole(60, THICK)), floor(hole(60, THICK + SIXTEENTH)), K.OPENING_OUTSIDE, {"at": 60}),
    (floor(hole(60, F(9, 2))), floor(hole(60, F(9, 2) - SIXTEENTH)), K.OPENING_OUTSIDE, {"at": 60}),
    (
        floor(hole(60, 24, 40, F(285, 2))),
        floor(hole(60, 24, 40, F(285, 2) - SIXTEENTH)),
        K.OPENING_OUTSIDE,
        {"at": 60},
    ),
    (
        floor(hole(60, 24, 40, F(279, 2))),
        floor(hole(60, 24, 40, F(279, 2) + SIXTEENTH)),
        K.OPENING_OUTSIDE,
        {"at": 60},
    ),
    (floor(hole(60, 24)), floor(hole(60, 24, 40, 0)), K.OPENING_OUTSIDE, {"at": 60}),
    (floor(hole(60, 24)), floor(hole(60, 24, 40, 145)), K.OPENING_OUTSIDE, {"at": 60}),
    # Decks: at least one board.
    (
        DeckSpec(F(192), F(11, 2)),
        DeckSpec(F(192), F(11, 2) - SIXTEENTH),
        K.NO_ROOM_FOR_JOISTS,
        {"length": 192, "span": F(11, 2) - SIXTEENTH},
    ),
    (
        DeckSpec(F(192), F(144), board=F(1)),
        DeckSpec(F(192), F(144), board=F(0)),
        K.NO_ROOM_FOR_JOISTS,
        {"span": 144},
    ),
    # Roofs: a run past half the ridge, an overhang past the fascia, two gable rafters, room for a jack.
    (
        RafterSpec(F(3, 4) + SIXTEENTH, Pitch(F(6))),
        RafterSpec(F(3, 4), Pitch(F(6))),
        K.NO_ROOF,
        {"run": F(3, 4)},
    ),
    (
        RafterSpec(F(144), Pitch(F(6)), overhang=F(3, 4), fascia=F(3, 4)),
        RafterSpec(F(144), Pitch(F(6)), overhang=F(3, 4) - SIXTEENTH, fascia=F(3, 4)),
        K.NO_TAIL,
        {"fascia": F(3, 4), "overhang": F(11, 16)},
    ),
    (
        RafterSpec(F(144), Pitch(F(6)), length=F(3)),
        RafterSpec(F(144), Pitch(F(6)), length=3 - SIXTEENTH),
        K.NO_ROOF,
        {"run": 3 - SIXTEENTH},
    ),
    (
        HipSpec(F(3, 4) + SIXTEENTH, HipSlope(Pitch(F(6)), Pitch(F(6)))),
        HipSpec(F(3, 4), HipSlope(Pitch(F(6)), Pitch(F(6)))),
        K.NO_ROOF,
        {"run": F(3, 4)},
    ),
    (
        HipSpec(F(144), HipSlope(Pitch(F(6)), Pitch(F(6))), length=F(288)),
        HipSpec(F(144), HipSlope(Pitch(F(6)), Pitch(F(6))), length=288 - SIXTEENTH),
        K.NO_RIDGE,
        {"length": 288 - SIXTEENTH, "span": 288},
    ),
    (
        JackSpec("hip", 16 + SIXTEENTH, HipSlope(Pitch(F(6)), Pitch(F(6))), F(16)),
        JackSpec("hip", F(16), HipSlope(Pitch(F(6)), Pitch(F(6))), F(16)),
        K.NO_JACK,
        {"spacing": 16, "run": 16},
    ),
    (
        RakeSpec(F(3), Pitch(F(6)), F(48)),
        RakeSpec(3 - SIXTEENTH, Pitch(F(6)), F(48)),
        K.NO_ROOM_FOR_STUDS,
        {"length": 3 - SIXTEENTH, "height": 48},
    ),
    # Stairs: 7-3/4 in. is one step; a tread thinner than its riser.
    (StairSpec(F(21, 2)), StairSpec(F(31, 4)), K.ONE_STEP, {"rise": F(31, 4)}),
    (
        StairSpec(F(105), thick=7 - SIXTEENTH),
        StairSpec(F(105), thick=F(7)),
        K.TREAD_TOO_THICK,
        {"thick": 7, "riser": 7},
    ),
]


@pytest.mark.parametrize("built, refused, kind, values", LIMITS)
def test_what_just_fits_is_built_and_a_sixteenth_beyond_says_why_not(
    built: Spec, refused: Spec, kind: RemarkKind, values: dict[str, Value]
) -> None:
    assert refusal(built) is None
    problem = refusal(refused)
    assert problem is not None
    assert problem.kind is kind
    assert {name: problem.value(name) for name in values} == values


@pytest.mark.parametrize("spec", [built for built, *_ in LIMITS if isinstance(built, WallSpec)])
def test_even_where_all_stands_tight_nothing_stands_in_one_place(spec: WallSpec) -> None:
    pieces = frame(spec).layout
    for n, one in enumerate(pieces):
        for two in pieces[n + 1 :]:
            aside = one.right <= two.left or two.right <= one.left
            over = one.bottom + one.height <= two.bottom or two.bottom + two.height <= one.bottom
            assert aside or over, (one, two)


# --- the order of naming ---------------------------------------------------------------------------


def same(assembly: Assembly) -> tuple[object, ...]:
    """Return all of a set that a crew may not see change with the order of naming."""
    return assembly.cuts, assembly.facts, assembly.layout, frozenset(assembly.cautions)


def test_a_wall_is_the_same_in_whatever_order_its_parts_are_named() -> None:
    openings = (door(200, 30, 60, F(36)), door(20, 38, 82), door(90, 48, 60, F(36)))
    tees = (F(170), F(70), F(270))
    made = {
        same(frame(wall(*some, length=400, tees=where, corners=frozenset({"left", "right"}))))
        for some in permutations(openings)
        for where in (tees, tees[::-1], tuple(sorted(tees)))
    }
    assert len(made) == 1
    found = frame(wall(*openings, length=400, tees=tees, corners=frozenset({"left", "right"})))
    assert [each["at"] for each in told(found, K.TEE_PLACE)] == sorted(tees)
    assert [each["left"] for each in told(found, K.OPENING_PLACE)] == [20, 90, 200]


def test_a_floor_is_the_same_in_whatever_order_its_holes_are_named() -> None:
    holes = (hole(200, 30), hole(40, THICK), hole(110, 60))
    made = {same(frame(floor(*some))) for some in permutations(holes)}
    assert len(made) == 1
    assert [each["left"] for each in told(frame(floor(*holes)), K.FLOOR_OPENING)] == [40, 110, 200]


def test_a_list_begins_with_plates_and_studs_and_marks_run_from_the_near_end() -> None:
    found = frame(
        wall(door(30, sill=F(36)), door(200), length=400, tees=(F(120),), backing=(F(48),)), F(192)
    )
    first = ["sole plate", "top plate", "cap plate", "stud", "backing stud"]
    names = [cut.piece for cut in found.cuts]
    heads = list(dict.fromkeys(name for name in names if name in first))
    assert heads == first
    assert names.index("king stud") > max(k for k, name in enumerate(names) if name in first)
    for each in found.facts:
        for value in dict(each.values).values():
            if isinstance(value, tuple):
                assert list(value) == sorted(value)
    uprights = [p.left for p in found.layout if p.upright and p.piece in ("stud", "king stud")]
    assert uprights == sorted(uprights)


# --- plates ----------------------------------------------------------------------------------------


def row(assembly: Assembly, *names: str) -> list[Placed]:
    return sorted(
        (p for p in assembly.layout if p.piece in names), key=lambda p: (p.bottom, p.left)
    )


def test_plates_lie_below_and_twice_on_top_of_the_studs() -> None:
    plain = row(frame(wall()), "plate")
    assert [p.bottom for p in plain] == [0, HEIGHT - 3, HEIGHT - THICK]
    lapped = frame(wall(butts=frozenset({"left"})))
    assert [p.bottom for p in row(lapped, "sole plate", "top plate", "cap plate")] == [
        0,
        HEIGHT - 3,
        HEIGHT - THICK,
    ]


# What the cap covers: short of a wall that laps over it, past one that it laps over (3-1/2 of a 2x4).
@pytest.mark.parametrize(
    "corners, butts, covers",
    [
        ((), (), (0, 144)),
        (("left",), (), (F(7, 2), 144)),
        (("right",), (), (0, F(281, 2))),
        ((), ("left",), (F(-7, 2), 144)),
        ((), ("right",), (0, F(295, 2))),
        (("left",), ("right",), (F(7, 2), F(295, 2))),
        (("left", "right"), (), (F(7, 2), F(281, 2))),
        ((), ("left", "right"), (F(-7, 2), F(295, 2))),
    ],
)
def test_the_cap_laps_at_each_end_and_that_is_told(
    corners: tuple[str, ...], butts: tuple[str, ...], covers: tuple[F, F]
) -> None:
    found = frame(wall(corners=frozenset(corners), butts=frozenset(butts)))
    caps = row(found, "cap plate", "plate")
    top = [p for p in caps if p.bottom == HEIGHT - THICK]
    assert (top[0].left, top[-1].right) == covers
    assert told(found, K.CAP_LAPS) == ([{"wide": F(7, 2)}] if corners or butts else [])
    assert [each["end"] for each in told(found, K.CORNER_PLACE)] == [*corners]


@pytest.mark.parametrize(
    "spec, lower, upper",
    [
        (wall(length=288), False, False),
        (wall(length=288 + SIXTEENTH), True, True),
        (wall(length=288, butts=frozenset({"left"})), False, True),
        (wall(length=290, corners=frozenset({"left"})), True, False),
    ],
)
def test_joints_are_told_of_whichever_plate_has_them(
    spec: WallSpec, lower: bool, upper: bool
) -> None:
    joined = told(frame(spec), K.PLATE_JOINTS)
    assert bool(joined) is (lower or upper)
    for each in joined:
        assert (bool(each["lower"]), bool(each["upper"])) == (lower, upper)


def _joined(*middles: int | F, apart_from: tuple[int | F, ...] = ()) -> object:
    return joints((F(0), F(150)), F(100), [F(m) for m in middles], [F(a) for a in apart_from])


def test_a_joint_is_as_far_out_as_a_board_reaches_and_24_in_from_ends_and_other_joints() -> None:
    # IRC R602.3.2: 24 in. or more; a piece under 24 in. only where there is no other way (common practice).
    assert _joined(60, 100) == ([100], True)
    assert _joined(60, 100 + SIXTEENTH) == ([60], True)
    assert _joined(60, 100, apart_from=(76,)) == ([100], True)
    assert _joined(50, 100, apart_from=(76 + SIXTEENTH,)) == ([50], True)
    assert _joined(60, 90, apart_from=(114,)) == ([90], True)
    assert _joined(60, 90, apart_from=(114 - SIXTEENTH,)) == ([60], True)
    assert _joined(60, 90, apart_from=(75,)) == ([90], False)
    assert _joined(60, 90, apart_from=(0, 114 - SIXTEENTH, 150)) == ([60], True)
    assert _joined() == ([100], False)
    # From the ends of the stretch: 24 in. on both sides.
    assert joints((F(0), F(120)), F(100), [F(60), F(96), F(97)]) == ([F(96)], True)
    assert joints((F(0), F(110)), F(100), [F(10), F(24)]) == ([F(24)], True)
    assert joints((F(0), F(110)), F(100), [F(10), F(23)]) == ([F(23)], True)
    # Several boards: each begins where the last one ended, none where the last one is long enough.
    assert joints((F(0), F(300)), F(100), [F(n) for n in range(0, 301, 10)])[0] == [100, 200]
    assert joints((F(5), F(105)), F(100), [F(50)]) == ([], True)


# --- what is told of openings ------------------------------------------------------------------------


def test_gaps_too_small_for_a_stud_are_packed_and_only_they() -> None:
    for above, packed in (
        (F(0), False),
        (SIXTEENTH, True),
        (THICK - SIXTEENTH, True),
        (THICK, False),
    ):
        found = frame(wall(door(40, 36, TOP - above)))
        gaps = told(found, K.PACK_HEADER)
        assert gaps == ([{"gap": above, "at": 40}] if packed else [])
        assert any(p.piece == "cripple" for p in found.layout) is (above == THICK)
    for at, gap in ((F(9, 2), F(0)), (F(9, 2) + SIXTEENTH, SIXTEENTH), (F(6), F(0))):
        gaps = told(frame(wall(door(at))), K.PACK_GAP)
        assert gaps == ([{"gap": gap, "at": THICK}] if gap else [])


def test_each_gap_of_a_wall_and_each_opening_is_told() -> None:
    near, far = door(F(19, 4)), door(200 - 36 - F(19, 4), sill=F(36))
    found = frame(wall(near, door(80, 36, TOP - F(1, 2)), far, length=200))
    assert told(found, K.PACK_GAP) == [
        {"gap": F(1, 4), "at": THICK},
        {"gap": F(1, 4), "at": 200 - THICK - F(1, 4)},
    ]
    assert told(found, K.PACK_HEADER) == [{"gap": F(1, 2), "at": 80}]
    two = frame(wall(door(40, 36, TOP - F(1, 2)), door(100, 36, TOP - 1), length=200))
    assert told(two, K.PACK_HEADER) == [{"gap": F(1, 2), "at": 40}, {"gap": 1, "at": 100}]
    assert len(told(two, K.OPENING_PLACE)) == 2


def test_a_header_as_thick_as_its_wall_needs_no_packing_out() -> None:
    # PS 20: two plies of 2x are 3 in., three 4-1/2; a 2x4 wall is 3-1/2, a 4x8 as deep.
    for header, thick in (
        (HEADER, F(3)),
        (replace(HEADER, plies=3), F(9, 2)),
        (HeaderSpec(Section(F(4), F(8)), 1), None),
        (HeaderSpec(Section(F(7, 4), F(95, 8), "LVL"), 2), None),
        (HeaderSpec(Section(F(7, 4), F(95, 8), "LVL"), 1), F(7, 4)),
        (HeaderSpec(Section(material="LVL"), 1, F(10)), None),
    ):
        found = frame(wall(replace(door(40), header=header)))
        thicks = told(found, K.HEADER_THICKNESS)
        expected = {"at": 40, "thick": thick, "wall": F(7, 2), "plies": header.plies}
        assert thicks == ([expected] if thick else [])


def test_marks_of_an_opening_are_its_own() -> None:
    """Two windows beside each other share no mark, and every upright around them is told once."""
    found = frame(wall(door(20, 36, 80, F(36)), door(62, 36, 80, F(36)), length=240))
    sides, over, under = (
        told(found, kind) for kind in (K.OPENING_SIDES, K.CRIPPLE_MARKS, K.SILL_CRIPPLE_MARKS)
    )
    assert [each["kings"] for each in sides] == [(17, F(115, 2)), (59, F(199, 2))]
    assert [each["trimmers"] for each in sides] == [(F(37, 2), 56), (F(121, 2), 98)]
    for marks, low in ((over, False), (under, True)):
        listed = [left for each in marks for left in each["marks"]]  # type: ignore[union-attr]  # marks
        stand = sorted(
            p.left for p in found.layout if p.piece == "cripple" and (p.bottom == THICK) is low
        )
        assert listed == stand
    studs = told(found, K.STUD_MARKS)[0]["marks"]
    assert studs == tuple(sorted(p.left for p in found.layout if p.piece == "stud"))
    # A door has nothing under it, one as high as its header allows nothing over it.
    bare = frame(wall(door(40, 36, TOP)))
    assert not told(bare, K.CRIPPLE_MARKS)
    assert not told(bare, K.SILL_CRIPPLE_MARKS)


# --- floors and decks --------------------------------------------------------------------------------


def test_headers_and_tails_stand_on_each_side_that_has_room() -> None:
    # By coordinates: rim 1-1/2, doubled header 3; a hole at a rim has none on that side.
    inside = 168 - 3
    for across, near, far in (
        (THICK, None, F(102)),
        (F(9, 2), F(0), F(99)),
        (F(24), F(39, 2), F(159, 2)),
        (F(207, 2), F(99), F(0)),
        (F(213, 2), F(102), None),
    ):
        found = frame(floor(hole(60, across)))
        headers = sorted(p.bottom for p in found.layout if p.piece == "header")
        expected = [] if near is None else [across - 3, across - THICK]
        expected += [] if far is None else [across + 60, across + 60 + THICK]
        assert headers == expected
        tails = {
            (p.bottom, p.height) for p in found.layout if p.piece == "joist" and p.height < inside
        }
        assert tails == {
            (bottom, room) for bottom, room in ((THICK, near), (across + 63, far)) if room
        }
        assert all(
            (p.left, p.right) == (F(60), F(100)) for p in found.layout if p.piece == "header"
        )
        stand = [p.left for p in found.layout if p.piece == "joist" and p.height < inside]
        assert all(60 <= left <= 100 - THICK for left in stand)


def test_joists_beside_a_hole_are_doubled_and_stand_in_for_an_end_joist() -> None:
    full = [p.left for p in frame(floor(hole(3))).layout if p.piece == "joist" and p.height == 165]
    assert full[:2] == [0, THICK]
    assert {43, F(89, 2)} <= {*full}
    assert len(full) == len({*full})
    far = [p.left for p in frame(floor(hole(245))).layout if p.piece == "joist" and p.height == 165]
    assert far[-2:] == [285, F(573, 2)]


def test_rims_are_joined_over_joists_and_none_is_longer_than_a_board() -> None:
    found = frame(floor(length=400), F(192))
    middles = {p.left + p.width / 2 for p in found.layout if p.piece == "joist"}
    for bottom in (0, 168 - THICK):
        rims = [p for p in row(found, "rim") if p.bottom == bottom]
        assert (rims[0].left, rims[-1].right) == (F(0), F(400))
        assert all(p.width <= 192 for p in rims)
        assert all(one.right == two.left and one.right in middles for one, two in pairwise(rims))


# Number × board and the gaps between them reach the span; what is over is ripped off the last one.
@pytest.mark.parametrize(
    "span, board, gap, number, last",
    [
        (F(11, 2), F(11, 2), F(1, 8), 1, F(11, 2)),
        (F(89, 8), F(11, 2), F(1, 8), 2, F(11, 2)),
        (F(90, 8), F(11, 2), F(1, 8), 2, F(11, 2)),
        (F(91, 8), F(11, 2), F(1, 8), 3, F(1, 8)),
        (F(12), F(4), F(0), 3, F(4)),
        (F(13), F(4), F(0), 4, F(1)),
    ],
)
def test_the_last_deck_board_is_ripped_to_what_is_left(
    span: F, board: F, gap: F, number: int, last: F
) -> None:
    found = frame(DeckSpec(F(240), span, board=board, gap=gap), F(144))
    (boards,) = told(found, K.DECK_BOARDS)
    assert boards == {"number": number, "board": board, "gap": gap, "last": last}
    laid = [cut for cut in found.cuts if cut.piece == "deck board"]
    assert sum(cut.length.inches * cut.count for cut in laid) == number * 240
    assert all(cut.length.inches <= 144 and cut.count % number == 0 for cut in laid)
    names = [p.piece for p in found.layout if p.piece in ("ledger", "rim")]
    assert names.count("ledger") == names.count("rim")
    assert {p.bottom for p in found.layout if p.piece == "ledger"} == {0}
    assert {p.bottom for p in found.layout if p.piece == "rim"} == {span - THICK}


def test_lumber_without_a_standard_size_is_an_inch_and_a_half_thick() -> None:
    # Common practice; what has one is as thick as that is dressed.
    for section, thick in ((Section(material="LVL"), THICK), (Section(F(4), F(10)), F(7, 2))):
        found = frame(FloorSpec(F(288), F(168), section=section))
        assert {p.width for p in found.layout if p.piece == "joist"} == {thick}
        assert {p.height for p in found.layout if p.piece == "joist"} == {168 - 2 * thick}


# --- roofs -------------------------------------------------------------------------------------------

EIGHT, FOUR = Pitch(F(8)), Pitch(F(4))
ROOFS = [HipSlope(EIGHT, EIGHT), HipSlope(EIGHT, FOUR), HipSlope(FOUR, EIGHT)]
INCH = 1e-5
DEGREE = 0.0051
"""Angles are told to a hundredth of a degree."""


def _float(value: Value) -> float:
    return float(value.degrees if hasattr(value, "degrees") else value)  # type: ignore[arg-type]  # a number


def _tangents(slope: HipSlope) -> tuple[float, float]:
    return float(slope.main.rise or 0) / 12, float(slope.end.rise or 0) / 12


@pytest.mark.parametrize("slope", ROOFS, ids=str)
@pytest.mark.parametrize("valley", [False, True])
@pytest.mark.parametrize("at_commons", [False, True])
def test_all_that_is_told_of_a_hip_is_so_between_points(
    slope: HipSlope, valley: bool, at_commons: bool
) -> None:
    """The main roof rises with y, the other with x; the hip runs where both are equally high."""
    spec = HipSpec(
        *(F(144), slope, 2, valley, F(12), F(3, 4), F(3, 2), F(7, 2)),
        section=Section(F(2), F(10)),
        commons=Section(F(2), F(8)),
        at_commons=at_commons,
    )
    found = frame(spec)
    a, b = _tangents(slope)
    q = a / b

    def along(run: float) -> float:
        return math.dist((0, 0, 0), (run * q, run, run * a))

    off = 0.75 * max(1, 1 / q) if at_commons else 0.75
    (lengths,) = told(found, K.HIP_LENGTHS)
    assert _float(lengths["theory"]) == pytest.approx(along(144), abs=INCH)
    assert _float(lengths["upper"]) == pytest.approx(along(144 - off), abs=INCH)
    assert _float(lengths["tail"]) == pytest.approx(along(11.25), abs=INCH)
    (shortened,) = told(found, K.HIP_SHORTENED)
    assert _float(shortened["level"]) == pytest.approx(off * math.hypot(1, q), abs=INCH)
    assert shortened["at"] == ("the end commons" if at_commons else "the ridge")
    plumb = math.degrees(math.atan(a / math.hypot(1, q)))
    (cut,) = told(found, K.HIP_PLUMB_CUT)
    assert _float(cut["angle"]) == pytest.approx(plumb, abs=DEGREE)
    (seat,) = told(found, K.HIP_SEAT)
    assert _float(seat["seat"]) == pytest.approx(3.5 * math.hypot(1, q), abs=INCH)
    if slope.equal:
        (cheeks,) = told(found, K.VALLEY_CHEEKS if valley else K.HIP_CHEEKS)
        backing = math.degrees(math.atan(math.sin(math.radians(plumb))))
        assert _float(cheeks["backing"]) == pytest.approx(backing, abs=2 * DEGREE)
        assert not told(found, K.OTHER_SIDE)
    else:
        (cheeks,) = told(found, K.HIP_CHEEKS_UNEQUAL)
        assert _float(cheeks["main"]) == pytest.approx(math.degrees(math.atan(1 / q)), abs=DEGREE)
        assert _float(cheeks["end"]) == pytest.approx(math.degrees(math.atan(q)), abs=DEGREE)
        (other,) = told(found, K.OTHER_SIDE)
        assert _float(other["overhang"]) == pytest.approx(12 * q, abs=INCH)
        assert not told(frame(replace(spec, overhang=F(0), fascia=F(0))), K.OTHER_SIDE)
    above = 7.25 * math.hypot(1, a) - 3.5 * a
    (high,) = told(found, K.HIP_HEIGHT)
    assert _float(high["commons"]) == pytest.approx(above, abs=INCH)
    drops = [0.75 * t * t / math.hypot(a, b) for t in (a, b)]
    own = above - (0 if valley else max(drops))
    assert _float(high["own"]) == pytest.approx(own, abs=INCH)
    assert bool(told(found, K.HIP_DROP)) is (slope.equal and not valley)
    assert bool(told(found, K.HIP_DROPS)) is (not slope.equal and not valley)
    assert not told(frame(replace(spec, commons=None)), K.HIP_HEIGHT)
    assert found.cuts[0].count == 2
    assert found.profile is not None
    assert float(found.profile.rise) == pytest.approx(144 * a)
    assert found.profile.run == 144


KINDS: list[JackKind] = ["hip", "valley", "cripple", "valley cripple"]


@pytest.mark.parametrize("slope", ROOFS, ids=str)
@pytest.mark.parametrize("kind", KINDS)
def test_all_that_is_told_of_jacks_is_so_between_points(slope: HipSlope, kind: JackKind) -> None:
    spec = JackSpec(kind, F(100), slope, F(24), 3, section=Section(F(2), F(6)))
    found = frame(spec)
    a, b = _tangents(slope)
    q = a / b
    one_roof = slope.equal or "cripple" in kind
    sides = [(a, q)] if one_roof else [(a, q), (b, 1 / q)]
    steps = told(found, K.JACK_STEP)
    twice = 2 if kind == "valley cripple" else 1
    expected = [twice * 24 / t * math.hypot(1, s) for s, t in sides] if kind != "cripple" else []
    assert [_float(each["step"]) for each in steps] == pytest.approx(expected, abs=INCH)
    cheeks = told(found, K.JACK_CHEEK)
    assert len(cheeks) == len(sides)
    for each, (s, t) in zip(cheeks, sides, strict=True):
        assert _float(each["miter"]) == pytest.approx(math.degrees(math.atan(s)), abs=DEGREE)
        assert _float(each["bevel"]) == pytest.approx(math.degrees(math.atan(1 / t)), abs=DEGREE)
        # Laid off on the top edge over 12 in. of the square: 12 of run by the common's length.
        assert _float(each["top"]) == pytest.approx(12 * t / math.hypot(1, s), abs=DEGREE)
    counts = {cut.count for cut in found.cuts}
    assert counts == {6 if one_roof and "cripple" not in kind else 3}
    assert bool(told(found, K.JACK_SIDES)) is ("cripple" not in kind)
    assert bool(told(found, K.CRIPPLE_JACKS_ALIKE)) is (kind == "cripple")
    assert bool(told(found, K.VALLEY_CRIPPLE_POINTS)) is (kind == "valley cripple")
    points = told(found, K.JACK_POINT if kind == "hip" else K.VALLEY_JACK_POINT)
    assert bool(points) is ("cripple" not in kind)
    if points:
        assert _float(points[0]["less"]) == pytest.approx(0.75 / q * math.hypot(1, a), abs=INCH)
    title = dict(found.title.values)
    assert title["pieces"] == sum(cut.count for cut in found.cuts)
    for cut in found.cuts:
        cheeked = [end.cheek for end in cut.ends]
        both = ["single", "single"]
        assert cheeked == {"hip": ["single", None], "valley": [None, "single"]}.get(kind, both)
        assert [end.point for end in cut.ends] == ["long", "short"]
    lengths = [cut.length.inches for cut in found.cuts if str(cut.ends[0].rise or "") == str(8)]
    assert lengths == sorted(lengths, reverse=True)


def test_a_roof_rises_and_is_no_steeper_than_80_degrees() -> None:
    for degrees, there in ((F(80), True), (80 + F(1, 10), False), (F(1, 10), True), (F(0), False)):
        if there:
            tangent = math.tan(math.radians(degrees))
            assert float(Pitch(degrees=degrees).tangent) == pytest.approx(tangent, abs=1e-9)
            assert str(Pitch(degrees=degrees)) == f"{float(degrees):g}°"
        else:
            with pytest.raises(MeasureError):
                Pitch(degrees=degrees)
    for rise, there in (
        (F(68), True),
        (F(69), False),
        (SIXTEENTH, True),
        (F(0), False),
        (F(-1), False),
    ):
        if there:
            assert Pitch(rise).tangent == rise / 12
        else:
            with pytest.raises(MeasureError):
                Pitch(rise)
    with pytest.raises(MeasureError) as caught:
        Pitch(degrees=F(0))
    assert caught.value.problem.value("pitch") == "0°"
    assert [str(Pitch(F(text))) for text in ("7", "13/2", "1/2")] == ["7/12", "6-1/2/12", "1/2/12"]


def test_a_notch_of_a_quarter_of_the_depth_is_the_most_at_the_end_of_a_rafter() -> None:
    # IRC R802.7.1 as quoted by trade pages: a fourth of the depth; a seat s at 12/12 cuts s/√2 deep.
    two_by_eight = Section(F(2), F(8))
    for seat, deep in ((F(41, 16), False), (F(42, 16), True)):
        notch = float(seat) / math.sqrt(2)
        assert (notch > 7.25 / 4) is deep
        found = frame(RafterSpec(F(144), Pitch(F(12)), seat=seat, section=two_by_eight))
        notches = told(found, K.DEEP_NOTCH)
        assert bool(notches) is deep
        if notches:
            assert _float(notches[0]["notch"]) == pytest.approx(notch, abs=INCH)
            assert notches[0]["depth"] == F(29, 4)
    for seat, short in (
        (F(3, 2), False),
        (F(3, 2) - SIXTEENTH, True),
    ):  # IRC R802.6: 1-1/2 in. on wood
        found = frame(RafterSpec(F(144), Pitch(F(4)), seat=seat))
        assert told(found, K.SHORT_BEARING) == ([{"seat": seat}] if short else [])


def test_all_that_is_told_of_rafters_is_so_between_points() -> None:
    spec = RafterSpec(
        *(F(144), Pitch(F(8)), 9, F(12), F(3, 4), F(3, 2), F(7, 2)), section=Section(F(2), F(8))
    )
    found = frame(spec)
    slant = math.hypot(1, 2 / 3)
    (lengths,) = told(found, K.SLOPE_LENGTHS)
    assert _float(lengths["upper"]) == pytest.approx(143.25 * slant, abs=INCH)
    assert _float(lengths["tail"]) == pytest.approx(11.25 * slant, abs=INCH)
    (mouth,) = told(found, K.BIRDSMOUTH)
    assert mouth["seat"] == F(7, 2)
    assert mouth["heel"] == F(7, 3)
    assert _float(mouth["deep"]) == pytest.approx(3.5 * math.sin(math.atan2(2, 3)), abs=INCH)
    assert told(found, K.FASCIA_OFF) == [{"fascia": F(3, 4), "overhang": 12}]
    assert told(found, K.RIDGE_HEIGHT)[0]["rise"] == 96
    assert _float(told(found, K.PLUMB_DEPTH)[0]["deep"]) == pytest.approx(7.25 * slant, abs=INCH)
    bare = frame(replace(spec, section=None, fascia=F(0)))
    assert not told(bare, K.FASCIA_OFF)
    assert not told(bare, K.PLUMB_DEPTH)
    assert told(bare, K.RIDGE_HEIGHT) == [{"rise": 96}]
    assert found.cuts[0].count == 9
    assert not told(found, K.RAFTER_COUNT)
    assert [cut.piece for cut in found.cuts] == ["common rafter"]


def test_rafters_stand_on_centres_from_gable_to_gable_and_carry_the_joints() -> None:
    spec = RafterSpec(F(144), Pitch(F(6)), length=F(500), spacing=F(24), rake=F(10))
    found = frame(spec, F(192))
    (told_marks,) = told(found, K.RAFTER_MARKS)
    marks = told_marks["marks"]
    assert isinstance(marks, tuple)
    assert (marks[0], marks[-1]) == (F(0), 500 - THICK)
    assert all(THICK <= two - one <= 24 for one, two in pairwise(marks))
    assert told(found, K.RAFTER_COUNT) == [{"count": 2 * len(marks), "side": len(marks)}]
    assert found.cuts[0].count == 2 * len(marks)
    for piece, number in (("ridge", 1), ("fascia", 2)):
        boards = [cut for cut in found.cuts if cut.piece == piece]
        assert sum(cut.length.inches * cut.count for cut in boards) == number * 520
        assert all(cut.length.inches <= 192 for cut in boards)
    # The first board ends over the farthest rafter that it reaches from 10 in. outside.
    reach = max(mark + THICK / 2 for mark in marks if mark + THICK / 2 <= 192 - 10)
    assert next(cut for cut in found.cuts if cut.piece == "ridge").length.inches == reach + 10


def test_what_is_usual_holds_where_nothing_else_is_said() -> None:
    """Common practice: 16 in. on centre, ridge and hip of 2-by stock, a 2x4's plate, treads of 10 in., three stringers."""
    even = HipSlope(Pitch(F(6)), Pitch(F(6)))
    usual = (F(0), F(0), F(3, 2), F(7, 2))  # overhang, fascia, ridge, seat
    said: list[tuple[Spec, Spec]] = [
        (WallSpec(F(144), HEIGHT), WallSpec(F(144), HEIGHT, F(16), Section(F(2), F(4)))),
        (RakeSpec(F(144), Pitch(F(6)), F(0), F(16)), RakeSpec(F(144), Pitch(F(6)))),
        (
            RafterSpec(F(144), Pitch(F(6)), length=F(288)),
            RafterSpec(F(144), Pitch(F(6)), 1, *usual, length=F(288), spacing=F(16), rake=F(0)),
        ),
        (HipSpec(F(144), even), HipSpec(F(144), even, 1, False, *usual)),
        (
            JackSpec("valley", F(144), even, F(16)),
            JackSpec("valley", F(144), even, F(16), 1, ridge=F(3, 2), hip=F(3, 2)),
        ),
        (
            FloorSpec(F(144), F(144)),
            FloorSpec(F(144), F(144), F(16), Section(F(2), F(10)), blocking=0),
        ),
        (
            DeckSpec(F(144), F(144)),
            DeckSpec(F(144), F(144), F(16), Section(F(2), F(10)), board=F(11, 2), gap=F(1, 8)),
        ),
        (
            StairSpec(F(107)),
            StairSpec(F(107), F(10), section=Section(F(2), F(12)), stringers=3, floor=F(0)),
        ),
        (
            wall(OpeningSpec(F(36), F(80), F(40), HeaderSpec(Section(F(2), F(8))))),
            wall(OpeningSpec(F(36), F(80), F(40), replace(HEADER, plies=2), None, 1, 1)),
        ),
    ]
    for short, full in said:
        assert short == full

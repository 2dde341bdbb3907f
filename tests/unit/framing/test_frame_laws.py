"""Laws of sets: every limit on both of its sides, and the same set in whatever order its parts were named."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import permutations

import pytest
from sets_told import (
    SIXTEENTH,
    THICK,
    TOP,
    K,
    door,
    floor,
    frame,
    hole,
    told,
    wall,
)

from cutmemo.framing import (
    Assembly,
    DeckSpec,
    HipSlope,
    HipSpec,
    JackSpec,
    MeasureError,
    Pitch,
    RafterSpec,
    RakeSpec,
    Remark,
    RemarkKind,
    Spec,
    StairSpec,
    Value,
    WallSpec,
)


def refusal(spec: Spec) -> Remark | None:
    """Return why *spec* cannot be built, or ``None`` where it can."""
    try:
        frame(spec)
    except MeasureError as error:
        return error.problem
    return None


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

"""Laws of walls: plates and their joints, and what is told of openings."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from sets_told import (
    HEADER,
    HEIGHT,
    SIXTEENTH,
    THICK,
    TOP,
    K,
    door,
    frame,
    row,
    told,
    wall,
)

from cutmemo.domain.cut import Section
from cutmemo.framing import (
    HeaderSpec,
    WallSpec,
)
from cutmemo.framing.plates import joints

# --- plates ----------------------------------------------------------------------------------------


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

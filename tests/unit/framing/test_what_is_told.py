"""What is told of a set goes with what was said of it: each fact and each caution with its cause, and without it none."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

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
    OpeningSpec,
    Pitch,
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
from cutmemo.framing.specs import JackKind

K = RemarkKind
SIXTEENTH = F(1, 16)
EVEN = HipSlope(Pitch(F(6)), Pitch(F(6)))
STEEPER = HipSlope(Pitch(F(6)), Pitch(F(12)))
"""Half as far on the side of its end."""


def frame(spec: Spec, settings: Settings | None = None) -> Assembly:
    return calculate(spec, settings or Settings())


def told(found: Assembly, kind: RemarkKind) -> list[dict[str, Value]]:
    return [dict(each.values) for each in (*found.facts, *found.cautions) if each.kind is kind]


def kinds(found: Assembly) -> set[RemarkKind]:
    return {each.kind for each in (*found.facts, *found.cautions)}


# --- roofs -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["hip", "valley"])
def test_the_other_roofs_overhang_is_told_where_there_is_one(kind: JackKind) -> None:
    plain = JackSpec(kind, F(144), STEEPER, F(16))
    assert not told(frame(plain), K.OTHER_SIDE)
    out = replace(plain, overhang=F(12))
    assert told(frame(out), K.OTHER_SIDE) == [{"overhang": 6}]
    assert not told(frame(replace(out, slope=EVEN)), K.OTHER_SIDE)
    hips = HipSpec(F(144), STEEPER, overhang=F(12))
    assert told(frame(hips), K.OTHER_SIDE) == [{"overhang": 6}]
    assert not told(frame(replace(hips, overhang=F(0))), K.OTHER_SIDE)
    assert not told(frame(replace(hips, slope=EVEN)), K.OTHER_SIDE)


@pytest.mark.parametrize(
    ("kind", "equal", "kinds_told"),
    [
        ("hip", True, (1, 1, 1, 0)),
        ("hip", False, (2, 2, 2, 0)),
        ("valley", True, (1, 1, 0, 1)),
        ("valley", False, (2, 2, 0, 2)),
        ("cripple", False, (0, 1, 0, 0)),
        ("valley cripple", False, (1, 1, 0, 0)),
    ],
)
def test_steps_cheeks_and_points_are_told_of_each_roof_that_has_them(
    kind: JackKind, equal: bool, kinds_told: tuple[int, int, int, int]
) -> None:
    found = frame(JackSpec(kind, F(144), EVEN if equal else STEEPER, F(16)))
    of = (K.JACK_STEP, K.JACK_CHEEK, K.JACK_POINT, K.VALLEY_JACK_POINT)
    assert tuple(len(told(found, each)) for each in of) == kinds_told
    sides = told(found, K.JACK_SIDES)
    assert sides == ([{"equal": equal}] if "cripple" not in kind else [])
    title = dict(found.title.values)
    assert title["pitch"] == ("6/12" if equal else "6/12 and 12/12")
    assert (title["jack"], title["count"]) == (kind, 1)
    assert title["pieces"] == sum(cut.count for cut in found.cuts)


def test_jacks_come_the_longest_first_and_each_shorter_by_its_roofs_step() -> None:
    for slope in (EVEN, STEEPER):
        found = frame(JackSpec("hip", F(144), slope, F(16)))
        steps = [float(each["step"]) for each in told(found, K.JACK_STEP)]  # type: ignore[arg-type]  # inches
        by_pitch: dict[object, list[float]] = {}
        for cut in found.cuts:
            by_pitch.setdefault(cut.ends[0].rise, []).append(float(cut.length.inches))
        assert len(by_pitch) == len(steps)
        for lengths, step in zip(by_pitch.values(), steps, strict=True):
            assert len(lengths) > 2
            for one, two in zip(lengths, lengths[1:], strict=False):
                assert one - two == pytest.approx(step, abs=1e-4)


def test_a_hip_shallower_than_the_commons_plumb_cut_is_told_and_one_as_deep_is_not() -> None:
    # A 2x6 common at 6/12 is 5-1/2 × √1.25 = 6.15 plumb; a 2x6 hip is 5-1/2, a 2x8 7-1/4 deep (PS 20).
    six, eight = Section(F(2), F(6)), Section(F(2), F(8))
    for own, shallow in ((six, True), (eight, False), (None, False)):
        found = frame(HipSpec(F(144), EVEN, section=own, commons=six))
        cautions = told(found, K.SHALLOW_HIP)
        assert bool(cautions) is shallow
        for each in cautions:
            assert each["deep"] == F(11, 2)
            assert float(each["cut"]) == pytest.approx(5.5 * 1.25**0.5, abs=1e-5)  # type: ignore[arg-type]  # inches
    assert not told(frame(HipSpec(F(144), EVEN, section=six)), K.SHALLOW_HIP)
    # A 3-4-5 roof is exact: 9/12, 7-1/4 × 5/4 = 9-1/16; a hip of that very depth will do.
    exact = HipSlope(Pitch(F(9)), Pitch(F(9)))
    for deep, shallow in ((F(145, 16), False), (F(145, 16) - SIXTEENTH, True)):
        own = Section(F(3, 2), deep, "LVL")
        found = frame(HipSpec(F(144), exact, section=own, commons=eight))
        assert bool(told(found, K.SHALLOW_HIP)) is shallow


def test_the_ridge_of_a_hip_roof_is_joined_and_none_where_the_hips_meet() -> None:
    def ridge(length: F | int, longest: int = 288, slope: HipSlope = EVEN) -> list[F]:
        found = frame(HipSpec(F(144), slope, length=F(length)), Settings(longest=F(longest)))
        return [cut.length.inches for cut in found.cuts if cut.piece == "ridge"]

    # In line: the length less both runs; half the ridge's thickness more at each end, 1-1/2 (PS 20).
    assert ridge(288) == []
    assert ridge(288 + SIXTEENTH) == [F(3, 2) + SIXTEENTH]
    assert ridge(400) == [112 + F(3, 2)]
    assert ridge(400, slope=STEEPER) == [400 - 144 + F(3, 2)]
    assert ridge(700, 200) == [200, 200, 700 - 288 + F(3, 2) - 400]
    none = frame(HipSpec(F(144), EVEN))
    assert not [cut for cut in none.cuts if cut.piece == "ridge"]
    between = frame(HipSpec(F(144), EVEN, length=F(400), at_commons=True))
    assert [c.length.inches for c in between.cuts if c.piece == "ridge"] == [112 + F(3, 2)]
    thick = replace(
        HipSpec(F(144), EVEN, length=F(400)), at_commons=True, commons=Section(F(4), F(8))
    )
    assert [c.length.inches for c in frame(thick).cuts if c.piece == "ridge"] == [112 + F(7, 2)]


def test_rafters_are_told_by_what_is_known_of_them() -> None:
    plain = RafterSpec(F(144), Pitch(F(6)))
    deep = replace(plain, section=Section(F(2), F(8)))
    long = replace(plain, length=F(288))
    for spec, kind, there in (
        (plain, K.FASCIA_OFF, False),
        (replace(plain, overhang=F(12), fascia=F(3, 4)), K.FASCIA_OFF, True),
        (plain, K.HEIGHT_ABOVE_PLATE, False),
        (deep, K.HEIGHT_ABOVE_PLATE, True),
        (plain, K.RAFTER_MARKS, False),
        (long, K.RAFTER_MARKS, True),
        (plain, K.RAFTER_COUNT, False),
        (long, K.RAFTER_COUNT, True),
    ):
        assert bool(told(frame(spec), kind)) is there, kind
    seatless = frame(replace(plain, seat=F(0)))
    assert told(seatless, K.BIRDSMOUTH) == [{"seat": 0, "heel": 0, "deep": 0}]


# --- under a slope -------------------------------------------------------------------------------------


def test_joints_of_a_rake_wall_are_told_and_where_they_cannot_be_apart() -> None:
    short = RakeSpec(F(144), Pitch(F(6)), F(48))
    assert not {K.RAKE_JOINTS, K.NO_ROOM_FOR_JOINTS} & kinds(frame(short))
    # Level, 288 on the slope of 5/12 (13 in. a foot) reach 288 × 12/13 = 265.8.
    slope = Pitch(F(5))
    for length, joined in ((F(265), False), (F(266), True)):
        found = frame(RakeSpec(length, slope, F(48)))
        assert bool(told(found, K.RAKE_JOINTS)) is joined
    (joints,) = told(frame(RakeSpec(F(400), slope, F(48))), K.RAKE_JOINTS)
    lower, upper, sole = (joints[name] for name in ("lower", "upper", "sole"))
    assert lower == (256,)
    assert upper == (F(400) - 160,) or abs(upper[0] - 256) >= 24  # type: ignore[index]  # marks
    assert sole == (288,)
    # With 20 in. boards no joint can be two feet from another: it is told.
    close = frame(RakeSpec(F(60), Pitch(F(1)), F(48)), Settings(longest=F(30)))
    assert told(close, K.NO_ROOM_FOR_JOINTS)


def test_a_gable_and_a_rake_wall_are_told_as_what_they_are() -> None:
    for gable, name in ((True, "Gable"), (False, "Rake wall")):
        found = frame(RakeSpec(F(240), Pitch(F(6)), F(0) if gable else F(48), gable=gable))
        assert dict(found.title.values) == {"set": name, "length": 240, "pitch": "6/12"}
        assert told(found, K.COMMON_DIFFERENCE) == [{"step": 8, "spacing": 16}]
        marks = told(found, K.STUD_MARKS)[0]["marks"]
        assert isinstance(marks, tuple)
        assert list(marks) == sorted(p.left for p in found.layout if p.upright)


# --- walls and floors ---------------------------------------------------------------------------------

HEIGHT = F(777, 8)
HEADER = HeaderSpec(Section(F(2), F(8)), plies_said=True)


def wall(**more: object) -> WallSpec:
    return WallSpec(F(240), HEIGHT, **more)  # type: ignore[arg-type]  # of its fields


def opening(at: int, sill: F | None = None, header: HeaderSpec = HEADER) -> OpeningSpec:
    return OpeningSpec(F(36), F(80), F(at), header, sill)


@pytest.mark.parametrize(
    ("spec", "kind", "values"),
    [
        (wall(), K.DOOR_PLATE, None),
        (wall(openings=(opening(60),)), K.DOOR_PLATE, {}),
        (wall(openings=(opening(60, F(36)),)), K.DOOR_PLATE, None),
        (wall(openings=(opening(60, F(36)), opening(140))), K.DOOR_PLATE, {}),
        (wall(openings=(opening(60),)), K.PLIES_ASSUMED, None),
        (
            wall(openings=(opening(60, None, replace(HEADER, plies_said=False)),)),
            K.PLIES_ASSUMED,
            {"plies": 2},
        ),
        (wall(), K.BACKING_PLACE, None),
        (wall(backing=(F(48),)), K.BACKING_PLACE, {"rows": (48,)}),
        (wall(), K.CAP_GAPS, None),
        (wall(tees=(F(100),)), K.CAP_GAPS, {"wide": F(7, 2)}),
        (wall(tees=(F(100),), partition=Section(F(2), F(6))), K.CAP_GAPS, {"wide": F(11, 2)}),
        (wall(), K.CAP_LAPS, None),
        (wall(corners=frozenset({"left"})), K.CAP_LAPS, {"wide": F(7, 2)}),
        (wall(butts=frozenset({"right"})), K.CAP_LAPS, {"wide": F(7, 2)}),
        (wall(openings=(opening(60),)), K.SILL_PLACE, None),
        (
            wall(openings=(opening(60, F(36)),)),
            K.SILL_PLACE,
            {"length": 36, "top": 36},
        ),
        (FloorSpec(F(240), F(144)), K.BLOCKING, None),
        (FloorSpec(F(240), F(144), blocking=2), K.BLOCKING, {"rows": 2}),
        (FloorSpec(F(240), F(144)), K.FLOOR_OPENING, None),
        (
            FloorSpec(F(240), F(144), openings=(FloorOpeningSpec(F(60), F(24), F(40), F(50)),)),
            K.FLOOR_OPENING,
            {"left": 60, "right": 100, "near": 24, "far": 74},
        ),
    ],
)
def test_what_is_told_has_its_cause(
    spec: Spec, kind: RemarkKind, values: dict[str, Value] | None
) -> None:
    assert told(frame(spec), kind) == ([] if values is None else [values])


def test_every_number_of_plies_that_was_assumed_is_told_once_the_fewest_first() -> None:
    headers = [replace(HEADER, plies=plies, plies_said=said) for plies, said in
               ((3, False), (2, False), (3, False), (1, True))]  # fmt: skip
    openings = tuple(opening(20 + 54 * n, None, each) for n, each in enumerate(headers))
    assert told(frame(wall(openings=openings)), K.PLIES_ASSUMED) == [{"plies": 2}, {"plies": 3}]


@pytest.mark.parametrize("room", [F(0), SIXTEENTH, F(3, 2) - SIXTEENTH, F(3, 2)])
def test_tails_too_short_for_joists_are_packed_on_either_side(room: F) -> None:
    packed = 0 < room < F(3, 2)
    for across in (room + F(9, 2), 144 - 50 - F(9, 2) - room):
        hole = FloorOpeningSpec(F(60), across, F(40), F(50))
        found = frame(FloorSpec(F(240), F(144), openings=(hole,)))
        assert told(found, K.PACK_TAIL) == ([{"gap": room, "at": 60}] if packed else [])


# --- stairs ---------------------------------------------------------------------------------------------


def test_stairs_are_told_by_what_is_known_of_them() -> None:
    plain = StairSpec(F(105))  # 15 risers of 7 (NAVEDTRA 14044: the rise over 7)
    found = frame(plain)
    assert told(found, K.RISERS) == [{"number": 15, "each": 7}]
    assert told(found, K.TREADS) == [{"number": 14, "run": 10, "total": 140, "landings": 0}]
    assert not {K.FIRST_RISER, K.WELL, K.LANDING_PLACE, K.RISERS_ADD_UP} & kinds(found)
    assert [cut.piece for cut in found.cuts] == ["stringer"]
    thick = frame(replace(plain, thick=F(1)))
    assert told(thick, K.FIRST_RISER) == [{"first": 6}]
    well = frame(replace(plain, well=F(150), floor=F(10)))
    assert told(well, K.WELL) == [{"room": 150 * 7 / F(10) - 10}]
    landed = frame(replace(plain, landings=2, thick=F(1)))
    places = told(landed, K.LANDING_PLACE)
    assert [(p["after"], p["top"], p["framed"], p["above"]) for p in places] == [
        (5, 35, 34, 5),
        (10, 70, 69, 5),
    ]
    treads = frame(replace(plain, landings=2, width=F(36)))
    assert {cut.piece: cut.count for cut in treads.cuts} == {
        "stringer": 9,
        "tread": 12,
        "riser": 15,
    }
    assert landed.profile is not None
    assert (landed.profile.rise, landed.profile.run, landed.profile.steps) == (105, 120, 15)


@pytest.mark.parametrize("rise", [F(105), F(106), F(104)])
def test_risers_that_do_not_add_up_on_the_tape_are_told(rise: F) -> None:
    # 106 over 15 is 7-1/15: 7-1/16 on the tape comes to 105-15/16; 104 over 15 is 6-14/15.
    found = frame(StairSpec(rise))
    each = rise / 15
    on_tape = F(round(each * 16), 16)
    over = on_tape * 15 - rise
    expected = (
        []
        if not over
        else [
            {
                "number": 15,
                "each": each,
                "off": abs(over),
                "way": "too much" if over > 0 else "too little",
            }
        ]
    )
    assert told(found, K.RISERS_ADD_UP) == expected


def test_the_last_of_all_is_that_it_is_arithmetic_only() -> None:
    specs: list[Spec] = [
        wall(),
        FloorSpec(F(240), F(144)),
        RafterSpec(F(144), Pitch(F(6))),
        HipSpec(F(144), EVEN),
        JackSpec("hip", F(144), EVEN, F(16)),
        RakeSpec(F(240), Pitch(F(6)), gable=True),
        StairSpec(F(105)),
    ]
    for spec in specs:
        last: Remark = frame(spec).cautions[-1]
        assert last.kind is K.ARITHMETIC_ONLY

"""Rafters, hips, jacks and gable studs against published tables, worked examples and coordinates."""

from __future__ import annotations

import math
from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutmemo.domain.angles import off_square
from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import to_tape
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    HipSlope,
    HipSpec,
    JackSpec,
    MeasureError,
    Pitch,
    RafterSpec,
    RakeSpec,
    RemarkKind,
    Spec,
    Value,
    calculate,
)
from cutmemo.framing.roof import height_above_plate, seat_depth
from cutmemo.framing.slope import root

TWO_BY_EIGHT = Section(F(2), F(8))
HEIGHT = F(777, 8)


def frame(spec: Spec) -> Assembly:
    return calculate(spec, Settings())


def pitch(rise: int | F) -> Pitch:
    return Pitch(F(rise))


def even(rise: int | F) -> HipSlope:
    return HipSlope(pitch(rise), pitch(rise))


def on_tape(cut: Cut) -> F:
    return to_tape(cut.length.inches)


def fact(assembly: Assembly, kind: RemarkKind, name: str) -> Value:
    (found,) = [each for each in (*assembly.facts, *assembly.cautions) if each.kind is kind]
    return found.value(name)


# NAVEDTRA 14044 (US Navy carpentry course) and framing square tables of many handbooks: lengths
# per foot of run of common and hip rafters, jack differences at 16 and 24 in., plumb angles.
SQUARE_TABLE = [
    (4, 12.65, 17.44, 16.87, 25.30, 18.435, 13.263),
    (6, 13.42, 18.00, 17.89, 26.83, 26.565, 19.471),
    (7, 13.89, 18.36, 18.52, 27.78, 30.256, 22.415),
    (8, 14.42, 18.76, 19.23, 28.84, 33.690, 25.239),
    (10, 15.62, 19.70, 20.83, 31.24, 39.806, 30.509),
    (12, 16.97, 20.78, 22.63, 33.94, 45.000, 35.264),
]


@pytest.mark.parametrize("rise, common, hip, jack16, jack24, plumb, hip_plumb", SQUARE_TABLE)
def test_the_framing_square(
    rise: int,
    common: float,
    hip: float,
    jack16: float,
    jack24: float,
    plumb: float,
    hip_plumb: float,
) -> None:
    slope = even(rise)
    assert round(float(slope.main.common), 2) == common
    assert round(float(slope.along(F(12))), 2) == hip
    # The table cuts off where we round.
    assert float(slope.main.along(F(16))) == pytest.approx(jack16, abs=0.0101)
    assert float(slope.main.along(F(24))) == pytest.approx(jack24, abs=0.0101)
    assert float(slope.main.plumb.degrees) == pytest.approx(plumb, abs=0.006)
    assert float(slope.plumb.degrees) == pytest.approx(hip_plumb, abs=0.006)


def test_the_courses_worked_rafters() -> None:
    # NAVEDTRA 14044: 7 in 12 at 8 ft of run is 9 ft 3-1/8 in.; 8 in 12 hip at 15 ft of run 23.45 ft.
    assert to_tape(pitch(7).along(F(96))) == F(889, 8)
    assert float(even(8).along(F(180)) / 12) == pytest.approx(23.45, abs=0.005)


@given(st.fractions(F(1, 64), F(10_000), max_denominator=64))
def test_a_root_is_exact_or_within_a_millionth(square: F) -> None:
    found = root(square)
    assert abs(float(found) - math.sqrt(square)) <= 0.5 / 2**20 + 1e-9
    assert root(square**2) == square


RISES = st.integers(1, 24) | st.integers(3, 47).map(lambda n: F(n, 2))
RUNS = st.integers(24 * 16, 300 * 16).map(lambda n: F(n, 16))


@given(RISES, RUNS, st.sampled_from([F(0), F(3, 4), F(3, 2)]), st.integers(0, 30))
def test_a_common_lands_on_the_mark_that_is_nearest_to_coordinates(
    rise: F, run: F, ridge: F, overhang: int
) -> None:
    """From the middle of the ridge's face down to the tail: both ends as points in the plane."""
    spec = RafterSpec(run, pitch(rise), ridge=ridge, overhang=F(overhang))
    (cut,) = frame(spec).cuts
    top = (float(run - ridge / 2), float(run - ridge / 2) * float(rise) / 12)
    tail = (-float(overhang), -overhang * float(rise) / 12)
    truth = math.dist(top, tail)
    assert float(cut.length.inches) == pytest.approx(truth, abs=2e-6)
    if abs(truth * 16 % 1 - 0.5) > 1e-4:  # a float cannot tell the middle between two marks
        assert float(on_tape(cut)) == math.floor(truth * 16 + 0.5) / 16


@given(RISES, RISES, RUNS, st.sampled_from([F(0), F(3, 4), F(3, 2)]), st.integers(0, 24))
def test_a_hip_runs_where_both_roofs_are_equally_high(
    main: F, end: F, run: F, ridge: F, overhang: int
) -> None:
    """Both roofs as planes over the plan: a point of the hip lies on both; its length is between two such points."""
    spec = HipSpec(run, HipSlope(pitch(main), pitch(end)), ridge=ridge, overhang=F(overhang))
    (cut,) = frame(spec).cuts

    def point(across: float) -> tuple[float, float, float]:
        height = across * float(main) / 12
        return across, height / (float(end) / 12), height

    truth = math.dist(point(float(run - ridge / 2)), point(-overhang))
    assert float(cut.length.inches) == pytest.approx(truth, abs=1e-5)


def test_a_roof_of_24_feet_at_7_in_12() -> None:
    # Reckoned by hand from the table above: half of a 1-1/2 ridge off, level.
    (rafter,) = frame(RafterSpec(F(144), pitch(7), 22)).cuts
    assert (rafter.count, on_tape(rafter)) == (22, F(165) + F(13, 16))
    (hip,) = frame(HipSpec(F(144), even(7))).cuts
    assert on_tape(hip) == F(219) + F(1, 8)
    (valley,) = frame(HipSpec(F(144), even(7), valley=True)).cuts
    assert (valley.piece, valley.length) == ("valley rafter", hip.length)
    (longer,) = frame(RafterSpec(F(144), pitch(7), overhang=F(12))).cuts
    assert to_tape(longer.length.inches - rafter.length.inches) == F(13) + F(7, 8)
    assert rafter.ends_shown() == "plumb 7/12 long point · plumb 7/12 short point"


def test_a_hip_between_the_end_commons_loses_half_their_45_degree_thickness() -> None:
    # NAVEDTRA 14044, figure 2-31: against the ridge half the ridge's 45° thickness, between the end
    # commons half theirs. 8/12, 24 ft, ridge 3/4: 224-9/16 or 223-15/16.
    at_ridge = frame(HipSpec(F(144), even(8), ridge=F(3, 4)))
    between = frame(HipSpec(F(144), even(8), ridge=F(3, 4), at_commons=True))
    assert on_tape(at_ridge.cuts[0]) == F(224) + F(9, 16)
    assert on_tape(between.cuts[0]) == F(223) + F(15, 16)
    level = fact(between, RemarkKind.HIP_SHORTENED, "level")
    assert isinstance(level, F)
    assert to_tape(level) == F(17, 16)


def test_a_hip_between_commons_of_unequal_roofs_ends_at_the_first_face_it_meets() -> None:
    """By coordinates: the end common's face across, the main common's face along, whichever comes first."""
    for main, end in ((6, 12), (12, 6)):
        slope = HipSlope(pitch(main), pitch(end))
        (cut,) = frame(HipSpec(F(144), slope, at_commons=True)).cuts
        aside = main / end
        across = min(144 - 0.75, (144 * aside - 0.75) / aside)
        truth = math.hypot(across, across * aside, across * main / 12)
        assert float(cut.length.inches) == pytest.approx(truth, abs=1e-5)


def test_the_ridge_of_a_hip_roof() -> None:
    # NAVEDTRA 14044, figure 2-54 (from memory): the line length is the building's less its span; the
    # actual length is more by the ridge's thickness, or by the commons' where hips stand between them.
    def ridge(slope: HipSlope | None = None, **more: object) -> F:
        found = frame(HipSpec(F(144), slope or even(8), length=F(480), **more))  # type: ignore[arg-type]  # fields
        return sum((c.length.inches for c in found.cuts if c.piece == "ridge"), F(0))

    assert ridge() == 480 - 288 + F(3, 2)
    assert ridge(ridge=F(3, 4)) == 480 - 288 + F(3, 4)
    assert ridge(ridge=F(3, 4), at_commons=True) == 480 - 288 + F(3, 2)
    # The end roof twice as steep runs half as far.
    assert ridge(HipSlope(pitch(6), pitch(12))) == 480 - 144 + F(3, 2)
    point = frame(HipSpec(F(144), even(8), length=F(288)))
    assert [cut.piece for cut in point.cuts] == ["hip rafter"]
    with pytest.raises(MeasureError):
        frame(HipSpec(F(144), even(8), length=F(280)))


def test_hip_drop_seat_and_height() -> None:
    # josephfusco.org, "Finding the Hip Drop": 8/12 and 1-1/2 stock, about 3/8 in.
    hip = frame(HipSpec(F(144), even(8), commons=TWO_BY_EIGHT))
    drop = fact(hip, RemarkKind.HIP_DROP, "drop")
    assert isinstance(drop, F)
    assert float(drop) == pytest.approx(0.75 * 8 / math.hypot(12, 12), abs=1e-6)
    assert to_tape(drop) == F(3, 8)
    seat = fact(hip, RemarkKind.HIP_SEAT, "seat")
    assert isinstance(seat, F)
    assert float(seat) == pytest.approx(3.5 * math.sqrt(2), abs=1e-6)
    commons, own = (fact(hip, RemarkKind.HIP_HEIGHT, name) for name in ("commons", "own"))
    assert isinstance(commons, F)
    assert commons - drop == own
    # A valley is neither backed nor dropped.
    valley = frame(HipSpec(F(144), even(8), valley=True, commons=TWO_BY_EIGHT))
    assert fact(valley, RemarkKind.HIP_HEIGHT, "own") == commons
    assert RemarkKind.HIP_DROP not in {each.kind for each in valley.facts}


def test_ridge_height_and_depth_beside_a_hip() -> None:
    # The same ridge as the commons': by coordinates, and by their own set. IRC R802.3 (from memory): ridge,
    # hip and valley no shallower than the rafter's cut end, 8.71 in. of a 2x8 at 8 in 12.
    hip = frame(HipSpec(F(144), even(8), commons=TWO_BY_EIGHT, section=TWO_BY_EIGHT))
    commons = frame(RafterSpec(F(144), pitch(8), section=TWO_BY_EIGHT))
    for kind, name in (
        (RemarkKind.RIDGE_HEIGHT, "top"),
        (RemarkKind.RIDGE_HEIGHT, "rise"),
        (RemarkKind.PLUMB_DEPTH, "deep"),
    ):
        assert fact(hip, kind, name) == fact(commons, kind, name)
    assert about(fact(hip, RemarkKind.SHALLOW_HIP, "cut")) == pytest.approx(8.713, abs=0.001)
    for size, shallow in ((F(8), True), (F(10), False)):
        found = frame(HipSpec(F(144), even(8), commons=TWO_BY_EIGHT, section=Section(F(2), size)))
        assert (RemarkKind.SHALLOW_HIP in {each.kind for each in found.cautions}) is shallow
    bare = frame(HipSpec(F(144), even(8)))
    assert fact(bare, RemarkKind.RIDGE_HEIGHT, "rise") == 96


@given(RISES, RISES)
def test_a_hips_edges_stand_over_both_roofs_by_the_drops(main: F, end: F) -> None:
    """A point half the thickness beside the hip, as high as its middle, over the plane of the roof below it."""
    slope = HipSlope(pitch(main), pitch(end))
    a, b = float(main) / 12, float(end) / 12
    along = (b / math.hypot(a, b), a / math.hypot(a, b))
    half = 0.75
    for drop, (across, away) in zip(
        slope.drops(F(3, 2)), ((-along[1], along[0]), (along[1], -along[0])), strict=True
    ):
        x, y = 100 * along[0] + half * across, 100 * along[1] + half * away
        over = 100 * along[0] * a - min(a * x, b * y)
        assert float(drop) == pytest.approx(over, abs=1e-6)


def test_height_above_the_plate_and_of_the_ridge() -> None:
    # By coordinates: the top edge is the rafter's depth square off its lower edge, which leaves the
    # plate at the inner end of the seat. 2x8 at 8/12: 6-3/8 over a 3-1/2 seat.
    above = height_above_plate(pitch(8), TWO_BY_EIGHT, F(7, 2))
    assert above is not None
    angle = math.atan2(8, 12)
    assert float(above) == pytest.approx(7.25 / math.cos(angle) - 3.5 * math.tan(angle), abs=1e-6)
    assert to_tape(above) == F(51, 8)
    roof = frame(RafterSpec(F(144), pitch(8), section=TWO_BY_EIGHT))
    top = fact(roof, RemarkKind.RIDGE_HEIGHT, "top")
    assert isinstance(top, F)
    assert float(top) == pytest.approx((144 - 0.75) * 8 / 12 + float(above), abs=1e-6)
    deep = fact(roof, RemarkKind.PLUMB_DEPTH, "deep")
    assert isinstance(deep, F)
    assert float(deep) == pytest.approx(8.713, abs=0.001)


# Reckoned: seat × sin(plumb).
@pytest.mark.parametrize("rise, deep", [(7, 1.764), (6, 1.565), (12, 2.475)])
def test_a_birdsmouth_of_three_and_a_half(rise: int, deep: float) -> None:
    assert float(seat_depth(pitch(rise), F(7, 2))) == pytest.approx(deep, abs=0.001)
    assert seat_depth(pitch(rise), F(0)) == 0


def test_a_deep_notch_and_a_short_seat_are_warned_of_and_never_ruled_on() -> None:
    # IRC R802.7.1 and R802.6 as quoted by trade pages: a quarter of the depth, 1-1/2 in. on wood.
    def cautions(spec: RafterSpec) -> set[RemarkKind]:
        return {each.kind for each in frame(spec).cautions}

    two_by_six = Section(F(2), F(6))
    deep, short = RemarkKind.DEEP_NOTCH, RemarkKind.SHORT_BEARING
    assert deep in cautions(RafterSpec(F(144), pitch(12), section=two_by_six))
    assert deep not in cautions(RafterSpec(F(144), pitch(6), section=TWO_BY_EIGHT))
    assert short in cautions(RafterSpec(F(144), pitch(6), seat=F(5, 4)))
    assert short not in cautions(RafterSpec(F(144), pitch(6), seat=F(3, 2)))


@pytest.mark.parametrize(
    "feet, spacing, side",
    [(40, 16, 31), (24, 24, 13), (20, 16, 16), (40, 24, 21)],
)
def test_the_buildings_length_gives_the_number_of_rafters(
    feet: int, spacing: int, side: int
) -> None:
    # Common practice: length over spacing, and one more.
    roof = frame(RafterSpec(F(144), pitch(6), length=F(feet * 12), spacing=F(spacing)))
    assert roof.cuts[0].count == 2 * side == 2 * (feet * 12 // spacing + 1)
    assert fact(roof, RemarkKind.RAFTER_COUNT, "side") == side


def test_ridge_and_fascia_run_the_buildings_length_and_past_its_gables() -> None:
    roof = frame(RafterSpec(F(144), pitch(6), length=F(480), rake=F(12)))
    lengths = {
        piece: sum(cut.length.inches * cut.count for cut in roof.cuts if cut.piece == piece)
        for piece in ("ridge", "fascia")
    }
    assert lengths == {"ridge": F(504), "fascia": F(1008)}
    assert all(cut.length.inches <= 288 for cut in roof.cuts)


def test_the_fascia_is_taken_off_the_overhang() -> None:
    plain = frame(RafterSpec(F(144), pitch(6), overhang=F(12))).cuts[0]
    less = frame(RafterSpec(F(144), pitch(6), overhang=F(12), fascia=F(3, 4))).cuts[0]
    same = frame(RafterSpec(F(144), pitch(6), overhang=F(45, 4))).cuts[0]
    assert less.length == same.length != plain.length
    with pytest.raises(MeasureError):
        frame(RafterSpec(F(144), pitch(6), overhang=F(1, 2), fascia=F(3, 4)))


@given(
    st.integers(1, 24),
    st.integers(40, 300),
    st.sampled_from([16, 24, F(96, 5)]),
    st.integers(0, 24),
)
def test_hip_jacks_reach_from_the_tail_to_the_hips_near_face(
    rise: int, run: int, spacing: F, overhang: int
) -> None:
    """By coordinates: the long point of the cheek is where the jack's far face meets the face of the hip."""
    spec = JackSpec("hip", F(run), even(rise), F(spacing), overhang=F(overhang))
    cuts = frame(spec).cuts
    assert len(cuts) == math.ceil(run / float(spacing)) - 1
    for n, cut in enumerate(reversed(cuts), start=1):
        # The hip's near face is x = y less its thickness across 45°; the jack's far face stands at y + 3/4.
        across = n * float(spacing) + 0.75 - 0.75 * math.sqrt(2)
        truth = (across + overhang) / math.cos(math.atan2(rise, 12))
        assert float(cut.length.inches) == pytest.approx(truth, abs=1e-5)


def test_jacks_fall_by_the_table_and_come_in_pairs() -> None:
    jacks = frame(JackSpec("hip", F(144), even(8), F(16), count=4))
    steps = {
        round(float(one.length.inches - two.length.inches), 2)
        for one, two in zip(jacks.cuts, jacks.cuts[1:], strict=False)
    }
    assert steps == {19.23}  # NAVEDTRA 14044
    assert {cut.count for cut in jacks.cuts} == {8}
    top = next(each for each in jacks.facts if each.kind is RemarkKind.JACK_CHEEK).value("top")
    assert round(float(top.degrees), 1) == 10.0  # type: ignore[union-attr]  # the same course: 8 in 12 has 10


def test_jacks_of_unequal_roofs_stand_under_each_other_on_the_plan() -> None:
    """At the end roof's plate the hip is reached elsewhere than at the main roof's."""
    slope = HipSlope(pitch(6), pitch(12))
    jacks = frame(JackSpec("hip", F(144), slope, F(16)))
    main = [cut for cut in jacks.cuts if cut.ends[0].rise == 6]
    end = [cut for cut in jacks.cuts if cut.ends[0].rise == 12]
    assert (len(main), len(end)) == (4, 8)
    # Coordinates: at 16 along the main plate (half as steep) the hip is 32 across, and 8 at the end plate.
    half = 0.75 * math.hypot(
        1, 2
    )  # half the hip across the main jack: 0.75 / sin(angle), tan = 1/2
    truth = (32 - half + 0.75 * 2) / math.cos(math.atan2(6, 12))
    assert float(main[-1].length.inches) == pytest.approx(truth, abs=1e-5)
    half = 0.75 * math.hypot(1, 2) / 2
    truth = (8 - half + 0.75 / 2) / math.cos(math.atan2(12, 12))
    assert float(end[-1].length.inches) == pytest.approx(truth, abs=1e-5)


@given(RISES, RISES, st.integers(60, 300), st.integers(1, 24), st.sampled_from([F(0), F(3, 4)]))
def test_tails_of_unequal_roofs_end_at_one_height_and_on_one_hip(
    main: F, end: F, run: int, overhang: int, fascia: F
) -> None:
    """By coordinates: the outer corner of the fascias is a point of the hip; each jack's tail ends a fascia before it."""
    slope = HipSlope(pitch(main), pitch(end))
    a, b = float(main) / 12, float(end) / 12
    try:
        cuts = frame(
            JackSpec("hip", F(run), slope, F(16), overhang=F(overhang), fascia=fascia)
        ).cuts
    except MeasureError:
        assert min(overhang, overhang * a / b) < fascia or run <= 16 * max(1, b / a)
        return
    for tangent, aside, out in ((a, a / b, overhang), (b, b / a, overhang * a / b)):
        if main == end:
            continue
        jacks = [c for c in cuts if c.ends[0].rise == F(round(tangent * 24), 2)]
        for n, cut in enumerate(reversed(jacks), start=1):
            # The hip's near face at the jack's far face, and the tail: both level from the plate.
            top = (16 * n + 0.75) / aside - 0.75 * math.hypot(1, 1 / aside)
            truth = (top + out - float(fascia)) * math.hypot(1, tangent)
            assert float(cut.length.inches) == pytest.approx(truth, abs=1e-5)
    # Both fascias stand as far below the plate.
    assert overhang * a == pytest.approx(overhang * a / b * b)


def test_the_steeper_roof_overhangs_less() -> None:
    # jlconline.com, "Laying Out a Split-Pitch Hip": 8 and 10 in 12 and 18 in. of overhang on both sides
    # need the steeper plate 3 in. higher. On plates of one height its tail is those 3 in. shorter, plumb.
    slope = HipSlope(pitch(8), pitch(10))
    other = fact(
        frame(JackSpec("hip", F(144), slope, F(16), overhang=F(18))),
        RemarkKind.OTHER_SIDE,
        "overhang",
    )
    assert other == F(72, 5)
    assert (18 - other) * F(10, 12) == 3
    even_roof = frame(JackSpec("hip", F(144), even(8), F(16), overhang=F(18)))
    assert RemarkKind.OTHER_SIDE not in {each.kind for each in even_roof.facts}


def test_valley_jacks_are_shortened_at_the_ridge_and_at_the_valley() -> None:
    # "Carpentry refresher" (pressbooks.pub), valley jacks: the run is the distance from where ridge
    # and valley meet; half the ridge off at the top as for a common, half the valley's 45° thickness
    # at the bottom. Its 4/12 example: 18 in. of run has a line length of 18.975.
    line = pitch(4).along(F(18))
    assert float(line) == pytest.approx(18.975, abs=0.002)
    (shortest, *_) = reversed(frame(JackSpec("valley", F(144), even(4), F(18))).cuts)
    level = 18 - 0.75 - 0.75 * math.sqrt(2) + 0.75
    assert float(shortest.length.inches) == pytest.approx(level * 12.6491 / 12, abs=1e-3)


def test_cripple_jacks_between_hip_and_valley_are_all_alike() -> None:
    # NAVEDTRA 14044: half the 45° thickness of the hip at the top, of the valley at the bottom; the
    # run is the plate between them (Radford's Cyclopedia of Construction, vol. 3).
    (cripple,) = frame(JackSpec("cripple", F(72), even(6), F(16), count=5)).cuts
    assert cripple.count == 5
    truth = (72 - 1.5 * math.sqrt(2)) / math.cos(math.atan2(6, 12))
    assert float(cripple.length.inches) == pytest.approx(truth, abs=1e-5)


def test_valley_cripples_differ_by_twice_the_common_difference() -> None:
    # NAVEDTRA 14044: the run of the first is twice the spacing, of the second twice that; half the 45°
    # thickness of a valley off at each end. At 8 in 12 and 16 in. twice 19.23.
    cuts = frame(JackSpec("valley cripple", F(120), even(8), F(16))).cuts
    steps = [
        float(one.length.inches - two.length.inches)
        for one, two in zip(cuts, cuts[1:], strict=False)
    ]
    assert len(cuts) == 3
    told = fact(
        frame(JackSpec("valley cripple", F(120), even(8), F(16))), RemarkKind.JACK_STEP, "step"
    )
    assert about(told) == pytest.approx(2 * 19.2296, abs=1e-3)
    assert steps == pytest.approx([2 * 19.23, 2 * 19.23], abs=0.01)
    # Coordinates: long points of cheeks that run against each other stand 3/4 past the middle.
    truth = (32 - 1.5 * math.sqrt(2) + 1.5) / math.cos(math.atan2(8, 12))
    assert float(cuts[-1].length.inches) == pytest.approx(truth, abs=1e-5)


def test_gable_studs_differ_by_the_common_difference() -> None:
    # NAVEDTRA 14044, figure 2-29: 16 in. on centre at 6 in 12 is 8 in. The others are spacing × rise / 12.
    for spacing, rise, step in ((16, 6, F(8)), (24, 5, F(10)), (16, 2, F(8, 3))):
        gable = frame(RakeSpec(F(288), pitch(rise), spacing=F(spacing), gable=True))
        lengths = [cut.length.inches for cut in gable.cuts]
        assert {one - two for one, two in zip(lengths, lengths[1:], strict=False)} == {step}
        assert {cut.count for cut in gable.cuts} == {2}
    assert to_tape(F(8, 3)) == F(43, 16)


@given(st.integers(1, 18), st.integers(60, 400), st.sampled_from([16, 24]))
def test_a_gable_stud_ends_at_the_underside_of_the_end_rafter(
    rise: int, span: int, spacing: int
) -> None:
    """The rafter's lower edge leaves the plate 3-1/2 in. from the outside and rises with the roof."""
    gable = frame(RakeSpec(F(span), pitch(rise), spacing=F(spacing), gable=True))
    for stud in gable.layout:
        inner = stud.right if stud.right <= F(span) / 2 else F(span) - stud.left
        assert float(stud.cut_length) == pytest.approx((float(inner) - 3.5) * rise / 12, abs=1e-6)
        assert stud.right <= F(span) / 2 or stud.left >= F(span) / 2


@given(st.integers(1, 12), st.integers(30, 240))
def test_a_rake_walls_studs_reach_its_plates(rise: int, length: int) -> None:
    wall = frame(RakeSpec(F(length), pitch(rise), F(96)))
    studs = [each for each in wall.layout if each.piece == "stud"]
    plumb = 1.5 / math.cos(math.atan2(rise, 12))
    for stud in studs:
        top = 96 + float(stud.right) * rise / 12 - 2 * plumb
        assert float(stud.bottom + stud.cut_length) == pytest.approx(top, abs=1e-5)
    middles = [stud.left + stud.width / 2 for stud in studs]
    assert max(b - a for a, b in zip(middles, middles[1:], strict=False)) <= 16
    plates = sum(cut.length.inches * cut.count for cut in wall.cuts if cut.piece == "plate")
    slope = 1 / math.cos(math.atan2(rise, 12))
    assert float(plates) == pytest.approx(2 * length * slope, abs=1e-4)


def test_plates_of_a_long_rake_wall_are_joined_over_studs_and_apart() -> None:
    found = frame(RakeSpec(F(480), pitch(F(15, 2)), HEIGHT))
    plates = [cut for cut in found.cuts if cut.piece in ("plate", "sole plate")]
    assert all(cut.length.inches <= 288 for cut in plates)
    slope = math.hypot(12, 7.5) / 12
    rakes = sum(about(c.length.inches) * c.count for c in plates if c.piece == "plate")
    assert rakes == pytest.approx(2 * 480 * slope, abs=1e-4)
    assert sum(c.length.inches * c.count for c in plates if c.piece == "sole plate") == 480
    joined = {
        name: fact(found, RemarkKind.RAKE_JOINTS, name) for name in ("sole", "lower", "upper")
    }
    middles = {each.left + each.width / 2 for each in found.layout if each.piece == "stud"}
    lower, upper = joined["lower"], joined["upper"]
    assert isinstance(lower, tuple)
    assert isinstance(upper, tuple)
    assert {*lower, *upper, *joined["sole"]} <= middles  # type: ignore[misc]  # a tuple
    assert all(abs(one - two) >= 24 for one in lower for two in upper)  # IRC R602.3.2
    assert {each.piece for each in found.layout} == {"sole plate", "stud"}
    short = frame(RakeSpec(F(144), pitch(4), HEIGHT))
    assert RemarkKind.RAKE_JOINTS not in {each.kind for each in short.facts}


def about(value: Value) -> float:
    assert isinstance(value, F)
    return float(value)


def test_what_is_told_of_commons() -> None:
    roof = frame(RafterSpec(F(144), pitch(7), overhang=F(12), length=F(480), spacing=F(24)))
    slope = math.hypot(12, 7) / 12
    lengths = RemarkKind.SLOPE_LENGTHS
    assert about(fact(roof, lengths, "upper")) == pytest.approx(143.25 * slope, abs=1e-5)
    assert about(fact(roof, lengths, "tail")) == pytest.approx(12 * slope, abs=1e-5)
    assert about(fact(roof, RemarkKind.BIRDSMOUTH, "heel")) == pytest.approx(3.5 * 7 / 12)
    assert fact(roof, RemarkKind.RIDGE_HEIGHT, "rise") == 84
    marks = fact(roof, RemarkKind.RAFTER_MARKS, "marks")
    assert isinstance(marks, tuple)
    assert (marks[0], marks[1], marks[-1]) == (0, F(93, 4), F(957, 2))
    assert (roof.title.value("count"), roof.title.value("run")) == (42, 144)
    assert roof.profile is not None
    assert (roof.profile.rise, roof.profile.run) == (84, 144)


def test_what_is_told_of_hips() -> None:
    hip = frame(HipSpec(F(144), even(7), overhang=F(12)))
    per = math.sqrt(2 + (7 / 12) ** 2)
    for name, level in (("theory", 144), ("upper", 143.25), ("tail", 12)):
        value = about(fact(hip, RemarkKind.HIP_LENGTHS, name))
        assert value == pytest.approx(level * per, abs=1e-5)
    backing = fact(hip, RemarkKind.HIP_CHEEKS, "backing")
    # NAVEDTRA 14044's angles: atan(sin(22.415°)) for 7 in 12.
    assert float(backing.degrees) == pytest.approx(  # type: ignore[union-attr]  # an angle
        math.degrees(math.atan(math.sin(math.radians(22.415)))), abs=0.01
    )
    unequal = frame(HipSpec(F(144), HipSlope(pitch(6), pitch(12)), overhang=F(12)))
    cheeks = [fact(unequal, RemarkKind.HIP_CHEEKS_UNEQUAL, name) for name in ("main", "end")]
    assert [float(each.degrees) for each in cheeks] == pytest.approx(  # type: ignore[union-attr]
        [math.degrees(math.atan2(2, 1)), math.degrees(math.atan2(1, 2))], abs=0.01
    )
    # Half as far on the roof that is twice as steep, so that both fascias are as low.
    assert fact(unequal, RemarkKind.OTHER_SIDE, "overhang") == 6
    main, end = (about(fact(unequal, RemarkKind.HIP_DROPS, name)) for name in ("main", "end"))
    assert (main, end) == pytest.approx(
        (0.75 * 0.25 / math.hypot(0.5, 1), 0.75 / math.hypot(0.5, 1)), abs=1e-6
    )
    assert hip.profile is not None
    assert (hip.profile.rise, hip.profile.piece) == (84, "hip")


def test_the_cut_of_a_hip_is_its_rise_or_the_saws_angle() -> None:
    (whole,) = frame(HipSpec(F(144), even(7))).cuts
    assert (whole.ends[0].kind, whole.ends[0].rise, whole.ends[0].miter) == ("hip", 7, None)
    assert (whole.ends[0].point, whole.ends[0].cheek) == ("long", "double")
    assert (whole.ends[1].point, whole.ends[1].cheek) == ("short", None)
    (half,) = frame(HipSpec(F(144), even(F(13, 2)))).cuts
    assert (half.ends[0].rise, half.ends[0].miter) == (F(13, 2), None)
    truth = math.degrees(math.atan2(6.5, math.hypot(12, 12)))
    assert off_square(half.ends[0]) == pytest.approx(truth)
    (cut,) = frame(HipSpec(F(144), HipSlope(pitch(6), pitch(12)))).cuts
    assert cut.ends[0].rise is None
    truth = math.degrees(math.atan2(6, math.hypot(12, 6)))
    assert float(cut.ends[0].miter or 0) == pytest.approx(truth, abs=0.006)


def test_what_is_told_of_jacks() -> None:
    slope = math.hypot(12, 8) / 12
    jacks = frame(JackSpec("hip", F(144), even(8), F(16), count=2, hip=F(3)))
    assert about(fact(jacks, RemarkKind.JACK_STEP, "step")) == pytest.approx(16 * slope, abs=1e-5)
    assert fact(jacks, RemarkKind.JACK_POINT, "hip") == 3
    less = about(fact(jacks, RemarkKind.JACK_POINT, "less"))
    assert less == pytest.approx(0.75 * slope, abs=1e-5)
    bevel = fact(jacks, RemarkKind.JACK_CHEEK, "bevel")
    assert float(bevel.degrees) == 45  # type: ignore[union-attr]  # an angle
    assert jacks.title.value("pieces") == 8 * 2 * 2
    thick = frame(JackSpec("hip", F(144), even(8), F(16), section=Section(F(4), F(6))))
    thin = frame(JackSpec("hip", F(144), even(8), F(16)))
    longer = thick.cuts[0].length.inches - thin.cuts[0].length.inches
    assert float(longer) == pytest.approx(slope, abs=1e-5)  # half of 3-1/2 less half of 1-1/2
    tails = frame(JackSpec("hip", F(144), even(8), F(16), overhang=F(12), fascia=F(3, 4)))
    longer = tails.cuts[0].length.inches - thin.cuts[0].length.inches
    assert float(longer) == pytest.approx(11.25 * slope, abs=1e-5)


def test_gable_and_rake_studs_are_told_from_the_near_end() -> None:
    for spec in (
        RakeSpec(F(288), pitch(6), gable=True),
        RakeSpec(F(144), pitch(4), F(96), spacing=F(24)),
    ):
        found = frame(spec)
        marks = fact(found, RemarkKind.STUD_MARKS, "marks")
        studs = [each.left for each in found.layout if each.upright]
        assert marks == tuple(sorted(studs))
        step = fact(found, RemarkKind.COMMON_DIFFERENCE, "step")
        assert step == spec.spacing * spec.pitch.tangent
        bevel = {cut.ends[1].bevel for cut in found.cuts if cut.piece in ("stud", "gable stud")}
        assert bevel == {spec.pitch.plumb.degrees}


def test_half_and_degree_pitches() -> None:
    half = frame(RafterSpec(F(144), pitch(F(13, 2)))).cuts[0]
    truth = (144 - 0.75) * math.hypot(12, 6.5) / 12
    assert float(half.length.inches) == pytest.approx(truth, abs=1e-5)
    assert half.ends[0].rise == F(13, 2)
    assert off_square(half.ends[0]) == pytest.approx(28.443, abs=0.001)
    degrees = frame(RafterSpec(F(144), Pitch(degrees=F(30)))).cuts[0]
    truth = (144 - 0.75) / math.cos(math.radians(30))
    assert float(degrees.length.inches) == pytest.approx(truth, abs=1e-5)
    assert degrees.ends[0].miter == 30


@pytest.mark.parametrize(
    "make",
    [
        lambda: Pitch(F(0)),
        lambda: Pitch(degrees=F(85)),
        lambda: frame(RafterSpec(F(1, 2), pitch(7))),
        lambda: frame(HipSpec(F(1, 2), even(7))),
        lambda: frame(JackSpec("hip", F(12), even(7), F(16))),
        lambda: frame(JackSpec("cripple", F(2), even(7), F(16))),
        lambda: frame(RakeSpec(F(12), pitch(7), gable=True)),
        lambda: frame(RakeSpec(F(120), pitch(7), F(3))),
    ],
)
def test_no_roof_no_jack_no_stud_is_an_error_with_facts(make) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(MeasureError) as caught:
        make()
    assert caught.value.problem.values

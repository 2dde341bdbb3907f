"""Numbers of the trade, each on both of its sides: stairs, notches, sheets, caps, sills, and what a measure may be."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise, permutations

import pytest

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    HeaderSpec,
    MeasureError,
    OpeningSpec,
    Pitch,
    RafterSpec,
    Remark,
    RemarkKind,
    Spec,
    StairSpec,
    WallSpec,
    calculate,
    roof,
    stairs,
)
from cutmemo.framing.centres import sheets
from cutmemo.framing.plates import cap_stretches, joints, plates
from cutmemo.framing.wall_frame import WallFrame
from cutmemo.framing.wall_remarks import plate_facts
from cutmemo.language import measures, specs
from cutmemo.language.sets import AssemblyCall, Framing, HeaderSaid, Opening, PitchSaid

K = RemarkKind
CREW = Settings()
MM = F(5, 127)
"""Inches, exactly (NIST SP 811, appendix B)."""
THICK = F(3, 2)
SLIVER = F(1, 64)
HEADER = HeaderSpec(Section(F(2), F(8)))
HEIGHT = F(777, 8)


def remarks(spec: Spec) -> list[Remark]:
    found = calculate(spec, CREW)
    return [*found.facts, *found.cautions]


def kinds(spec: Spec) -> list[RemarkKind]:
    return [each.kind for each in remarks(spec)]


# --- stairs and rafters ---------------------------------------------------------------------------


def test_the_limits_of_stairs_are_those_of_the_code() -> None:
    # IRC R311.7 as quoted by trade pages; editions differ. 12 ft 3 in. and, since 2018, 12 ft 7 in.
    assert F(12 * 12 + 3) == stairs.MAX_FLIGHT
    assert F(12 * 12 + 7) == stairs.MAX_FLIGHT_SINCE_2018
    assert F(7) + F(3, 4) == stairs.MAX_RISER
    assert F(10) == stairs.MIN_RUN
    assert F(3) + F(1, 2) == stairs.MIN_THROAT
    assert F(3 * 12) == stairs.MIN_WIDTH == stairs.MIN_LANDING
    assert F(6 * 12 + 8) == stairs.MIN_HEADROOM


@pytest.mark.parametrize(("over", "needs"), [(-SLIVER, False), (F(0), False), (SLIVER, True)])
def test_a_flight_past_147_inches_needs_a_landing_and_both_editions_are_told(
    over: F, needs: bool
) -> None:
    found = remarks(StairSpec(147 + over))
    told = [each for each in found if each.kind is K.NEEDS_LANDING]
    assert bool(told) is needs
    for each in told:
        assert (each.value("older"), each.value("since")) == (147, 151)
        assert each.value("landings") == 1


@pytest.mark.parametrize(
    ("rise", "risers"),
    [(F(1), 1), (F(31, 4), 1), (F(31, 4) + SLIVER, 2), (F(31, 2), 2), (F(14), 2), (F(35, 2), 3)],
)
def test_no_riser_is_higher_than_seven_and_three_quarters(rise: F, risers: int) -> None:
    assert stairs.risers_for(rise) == risers
    assert rise / risers <= F(31, 4)


def test_the_risers_are_as_many_as_come_nearest_to_seven_inches_each() -> None:
    """Half way between two counts the greater; 7 in. is common practice."""
    for half_inches in range(2, 300):
        rise = F(half_inches, 2)
        risers = stairs.risers_for(rise)
        fewest = max(1, math.ceil(rise / F(31, 4)))
        if risers > fewest:
            assert abs(rise / 7 - risers) <= F(1, 2)
            assert rise / 7 - risers < F(1, 2)
        else:
            assert rise / 7 - risers < F(1, 2) or rise / 7 < 1


@pytest.mark.parametrize("name", ["run", "width"])
def test_treads_and_widths_are_minded_below_their_least_and_not_at_it(name: str) -> None:
    least, kind = (F(10), K.SHORT_TREADS) if name == "run" else (F(36), K.NARROW)
    for value, told in ((least - SLIVER, True), (least, False), (least + SLIVER, False)):
        assert (kind in kinds(replace(StairSpec(F(98)), **{name: value}))) is told  # type: ignore[arg-type]


@pytest.mark.parametrize(("over", "told"), [(-SLIVER, False), (F(0), False), (SLIVER, True)])
def test_a_notch_of_just_a_quarter_of_the_depth_is_none_too_deep(over: F, told: bool) -> None:
    # At 9 in 12 the triangle is 3-4-5: a seat goes 3/5 of itself deep, and a 2x8 is 7-1/4 (PS 20).
    seat = F(29, 16) * F(5, 3) + over
    assert roof.seat_depth(Pitch(F(9)), seat) == seat * F(3, 5)
    spec = RafterSpec(F(144), Pitch(F(9)), seat=seat, section=Section(F(2), F(8)))
    assert (K.DEEP_NOTCH in kinds(spec)) is told
    assert K.DEEP_NOTCH not in kinds(replace(spec, section=None))


def test_a_seat_of_nothing_cuts_no_notch() -> None:
    assert roof.seat_depth(Pitch(F(9)), F(0)) == 0
    assert roof.height_above_plate(Pitch(F(9)), Section(F(2), F(8)), F(0)) == F(29, 4) * F(5, 4)
    assert roof.height_above_plate(Pitch(F(9)), None, F(4)) is None


@pytest.mark.parametrize(
    ("fascia", "tail"), [(F(0), F(12)), (F(3, 2), F(21, 2)), (F(12), F(0)), (F(13), None)]
)
def test_a_fascia_takes_its_thickness_off_the_tail(fascia: F, tail: F | None) -> None:
    if tail is not None:
        assert roof.tail_of(F(12), fascia) == tail
        return
    with pytest.raises(MeasureError):
        roof.tail_of(F(12), fascia)


# --- walls ----------------------------------------------------------------------------------------


def ends_on(spacing: F, length: F) -> bool:
    return (length / spacing).denominator == 1


@pytest.mark.parametrize(
    ("spacing", "metric"),
    [
        *((F(inches), False) for inches in (5, 7, 10, 14, 15, 18, 20, 26)),
        (F(127 * 5) * MM, False),  # 25 in.
        (F(29, 2), False),
        *((millimetres * MM, True) for millimetres in (350, 450, 500, 650, 700)),
    ],
)
def test_sheets_that_end_in_the_air_are_told_in_the_units_of_the_spacing(
    spacing: F, metric: bool
) -> None:
    width, length = (F(1200) * MM, F(2400) * MM) if metric else (F(48), F(96))
    (told,) = sheets(spacing)
    assert (told.value("short"), told.value("long")) == (width, length)
    turned = any(ends_on(spacing, each) for each in (F(96), 2400 * MM))
    assert told.kind is (K.SHEETS_ACROSS if turned else K.SHEETS_NEVER)
    assert bool(list(sheets(spacing, across=True))) is not turned


@pytest.mark.parametrize("spacing", [F(12), F(16), F(24), F(48), 300 * MM, 400 * MM, 600 * MM])
def test_where_sheets_end_on_members_nothing_is_told(spacing: F) -> None:
    assert list(sheets(spacing)) == list(sheets(spacing, across=True)) == []


def test_a_cap_has_a_gap_at_each_tee_in_whatever_order_they_were_named() -> None:
    # Its stretches and the partitions (2x4s are 3-1/2 in. deep, PS 20) make up the length together.
    for tees in permutations((F(40), F(90), F(150))):
        found = cap_stretches(WallSpec(F(192), HEIGHT, tees=tees))
        assert found == [
            (F(0), F(40) - F(7, 4)),
            (F(40) + F(7, 4), F(90) - F(7, 4)),
            (F(90) + F(7, 4), F(150) - F(7, 4)),
            (F(150) + F(7, 4), F(192)),
        ]
    wide = WallSpec(F(192), HEIGHT, tees=(F(90), F(40)), partition=Section(F(2), F(6)))
    assert [two[0] - one[1] for one, two in pairwise(cap_stretches(wide))] == [F(11, 2)] * 2


@pytest.mark.parametrize("deep", [4, 6])
def test_a_cap_is_short_of_a_wall_that_laps_over_it_and_goes_past_one_it_laps_over(
    deep: int,
) -> None:
    wall = WallSpec(F(192), HEIGHT, section=Section(F(2), F(deep)))
    laps = F(deep) - F(1, 2)  # PS 20
    for corners, butts, start, end in (
        ((), (), 0, 0),
        (("left",), (), laps, 0),
        (("right",), (), 0, -laps),
        ((), ("left",), -laps, 0),
        ((), ("right",), 0, laps),
        (("left",), ("right",), laps, laps),
        (("left", "right"), (), laps, -laps),
    ):
        spec = replace(wall, corners=frozenset(corners), butts=frozenset(butts))
        assert cap_stretches(spec) == [(start, 192 + end)]


def test_lumber_of_no_known_depth_laps_over_nothing() -> None:
    odd = Section(F(7), F(13))
    for ends in (frozenset({"left"}), frozenset({"left", "right"})):
        for spec in (
            WallSpec(F(192), HEIGHT, section=odd, corners=ends),  # type: ignore[arg-type]
            WallSpec(F(192), HEIGHT, section=odd, butts=ends),  # type: ignore[arg-type]
        ):
            assert cap_stretches(spec) == [(0, 192)]
    assert cap_stretches(WallSpec(F(192), HEIGHT, tees=(F(90),), partition=odd)) == [
        (0, 90),
        (90, 192),
    ]


def test_as_much_is_told_of_a_lap_and_a_gap_as_the_cap_has() -> None:
    corner, tee = frozenset({"left"}), (F(90),)
    for section, wide in ((Section(F(2), F(6)), F(11, 2)), (Section(F(7), F(13)), F(0))):
        lapped = WallSpec(F(192), HEIGHT, section=section, corners=corner)  # type: ignore[arg-type]
        gapped = WallSpec(F(192), HEIGHT, tees=tee, partition=section)
        for spec, kind in ((lapped, K.CAP_LAPS), (gapped, K.CAP_GAPS)):
            (fact,) = plate_facts(spec, (), ())
            assert (fact.kind, fact.value("wide")) == (kind, wide)
        assert cap_stretches(lapped)[0][0] == wide
    assert list(plate_facts(WallSpec(F(192), HEIGHT), (), ())) == []
    joined = [each.kind for each in plate_facts(WallSpec(F(192), HEIGHT), (F(96),), ())]
    assert joined == [K.PLATE_JOINTS]


@pytest.mark.parametrize(
    ("end", "longest", "middles", "apart_from", "found", "apart"),
    [
        # As far out as a board reaches, a joint 24 in. from both ends before one that is not.
        (130, 60, (60, 70, 110), (), [60, 110], True),
        (140, 60, (60, 70, 110), (), [60, 110], True),
        (120, 100, (24, 96, 97), (), [96], True),
        (120, 100, (23, 97), (), [97], True),
        (120, 100, (24, 97), (), [24], True),
        (120, 100, (23, 24, 97), (), [24], True),
        # No board, no joint; a board that just reaches needs none.
        (100, 100, (50,), (), [], True),
        (101, 100, (50, 100), (), [50], True),
        # From joints of the other plate 24 in. or more, where a stud is there.
        (120, 100, (40, 64, 88), (64,), [88], True),
        (120, 100, (41, 64, 87), (64,), [87], False),
        (120, 100, (40, 64, 87), (64,), [40], True),
        # Where no stud is reached, at the end of the board.
        (120, 100, (20, 88), (80,), [20], True),
        (120, 100, (), (), [100], False),
        (120, 100, (101, 110), (), [100], False),
    ],
)
def test_where_a_plate_is_joined(
    end: int,
    longest: int,
    middles: tuple[int, ...],
    apart_from: tuple[int, ...],
    found: list[int],
    apart: bool,
) -> None:
    whole = (F(0), F(end))
    studs, others = [F(each) for each in middles], [F(each) for each in apart_from]
    assert joints(whole, F(longest), studs, others) == (found, apart)
    # Anywhere along a wall it is the same.
    moved = joints(
        (F(1000), F(1000 + end)),
        F(longest),
        [1000 + at for at in studs],
        [1000 + at for at in others],
    )
    assert moved == ([1000 + at for at in found], apart)


def test_plates_whose_joints_cannot_be_apart_say_so_whichever_has_the_last_one() -> None:
    spec = WallSpec(F(300), HEIGHT)
    _, lower, upper, apart = plates(spec, [F(150)], F(200))
    assert (lower, upper, apart) == ((150,), (150,), False)
    _, lower, upper, apart = plates(spec, [F(126), F(150)], F(200))
    assert (lower, upper, apart) == ((150,), (126,), True)
    _, lower, upper, apart = plates(spec, [F(127), F(150)], F(200))
    assert apart is False


@pytest.mark.parametrize(("middle", "apart"), [(124, False), (126, True), (76, False), (74, True)])
def test_a_plate_is_joined_24_inches_from_both_sides_of_a_tee(middle: int, apart: bool) -> None:
    # The cap has a gap from 98-1/4 to 101-3/4, the depth of a 2x4 (PS 20).
    spec = WallSpec(F(300), HEIGHT, tees=(F(100),))
    _, lower, upper, found = plates(spec, [F(middle)], F(230))
    assert (lower, upper, found) == ((middle,), (), apart)
    assert (min(abs(middle - F(393, 4)), abs(middle - F(407, 4))) >= 24) is apart


@pytest.mark.parametrize("longest", [F(300), F(200), F(120), F(96)])
@pytest.mark.parametrize("tees", [(), (F(100),), (F(100), F(180))])
def test_plates_reach_from_end_to_end_and_a_cap_leaves_out_its_tees(
    longest: F, tees: tuple[F, ...]
) -> None:
    spec = WallSpec(F(300), HEIGHT, tees=tees)
    placed, lower, upper, _ = plates(spec, [F(16 * n) for n in range(19)], longest)
    rows: dict[F, list[tuple[F, F]]] = {}
    for each in placed:
        assert each.width <= longest
        assert each.height == THICK
        rows.setdefault(each.bottom, []).append((each.left, each.left + each.width))
    assert list(rows) == [0, HEIGHT - 2 * THICK, HEIGHT - THICK]
    sole, top, cap = rows.values()
    ends = [F(0), *lower, F(300)]
    assert sole == top == list(pairwise(ends))
    gaps = [at for tee in tees for at in (tee - F(7, 4), tee + F(7, 4))]
    assert sorted({at for piece in cap for at in piece}) == sorted({F(0), F(300), *upper, *gaps})
    assert sum(right - left for left, right in cap) == 300 - F(7, 2) * len(tees)


def test_under_a_door_there_is_no_sill_to_pack_and_under_a_sill_less_than_a_stud_is() -> None:
    door = OpeningSpec(F(36), F(80), F(48), HEADER)
    plain = WallSpec(F(144), HEIGHT)
    for sill, under, packs in (
        (None, F(0), False),
        (2 * THICK, F(0), False),
        (2 * THICK + SLIVER, SLIVER, True),
        (3 * THICK - SLIVER, THICK - SLIVER, True),
        (3 * THICK, THICK, False),
        (F(36), F(33), False),
    ):
        opening = replace(door, sill=sill)
        spec = replace(plain, openings=(opening,))
        assert WallFrame(spec).under(opening) == under
        assert (K.PACK_SILL in kinds(spec)) is packs, sill


def test_cripples_under_a_sill_stand_at_both_ends_and_in_no_other_ones_place() -> None:
    for sixteenths in range(16 * 40, 16 * 57, 5):
        at = F(sixteenths, 16)
        window = OpeningSpec(F(34), F(80), at, HEADER, sill=F(36))
        found = calculate(WallSpec(F(144), HEIGHT, openings=(window,)), CREW).layout
        under = sorted(p.left for p in found if p.piece == "cripple" and p.bottom == THICK)
        assert (under[0], under[-1]) == (at, at + 34 - THICK)
        steps = [two - one for one, two in pairwise(under)]
        assert all(THICK <= step <= 16 for step in steps), (at, under)


# --- measures that are said -----------------------------------------------------------------------

# Common practice: what no spacing, building, board, plate or tail passes, in inches.
MOST = {
    "spacing": 96,
    "length": 3600,
    "span": 2400,
    "run": 2400,
    "high": 1200,
    "rise": 1200,
    "ridge": 8,
    "plate": 12,
    "fascia": 4,
    "hip": 8,
    "thick": 4,
    "board": 12,
    "gap": 1,
    "overhang": 144,
    "rake": 144,
    "cantilever": 144,
}
LEAST = dict.fromkeys(("span", "run", "length", "high", "rise", "width", "well", "board"), 1) | {
    "spacing": 4
}


def refused(what: Framing, name: str, value: F) -> RemarkKind | None:
    try:
        measures._refuse_sizes(AssemblyCall(what, inches=((name, value),)))
    except MeasureError as error:
        return error.problem.kind
    return None


@pytest.mark.parametrize(
    ("what", "name", "most"),
    [
        *(("rafters", name, most) for name, most in MOST.items()),
        ("stairs", "run", 48),
        ("stairs", "width", 240),
        ("floor", "width", None),
    ],
)
def test_no_measure_is_more_than_anybody_builds(what: Framing, name: str, most: int | None) -> None:
    if most is None:
        assert refused(what, name, F(100_000)) is None
        return
    assert refused(what, name, F(most)) is None
    assert refused(what, name, most + SLIVER) is K.PAST_ANY


@pytest.mark.parametrize("name", [*LEAST, *sorted(MOST.keys() - LEAST.keys())])
def test_no_measure_is_less_than_anybody_builds(name: str) -> None:
    least = LEAST.get(name)
    assert refused("rafters", name, F(least or 0)) is None
    if least is not None:
        assert refused("rafters", name, least - SLIVER) is K.UNDER_ANY


@pytest.mark.parametrize(("number", "fits"), [(1, True), (99, True), (100, False)])
def test_no_more_than_99_of_a_kind_are_counted(number: int, fits: bool) -> None:
    called = AssemblyCall("stairs", numbers=(("stringers", number),))
    if fits:
        measures._refuse_sizes(called)
        return
    with pytest.raises(MeasureError) as caught:
        measures._refuse_sizes(called)
    assert caught.value.problem.kind is K.PAST_COUNT


@pytest.mark.parametrize(
    ("inches", "low"),
    [(F(24) - SLIVER, False), (F(24), True), (F(60) - SLIVER, True), (F(60), False)],
)
def test_a_header_from_two_to_five_feet_up_may_be_the_windows_height(inches: F, low: bool) -> None:
    called = AssemblyCall("wall", openings=(Opening(F(36), inches, F(24)),))
    found = [each.kind for each in measures.doubtful_measures(called)]
    assert (K.LOW_HEAD in found) is low


def test_an_opening_without_a_header_has_the_walls_or_the_next_ones_or_the_one_before() -> None:
    deep = [HeaderSaid(Section(F(2), F(wide)), plies=2) for wide in (4, 6, 8, 10, 12)]

    def headers(*own: HeaderSaid | None, wall: HeaderSaid | None = None) -> list[Section]:
        openings = tuple(
            Opening(F(36), F(80), F(24 + 48 * n), header=each) for n, each in enumerate(own)
        )
        called = AssemblyCall("wall", openings=openings, header=wall)
        return [each.header.section for each in specs._openings(called)]

    four, six, eight, ten, _ = (each.section for each in deep)
    assert headers(deep[0], deep[1], None, None) == [four, six, six, six]
    assert headers(None, deep[0], None, deep[1], None) == [four, four, six, six, six]
    assert headers(deep[0], None, deep[1], wall=deep[2]) == [four, eight, six]
    assert headers(None, None, wall=deep[3]) == [ten, ten]
    with pytest.raises(MeasureError):
        headers(None, None)


@pytest.mark.parametrize(
    ("section", "said", "plies"),
    [
        (Section(F(2), F(8)), None, 2),
        (Section(F(2), F(8)), 1, 1),
        (Section(F(2), F(8)), 3, 3),
        (Section(F(4), F(8)), None, 1),
        (Section(F(4), F(8)), 2, 2),
    ],
)
def test_a_two_by_header_is_doubled_unless_its_plies_were_said(
    section: Section, said: int | None, plies: int
) -> None:
    found = specs._header(HeaderSaid(section, said))
    assert (found.plies, found.plies_said) == (plies, said is not None)


NEEDED: dict[Framing, tuple[str, ...]] = {
    "rafters": ("run", "pitch"),
    "hips": ("run", "pitch"),
    "valleys": ("run", "pitch"),
    "jacks": ("run", "pitch", "spacing"),
    "valley jacks": ("run", "pitch", "spacing"),
    "cripple jacks": ("run", "pitch"),
    "valley cripples": ("run", "pitch", "spacing"),
    "gable studs": ("run", "pitch"),
    "rake wall": ("length", "high", "pitch"),
    "wall": ("length", "high"),
    "floor": ("length", "span"),
    "deck": ("length", "span"),
    "stairs": ("rise",),
}
SAID = {name: F(inches) for name, inches in (("run", 144), ("length", 192), ("high", 97))} | {
    "span": F(150),
    "rise": F(107),
    "spacing": F(16),
}


def called(what: Framing, *names: str) -> AssemblyCall:
    """Return *what* with measures of these names."""
    inches = tuple((name, SAID[name]) for name in names if name != "pitch")
    return AssemblyCall(what, inches=inches, pitch=PitchSaid(F(8)) if "pitch" in names else None)


@pytest.mark.parametrize("what", NEEDED)
def test_a_set_that_lacks_a_measure_names_the_very_one(what: Framing) -> None:
    needed = NEEDED[what]
    whole = specs.spec_of(called(what, *needed))
    for name in needed:
        field = {"high": "height", "pitch": "slope"}.get(name, name)
        found = getattr(whole, field, None)
        if isinstance(found, F):
            assert found == SAID[name] * (2 if what == "gable studs" and name == "run" else 1)
        with pytest.raises(MeasureError) as caught:
            specs.spec_of(called(what, *(each for each in needed if each != name)))
        assert caught.value.problem.kind is K.MISSING
        assert caught.value.problem.value("names") == name


HALVED = [each for each in NEEDED if "run" in NEEDED[each] and each != "valley cripples"]
"""Sets of a whole roof: cripples stand between two valleys, and have no span."""


@pytest.mark.parametrize("what", HALVED)
def test_half_of_a_span_is_the_run(what: Framing) -> None:
    said = [each for each in NEEDED[what] if each != "run"]
    span = replace(called(what, *said), inches=(*called(what, *said).inches, ("span", F(288))))
    whole = specs.spec_of(span)
    assert whole == specs.spec_of(called(what, *NEEDED[what]))
    assert getattr(whole, "run", F(144)) == 144
    assert getattr(whole, "length", None) in (None, 288)

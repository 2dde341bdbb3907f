"""What is said of a set becomes its measures: nothing is dropped, nothing is guessed, and all of it is told in words."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.framing import (
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
    RafterSpec,
    RakeSpec,
    Remark,
    RemarkKind,
    Spec,
    StairSpec,
    WallSpec,
    calculate,
)
from cutmemo.framing.remarks import Angle, as_doubt, from_doubt, label, remark
from cutmemo.language import AssemblyCall, read
from cutmemo.language.measures import doubtful_measures
from cutmemo.language.sets import Framing
from cutmemo.language.specs import spec_of
from cutmemo.wording import explain
from cutmemo.wording.framing import SENTENCES, SPECIAL, remark_in_words


def called(said: str, by_voice: bool = False) -> AssemblyCall:
    (reading,) = read(said, by_voice=by_voice)
    assert isinstance(reading.intent, AssemblyCall)
    return reading.intent


def spec(said: str, by_voice: bool = False) -> Spec:
    return spec_of(called(said, by_voice))


SEVEN = Pitch(F(7))
EVEN = HipSlope(SEVEN, SEVEN)
DOOR = OpeningSpec(F(38), F(82), F(20), HeaderSpec(Section(F(2), F(10))))


@pytest.mark.parametrize(
    "said, wanted",
    [
        (
            "22 rafters span 24' pitch 7/12 overhang 12 2x8",
            RafterSpec(F(144), SEVEN, 22, F(12), section=Section(F(2), F(8))),
        ),
        ("rafters run 12' pitch 7:12", RafterSpec(F(144), SEVEN)),
        ("rafters run 12' pitch 6-1/2/12", RafterSpec(F(144), Pitch(F(13, 2)))),
        ("rafters run 12' pitch 6.5/12", RafterSpec(F(144), Pitch(F(13, 2)))),
        ("rafters run 12' pitch 30°", RafterSpec(F(144), Pitch(degrees=F(30)))),
        ("rafters run 12' pitch 22.5 degrees", RafterSpec(F(144), Pitch(degrees=F(45, 2)))),
        (
            "rafters span 24' pitch 7/12 length 40' spacing 24 rake 12 fascia 3/4 overhang 12",
            RafterSpec(
                F(144),
                SEVEN,
                overhang=F(12),
                fascia=F(3, 4),
                length=F(480),
                spacing=F(24),
                rake=F(12),
            ),
        ),
        ("4 hips span 24' pitch 7/12", HipSpec(F(144), EVEN, 4)),
        ("4 hips span 24' pitch 7/12 length 40'", HipSpec(F(144), EVEN, 4, length=F(480))),
        (
            "hips span 24' pitch 7/12 end pitch 9/12 between commons 2x8",
            HipSpec(
                F(144),
                HipSlope(SEVEN, Pitch(F(9))),
                commons=Section(F(2), F(8)),
                at_commons=True,
            ),
        ),
        (
            "hips span 24' pitch 7/12 commons 2x8 between commons",
            HipSpec(F(144), EVEN, commons=Section(F(2), F(8)), at_commons=True),
        ),
        ("valleys span 24' pitch 7/12", HipSpec(F(144), EVEN, valley=True)),
        ("2 jacks run 12' pitch 7/12 spacing 16", JackSpec("hip", F(144), EVEN, F(16), 2)),
        (
            "valley jacks run 12' pitch 7/12 spacing 16 hip 3",
            JackSpec("valley", F(144), EVEN, F(16), hip=F(3)),
        ),
        ("3 cripple jacks run 6' pitch 7/12", JackSpec("cripple", F(72), EVEN, F(0), 3)),
        (
            "valley cripples run 8' pitch 7/12 spacing 16",
            JackSpec("valley cripple", F(96), EVEN, F(16)),
        ),
        ("gable studs span 24' pitch 7/12", RakeSpec(F(288), SEVEN, gable=True)),
        ("rake wall 12' high 97-1/8 pitch 7/12", RakeSpec(F(144), SEVEN, F(777, 8))),
        ("wall 12' high 97-1/8 spacing 24", WallSpec(F(144), F(777, 8), F(24))),
        (
            "wall 20' high 97-1/8 corner right butt left tee at 10' partition 2x6 backing at 48",
            WallSpec(
                F(240),
                F(777, 8),
                corners=frozenset({"right"}),
                butts=frozenset({"left"}),
                tees=(F(120),),
                partition=Section(F(2), F(6)),
                backing=(F(48),),
            ),
        ),
        (
            "wall 20' high 97-1/8 door 38 wide 82 high at 20 header 2x10",
            WallSpec(F(240), F(777, 8), openings=(DOOR,)),
        ),
        (
            "wall 20' high 97-1/8 window 60 wide 80 high sill 30 at 90 header 1 ply lvl deep 9-1/2 "
            "trimmers 2 kings 2",
            WallSpec(
                F(240),
                F(777, 8),
                openings=(
                    OpeningSpec(
                        F(60),
                        F(80),
                        F(90),
                        HeaderSpec(Section(material="LVL"), 1, F(19, 2), plies_said=True),
                        F(30),
                        2,
                        2,
                    ),
                ),
            ),
        ),
        (
            "floor 24' span 14' 2x10 blocking 1 opening 40 wide 120 long at 60 from 24",
            FloorSpec(
                F(288),
                F(168),
                section=Section(F(2), F(10)),
                blocking=1,
                openings=(FloorOpeningSpec(F(60), F(24), F(40), F(120)),),
            ),
        ),
        (
            "deck 16' span 12' 2x8 board 3-1/2 gap 1/4 spacing 12 blocking 1",
            DeckSpec(F(192), F(144), F(12), Section(F(2), F(8)), 1, F(7, 2), F(1, 4)),
        ),
        (
            "deck 16' span 12' 2x8 beam double 2x10 cantilever 16 posts 3 6x6 high 48 thick 1-1/2",
            DeckSpec(
                *(F(192), F(144), F(16), Section(F(2), F(8))),
                beam=HeaderSpec(Section(F(2), F(10)), 2, plies_said=True),
                cantilever=F(16),
                posts=3,
                post=Section(F(6), F(6)),
                height=F(48),
                thick=F(3, 2),
            ),
        ),
        (
            "deck 16' span 12' posts 4 6x6 beam lvl deep 9-1/2",
            DeckSpec(
                *(F(192), F(144)),
                beam=HeaderSpec(Section(material="LVL"), 1, F(19, 2)),
                posts=4,
                post=Section(F(6), F(6)),
            ),
        ),
        ("deck 12' by 16' joists at 12", DeckSpec(F(192), F(144), F(12))),
        ("floor 24' by 14'", FloorSpec(F(288), F(168))),
        (
            "stairs rise 107 run 10-1/2 width 36 thick 1 stringers 4 landings 1 well 120 deck 11 2x12",
            StairSpec(
                F(107),
                F(21, 2),
                F(36),
                F(1),
                Section(F(2), F(12)),
                4,
                F(120),
                F(11),
                1,
            ),
        ),
    ],
)
def test_measures_are_read_into_their_set(said: str, wanted: Spec) -> None:
    assert spec(said) == wanted


@pytest.mark.parametrize(
    "spoken, typed",
    [
        (
            "twenty two rafters span twenty four foot pitch seven twelve overhang twelve inches",
            "22 rafters span 24' pitch 7/12 overhang 12 in",
        ),
        (
            "hips span twenty four foot pitch six and a half twelve end pitch eight twelve",
            "hips span 24' pitch 6-1/2/12 end pitch 8/12",
        ),
        (
            "wall twenty foot high ninety seven and an eighth door thirty eight wide eighty two high "
            "at twenty header double two by ten trimmers two",
            "wall 20' high 97-1/8 door 38 wide 82 high at 20 header double 2x10 trimmers 2",
        ),
        (
            "floor twenty four foot span fourteen foot two by ten blocking one",
            "floor 24' span 14' 2x10 blocking 1",
        ),
        ("stairs rise one oh seven stringers four", "stairs rise 107 stringers 4"),
        (
            "deck sixteen foot span twelve foot two by eight beam double two by ten posts three six by six",
            "deck 16' span 12' 2x8 beam double 2x10 posts 3 6x6",
        ),
        ("stairs rise one sixty landings one", "stairs rise 160 landings 1"),
        (
            "gable studs span twenty four foot pitch thirty degrees",
            "gable studs span 24' pitch 30°",
        ),
    ],
)
def test_spoken_and_typed_sets_are_the_same(spoken: str, typed: str) -> None:
    assert spec(spoken, by_voice=True) == spec(typed)


@pytest.mark.parametrize(
    "said, first, second",
    [
        # Said once behind the last, it is for both; said for each, each has its own.
        ("{w} {d} header 2x10", "2x10", "2x10"),
        ("header 2x10 {w} {d}", "2x10", "2x10"),
        ("{w} header 2x8 {d}", "2x8", "2x8"),
        ("{w} header 2x8 {d} header 2x10", "2x8", "2x10"),
        ("header 2x6 {w} {d} header 2x10", "2x6", "2x10"),
        ("{w} {d} header 2-2x10", "2x10", "2x10"),
    ],
)
def test_which_opening_a_header_is_for(said: str, first: str, second: str) -> None:
    window = "window 36 wide 80 high sill 36 at 20"
    door = "door 38 wide 80 high at 100"
    found = spec("wall 20' high 97-1/8 " + said.format(w=window, d=door))
    assert isinstance(found, WallSpec)
    assert [str(each.header.section) for each in found.openings] == [first, second]


@pytest.mark.parametrize(
    "said, kind, told",
    [
        ("stairs rise 107 run 10 drop 1", RemarkKind.UNUSED, "thick"),
        ("2 stairs rise 107 run 10 width 36", RemarkKind.UNUSED, "stringers"),
        ("rafters span 24' run 10' pitch 7/12", RemarkKind.SAID_BY, "run"),
        ("rafters span 24' pitch 7/12 spacing 16", RemarkKind.NEEDS_TOO, "length"),
        ("stairs rise 107 deck 11", RemarkKind.NEEDS_TOO, "well"),
        ("deck 16' span 12' posts 3", RemarkKind.NEEDS_TOO, "beam"),
        ("deck 16' span 12' cantilever 16", RemarkKind.NEEDS_TOO, "beam"),
        ("deck 16' span 12' beam 2x10 high 48", RemarkKind.NEEDS_TOO, "posts"),
        ("deck 16' span 12' overhang 16", RemarkKind.UNUSED, "cantilever"),
        ("wall 12' high 97-1/8 cantilever 16", RemarkKind.UNUSED, "cantilever"),
        ("stairs rise 107 well 120", RemarkKind.NEEDS_TOO, "deck"),
        ("wall 12' high 97-1/8 header 2x10", RemarkKind.NEEDS_TOO, "door or window"),
        (
            "wall 12' high 97-1/8 header 2x6 door 38 wide 82 high at 20 header 2x10",
            RemarkKind.UNUSED,
            "header",
        ),
        ("rafters span 24' pitch 7/12 plate 8'", RemarkKind.PAST_ANY, "plate"),
        ("rafters span 24' pitch 7/12 ridge 3'", RemarkKind.PAST_ANY, "ridge"),
        ("stairs rise 107 thick 8", RemarkKind.PAST_ANY, "thick"),
        ("wall 12' high 97-1/8 partition 2x6", RemarkKind.NEEDS_TOO, "tee"),
        ("floor 24' span 14' run 10", RemarkKind.UNUSED, "span"),
        ("22 rafters span 24' pitch 7/12 length 40'", RemarkKind.SAID_BY, "count"),
        ("hips span 24' pitch 7/12 spacing 16", RemarkKind.UNUSED, "overhang"),
        ("wall 12' high 97-1/8 pitch 7/12", RemarkKind.UNUSED, "header"),
        ("2 wall 12' high 97-1/8", RemarkKind.UNUSED, "count"),
        ("wall 12' high 97-1/8 door 38 wide 82 high at 40", RemarkKind.MISSING, "header"),
        ("wall 12' spacing 16", RemarkKind.MISSING, "how high"),
        ("rafters span 24'", RemarkKind.MISSING, "pitch"),
        ("rafters overhang 12", RemarkKind.MISSING, "span or the run and the pitch"),
        ("jacks span 24' pitch 7/12", RemarkKind.MISSING, "spacing"),
        ("stairs run 10", RemarkKind.MISSING, "total rise"),
        ("floor 24' spacing 16", RemarkKind.MISSING, "joists reach"),
        ("rake wall 12' high 97-1/8", RemarkKind.MISSING, "pitch"),
        ("rafters span 24' pitch 85 degrees", RemarkKind.FLAT_OR_STEEP, "85°"),
    ],
)
def test_a_measure_that_is_missing_or_used_for_nothing_is_refused_with_what_would_be_used(
    said: str, kind: RemarkKind, told: str
) -> None:
    with pytest.raises(MeasureError) as caught:
        spec(said)
    assert caught.value.problem.kind is kind
    assert told in remark_in_words(caught.value.problem)


def test_a_header_whose_depth_is_not_known_asks_for_it() -> None:
    for material in ("lvl", "rim board"):
        said = f"wall 12' high 97-1/8 window 36 wide 82 high sill 36 at 48 header {material}"
        with pytest.raises(MeasureError) as caught:
            calculate(spec(said), Settings())
        assert caught.value.problem.kind is RemarkKind.HEADER_DEPTH_UNKNOWN
        assert calculate(spec(f"{said} deep 9-1/2"), Settings()).cuts


@pytest.mark.parametrize(
    "said, names",
    [
        ("rafters span 24 pitch 7/12", ["span"]),
        ("rafters span 24' pitch 7/12", []),
        ('rafters span 24" pitch 7/12', []),
        ("rafters run 12 pitch 7/12 overhang 2", ["run", "overhang"]),
        ("rafters run 144 pitch 7/12 overhang 12", []),
        ("wall 12 high 8", ["length", "high"]),
        ("wall 12' high 8'", []),
        ("wall 12 ft high 97-1/8", []),
        ("wall 146 high 97-1/8", []),
        ("wall 12' high 97-1/8 door 3 wide 7 high at 48 header 2x6", ["wide", "high"]),
        ("wall 12' high 97-1/8 door 38 wide 82 high at 4-1/2 header 2x6", []),
        ("stairs rise 9", ["rise"]),
        ("stairs rise 107 run 10 width 3", ["width"]),
        ("floor 24 span 14 2x10", ["length", "span"]),
    ],
)
def test_measures_of_a_few_bare_inches_ask_whether_feet_are_meant(
    said: str, names: list[str]
) -> None:
    asked = doubtful_measures(called(said))
    assert [each.value("name") for each in asked] == names
    assert all("feet" in explain(as_doubt(each)) for each in asked)


@pytest.mark.parametrize(
    "what, name, limit",
    [
        ("rafters", "span", 72),
        ("hips", "run", 36),
        ("jacks", "overhang", 4),
        ("rafters", "length", 72),
        ("wall", "length", 36),
        ("rake wall", "high", 24),
        ("wall", "wide", 12),
        ("floor", "length", 72),
        ("deck", "span", 48),
        ("floor", "wide", 12),
        ("floor", "long", 12),
        ("stairs", "rise", 20),
        ("stairs", "well", 20),
        ("stairs", "width", 12),
    ],
)
def test_where_feet_are_as_likely(what: Framing, name: str, limit: int) -> None:
    # Common practice: our estimate of what nobody measures in so few inches.
    for value, asks in ((F(limit), 0), (F(limit) - F(1, 16), 1)):
        assert len(doubtful_measures(AssemblyCall(what, bare=((name, value),)))) == asks


@pytest.mark.parametrize(
    "name, most", [("ridge", 8), ("plate", 12), ("fascia", 4), ("overhang", None)]
)
def test_what_is_past_any_board_or_plate(name: str, most: int | None) -> None:
    said = f"rafters span 24' pitch 7/12 {'overhang 12 ' if name == 'fascia' else ''}{name} "
    assert spec(f"{said} {most or 60}")
    if most is not None:
        with pytest.raises(MeasureError) as caught:
            spec(f"{said} {most}-1/16")
        assert caught.value.problem.kind is RemarkKind.PAST_ANY


@pytest.mark.parametrize(
    "said, asks",
    [
        ("deck 12' by 16'", 1),
        ("deck 16' by 12'", 1),
        ("deck 16' span 12'", 0),
        ("floor 24' by 14'", 1),
    ],
)
def test_one_side_by_the_other_asks_which_is_which(said: str, asks: int) -> None:
    asked = [each for each in doubtful_measures(called(said)) if each.kind is RemarkKind.SIDES_BY]
    assert len(asked) == asks
    for each in asked:
        other = {"deck": 'say: deck 144" span 192".', "floor": 'say: floor 168" span 288".'}
        assert explain(as_doubt(each)).endswith(other[str(each.value("set"))])


@pytest.mark.parametrize(
    "said, least, most",
    [
        ("wall 12' high 97-1/8 spacing {}", 4, 96),
        ("wall {} high 97-1/8", 1, 3600),
        ("stairs rise 107 run {}", 1, 48),
        ("stairs rise 107 width {}", 1, 240),
        ("rafters span {} pitch 7/12", 1, 2400),
        ("deck 16' span 12' board {}", 1, 12),
    ],
)
def test_measures_that_nothing_has_are_refused(said: str, least: int, most: int) -> None:
    # Common practice: our estimate. None at all, as in "spacing 0", is a slip of the tongue.
    for value, kind in ((0, RemarkKind.UNDER_ANY), (f"{least - 1}-15/16", RemarkKind.UNDER_ANY)):
        with pytest.raises(MeasureError) as caught:
            spec(said.format(value).replace("0-15", "15"))
        assert caught.value.problem.kind is kind
    assert spec(said.format(least))
    assert spec(said.format(most))
    with pytest.raises(MeasureError) as caught:
        spec(said.format(f"{most}-1/16"))
    assert caught.value.problem.kind is RemarkKind.PAST_ANY


def test_numbers_that_nothing_has_are_refused() -> None:
    assert spec("floor 24' span 14' blocking 99")
    with pytest.raises(MeasureError) as caught:
        spec("floor 24' span 14' blocking 100")
    assert caught.value.problem.kind is RemarkKind.PAST_COUNT


def test_a_header_low_over_the_floor_asks_whether_it_is_the_windows_own_height() -> None:
    for height, asks in ((48, 1), (60, 0)):
        said = f"wall 12' high 97-1/8 window 36 wide {height} high sill 36 at 40 header 2x10"
        kinds = [each.kind for each in doubtful_measures(called(said))]
        assert kinds == [RemarkKind.LOW_HEAD] * asks


@pytest.mark.parametrize(
    "said, plies", [("2-2x10", 2), ("(3) 2x10", 3), ("single 2x10", 1), ("triple 2x10", 3)]
)
def test_plies_are_written_as_plans_write_them(said: str, plies: int) -> None:
    found = spec(f"wall 12' high 97-1/8 door 38 wide 82 high at 40 header {said}")
    assert isinstance(found, WallSpec)
    assert found.openings[0].header == HeaderSpec(Section(F(2), F(10)), plies, plies_said=True)


# Plans write feet and inches with a hyphen behind the foot mark (common practice).
@pytest.mark.parametrize(
    "said, run", [("24'-1/2\"", F(577, 4)), ("24'-0\"", F(288, 2)), ("24'-6 1/2\"", F(589, 4))]
)
def test_measures_are_written_as_plans_write_them(said: str, run: F) -> None:
    found = spec(f"rafters span {said} pitch 7/12")
    assert isinstance(found, RafterSpec)
    assert found.run == run


@pytest.mark.parametrize(
    "said",
    [
        "rafters",
        "wall",
        "wall 12' high 97-1/8 window 36 wide",
        "wall 12' high 97-1/8 door 38 wide 82 high at 40 trimmers 0",
        "rafters span 24' span 20' pitch 7/12",
        "rafters span 24' pitch 7/12 overhang 12-1/3",
        "wall 12' high 97-1/3",
        "wall 12' high 97-1/8 corner up",
    ],
)
def test_what_does_not_fit_is_no_set(said: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(said)


def test_a_span_and_a_pitch_without_their_names_are_no_set_and_ask() -> None:
    found = read("rafters 24' 7/12")
    assert all(isinstance(each.intent, Cut) and each.doubts for each in found)


def test_every_remark_has_its_sentence() -> None:
    assert {*SENTENCES, *SPECIAL} == set(RemarkKind)
    assert not {*SENTENCES} & {*SPECIAL}


EVERY_SET = [
    "22 rafters span 24' pitch 12/12 plate 1 overhang 12 fascia 3/4 2x6",
    "rafters span 24' pitch 7/12 length 40' rake 12",
    "4 hips span 24' pitch 7/12 commons 2x8 length 40'",
    "hip span 24' pitch 7/12 end pitch 9/12 overhang 12",
    "2 hips 2x8 span 24' pitch 7/12 commons 2x8",
    "valleys span 24' pitch 30°",
    "2 jacks span 24' pitch 7/12 spacing 16",
    "jacks span 24' pitch 7/12 end pitch 9/12 spacing 16",
    "valley jacks span 24' pitch 7/12 spacing 16",
    "3 cripple jacks run 6' pitch 7/12",
    "valley cripples run 8' pitch 7/12 spacing 16",
    "gable studs span 24' pitch 7/12",
    "rake wall 12' high 97-1/8 pitch 7/12",
    "rake wall 40' high 97-1/8 pitch 7/12 spacing 18",
    "jacks span 24' pitch 7/12 end pitch 9/12 spacing 16 overhang 12",
    "wall 20' high 97-1/8 spacing 19.2 backing at 48 door 38 wide 82 high at 40 header 2x10",
    "wall 12' high 97-1/8 window 36 wide 82 high sill 4 at 40 header 2x10",
    "wall 40' high 97-1/8 corner left butt right tee at 10' backing at 48 "
    "window 36 wide 82 high sill 36 at 20' header 2x10 door 38 wide 84 high at 300 header 2x10",
    "floor 24' span 14' 2x10 blocking 1 opening 40 wide 120 long at 60 from 24",
    "floor 24' span 14' 2x10 opening 40 wide 60 long at 60 from 5",
    "deck 16' span 12' 2x8 blocking 1",
    "deck 30' span 12' 2x8 beam 3-2x10 cantilever 16 posts 5 6x6 high 5'",
    "stairs rise 320 landings 1 thick 3/4",
    "stairs rise 160 run 9-1/2 width 30 thick 1 well 90 deck 11 2x10",
]


@pytest.mark.parametrize("said", EVERY_SET)
@pytest.mark.parametrize("display", ["inches", "feet", "mm"])
def test_every_set_is_told_in_the_crews_figures(said: str, display: str) -> None:
    settings = Settings().with_setting("display", display)
    found = calculate(spec(said), settings)
    told = [
        remark_in_words(each, settings) for each in (found.title, *found.facts, *found.cautions)
    ]
    assert len(set(told)) == len(told)
    for line in told:
        assert "{" not in line
        assert "Fraction" not in line
        assert "None" not in line
    assert any((" mm" if display == "mm" else '"') in line for line in told)


def test_a_remark_is_kept_as_a_doubt_and_comes_back() -> None:
    said = remark(RemarkKind.HEADER_TOO_DEEP, section="2x10", height=F(737, 8))
    assert from_doubt(as_doubt(said)) == said
    counted = remark(RemarkKind.STAIRS, rise=F(107), risers=15)
    assert from_doubt(as_doubt(counted)) == Remark(
        RemarkKind.STAIRS, (("risers", 15), ("rise", F(107)))
    )
    assert explain(as_doubt(said)) == remark_in_words(said)
    assert label(counted) == "Stairs 107, 15"


def test_angles_are_shown_to_a_tenth() -> None:
    assert "30.3°" in remark_in_words(
        remark(RemarkKind.PLUMB_CUT, angle=Angle(F(3026, 100)), pitch="7/12")
    )

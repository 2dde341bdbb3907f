"""Floors and stairs against coordinates and worked examples; the sources stand beside each check."""

from __future__ import annotations

import math
from fractions import Fraction as F

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cutmemo.domain.cut import Section
from cutmemo.domain.length import to_tape
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    DeckSpec,
    FloorOpeningSpec,
    FloorSpec,
    HeaderSpec,
    MeasureError,
    RemarkKind,
    Spec,
    StairSpec,
    calculate,
)
from cutmemo.framing.stairs import headroom, risers_for, throat

THICK = F(3, 2)


def frame(spec: Spec) -> Assembly:
    return calculate(spec, Settings())


def kinds(assembly: Assembly) -> set[RemarkKind]:
    return {each.kind for each in (*assembly.facts, *assembly.cautions)}


def test_joists_stand_on_centres_between_two_rims() -> None:
    # Common practice: length over spacing, and one more; joists are the rims shorter than the floor.
    found = {cut.piece: cut for cut in frame(FloorSpec(F(288), F(168))).cuts}
    assert (found["joist"].count, found["joist"].length.inches) == (19, 165)
    assert (found["rim"].count, found["rim"].length.inches) == (2, 288)
    assert {str(cut.section) for cut in found.values()} == {"2x10"}


@given(st.integers(60 * 16, 480 * 16), st.sampled_from([F(12), F(16), F(24), F(96, 5)]))
def test_no_joist_spacing_passes_the_centres(sixteenths: int, spacing: F) -> None:
    floor = frame(FloorSpec(F(sixteenths, 16), F(144), spacing))
    middles = sorted(p.left + THICK / 2 for p in floor.layout if p.piece == "joist")
    assert max(b - a for a, b in zip(middles, middles[1:], strict=False)) <= spacing
    assert (middles[0], middles[-1]) == (THICK / 2, F(sixteenths, 16) - THICK / 2)


def test_an_opening_is_framed_with_doubled_joists_and_headers() -> None:
    hole = FloorOpeningSpec(F(60), F(24), F(40), F(120))
    floor = frame(FloorSpec(F(288), F(168), openings=(hole,)))
    full = sorted(p.left for p in floor.layout if p.piece == "joist" and p.height == 165)
    assert {F(57), F(117, 2), F(100), F(203, 2)} <= set(full)
    assert not any(60 - THICK < left < 100 for left in full if left not in (F(117, 2),))
    headers = [p for p in floor.layout if p.piece == "header"]
    assert [(p.width, p.bottom) for p in headers] == [
        (F(40), F(21)),
        (F(40), F(45, 2)),
        (F(40), F(144)),
        (F(40), F(291, 2)),
    ]
    tails = {(p.bottom, p.height) for p in floor.layout if p.piece == "joist" and p.height < 165}
    # from the rim to the doubled header: 24 - 1-1/2 - 3, and as much on the other side
    assert tails == {(F(3, 2), F(39, 2)), (F(147), F(39, 2))}
    # Nothing reaches into the hole.
    assert not any(
        p.left < 100 and p.right > 60 and p.bottom < 144 and p.bottom + p.height > 24
        for p in floor.layout
    )


def test_an_opening_at_the_rim_needs_no_header_there() -> None:
    hole = FloorOpeningSpec(F(60), THICK, F(40), F(60))
    floor = frame(FloorSpec(F(288), F(168), blocking=1, openings=(hole,)))
    assert sum(p.piece == "header" for p in floor.layout) == 2
    tails = [p for p in floor.layout if p.piece == "joist" and p.height < 165]
    assert {(p.bottom, p.height) for p in tails} == {(F(129, 2), F(102))}
    told = {f.kind: f for f in floor.facts}
    assert told[RemarkKind.FLOOR_OPENING].value("far") == F(123, 2)
    assert told[RemarkKind.BLOCKING].value("rows") == 1
    assert told[RemarkKind.JOIST_LENGTH].value("inside") == 165
    marks = told[RemarkKind.JOIST_MARKS].value("marks")
    assert marks == tuple(sorted({p.left for p in floor.layout if p.height == 165}))


@pytest.mark.parametrize("across, tails", [(F(45, 8), 0), (F(6), 3), (F(9, 2), 0)])
def test_too_little_for_tail_joists_is_packed(across: F, tails: int) -> None:
    hole = FloorOpeningSpec(F(60), across, F(40), F(60))
    floor = frame(FloorSpec(F(288), F(168), openings=(hole,)))
    found = [p for p in floor.layout if p.piece == "joist" and p.bottom == THICK and p.height < 165]
    assert len(found) == tails
    packed = [c.value("gap") for c in floor.cautions if c.kind is RemarkKind.PACK_TAIL]
    assert packed == ([across - F(9, 2)] if across == F(45, 8) else [])


def test_blocks_fill_the_gaps_between_joists() -> None:
    floor = frame(FloorSpec(F(288), F(168), blocking=2))
    blocks = [p for p in floor.layout if p.piece == "block"]
    joists = [p for p in floor.layout if p.piece == "joist"]
    assert sum(p.width for p in blocks) == 2 * (288 - THICK * len(joists))
    assert {p.bottom + p.height / 2 for p in blocks} == {F(56), F(112)}  # evenly over the span
    assert {p.width for p in blocks} >= {F(29, 2)}  # 16 in. on centre: 14-1/2 (common practice)


def test_a_row_of_blocks_goes_on_between_tail_joists() -> None:
    # Three rows 42 in. apart: the first runs through the tails, the second meets the opening.
    hole = FloorOpeningSpec(F(60), F(66), F(40), F(60))
    floor = frame(FloorSpec(F(288), F(168), blocking=3, openings=(hole,)))
    rows: dict[F, F] = {}
    for p in floor.layout:
        if p.piece == "block" and 60 <= p.left < 100:
            rows[p.bottom + p.height / 2] = rows.get(p.bottom + p.height / 2, F(0)) + p.width
    tails = [p for p in floor.layout if p.piece == "joist" and p.height < 165 and p.bottom == THICK]
    assert rows == {F(42): 40 - THICK * len(tails)}
    # It stands 4-3/4 in. clear of the header; in a hole that reaches nearer there is none.
    near = FloorOpeningSpec(F(60), F(45), F(40), F(60))
    floor = frame(FloorSpec(F(288), F(168), blocking=3, openings=(near,)))
    assert not [
        p for p in floor.layout if p.piece == "block" and 60 <= p.left < 100 and p.bottom < 45
    ]


@given(
    st.integers(100, 480),
    st.integers(100, 240),
    st.integers(0, 300),
    st.integers(2, 150),
    st.integers(20, 60),
    st.integers(20, 140),
    st.sampled_from([F(12), F(16), F(24), F(96, 5)]),
)
def test_no_two_pieces_of_a_floor_stand_in_one_place(
    length: int, span: int, at: int, across: int, wide: int, long: int, spacing: F
) -> None:
    hole = FloorOpeningSpec(F(at), F(across), F(wide), F(long))
    spec = FloorSpec(F(length), F(span), spacing, blocking=2, openings=(hole,))
    try:
        floor = frame(spec)
    except MeasureError:
        return
    pieces = sorted(floor.layout, key=lambda p: p.left)
    for n, one in enumerate(pieces):
        assert one.left >= 0
        assert one.right <= length
        assert one.bottom >= 0
        assert one.bottom + one.height <= span
        for two in pieces[n + 1 :]:
            assert not (
                two.left < one.right
                and one.bottom < two.bottom + two.height
                and two.bottom < one.bottom + one.height
            )


def test_a_subfloor_that_does_not_end_on_joists_is_told() -> None:
    # Sheets lie across the joists, 8 ft long (common practice).
    for spacing, told in ((F(96, 5), False), (F(16), False), (F(18), True)):
        floor = frame(FloorSpec(F(288), F(168), spacing))
        assert (RemarkKind.SHEETS_NEVER in kinds(floor)) is told


@pytest.mark.parametrize(
    "spec",
    [
        FloorSpec(F(2), F(144)),
        FloorSpec(F(144), F(3)),
        FloorSpec(F(144), F(144), openings=(FloorOpeningSpec(F(1), F(24), F(40), F(40)),)),
        FloorSpec(F(144), F(144), openings=(FloorOpeningSpec(F(40), F(2), F(40), F(40)),)),
        FloorSpec(F(144), F(144), openings=(FloorOpeningSpec(F(40), F(24), F(40), F(140)),)),
        FloorSpec(F(144), F(144), openings=(FloorOpeningSpec(F(110), F(24), F(40), F(40)),)),
        FloorSpec(
            F(240),
            F(144),
            openings=(
                FloorOpeningSpec(F(40), F(24), F(40), F(40)),
                FloorOpeningSpec(F(85), F(24), F(40), F(40)),
            ),
        ),
        FloorSpec(
            F(240),
            F(144),
            openings=(
                FloorOpeningSpec(F(40), F(24), F(100), F(40)),
                FloorOpeningSpec(F(60), F(24), F(40), F(40)),
            ),
        ),
    ],
)
def test_a_floor_that_cannot_be_is_an_error(spec: FloorSpec) -> None:
    with pytest.raises(MeasureError):
        frame(spec)


@given(st.integers(24, 400), st.sampled_from([F(7, 2), F(11, 2)]), st.sampled_from([F(0), F(1, 8)]))
def test_deck_boards_cover_the_deck_and_no_more(span: int, board: F, gap: F) -> None:
    found = frame(DeckSpec(F(192), F(span), board=board, gap=gap))
    number = sum(c.count for c in found.cuts if c.piece == "deck board")
    last = next(f for f in found.facts if f.kind is RemarkKind.DECK_BOARDS).value("last")
    assert isinstance(last, F)
    assert 0 <= span - ((number - 1) * (board + gap) + last) <= gap
    assert 0 < last <= board


def test_a_deck_hangs_on_a_ledger() -> None:
    # Common practice: 12 ft at 5-1/2 and 1/8 is 144 over 5-5/8, 25.6: 26 boards.
    found = {cut.piece: cut for cut in frame(DeckSpec(F(192), F(144))).cuts}
    assert (found["ledger"].count, found["rim"].count) == (1, 1)
    assert (found["joist"].count, found["joist"].length.inches) == (13, 141)
    assert (found["deck board"].count, found["deck board"].length.inches) == (26, 192)
    with pytest.raises(MeasureError):
        frame(DeckSpec(F(192), F(4)))


SIX_BY_SIX = Section(F(6), F(6))
DOUBLE = HeaderSpec(Section(F(2), F(10)), 2, plies_said=True)


def test_a_beam_lies_under_the_joists_and_its_posts_take_what_is_left_of_the_height() -> None:
    # PS 20: boards 5/4 are 1 in., joists 7-1/4 (2x8), the beam 9-1/4, posts 5-1/2: 48 - 17-1/2 = 30-1/2.
    found = frame(
        DeckSpec(
            *(F(192), F(144), F(16), Section(F(2), F(8))),
            beam=DOUBLE,
            cantilever=F(16),
            posts=3,
            post=SIX_BY_SIX,
            height=F(48),
        )
    )
    pieces = {cut.piece: cut for cut in found.cuts}
    assert (pieces["beam"].count, pieces["beam"].length.inches) == (2, 192)
    assert (pieces["post"].count, pieces["post"].length.inches) == (3, F(61, 2))
    assert pieces["post"].section == SIX_BY_SIX
    told = {each.kind: dict(each.values) for each in found.facts}
    assert told[RemarkKind.BEAM_PLACE] == {"near": 125, "outer": 128, "plies": 2}
    assert told[RemarkKind.POST_MARKS] == {"marks": (F(11, 4), 96, F(757, 4))}
    assert told[RemarkKind.DECK_STAIRS] == {"rise": 48}
    assert RemarkKind.BEAM_JOINTS not in told
    assert RemarkKind.POSTS_NOT_CUT not in told
    unknown = frame(DeckSpec(F(192), F(144), beam=DOUBLE, posts=3))
    assert RemarkKind.POSTS_NOT_CUT in kinds(unknown)
    assert not [cut for cut in unknown.cuts if cut.piece == "post"]
    thicker = frame(DeckSpec(F(192), F(144), beam=DOUBLE, posts=3, height=F(48), thick=F(3, 2)))
    post = next(cut for cut in thicker.cuts if cut.piece == "post")
    assert post.length.inches == 48 - F(3, 2) - 2 * F(37, 4)


@given(
    st.integers(100, 900), st.integers(2, 12), st.integers(1, 4), st.sampled_from([144, 192, 288])
)
def test_plies_of_a_beam_reach_from_end_to_end_and_are_joined_over_posts(
    length: int, posts: int, plies: int, longest: int
) -> None:
    # prodeckmn.com, "Estimating materials": sections of a beam are seamed over a post.
    spec = DeckSpec(
        F(length),
        F(144),
        beam=HeaderSpec(Section(F(2), F(10)), plies),
        posts=posts,
        post=SIX_BY_SIX,
    )
    found = calculate(spec, Settings(longest=F(longest)))
    cuts = [cut for cut in found.cuts if cut.piece == "beam"]
    assert sum(cut.length.inches * cut.count for cut in cuts) == plies * length
    assert all(cut.length.inches <= longest for cut in cuts)
    told = {each.kind: each for each in found.facts}
    marks = told[RemarkKind.POST_MARKS].value("marks")
    assert isinstance(marks, tuple)
    assert len(marks) == posts
    assert (marks[0], marks[-1]) == (F(11, 4), length - F(11, 4))  # flush with the beam's ends
    apart = {two - one for one, two in zip(marks, marks[1:], strict=False)}
    assert len(apart) == 1
    joined = told.get(RemarkKind.BEAM_JOINTS)
    assert (joined is None) is (length <= longest)
    if joined is not None and max(apart) <= longest / 2:
        at = joined.value("marks")
        assert isinstance(at, tuple)
        assert {*at} <= {*marks}


@pytest.mark.parametrize(
    "spec, kind",
    [
        (DeckSpec(F(192), F(144), beam=DOUBLE, posts=1), RemarkKind.NO_ROOM_FOR_POSTS),
        (
            DeckSpec(F(16), F(144), beam=DOUBLE, posts=3, post=SIX_BY_SIX),
            RemarkKind.NO_ROOM_FOR_POSTS,
        ),
        (
            DeckSpec(F(192), F(144), beam=DOUBLE, posts=3, height=F(39, 2)),
            RemarkKind.NO_ROOM_UNDER_BEAM,
        ),
        (
            DeckSpec(F(192), F(144), beam=DOUBLE, cantilever=F(141)),
            RemarkKind.NO_ROOM_FOR_JOISTS,
        ),
        (
            DeckSpec(
                F(192), F(144), beam=HeaderSpec(Section(material="LVL")), posts=3, height=F(40)
            ),
            RemarkKind.BEAM_DEPTH_UNKNOWN,
        ),
        (
            DeckSpec(
                *(F(192), F(144), F(16), Section(material="LVL")),
                beam=DOUBLE,
                posts=3,
                height=F(40),
            ),
            RemarkKind.SECTION_UNKNOWN,
        ),
    ],
)
def test_a_deck_that_cannot_be_says_why(spec: DeckSpec, kind: RemarkKind) -> None:
    with pytest.raises(MeasureError) as caught:
        frame(spec)
    assert caught.value.problem.kind is kind


def test_the_courses_stairs() -> None:
    # NAVEDTRA 14044: 107 in. over a riser of 7 gives 15 risers.
    assert risers_for(F(107)) == 15
    found = {cut.piece: cut.count for cut in frame(StairSpec(F(107), width=F(36))).cuts}
    assert (found["tread"], found["riser"], found["stringer"]) == (14, 15, 3)


@given(st.fractions(F(10), F(400), max_denominator=16))
def test_no_riser_is_higher_than_the_usual_most(rise: F) -> None:
    assert rise / risers_for(rise) <= F(31, 4)  # IRC R311.7.5 as quoted by trade pages


# By coordinates: the inner corner of a step lies riser × run / hypotenuse off the board's edge.
@pytest.mark.parametrize("wide, left", [(F(29, 4), 1.44), (F(37, 4), 3.44), (F(45, 4), 5.44)])
def test_what_the_steps_leave_of_a_stringer(wide: F, left: float) -> None:
    riser, run = F(107, 15), F(10)
    assert float(throat(wide, riser, run)) == pytest.approx(left, abs=0.005)
    corner = abs(float(riser) * 10) / math.hypot(float(riser), 10)
    assert float(wide) - corner == pytest.approx(float(throat(wide, riser, run)), abs=1e-5)


def test_a_thin_throat_is_a_caution_and_none_at_all_an_error() -> None:
    sizes = {n: Section(F(2), F(n)) for n in (4, 8, 10, 12)}
    thin = RemarkKind.THIN_THROAT
    assert thin in kinds(frame(StairSpec(F(107), section=sizes[8])))
    assert thin in kinds(frame(StairSpec(F(107), section=sizes[10])))
    assert thin not in kinds(frame(StairSpec(F(107), section=sizes[12])))
    with pytest.raises(MeasureError):
        frame(StairSpec(F(107), section=sizes[4]))


# IRC R311.7.3 (147 in. as quoted in doityourself.com, thread 608727, of an edition before 2018; 151 in.
# in that of 2018: codeoperative.net models its tallest flight with 20 risers of 7.55 in.), R311.7.1 and R311.7.2 (36 in. wide, 6 ft 8 in. high: 2018, as quoted by Jefferson County, Colorado).
@pytest.mark.parametrize(
    "spec, kind, there",
    [
        (StairSpec(F(147)), RemarkKind.NEEDS_LANDING, False),
        (StairSpec(F(2353, 16)), RemarkKind.NEEDS_LANDING, True),
        (StairSpec(F(107), width=F(36)), RemarkKind.NARROW, False),
        (StairSpec(F(107), width=F(71, 2)), RemarkKind.NARROW, True),
        (StairSpec(F(107), run=F(10)), RemarkKind.SHORT_TREADS, False),
        (StairSpec(F(107), run=F(39, 4)), RemarkKind.SHORT_TREADS, True),
        (StairSpec(F(105), well=F(130), floor=F(11)), RemarkKind.LOW_HEADROOM, False),
        (StairSpec(F(105), well=F(129), floor=F(11)), RemarkKind.LOW_HEADROOM, True),
    ],
)
def test_limits_on_both_sides(spec: StairSpec, kind: RemarkKind, there: bool) -> None:
    assert (kind in kinds(frame(spec))) is there


def test_what_is_told_of_stairs() -> None:
    stairs = frame(StairSpec(F(107), run=F(21, 2), well=F(120), floor=F(11)))
    told = {each.kind: dict(each.values) for each in stairs.facts}
    riser = F(107, 15)
    assert told[RemarkKind.RISERS] == {"number": 15, "each": riser}
    assert told[RemarkKind.TREADS] == {"number": 14, "run": F(21, 2), "total": 147, "landings": 0}
    assert told[RemarkKind.WELL] == {"room": 120 * riser / F(21, 2) - 11}
    # 7-1/8 on a tape of sixteenths: 15 of them are 106-7/8.
    assert told[RemarkKind.RISERS_ADD_UP]["off"] == F(1, 8)
    assert told[RemarkKind.RISERS_ADD_UP]["way"] == "too little"
    assert RemarkKind.RISERS_ADD_UP not in kinds(frame(StairSpec(F(105))))
    low = next(c for c in stairs.cautions if c.kind is RemarkKind.LOW_HEADROOM)
    assert low.value("needed") == (80 + 11) * F(21, 2) / riser


def test_landings_part_a_flight_into_equal_ones() -> None:
    # stairs4u.com, "Landing": 7 risers of 7 in. are a landing 49 in. up, less its sheathing to frame it.
    stairs = frame(StairSpec(F(98), width=F(36), thick=F(3, 4), landings=1))
    told = next(f for f in stairs.facts if f.kind is RemarkKind.LANDING_PLACE)
    assert dict(told.values) == {
        "after": 7,
        "top": 49,
        "framed": F(193, 4),
        "above": 7,
        "deep": 36,
    }
    found = {cut.piece: cut for cut in stairs.cuts}
    assert (found["stringer"].count, found["tread"].count, found["riser"].count) == (6, 12, 14)
    assert float(found["stringer"].length.inches) == pytest.approx(7 * math.hypot(7, 10), abs=1e-5)
    with pytest.raises(MeasureError):
        frame(StairSpec(F(98), landings=7))


@given(st.fractions(F(30), F(700), max_denominator=16), st.integers(0, 4))
@example(F(294), 0)  # two flights of 147, and no more
def test_flights_add_up_and_the_landings_told_are_enough(rise: F, landings: int) -> None:
    # IRC R311.7.3: no flight over 147 in.; a landing takes the place of a tread (common practice).
    try:
        stairs = frame(StairSpec(rise, landings=landings, width=F(36)))
    except MeasureError:
        assert risers_for(rise) < 2 * (landings + 1)
        return
    risers = risers_for(rise)
    places = [f for f in stairs.facts if f.kind is RemarkKind.LANDING_PLACE]
    ups = [0, *(f.value("after") for f in places), risers]
    flights = [b - a for a, b in zip(ups, ups[1:], strict=False)]  # type: ignore[operator]  # counts
    assert len(flights) == landings + 1
    assert max(flights) - min(flights) <= 1
    boards = sorted(round(float(c.length.inches), 4) for c in stairs.cuts if c.piece == "stringer")
    step = math.hypot(float(rise) / risers, 10)
    assert boards == pytest.approx(sorted({n * step for n in flights}), abs=1e-3)
    tall = max(flights) * rise / risers
    needs = [c for c in stairs.cautions if c.kind is RemarkKind.NEEDS_LANDING]
    assert bool(needs) is (tall > 147)
    for each in needs:
        enough = each.value("landings")
        assert isinstance(enough, int)
        assert enough > landings
        kept = frame(StairSpec(rise, landings=enough))
        assert RemarkKind.NEEDS_LANDING not in kinds(kept)
        fewer = frame(StairSpec(rise, landings=enough - 1))
        assert RemarkKind.NEEDS_LANDING in kinds(fewer)


def test_headroom_by_the_rule_of_the_trade() -> None:
    # 98905.com, "stairs": (headroom + floor) / riser × tread is the length of the well, before nosing.
    spec = StairSpec(F(105), floor=F(11))
    riser = F(105, 15)
    needed = (80 + spec.floor) / riser * spec.run
    assert headroom(StairSpec(F(105), well=needed, floor=F(11)), riser) == 80


def test_each_treads_mark_stands_on_the_stringers_edge() -> None:
    stairs = frame(StairSpec(F(107), thick=F(1)))
    marks = next(f for f in stairs.facts if f.kind is RemarkKind.STEP_MARKS).value("marks")
    assert isinstance(marks, tuple)
    step = math.hypot(107 / 15, 10)
    assert len(marks) == 14
    assert [float(m) for m in marks] == pytest.approx([step * n for n in range(1, 15)], abs=1e-4)
    first = next(f for f in stairs.facts if f.kind is RemarkKind.FIRST_RISER).value("first")
    assert first == F(107, 15) - 1
    assert to_tape(stairs.cuts[0].length.inches) == to_tape(F(round(15 * step * 1024), 1024))


@pytest.mark.parametrize("spec", [StairSpec(F(5)), StairSpec(F(107), thick=F(8))])
def test_one_step_and_a_tread_thicker_than_a_riser_are_errors(spec: StairSpec) -> None:
    with pytest.raises(MeasureError):
        frame(spec)

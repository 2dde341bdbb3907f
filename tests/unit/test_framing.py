"""Sets of cuts against published tables and worked examples; the sources stand beside each check."""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction as F
from typing import Any

import pytest
from desk import Desk, refused
from hypothesis import example, given
from hypothesis import strategies as st

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import to_tape
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, NothingToDo, Refused
from cutmemo.framing import Assembly, calculate
from cutmemo.framing.assembly import root
from cutmemo.framing.roof import Slope, seat_depth
from cutmemo.framing.stairs import risers_for
from cutmemo.language import AssemblyCall, read

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]


def frame(said: str) -> Assembly:
    (reading,) = read(said)
    assert isinstance(reading.intent, AssemblyCall)
    return calculate(reading.intent, Settings())


def on_tape(cut: Cut) -> F:
    return to_tape(cut.length.inches)


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
    slope = Slope(rise)
    assert round(float(slope.common), 2) == common
    assert round(float(slope.hip), 2) == hip
    assert round(float(slope.common * 16 / 12), 2) == pytest.approx(
        jack16, abs=0.0101
    )  # the table cuts off, we round
    assert round(float(slope.common * 2), 2) == pytest.approx(jack24, abs=0.0101)
    assert slope.plumb == pytest.approx(plumb, abs=5e-4)
    assert slope.hip_plumb == pytest.approx(hip_plumb, abs=5e-4)


def test_the_courses_worked_rafters() -> None:
    # NAVEDTRA 14044: 7 in 12 at 8 ft of run is 9 ft 3-1/8 in.; 8 in 12 hip at 15 ft of run 23.45 ft.
    assert to_tape(8 * Slope(7).common) == F(889, 8)
    assert float(15 * Slope(8).hip / 12) == pytest.approx(23.45, abs=0.005)


def test_a_roof_of_24_feet_at_7_in_12() -> None:
    # Reckoned by hand from the table above: half of a 1-1/2 ridge off, level.
    (rafter,) = frame("22 rafters span 24' pitch 7/12").cuts
    assert (rafter.count, on_tape(rafter)) == (22, F(165) + F(13, 16))
    (hip,) = frame("hips span 24' pitch 7/12").cuts
    assert on_tape(hip) == F(219) + F(1, 8)
    (valley,) = frame("valleys span 24' pitch 7/12").cuts
    assert (valley.piece, valley.length) == ("valley rafter", hip.length)
    (longer,) = frame("rafters run 12' pitch 7/12 overhang 12").cuts
    assert to_tape(longer.length.inches - rafter.length.inches) == F(13) + F(7, 8)
    assert rafter.ends_shown() == "plumb 7/12 long point · plumb 7/12 short point"


def test_jacks_fall_by_the_table_and_come_in_pairs() -> None:
    jacks = frame("4 jacks span 24' pitch 8/12 spacing 16")
    steps = {
        one.length.inches - two.length.inches
        for one, two in zip(jacks.cuts, jacks.cuts[1:], strict=False)
    }
    assert {round(float(step), 2) for step in steps} == {19.23}  # NAVEDTRA 14044
    assert {cut.count for cut in jacks.cuts} == {8}
    # Reckoned: the first stands 16 in. from the corner; half of 1-1/2 across 45° is 1-1/16 level, half a jack 3/4.
    first = jacks.cuts[-1].length.inches
    assert float(first) == pytest.approx((16 - 1.0607 + 0.75) * 14.4222 / 12, abs=0.002)
    assert "10.0 on 12" in " ".join(
        jacks.facts
    )  # the same course: 8 in 12 has a side cut of 10 on 12


# Reckoned: seat × sin(plumb).
@pytest.mark.parametrize("rise, deep", [(7, 1.764), (6, 1.565), (12, 2.475)])
def test_a_birdsmouth_of_three_and_a_half(rise: int, deep: float) -> None:
    assert float(seat_depth(rise, F(7, 2))) == pytest.approx(deep, abs=0.001)


def test_a_deep_notch_and_a_short_seat_are_warned_of_and_never_ruled_on() -> None:
    # IRC R802.7.1 and R802.6 as quoted by trade pages: a quarter of the depth, 1-1/2 in. on wood.
    assert any("quarter" in line for line in frame("rafters span 24' pitch 12/12 2x6").warnings)
    assert not any("quarter" in line for line in frame("rafters span 24' pitch 6/12 2x8").warnings)
    assert any(
        "bears less" in line for line in frame("rafters span 24' pitch 6/12 plate 1-1/4").warnings
    )


@given(st.fractions(F(1, 64), F(10_000), max_denominator=64))
def test_a_root_is_the_nearest_1024th(square: F) -> None:
    assert abs(float(root(square)) - math.sqrt(square)) <= 0.5 / 1024 + 1e-9


# Common practice: pre-cut studs with three 1-1/2 in. plates.
@pytest.mark.parametrize(
    "height, stud", [("97-1/8", F(741, 8)), ("109-1/8", F(837, 8)), ("121-1/8", F(933, 8))]
)
def test_precut_studs(height: str, stud: F) -> None:
    cuts = {cut.piece: cut for cut in frame(f"wall 12' high {height}").cuts}
    assert cuts["stud"].length.inches == stud
    assert (cuts["plate"].count, cuts["plate"].length.inches) == (3, 144)


def test_stud_marks_stand_half_a_stud_before_the_centre() -> None:
    # Common practice, and NAVEDTRA 14044: first near edge 15-1/4, then 16 in. on centre.
    facts = " ".join(frame("wall 8' high 97-1/8").facts)
    assert '0", 15-1/4", 31-1/4", 47-1/4", 63-1/4", 79-1/4", 94-1/2"' in facts


def test_a_window_is_framed_all_round() -> None:
    wall = frame("wall 12' high 97-1/8 window 36 wide 82 high sill 36 at 40 header 2x8")
    found = {(cut.piece, cut.length.inches): cut.count for cut in wall.cuts}
    assert found[("king stud", F(741, 8))] == 2
    assert found[("trimmer", F(161, 2))] == 2
    assert found[("header", F(39))] == 2
    assert found[("sill", F(36))] == 1
    assert (
        found[("cripple", F(39, 8))] == 2
    )  # 97-1/8 less 3 in. of plates, 82, and 7-1/4 of header (PS 20)
    assert (
        found[("cripple", F(33))] == 4
    )  # two on the marks, one at each end of the sill: common practice
    trimmer, header = F(161, 2), F(29, 4)
    assert F(3, 2) + trimmer + header + F(39, 8) + 3 == F(777, 8)


@pytest.mark.parametrize(
    "said, why",
    [
        ("wall 12'  high 97-1/8 door 38 wide 82 high at 40", "header"),
        ("wall 12' high 97-1/8 door 38 wide 92 high at 40 header 2x10", "does not fit"),
        ("wall 12' high 97-1/8 door 38 wide 82 high at 1 header 2x6", "no room"),
        ("wall 12' high 4", "no room"),
        ("wall 12' spacing 16", "how high"),
        ("rafters span 24'", "pitch"),
        ("jacks span 24' pitch 7/12", "spacing"),
        ("stairs run 10", "total rise"),
        ("stairs rise 5", "one step"),
    ],
)
def test_what_is_missing_or_cannot_be_is_refused(
    said: str, why: str, session: Desk, refuses: Refuses
) -> None:
    with refuses(Refused, why):
        session.call(said)
    assert not session.state.rows


def test_the_courses_stairs() -> None:
    # NAVEDTRA 14044: 107 in. over a riser of 7 gives 15 risers.
    assert risers_for(F(107)) == 15
    stairs = frame("stairs rise 107 width 36")
    counts = {cut.piece: cut.count for cut in stairs.cuts}
    assert (counts["tread"], counts["riser"]) == (14, 15)


@given(st.fractions(F(10), F(400), max_denominator=16))
def test_no_riser_is_higher_than_the_usual_most(rise: F) -> None:
    assert rise / risers_for(rise) <= F(31, 4)  # IRC R311.7.5 as quoted by trade pages


def test_a_set_is_one_call_undone_as_one(session: Desk) -> None:
    session.call("36")
    outcome = session.call("wall 12' high 97-1/8")
    assert outcome.assembly is not None
    assert [row.number for row in session.state.open_rows()] == [1, 2, 3]
    assert {row.assembly for row in session.state.open_rows()[1:]} == {outcome.assembly.title}
    session.undo()
    assert [row.number for row in session.state.open_rows()] == [1]
    assert session.call("40").row.number == 4  # type: ignore[union-attr]  # numbers are never used twice
    session.undo()
    session.redo()
    assert [row.number for row in session.state.open_rows()] == [1, 4]


def test_a_set_is_laid_onto_boards_like_any_other_cut(session: Desk) -> None:
    session.call("wall 12' high 97-1/8")
    (plan,) = session.plans()
    assert sum(len(board.pieces) for board in plan.boards) == 3 + 10


def test_another_stations_work_on_a_set_keeps_it(open_session: object) -> None:
    ladder, saw = open_session("ladder"), open_session("saw", "ben")  # type: ignore[operator]
    ladder.call("wall 12' high 97-1/8")
    saw.follow()
    saw.clear()
    ladder.follow()
    with refused(NothingToDo, "went on"):
        ladder.undo()


@pytest.mark.parametrize(
    "answer, states", [("yes", ["open"] * 2), ("the first", ["open"] * 2), ("no", [])]
)
def test_a_set_heard_by_voice_counts_only_after_one_yes(
    session: Desk, answer: str, states: list[str]
) -> None:
    said = Recognition((Hypothesis("wall twelve foot high ninety seven and an eighth", 100.0),))
    assert session.hear(said).happened == "asked"  # type: ignore[union-attr]
    assert not session.state.to_cut()
    session.hear(Recognition((Hypothesis(answer, 100.0),)))
    assert [row.state for row in session.state.rows.values()] == states
    (session.undo if states else session.redo)()
    assert [row.state for row in session.state.rows.values()] == ["doubtful"] * 2


@given(
    st.integers(60, 300), st.integers(20, 40), st.integers(4, 200), st.sampled_from([12, 16, 24])
)
@example(98, 20, 49, 24)
def test_no_stud_stands_in_an_opening_and_none_is_far_from_the_next(
    long: int, width: int, at: int, spacing: int
) -> None:
    try:
        wall = frame(
            f"wall {long} high 97-1/8 door {width} wide 82 high at {at} header 2x8 spacing {spacing}"
        )
    except Refused:
        assert not all(left == 0 or left >= F(3, 2) for left in (at - 3, long - at - width - 3))
        return
    edges = sorted(
        F(part.replace("-", " ").split()[0])
        + (F(part.replace("-", " ").split()[1]) if "-" in part else 0)
        for part in wall.facts[1].split(": ")[1].rstrip(".").replace('"', "").split(", ")
    )
    full = sorted([*edges, F(at - 3), F(at + width) + F(3, 2)])
    assert all(edge + F(3, 2) <= at - 3 or edge >= at + width + 3 for edge in edges)
    gaps = [
        two - one
        for one, two in zip(full, full[1:], strict=False)
        if not (one == at - 3 and two == at + width + F(3, 2))
    ]
    assert max(gaps) <= spacing + F(
        3, 2
    )  # the first is half a stud nearer; the end stud may stand in for a mark
    assert all(two - one >= F(3, 2) for one, two in zip(edges, edges[1:], strict=False))
    counts = {cut.piece: cut.count for cut in wall.cuts}
    assert counts["stud"] == len(edges)


@pytest.mark.parametrize("said", ["no make that 96", "make it 3", "same again", "one more"])
def test_a_correction_does_not_reach_into_a_set(said: str, session: Desk) -> None:
    session.call("wall 12' high 97-1/8")
    before = dict(session.state.rows)
    with refused(NothingToDo, "whole set"):
        session.call(said)
    assert session.state.rows == before


def test_scratch_that_takes_a_whole_set_back_until_a_piece_is_cut(session: Desk) -> None:
    session.call("wall 12' high 97-1/8")
    session.call("scratch that")
    assert not session.state.rows
    session.redo()
    session.clear()
    with refused(NothingToDo, "cut already"):
        session.call("scratch that")
    assert len(session.state.rows) == 2


@pytest.mark.parametrize(
    "said", ["rafters span 24' pitch 7/12 overhang 12-1/3", "wall 12' high 97-1/3"]
)
def test_a_measure_no_tape_has_is_no_measure(said: str, session: Desk) -> None:
    with pytest.raises((NotACall, Refused)):
        session.call(said)
    assert not session.state.rows

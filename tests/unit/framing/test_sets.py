"""A set as one call: refused as a whole, asked as a whole, undone as a whole."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.errors import NotACall, NothingToDo, Refused
from cutmemo.framing.remarks import label
from cutmemo.language import AssemblyCall, read
from cutmemo.wording import explain


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
        ("stairs rise 107 run 10 drop 1", "thick"),
        ("rafters span 24' run 10' pitch 7/12", "leave “run” out"),
        ("wall 12' high 97-1/8 door 38 wide 82 high at 40 header lvl", "How deep"),
    ],
)
def test_what_is_missing_or_cannot_be_is_refused(said: str, why: str, session: Desk) -> None:
    with refused(Refused, why):
        session.call(said)
    assert not session.state.rows


def test_a_set_is_one_call_undone_as_one(session: Desk) -> None:
    session.call("36")
    outcome = session.call("wall 12' high 97-1/8")
    assert outcome.assembly is not None
    assert [row.number for row in session.state.open_rows()] == [1, 2, 3]
    assert {row.assembly for row in session.state.open_rows()[1:]} == {
        label(outcome.assembly.title)
    }
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


@pytest.mark.parametrize("answer, states", [("yes", ["open"] * 2), ("no", [])])
@pytest.mark.parametrize("said", ["wall 12 high 97-1/8", "wall 12 high 8"])
def test_a_typed_set_of_a_few_bare_inches_asks_whether_feet_are_meant(
    said: str, answer: str, states: list[str], session: Desk
) -> None:
    outcome = session.call(said)
    assert outcome.happened == "asked"
    assert "inches, or feet" in outcome.text
    assert not session.state.to_cut()
    session.call(answer)
    assert [row.state for row in session.state.rows.values()] == states


def test_another_station_sees_why_a_set_asks(open_session: object) -> None:
    ladder, saw = open_session("ladder"), open_session("saw", "ben")  # type: ignore[operator]
    ladder.call("wall 12 high 97-1/8")
    saw.follow()
    for row in saw.state.rows.values():
        assert row.state == "doubtful"
        assert [explain(each) for each in row.doubts] == [
            'length 12": inches, or feet? If feet, take it back and say the foot marks.'
        ]


@pytest.mark.parametrize(
    "said",
    [
        "no make that 96",
        "make it 3",
        "make it a quarter shorter",
        "add an eighth to that",
        "take 1/8 off",
        "same again",
        "one more",
    ],
)
def test_a_correction_does_not_reach_into_a_set(said: str, session: Desk) -> None:
    session.call("wall 12' high 97-1/8")
    before = dict(session.state.rows)
    with refused(NothingToDo, "whole set"):
        session.call(said)
    assert dict(session.state.rows) == before


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


@pytest.mark.parametrize(
    "spacing",
    ["spacing 16", "at 16", '@ 16"', "16 on center", "16 o.c.", '16" O.C.', "16oc", "at 16 o/c"],
)
@pytest.mark.parametrize(
    "said",
    ["wall 12' {} high 97-1/8", "wall 12' high 97-1/8, {}", "floor 16' span 12' 2x10 {}"],
)
def test_a_spacing_is_said_as_crews_say_it(said: str, spacing: str) -> None:
    (reading,) = read(said.format(spacing))
    assert isinstance(reading.intent, AssemblyCall)
    assert reading.intent.named("spacing") == F(16)


def test_a_spacing_is_said_as_crews_say_it_by_voice() -> None:
    for spacing in ("sixteen on center", "at sixteen", "spacing sixteen", "at sixteen on center"):
        (reading,) = read(
            f"wall twelve foot high ninety seven and an eighth {spacing}", by_voice=True
        )
        assert isinstance(reading.intent, AssemblyCall)
        assert reading.intent.inches == (
            ("length", F(144)),
            ("high", F(777, 8)),
            ("spacing", F(16)),
        )


def test_where_an_opening_stands_is_no_spacing() -> None:
    said = "wall 12' high 97-1/8 window 36 wide 82 high sill 36 at 48 header 2x8 at 24"
    (reading,) = read(said)
    assert isinstance(reading.intent, AssemblyCall)
    assert reading.intent.openings[0].at == F(48)
    assert reading.intent.named("spacing") == F(24)


@pytest.mark.parametrize("said", ["wall 12' high 97-1/8 at 49", "wall 12' high 8' 16 o.c. at 24"])
def test_no_spacing_is_so_wide_or_said_twice(said: str) -> None:
    with pytest.raises(NotACall):
        read(said)

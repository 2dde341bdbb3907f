"""Several calls on one line or in one breath: parted where it is clear, asked about where it was heard, taken whole or not at all."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction as F
from typing import Any

import pytest
from desk import Desk, refused
from hypothesis import given, settings
from hypothesis import strategies as st

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, NothingToDo, Refused
from cutmemo.language import speak, split_calls
from cutmemo.memo.decide.cuts import ONE_OF_SEVERAL
from cutmemo.wording import explain

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]

CALLS = st.builds(Cut, st.integers(8, 288 * 16).map(lambda n: Length(F(n, 16))), st.integers(1, 12))
IN_ONE_BREATH = "one oh one and a half one oh two and an eighth four at fourteen and five eighths"


def heard(text: str) -> Recognition:
    return Recognition((Hypothesis(text, 10.0),))


@settings(max_examples=150, deadline=None)
@given(st.lists(CALLS, min_size=2, max_size=4))
def test_what_commas_part_is_read_as_what_was_called(cuts: list[Cut]) -> None:
    said = ", ".join(speak(cut) for cut in cuts)
    found = split_calls(said)
    assert found is not None
    assert found.marked
    assert [
        cut in {reading.intent for reading in part.readings}
        for cut, part in zip(cuts, found.parts, strict=True)
    ] == [True] * len(cuts)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(CALLS.filter(lambda cut: cut.length.inches.denominator > 1), min_size=2, max_size=4)
)
def test_in_one_breath_every_cut_is_among_the_readings_of_its_part_or_none_is(
    cuts: list[Cut],
) -> None:
    try:
        found = split_calls(" ".join(speak(cut) for cut in cuts), by_voice=True)
    except Refused:
        return
    assert found is not None
    assert all(
        cut in {reading.intent for reading in part.readings}
        for cut, part in zip(cuts, found.parts, strict=True)
    )


def test_a_long_list_is_read() -> None:
    found = split_calls(", ".join(f"{n} at {n}-1/2 2x4 stud" for n in range(2, 80)))
    assert found is not None
    assert [part.said for part in found.parts][-1] == "79 at 79-1/2 2x4 stud"


def test_each_part_keeps_its_own_words() -> None:
    found = split_calls("4 @ 14-5/8 2x6 header; 2 at 90; 8' 6 1/2\"")
    assert found is not None
    assert [part.said for part in found.parts] == ["4 @ 14-5/8 2x6 header", "2 at 90", "8' 6 1/2\""]


@pytest.mark.parametrize(
    "said", ["36 48", "12, no", "36", "", "flub, flub", "thirty six forty eight"]
)
def test_what_is_no_list_is_none(said: str) -> None:
    assert split_calls(said) is None


@pytest.mark.parametrize("said", ["8' 6, 2x6 header, 90", "14-1/2 king stud 2 at 90-3/8"])
def test_where_it_is_not_clear_what_belongs_to_what_nothing_is_guessed(
    said: str, refuses: Refuses
) -> None:
    with refuses(Refused, "one by one"):
        split_calls(said)


@pytest.mark.parametrize("said", ["2,400 mm", "14,5", "36,48,60", "4 at 14,5 2x6", "1.5,2"])
def test_a_comma_inside_a_number_parts_nothing(said: str, refuses: Refuses) -> None:
    """Thousands are written 2,400 here and tenths 14,5 there (common practice): neither is two cuts."""
    with refuses(Refused, "inside a number"):
        split_calls(said)


def test_a_comma_behind_a_fraction_needs_no_space() -> None:
    found = split_calls("101-1/2,102-1/8,60")
    assert found is not None
    assert [part.said for part in found.parts] == ["101-1/2", "102-1/8", "60"]


def meant(said: str) -> list[list[tuple[int, F, str, str]]]:
    found = split_calls(said)
    assert found is not None
    return [
        [
            (cut.count, cut.length.inches, str(cut.section or ""), cut.piece or "")
            for cut in (reading.intent for reading in part.readings)
            if isinstance(cut, Cut)
        ]
        for part in found.parts
    ]


@pytest.mark.parametrize("said", ["2x4 36, 40, 44", "2x4 @ 36, 40, 44", "two by four, 36, 40, 44"])
def test_a_section_before_a_list_is_for_all_of_it(said: str) -> None:
    assert meant(said) == [[(1, F(n), "2x4", "")] for n in (36, 40, 44)]


def test_a_piece_before_a_list_is_for_all_of_it() -> None:
    assert meant("2x4 stud 36, 40") == [[(1, F(36), "2x4", "stud")], [(1, F(40), "2x4", "stud")]]


def test_a_section_behind_a_list_and_a_count_before_it_may_be_for_all_of_it() -> None:
    assert meant("36, 40 2x4") == [
        [(1, F(36), "", ""), (1, F(36), "2x4", "")],
        [(1, F(40), "2x4", "")],
    ]
    assert meant("4 @ 36, 40") == [
        [(4, F(36), "", "")],
        [(1, F(40), "", ""), (4, F(40), "", "")],
    ]


@pytest.mark.parametrize(
    "said", ["2x4 36, 2x6 40", "36 2x4, 40 2x6", "4 @ 36, 2 @ 40", "36, 4 @ 40"]
)
def test_what_each_of_a_list_names_is_its_own(said: str) -> None:
    assert [len(part) for part in meant(said)] == [1, 1]


def test_lines_that_were_pasted_are_a_list() -> None:
    assert [len(part) for part in meant("36-1/2\n\n48\n60 2x4 stud\n")] == [2, 2, 1]
    assert meant("36-1/2\n48") == [[(1, F(73, 2), "", "")], [(1, F(48), "", "")]]


def test_typed_with_commas_every_cut_stands(session: Desk) -> None:
    outcome = session.call("101-1/2, 102-1/8, 4 at 14-5/8")
    assert [row.cut for row in outcome.rows] == [
        Cut(Length(F(203, 2))),
        Cut(Length(F(817, 8))),
        Cut(Length(F(117, 8)), 4),
    ]
    assert [row.state for row in session.state.rows.values()] == ["open"] * 3


def test_of_a_long_list_the_number_is_told(session: Desk) -> None:
    assert session.call("36, 48, 60, 72, 84, 290").text == "6 cuts: 5 on the list, 1 asks."


def test_typed_without_commas_every_cut_asks(session: Desk) -> None:
    outcome = session.call("14-1/2 15-1/4")
    assert outcome.text == '14-1/2"? 15-1/4"? Several were called at once: is each of them right?'
    assert [(row.state, tuple(explain(each) for each in row.doubts)) for row in outcome.rows] == [
        ("doubtful", (explain(ONE_OF_SEVERAL),))
    ] * 2


def test_one_bad_cut_of_a_list_keeps_all_of_it_out(session: Desk) -> None:
    for said in ("12-1/2, 14-1/3", "36, 0", "36, flub"):
        with pytest.raises((Refused, NotACall)):
            session.call(said)
    assert not session.state.rows


def test_a_list_asks_about_a_cut_that_it_names_twice(session: Desk) -> None:
    assert [row.state for row in session.call("36, 36").rows] == ["open", "doubtful"]


def test_a_list_is_taken_back_and_done_again_as_it_was_called(session: Desk) -> None:
    session.call("24")
    session.call("36, 48, 2 at 60")
    session.clear(next(row.id for row in session.state.rows.values() if row.number == 4))
    session.undo()
    assert session.undo().text == 'Undone: cut added 36"; cut added 48"; cut added 2 × 60".'
    assert [row.number for row in session.state.rows.values()] == [1]
    session.redo()
    assert [(row.number, row.cut.count, row.done) for row in session.state.rows.values()] == [
        (1, 1, 0),
        (2, 1, 0),
        (3, 1, 0),
        (4, 2, 0),
    ]
    session.redo()
    assert [row.done for row in session.state.rows.values()] == [0, 0, 0, 1]


def test_a_list_of_which_another_station_cut_one_is_not_taken_back(
    open_session: Callable[..., Desk],
) -> None:
    caller, saw = open_session("ladder"), open_session("saw")
    rows = caller.call("36, 48").rows
    saw.follow()
    saw.clear(rows[0].id)
    with refused(NothingToDo, "went on with that row"):
        caller.undo()
    assert len(caller.state.rows) == 2


def test_a_list_asks_about_a_cut_that_it_names_twice_whichever_way_round_the_count_was(
    session: Desk,
) -> None:
    first, second = session.call("4x36, 4 at 36").rows
    assert first.cut == second.cut
    assert any("moment ago" in explain(each) for each in second.doubts)


def test_in_one_breath_every_cut_asks_and_none_is_lost(session: Desk) -> None:
    outcome = session.hear(heard(IN_ONE_BREATH))
    assert outcome is not None
    assert [(row.cut, row.state) for row in outcome.rows] == [
        (Cut(Length(F(203, 2))), "doubtful"),
        (Cut(Length(F(817, 8))), "doubtful"),
        (Cut(Length(F(117, 8)), 4), "doubtful"),
    ]
    for row in outcome.rows:
        session.answer(1, row.id)
    assert [row.state for row in session.state.rows.values()] == ["open"] * 3


def test_at_the_saw_no_list_is_taken_by_voice(session: Desk) -> None:
    session.at_saw = True
    with pytest.raises(NotACall):
        session.hear(heard(IN_ONE_BREATH))
    assert not session.state.rows


def test_a_single_call_is_never_taken_for_several(session: Desk) -> None:
    session.hear(heard("two by four ninety two and five eighths long point"))
    assert len(session.state.rows) == 1


def test_boards_that_were_half_heard_are_not_put_on_the_rack(
    session: Desk, refuses: Refuses
) -> None:
    half = Recognition((Hypothesis("two by four sixteen footers", 10.0),), partly_muted=True)
    with refuses(Refused, "all of the call"):
        session.hear(half)
    assert not session.state.rack.lots


@pytest.mark.parametrize(
    ("said", "by_voice"),
    [
        ("twelve at fourteen and a half and six at twenty two and a quarter", True),
        ("12 @ 14-1/2 and 6 @ 22-1/4", False),
    ],
)
def test_a_list_may_be_joined_by_and_and_asks(said: str, by_voice: bool) -> None:
    listed = split_calls(said, Settings(), by_voice)
    assert listed is not None
    assert not listed.marked
    cuts = [each.readings[0].intent for each in listed.parts]
    assert [(cut.count, cut.length.inches) for cut in cuts if isinstance(cut, Cut)] == [
        (12, F(29, 2)),
        (6, F(89, 4)),
    ]


@pytest.mark.parametrize("said", ["W3: 36, 40", "for W3 36, 40"])
def test_a_place_before_a_list_is_for_all_of_it(said: str) -> None:
    listed = split_calls(said, Settings())
    assert listed is not None
    cuts = [each.readings[0].intent for each in listed.parts]
    assert [cut.place for cut in cuts if isinstance(cut, Cut)] == ["W3", "W3"]


@pytest.mark.parametrize(
    ("calls", "why"),
    [
        (["six two and a quarter"], "It is not clear which length is meant."),
        (["4 @ 14-5/8 2x6 header, 101-1/2 stud"], "It is not clear how many are meant."),
        (["8 @ 41", "no, 9"], "This can mean more than one thing."),
    ],
)
def test_a_question_says_what_is_in_doubt(session: Desk, calls: list[str], why: str) -> None:
    for call in calls:
        session.call(call)
    asking = session.question()
    assert asking is not None
    assert explain(asking.doubts[0]) == why


def test_a_corrected_length_leaves_the_count_to_be_answered(session: Desk) -> None:
    session.call("4 @ 14-5/8 2x6 header, 101-1/2 stud")
    session.call("no, make that 102")
    asking = session.question()
    assert asking is not None
    assert [(cut.count, cut.length.inches) for cut in asking.readings] == [(1, 102), (4, 102)]
    assert explain(asking.doubts[0]) == "It is not clear how many are meant."

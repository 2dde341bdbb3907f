"""Words become rows, rows are cut, struck, put back, undone; two stations share one file."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction as F
from typing import Any

import pytest
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.errors import BadSetting, NotACall, NothingToDo, Refused, UnknownCut
from cutmemo.memo import Projection
from cutmemo.wording import explain

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]


def heard(*texts: str, apart: float = 30.0) -> Recognition:
    return Recognition(tuple(Hypothesis(text, 100.0 - apart * k) for k, text in enumerate(texts)))


def test_a_call_becomes_an_open_row_with_its_words_and_manner(session: Desk) -> None:
    row = session.call("4 @ 14-5/8 2x6 header").row
    assert row is not None
    assert (row.number, row.state, row.left, row.said) == (1, "open", 4, "4 @ 14-5/8 2x6 header")
    assert (row.who, row.station) == ("ann", "ladder")
    assert "tape 1/16" in row.settings


def test_a_doubtful_call_counts_only_after_an_answer(session: Desk) -> None:
    outcome = session.call("six two")
    assert outcome.happened == "asked"
    assert session.state.sums.open_pieces == 0
    with refused(NothingToDo, "answer it before"):
        session.clear(outcome.row.id if outcome.row else None)
    row = session.answer(2).row
    assert row is not None
    assert (row.state, row.cut.length.inches) == ("open", F(74))


def test_no_strikes_the_question(session: Desk) -> None:
    session.call("six two")
    session.call("no")
    assert [row.state for row in session.state.rows.values()] == ["struck"]


@pytest.mark.parametrize("said", ["0", "12 flub", "1/3", "four at"])
def test_a_bad_call_changes_nothing(session: Desk, said: str) -> None:
    session.call("36")
    before = list(session.log)
    with pytest.raises((NotACall, Refused)):
        session.call(said)
    assert session.log == before


def test_a_row_counts_down_and_asks_for_the_stop_block(session: Desk) -> None:
    session.call("12 at 14-1/2")
    texts = [session.clear().text for _ in range(12)]
    assert [k + 1 for k, text in enumerate(texts) if "stop block" in text] == [1, 2, 10]
    assert texts[-1].endswith("Done.")
    with pytest.raises(NothingToDo):
        session.clear()


def test_clear_all_clears_what_is_left(session: Desk) -> None:
    session.call("5 at 36")
    session.clear()
    assert session.clear(all_left=True).row is not None
    assert session.state.sums.cut_pieces == 5


def test_a_correction_replaces_only_what_it_names(session: Desk) -> None:
    session.call("4 @ 14-5/8 2x6 header for wall 3")
    session.call("no, make that 15-1/4")
    session.call("make it three")
    (row,) = session.state.rows.values()
    assert (row.cut.length.inches, row.cut.count, row.cut.piece, row.cut.place) == (
        F(61, 4),
        3,
        "header",
        "wall 3",
    )


@pytest.mark.parametrize(
    ("call", "correction", "asks", "lengths", "count"),
    [
        ("twenty one ten", "no, make that 2x4", True, {F(173, 8), F(262)}, 1),
        ("36 15", "no, make that 2x4", True, {F(591, 16)}, 1),
        ("36 15", "make it four", True, {F(591, 16)}, 4),
        ("36 15", "no, make that 40 inches", False, {F(40)}, 1),
        ("twenty one ten", "no, make that 40 inches", False, {F(40)}, 1),
        ("92 studs", "make it four", False, {F(92)}, 4),
        ("92 studs", "no, make that 93", True, {F(93)}, 1),
        ("92 studs", "no, make that stud", False, {F(92)}, 1),
        ("7 2x4", "no, make that 93", False, {F(93)}, 1),
    ],
)
def test_a_correction_settles_no_question_but_about_what_it_names(
    session: Desk, call: str, correction: str, asks: bool, lengths: set[F], count: int
) -> None:
    session.call(call)
    session.call(correction)
    (row,) = session.state.rows.values()
    assert (row.state == "doubtful", row.cut.count) == (asks, count)
    assert {cut.length.inches for cut in row.readings or (row.cut,)} == lengths


def test_a_correction_below_what_is_cut_is_refused(session: Desk, refuses: Refuses) -> None:
    session.call("4 at 36")
    session.clear()
    session.clear()
    with refuses(Refused, "cut already"):
        session.call("make it one")


def test_same_again_and_one_more(session: Desk, clock: Callable[[], object]) -> None:
    session.call("36 header")
    clock.later(60)  # type: ignore[attr-defined]
    session.call("same again")
    session.call("two more")
    assert [row.cut.count for row in session.state.rows.values()] == [1, 3]


def test_one_more_and_the_same_again_of_a_row_that_asks_ask_too(
    session: Desk, clock: Callable[[], object]
) -> None:
    session.call("twenty one ten")
    session.call("one more")
    clock.later(60)  # type: ignore[attr-defined]
    session.call("same again")
    for row in session.state.rows.values():
        assert row.state == "doubtful"
        assert {(cut.count, cut.length.inches) for cut in row.readings} == {
            (2, F(173, 8)),
            (2, F(262)),
        }


def test_one_more_of_nobody_knows_how_many_is_refused(session: Desk) -> None:
    session.call("4x36")
    with refused(NothingToDo, "answer it first"):
        session.call("one more")
    (row,) = session.state.rows.values()
    assert {cut.count for cut in row.readings} == {4, 36}


def test_the_same_call_twice_within_seconds_asks(
    session: Desk, clock: Callable[[], object]
) -> None:
    session.call("36")
    clock.later(2)  # type: ignore[attr-defined]
    assert session.call("36").happened == "asked"
    clock.later(20)  # type: ignore[attr-defined]
    assert session.call("36").happened == "added"


def test_strike_by_its_length_and_put_back(session: Desk) -> None:
    session.call("14")
    session.call("36")
    session.call("cancel the fourteen")
    assert [row.cut.length.inches for row in session.state.open_rows()] == [36]
    session.call("put it back")
    assert [row.cut.length.inches for row in session.state.open_rows()] == [14, 36]


def test_two_rows_of_one_length_are_not_struck_by_guess(
    session: Desk, clock: Callable[[], object]
) -> None:
    session.call("14 stud")
    clock.later(60)  # type: ignore[attr-defined]
    session.call("14 header")
    with refused(NothingToDo, "Rows 1, 2"):
        session.call("cancel the fourteen")


def test_of_two_meanings_the_one_without_a_question_of_its_own_is_named_first(
    session: Desk,
) -> None:
    for said in ("4x36", "36x4"):
        row = session.call(said).row
        assert row is not None
        assert [(cut.count, cut.length.inches) for cut in row.readings] == [(4, 36), (36, 4)]
        session.undo()


def test_a_doubt_of_every_reading_is_told_once(session: Desk) -> None:
    row = session.call("301x302").row
    assert row is not None
    assert len(row.readings) == 2
    said = [explain(each) for each in row.doubts]
    assert sum("Longer than the longest" in each for each in said) == 1


def test_anything_is_undone_and_done_again(session: Desk) -> None:
    session.call("4 at 36")
    session.set_setting("pairs", "feet")
    session.clear()
    session.call("make it five")
    for expected in (4, 4, 4):
        session.undo()
        assert [row.cut.count for row in session.state.rows.values()] == [expected]
    assert session.state.settings.pairs == "ask"
    session.undo()
    assert not session.state.rows
    with pytest.raises(NothingToDo):
        session.undo()
    for _ in range(4):
        session.redo()
    (row,) = session.state.rows.values()
    assert (row.cut.count, row.done, session.state.settings.pairs) == (5, 1, "feet")
    with pytest.raises(NothingToDo):
        session.redo()


def test_a_new_act_ends_redo(session: Desk) -> None:
    session.call("36")
    session.undo()
    session.call("48")
    with pytest.raises(NothingToDo):
        session.redo()


def test_row_numbers_are_never_given_twice(session: Desk) -> None:
    session.call("36")
    session.undo()
    assert session.call("48").row.number == 2  # type: ignore[union-attr]


def test_two_stations_see_each_other_and_merge_nothing(
    open_session: Callable[..., Desk],
) -> None:
    ladder, saw = open_session("ladder", "ann"), open_session("saw", "bo")
    ladder.call("36")
    saw.call("48")
    assert ladder.follow()
    assert [(row.number, row.who) for row in ladder.state.open_rows()] == [(1, "ann"), (2, "bo")]
    saw.clear()
    with refused(NothingToDo, "is cut already"):
        ladder.clear(next(iter(ladder.state.rows)))


def test_undo_touches_only_this_stations_acts(open_session: Callable[..., Desk]) -> None:
    ladder, saw = open_session("ladder", "ann"), open_session("saw", "bo")
    ladder.call("2 at 36")
    saw.follow()
    saw.clear()
    with refused(NothingToDo, "bo at saw"):
        ladder.undo()
    saw.undo()
    ladder.undo()
    assert not ladder.state.rows


def test_orders(session: Desk) -> None:
    for said in ("36", "144 plumb 7/12 long point", "60", "48 plumb 7/12 long point"):
        session.call(said)
    seen = {}
    for order in ("called", "longest", "saw"):
        session.set_order(order)  # type: ignore[arg-type]
        seen[order] = [int(row.cut.length.inches) for row in session.state.open_rows()]
    assert seen == {
        "called": [36, 144, 60, 48],
        "longest": [144, 60, 48, 36],
        "saw": [60, 36, 144, 48],
    }


def test_sums_count_lineal_and_board_feet(session: Desk) -> None:
    # Board feet: nominal thickness × width × feet / 12 (PS 20); 3 × 2x6 of 4 ft = 12, by hand.
    session.call("3 at 48 2x6")
    session.call("2 at 36")
    session.clear()
    sums = session.state.sums
    assert (
        sums.open_pieces,
        sums.cut_pieces,
        sums.open_inches,
        sums.open_board_feet,
        sums.unsized,
    ) == (4, 1, 168, 8, 2)


def test_any_split_of_the_events_gives_the_same_queue(session: Desk) -> None:
    for said in ("36", "six two", "4 at 48", "no, make that 50", "cut", "undo", "longer"):
        try:
            session.call(said)
        except NotACall:
            continue
    events = session.log
    whole = Projection(events)
    for split in range(len(events) + 1):
        parted = Projection(events[:split])
        parted.follow(events[split:])
        assert parted.state == whole.state


def test_settings_that_do_not_exist_are_refused_with_what_would_fit(
    session: Desk, refuses: Refuses
) -> None:
    with refuses(BadSetting, "pairs, bare"):
        session.set_setting("colour", "red")
    with refuses(BadSetting, "ask, feet, inches"):
        session.set_setting("pairs", "yards")
    with refuses(BadSetting, "no size"):
        session.set_setting("kerf", "thin")
    session.set_setting("kerf", "3/32")
    assert session.state.settings.kerf == F(3, 32)


def test_an_unknown_row_is_named(session: Desk, refuses: Refuses) -> None:
    with refuses(UnknownCut, "“9”"):
        session.find("9")


# --- by voice ---------------------------------------------------------------------------------------------


def test_alternatives_that_agree_stand(session: Desk) -> None:
    outcome = session.hear(heard("a hundred and two", "one hundred and two", apart=1.0))
    assert outcome is not None
    assert (outcome.happened, outcome.row.cut.length.inches) == ("added", 102)  # type: ignore[union-attr]


def test_a_close_alternative_of_another_length_asks(session: Desk) -> None:
    outcome = session.hear(heard("fifteen and a half", "fifty and a half", apart=0.5))
    assert outcome is not None
    assert outcome.row is not None
    assert (outcome.happened, [cut.length.inches for cut in outcome.row.readings]) == (
        "asked",
        [F(31, 2), F(101, 2)],
    )


def test_a_far_alternative_does_not_ask(session: Desk) -> None:
    outcome = session.hear(heard("fifteen and a half", "nine and a half", apart=60))
    assert outcome is not None
    assert outcome.happened == "added"


def test_a_close_command_is_not_obeyed(session: Desk, refuses: Refuses) -> None:
    session.call("36")
    with refuses(Refused, "more than one way"):
        session.hear(heard("scratch that", "clear", apart=0.5))
    assert [row.state for row in session.state.rows.values()] == ["open"]


@pytest.mark.parametrize("text", ["", "[unk]", "[unk] [unk]", "thirty six [unk]"])
def test_garbage_does_not_enter_the_queue(session: Desk, text: str) -> None:
    assert session.hear(heard(text)) is None
    assert not session.log


def test_a_call_that_does_not_fit_is_kept_in_the_day_and_not_in_the_queue(session: Desk) -> None:
    with pytest.raises(NotACall):
        session.hear(heard("four at and a half"))
    assert not session.state.rows
    assert session.state.refused[0].payload.said == "four at and a half"


def test_the_rest_of_a_call_after_a_pause_is_asked_about(
    session: Desk, clock: Callable[[], object]
) -> None:
    session.hear(heard("one oh one"))
    clock.later(1.5)  # type: ignore[attr-defined]
    outcome = session.hear(heard("and a half"))
    assert outcome is not None
    assert outcome.row is not None
    assert (outcome.happened, [cut.length.inches for cut in outcome.row.readings]) == (
        "asked",
        [F(203, 2), 101],
    )
    assert len(session.state.rows) == 1


@pytest.mark.parametrize("rest", ["five eighths", "and blue", "and header"])
def test_whatever_trails_a_call_at_once_makes_it_doubtful(
    session: Desk, clock: Callable[[], object], rest: str
) -> None:
    session.hear(heard("forty two"))
    clock.later(1)  # type: ignore[attr-defined]
    session.hear(heard(rest))
    assert [row.state for row in session.state.rows.values()] == ["doubtful"]


def test_a_fraction_called_later_is_a_row_of_its_own(
    session: Desk, clock: Callable[[], object]
) -> None:
    session.hear(heard("forty two"))
    clock.later(30)  # type: ignore[attr-defined]
    session.hear(heard("five eighths"))
    assert [row.cut.length.inches for row in session.state.rows.values()] == [42, F(5, 8)]


def test_a_rest_keeps_the_readings_that_were_asked_about(
    session: Desk, clock: Callable[[], object]
) -> None:
    session.hear(heard("fifteen", "fifty", apart=0.5))
    clock.later(1)  # type: ignore[attr-defined]
    session.hear(heard("and header"))
    (row,) = session.state.rows.values()
    assert {cut.length.inches for cut in row.readings} >= {15, 50}


def test_a_shade_the_crew_gave_a_size_is_shown_as_the_length_to_saw(session: Desk) -> None:
    session.set_setting("shade", "1/32")
    assert "(saw 36-1/32" in session.call("36 strong").text


@pytest.mark.parametrize(
    ("said", "meanings"),
    [
        ("ninety fifteen sixteenths", {F(1455, 16), F(319, 16)}),
        ("nineteen five eighths", {F(157, 8), F(725, 8)}),
        ("two at fourteen fifteen sixteenths two by four", {F(239, 16), F(655, 16)}),
        ("one sixteen five eighths", {F(933, 8), F(1285, 8)}),
    ],
)
def test_teens_and_tens_that_run_into_an_f_are_asked_about(
    session: Desk, said: str, meanings: set[F]
) -> None:
    outcome = session.hear(heard(said))
    assert outcome is not None
    assert outcome.happened == "asked"
    assert outcome.row is not None
    assert {cut.length.inches for cut in outcome.row.readings} >= meanings


@pytest.mark.parametrize(
    "said",
    [
        "ninety and fifteen sixteenths",
        "ninety four",
        "nineteen and five eighths",
        "ninety two five eighths",
        "fifteen foot five",
    ],
)
def test_other_teens_and_tens_stand(session: Desk, said: str) -> None:
    outcome = session.hear(heard(said))
    assert outcome is not None
    assert outcome.happened == "added"


def test_the_late_rest_of_a_call_does_not_change_what_was_cut_meanwhile(
    open_session: Callable[..., Desk],
) -> None:
    ladder, saw = open_session("ladder"), open_session("saw", "ben")
    ladder.hear(heard("one oh one"))
    saw.follow()
    saw.clear("1")
    ladder.hear(heard("and a half"))
    was_cut, rest = ladder.state.rows.values()
    assert (was_cut.state, was_cut.cut.length.inches) == ("cut", F(101))
    assert rest.state == "doubtful"
    assert F(203, 2) in [cut.length.inches for cut in (rest.cut, *rest.readings)]


def test_a_late_rest_that_is_no_length_is_refused_where_the_row_was_cut(session: Desk) -> None:
    session.hear(heard("one oh one"))
    session.clear("1")
    with refused(NothingToDo, "meanwhile"):
        session.hear(heard("and a king stud of"))
    assert [row.state for row in session.state.rows.values()] == ["cut"]

"""At the saw: trouble, hold, skip, orders by voice, and questions answered in one word."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import pytest
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.errors import NothingToDo, Refused
from cutmemo.memo import Projection
from cutmemo.present import as_text

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]


def heard(*texts: str) -> Recognition:
    return Recognition(tuple(Hypothesis(text, 100.0 - 30 * k) for k, text in enumerate(texts)))


def offered(session: Desk) -> list[int]:
    return [row.number for row in session.state.to_cut()]


def test_a_piece_just_cut_short_is_cut_again(session: Desk) -> None:
    session.call("3 @ 14-1/2")
    session.clear()
    outcome = session.spoil("short")
    assert outcome.row is not None
    assert (outcome.row.left, outcome.row.spoiled) == (3, ("short",))
    assert "cut it again" in outcome.text


def test_trouble_with_the_last_piece_of_a_row_opens_it_again(session: Desk) -> None:
    session.call("40")
    session.call("71")
    session.clear()
    assert offered(session) == [2]
    session.spoil("wrong angle")
    assert offered(session) == [1, 2]
    session.undo()
    assert offered(session) == [2]


def test_the_piece_in_hand_is_meant_when_something_else_was_done_since(session: Desk) -> None:
    session.call("2 @ 40")
    session.clear()
    session.call("71")
    (suspect,) = session.suspects()
    assert not suspect.was_cut
    row = session.spoil("bad stock", suspect).row
    assert row is not None
    assert (row.left, row.done, row.spoiled) == (1, 1, ("bad stock",))


def test_spoiled_stock_leaves_the_rack(session: Desk) -> None:
    session.call("10 2x4 16 footers")
    session.call("92-5/8 2x4 stud")
    session.spoil("bad stock")
    boards = {lot.inches: lot.count for lot in session.state.rack.lots}
    assert boards[192] == 9
    assert session.state.to_cut()[0].left == 1
    session.undo()
    assert {lot.inches: lot.count for lot in session.state.rack.lots} == {192: 10}


def test_no_trouble_without_a_piece(session: Desk) -> None:
    with pytest.raises(NothingToDo):
        session.spoil("short")


def test_a_held_row_is_open_and_not_offered(session: Desk) -> None:
    for said in ("40", "71", "93"):
        session.call(said)
    session.hold()
    assert offered(session) == [2, 3]
    assert session.state.sums.open_pieces == 3
    with refused(NothingToDo, "on hold"):
        session.hold(session.state.rows.numbered(1).id)  # type: ignore[union-attr]
    session.release()
    assert offered(session) == [1, 2, 3]


def test_with_everything_on_hold_the_saw_says_so(session: Desk) -> None:
    session.call("40")
    session.hold()
    with refused(NothingToDo, "on hold"):
        session.clear()


def test_a_skipped_row_comes_last_until_it_is_cut(session: Desk) -> None:
    for said in ("2 @ 40", "71", "93"):
        session.call(said)
    session.skip()
    assert offered(session) == [2, 3, 1]
    session.skip()
    assert offered(session) == [3, 1, 2]
    session.clear(session.state.rows.numbered(1).id)  # type: ignore[union-attr]
    assert offered(session) == [1, 3, 2]  # begun, it is in its place again


def test_the_only_row_is_not_skipped(session: Desk) -> None:
    session.call("40")
    with pytest.raises(NothingToDo):
        session.skip()


def test_orders_by_voice_at_the_saw(session: Desk) -> None:
    session.call("2 @ 40")
    session.call("71")
    session.at_saw = True
    assert session.hear(heard("cut")).happened == "cleared"  # type: ignore[union-attr]
    assert "1 left of row 1, 2 pieces" in session.hear(heard("how many left")).text  # type: ignore[union-attr]
    assert "71" in session.hear(heard("what's next")).text  # type: ignore[union-attr]
    assert "40" in session.hear(heard("read it back")).text  # type: ignore[union-attr]
    assert session.hear(heard("put it back")).happened == "put back"  # type: ignore[union-attr]
    assert session.hear(heard("cut")).happened == "cleared"  # type: ignore[union-attr]
    assert session.hear(heard("cut short")).happened == "spoiled"  # type: ignore[union-attr]
    assert session.hear(heard("hold")).happened == "held"  # type: ignore[union-attr]
    assert offered(session) == [2]
    assert session.hear(heard("release")).happened == "released"  # type: ignore[union-attr]
    assert session.hear(heard("skip it")).happened == "skipped"  # type: ignore[union-attr]


def test_a_length_in_the_noise_of_the_saw_is_no_call(session: Desk, refuses: Refuses) -> None:
    session.at_saw = True
    with refuses(Refused, "only orders"):
        session.hear(heard("one oh one and a half"))
    assert not session.state.rows
    assert session.state.refused  # it stands in the day's log


def test_away_from_the_saw_hold_stops_the_listening(session: Desk) -> None:
    session.call("40")
    assert session.hear(heard("hold")).happened == "pause"  # type: ignore[union-attr]
    assert offered(session) == [1]


@pytest.mark.parametrize("said, whole", [("fifteen", 15), ("five oh", 50), ("fifty", 50)])
def test_a_question_is_answered_by_one_word(session: Desk, said: str, whole: int) -> None:
    alike = Recognition(
        (Hypothesis("fifteen and a half", 100.0), Hypothesis("fifty and a half", 99.5))
    )
    assert session.hear(alike).happened == "asked"  # type: ignore[union-attr]
    outcome = session.hear(heard(said))
    assert outcome is not None
    assert outcome.happened == "answered"
    assert outcome.text.startswith("Answer taken: row 1 is ")
    (row,) = session.state.rows.values()
    assert (row.state, int(row.cut.length.inches)) == ("open", whole)


def test_the_first_answers_too(session: Desk) -> None:
    session.call("six two")
    session.hear(heard("the first"))
    assert [row.state for row in session.state.rows.values()] == ["open"]


def test_the_next_call_is_not_taken_for_an_answer(session: Desk, clock: object) -> None:
    session.call("six two")
    assert session.hear(heard("sixteen and a half")).happened == "added"  # type: ignore[union-attr]
    assert session.hear(heard("four at sixty two")).happened == "added"  # type: ignore[union-attr]
    clock.later(60)  # type: ignore[attr-defined]
    assert session.hear(heard("sixty two")).happened != "answered"  # type: ignore[union-attr]
    assert len(session.state.rows) == 4


def test_answers_that_fit_both_readings_are_calls(session: Desk) -> None:
    session.hear(
        Recognition((Hypothesis("two at fifteen", 100.0), Hypothesis("four at fifteen", 99.5)))
    )
    assert session.hear(heard("fifteen")).happened != "answered"  # type: ignore[union-attr]


def test_what_the_saw_did_is_the_same_after_reading_the_memo_again(
    open_session: Callable[..., Desk],
) -> None:
    session = open_session()
    for said in ("3 @ 40", "71", "wall 12' high 97-1/8"):
        session.call(said)
    session.clear()
    session.spoil("short")
    session.hold()
    session.skip()
    again = Projection(session.store.events())
    assert again.state == session.state
    assert [row.number for row in again.state.to_cut()] == offered(session)


@pytest.mark.parametrize("nearest, told", [(98.5, "one oh two"), (90.0, "")])
def test_a_call_taken_for_noise_is_told_of_and_not_taken(
    session: Desk, nearest: float, told: str
) -> None:
    noise = Recognition(
        (
            Hypothesis("[unk] [unk]", 100.0),
            Hypothesis("cut", 99.0),
            Hypothesis("one oh two", nearest),
        )
    )
    assert session.hear(noise) is None
    assert not session.state.rows
    assert told in session.ignored(noise)
    assert bool(session.ignored(noise)) is bool(told)


def test_the_paper_list_shows_what_waits_and_what_is_cut_again(session: Desk) -> None:
    for said in ("2 @ 40", "71"):
        session.call(said)
    session.spoil("short")
    session.hold(session.state.rows.numbered(2).id)  # type: ignore[union-attr]
    assert as_text(session.state.open_rows(), session.state.settings).splitlines() == [
        '[ ]   1    2 ×            40"',
        "            ! cut again: short",
        '[‖]   2    1 ×            71"',
    ]


def test_a_doubtful_hearing_and_a_typed_length_answer_nothing(session: Desk) -> None:
    session.hear(
        Recognition((Hypothesis("fifteen and a half", 100.0), Hypothesis("fifty and a half", 99.5)))
    )
    torn = Recognition((Hypothesis("fifteen", 100.0), Hypothesis("sixteen", 99.5)))
    assert session.hear(torn).happened == "asked"  # type: ignore[union-attr]
    session.call("50")
    assert [row.state for row in session.state.rows.values()][:2] == ["doubtful", "doubtful"]
    assert len(session.state.rows) == 3


def test_by_voice_the_piece_in_hand_is_the_one_that_is_shown(session: Desk) -> None:
    for said in ("40", "71"):
        session.call(said)
    session.in_hand = session.state.rows.numbered(2).id  # type: ignore[union-attr]
    session.hear(heard("cut"))
    assert offered(session) == [1]
    session.in_hand = ""
    with refused(NothingToDo, "Planning the boards"):
        session.hear(heard("cut"))
    session.in_hand = None
    session.hear(heard("cut"))
    assert offered(session) == []


def test_the_order_goes_round_as_called_longest_by_saw(session: Desk) -> None:
    seen = [session.state.order]
    for _ in range(3):
        session.set_order()
        seen.append(session.state.order)
    assert seen == ["called", "longest", "saw", "called"]


def test_the_last_piece_cut_is_the_one_put_back(open_session: Callable[..., Desk]) -> None:
    ladder, saw = open_session("ladder", "ann"), open_session("saw", "ben")
    ladder.call("3 @ 36")
    ladder.clear()
    saw.follow()
    saw.clear()
    saw.put_back()
    (row,) = saw.state.rows.values()
    assert [(each.who, each.pieces) for each in row.cleared] == [("ann", 1)]
    ladder.follow()
    ladder.clear(all_left=True)
    ladder.spoil("short")
    (row,) = ladder.state.rows.values()
    assert [(each.who, each.pieces) for each in row.cleared] == [("ann", 1), ("ann", 1)]


@pytest.mark.parametrize("choice", [0, 3, 4, -1])
def test_a_choice_that_is_not_there_settles_nothing(session: Desk, choice: int) -> None:
    (asks,) = [session.call("six two").row]
    assert asks is not None
    assert len(asks.readings) == 2
    with refused(NothingToDo, f"{choice} is none of them"):
        session.answer(choice, asks.id)
    assert session.state.rows[asks.id].state == "doubtful"

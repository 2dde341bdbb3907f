"""What is corrected after it was cut: nothing is lost, nothing is counted as what it was not."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction as F

import pytest
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.errors import Refused
from cutmemo.memo.codec import to_line
from cutmemo.wording import explain


def heard(*texts: str) -> Recognition:
    return Recognition(tuple(Hypothesis(text, 100.0 - 30 * k) for k, text in enumerate(texts)))


def rows(desk: Desk) -> list[tuple[str, F, int, int]]:
    return [
        (row.state, row.cut.length.inches, row.cut.count, row.done)
        for row in desk.state.rows.values()
    ]


def test_a_length_corrected_after_all_is_cut_asks_whether_to_cut_it(session: Desk) -> None:
    session.call("92-5/8 2x4 stud")
    session.clear()
    told = session.call("no, make that 93")
    assert told.happened == "asked"
    assert '1 was cut as 92-5/8": add 1 of 93"?' in told.text
    assert rows(session) == [("cut", F(741, 8), 1, 1), ("doubtful", F(93), 1, 0)]
    assert session.state.rows.numbered(1).cleared[0].cut.length.inches == F(741, 8)  # type: ignore[union-attr]
    session.answer(1)
    assert rows(session)[1] == ("open", F(93), 1, 0)
    assert '1 of 92-5/8" 2x4 stud' in session.handoff()


def test_answered_with_no_nothing_is_added_and_the_piece_stays_what_it_was(session: Desk) -> None:
    session.call("36")
    session.clear()
    session.call("no, make that 40")
    session.call("no")
    assert rows(session) == [("cut", F(36), 1, 1), ("struck", F(40), 1, 0)]


def test_what_is_left_is_a_new_row_of_the_new_length(session: Desk) -> None:
    session.call("4 at 36 2x4")
    for _ in range(3):
        session.clear()
    told = session.call("no, make that 41")
    assert rows(session) == [("cut", F(36), 3, 3), ("open", F(41), 1, 0)]
    assert (told.row.number, told.happened) == (2, "changed")  # type: ignore[union-attr]
    assert '3 were cut as 36"' in told.text
    assert session.state.sums.cut_pieces == 3


def test_undone_the_correction_leaves_the_row_as_it_was(session: Desk) -> None:
    session.call("4 at 36")
    session.clear()
    before = session.state.rows
    session.call("no, make that 41")
    session.undo()
    assert session.state.rows.numbered(1).cut == before.numbered(1).cut  # type: ignore[union-attr]
    assert [row.left for row in session.state.open_rows()] == [3]


@pytest.mark.parametrize(
    "said", ["make it five", "no, make that 36 for wall 3", "no, make that stud"]
)
def test_what_changes_no_wood_keeps_the_row(session: Desk, said: str) -> None:
    session.call("4 at 36")
    session.clear()
    session.call(said)
    (row,) = session.state.rows.values()
    assert (row.done, row.state) == (1, "open")


def test_more_of_what_is_all_cut_opens_the_row_again(session: Desk) -> None:
    session.call("2 at 36")
    session.clear(all_left=True)
    session.call("make it five")
    assert rows(session) == [("open", F(36), 5, 2)]


@pytest.mark.parametrize(
    "said", ["no, make that 2x6", "no, plumb cut seven twelve long point", "no, 36 strong"]
)
def test_another_board_end_or_allowance_is_another_piece(session: Desk, said: str) -> None:
    session.call("36 2x4")
    session.clear()
    session.call(said)
    assert [row.state for row in session.state.rows.values()] == ["cut", "doubtful"]


def test_a_count_below_what_is_cut_is_refused(session: Desk) -> None:
    session.call("4 at 36")
    session.clear()
    session.clear()
    with refused(Refused, "2 of row 1 are cut already"):
        session.call("make it one")


def test_from_the_ladder_by_voice_while_the_saw_has_cut_it(
    open_session: Callable[..., Desk],
) -> None:
    ladder, saw = open_session("ladder", "ann"), open_session("saw", "ben")
    ladder.hear(heard("forty"))
    saw.follow()
    saw.clear("1")
    told = ladder.hear(heard("no make that ninety three"))
    assert told is not None
    assert told.happened == "asked"
    assert rows(ladder) == [("cut", F(40), 1, 1), ("doubtful", F(93), 1, 0)]


def test_cut_on_one_memo_and_corrected_on_another_both_stand_after_the_merge(
    open_session: Callable[..., Desk],
) -> None:
    ladder, saw = open_session("ladder", "ann", "one"), open_session("saw", "ben", "two")
    ladder.call("36")
    saw.take_in([to_line(event) for event in ladder.log])
    saw.clear()
    ladder.call("no, make that 40")
    both = [to_line(event) for event in (*ladder.log, *saw.log)]
    ladder.take_in(both)
    saw.take_in(both)
    assert ladder.state == saw.state
    cut, asked = ladder.state.rows.values()
    assert (cut.state, cut.cleared[0].cut.length.inches) == ("cut", F(36))
    assert (asked.state, asked.cut.length.inches, asked.cut.count) == ("doubtful", F(40), 1)
    assert [explain(each) for each in asked.doubts] == ['1 was cut as 36": add 1 of 40"?']


def test_a_correction_goes_to_the_row_just_answered(session: Desk) -> None:
    session.call("six two")
    session.call("90")
    session.answer(2, session.find("1").id)
    session.call("no, make that 75")
    assert [row.cut.length.inches for row in session.state.rows.values()] == [75, 90]

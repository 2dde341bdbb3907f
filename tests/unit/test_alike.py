"""A typed cut like the one called last, but for what is said of it.

The rows and the words are of our own invention (common practice).
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk

from cutmemo.domain.cut import Cut
from cutmemo.errors import CutmemoError, NothingToDo

LAST = "3 @ 15-1/4 2x4 cripple 45 one end long point for W2"


@pytest.mark.parametrize(
    ("said", "count", "inches", "size", "place"),
    [
        ("same for W5", 3, F(61, 4), "2x4", "W5"),
        ("same again rear wall", 3, F(61, 4), "2x4", "rear wall"),
        ("the same for the porch", 3, F(61, 4), "2x4", "porch"),
        ("W5 same", 3, F(61, 4), "2x4", "W5"),
        ("18 same for east side", 18, F(61, 4), "2x4", "east side"),
        ("south 31 same", 31, F(61, 4), "2x4", "south"),
        ("2 more same W5", 2, F(61, 4), "2x4", "W5"),
        ("31 more rear wall", 31, F(61, 4), "2x4", "rear wall"),
        ("4 more for W5", 4, F(61, 4), "2x4", "W5"),
        ("same but 33-3/4", 3, F(135, 4), "2x4", "W2"),
        ("same but 2x6", 3, F(61, 4), "2x6", "W2"),
        ("5 same but 33-3/4 for W5", 5, F(135, 4), "2x4", "W5"),
        ("same, 6 more", 6, F(61, 4), "2x4", "W2"),
        ("same thing, porch", 3, F(61, 4), "2x4", "porch"),
    ],
)
def test_the_row_called_last_is_called_again_with_what_is_said(
    session: Desk, said: str, count: int, inches: F, size: str, place: str
) -> None:
    session.call(LAST)
    before = session.find("1").cut
    session.call(said)
    row = session.find("2")
    assert (row.state, session.find("1").cut) == ("open", before)
    assert (row.cut.count, row.cut.length.inches, str(row.cut.section)) == (count, inches, size)
    assert (row.cut.place, row.cut.piece, row.cut.ends) == (place, "cripple", before.ends)


def test_the_same_length_is_nothing_but_that(session: Desk) -> None:
    session.call(LAST)
    session.call("4 same length 2x6")
    cut = session.find("2").cut
    assert (cut.count, cut.length.inches, str(cut.section)) == (4, F(61, 4), "2x6")
    assert (cut.piece, cut.angled()) == (None, False)


@pytest.mark.parametrize(
    "said",
    [
        "same kitchen 19 @ 74-1/8",
        "4 at 36 same wall 3",  # of the same wall, or the same ends and size
        "4 at 36 same jack",
        "same, 4",  # four of them?
        "same but half",
        "same but 24",
    ],
)
def test_what_may_mean_something_else_asks(session: Desk, said: str) -> None:
    session.call(LAST)
    try:
        session.call(said)
    except CutmemoError:
        assert len(session.state.rows) == 1
    else:
        row = session.find("2")
        assert row.state == "doubtful"
        assert row.cut.count != 36


@pytest.mark.parametrize(
    "said",
    [
        "3 @ 36 2x6 blocks same spot as yesterday",
        "loft, same niche 3 backers 2x8 14-1/4",
        "same treated for W5",
    ],
)
def test_a_cut_that_is_whole_takes_nothing_from_the_last_in_silence(
    session: Desk, said: str
) -> None:
    session.call(LAST)
    try:
        session.call(said)
    except CutmemoError:
        return
    row = session.find("2")
    assert row.state == "doubtful"
    assert not any(isinstance(cut, Cut) and cut.angled() for cut in (row.cut, *row.readings))


def test_more_of_a_piece_are_like_the_one_row_of_it(session: Desk) -> None:
    session.call("8 @ 92-5/8 2x6 stud")
    session.call("2 @ 41-1/2 2x10 header")
    session.call("12 more studs for W5")
    cut = session.find("3").cut
    assert (cut.count, cut.length.inches, str(cut.section)) == (12, F(741, 8), "2x6")
    assert cut.place == "W5"


def test_more_of_a_piece_of_several_rows_says_so_and_calls_nothing(session: Desk) -> None:
    session.call("8 @ 92-5/8 2x6 stud")
    session.call("6 @ 81 2x4 stud")
    with pytest.raises(NothingToDo):
        session.call("12 more studs")
    assert len(session.state.rows) == 2


@pytest.mark.parametrize("said", ["same hooty", "3 same spot", "same height", "12 more cripple"])
def test_a_thing_that_is_the_same_is_no_cut(session: Desk, said: str) -> None:
    session.call(LAST)
    with pytest.raises(CutmemoError):
        session.call(said)
    assert len(session.state.rows) == 1


def test_nothing_is_like_the_last_where_none_was_called(session: Desk) -> None:
    with pytest.raises(NothingToDo):
        session.call("same for W5")

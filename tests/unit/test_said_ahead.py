"""What stands ahead of what it belongs to, and corrections that may count: typed as on a phone."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.errors import NotACall
from cutmemo.language import Change, OnRow, read
from tests.desk import Desk
from tests.memory_store import MemoryStore


def only_cut(said: str, by_voice: bool = False) -> Cut:
    (reading,) = read(said, by_voice=by_voice)
    assert isinstance(reading.intent, Cut)
    return reading.intent


@pytest.mark.parametrize(
    ("said", "ends"),
    [
        ("33 long point 45 one end", "45° miter long point · square"),
        ("33 lp, 45 one end", "45° miter long point · square"),
        ("33 short point 22.5 both ends", "22.5° miter short point both ends"),
        ("33 long point plumb 6/12", "plumb 6/12 long point · square"),
        ("long point 33 45 one end", "45° miter long point · square"),
    ],
)
def test_a_point_belongs_to_the_angle_behind_it(said: str, ends: str) -> None:
    assert only_cut(said).ends_shown() == ends


def test_a_point_belongs_to_the_angle_behind_it_spoken() -> None:
    said = "thirty three long point forty five one end"
    assert only_cut(said, by_voice=True).ends_shown() == "45° miter long point · square"


@pytest.mark.parametrize(
    ("said", "count"), [("kings x4 88-3/8", 4), ("stud x12 88-3/8", 12), ("kings x4 at 88-3/8", 4)]
)
def test_a_count_stands_between_a_piece_and_its_length(said: str, count: int) -> None:
    cut = only_cut(said)
    assert (cut.count, cut.length.inches) == (count, F(707, 8))


def test_an_x_that_leans_on_nothing_leads_no_length() -> None:
    for said in ("kings x 4 88-3/8", "x4 88-3/8"):
        with pytest.raises(NotACall):
            read(said)


@pytest.mark.parametrize(
    "said",
    [
        "sorry 88 not 87-1/2",
        "sorry, not 87-1/2, 88",
        "88 instead of 87-1/2",
        "make it 88 instead of 87-1/2",
        "87-1/2 s/b 88",
    ],
)
def test_the_row_of_one_length_is_to_have_another(said: str) -> None:
    (reading,) = read(said)
    assert reading.intent == OnRow(0, Change(length=Length(F(88))), Length(F(175, 2)))


@pytest.mark.parametrize(
    ("called", "said", "number"),
    [
        ("8 @ 41", "no 9", 9),
        ("8 @ 41", "no 20", 20),
        ("14 studs 92-5/8", "no, 15", 15),
        ("41", "make that 3", 3),
        ("41", "row 1 is 11", 11),
    ],
)
def test_a_small_number_that_corrects_a_long_row_is_a_length_or_a_count(
    called: str, said: str, number: int
) -> None:
    desk = Desk(MemoryStore())
    desk.call(called)
    assert desk.call(said).happened == "asked"
    (row,) = desk.state.rows.values()
    was = only_cut(called)
    assert [(cut.count, cut.length.inches) for cut in row.readings] == [
        (was.count, number),
        (number, was.length.inches),
    ]


@pytest.mark.parametrize(
    ("called", "said", "length"),
    [
        ("8 @ 41", "no 21", F(21)),
        ("8 @ 60", "no 25", F(25)),
        ("41", "no 12", F(12)),
        ("20 @ 14-1/2", "no 14", F(14)),
        ("8 @ 41", "no 9-1/2", F(19, 2)),
        ("8 @ 41", "no 9 for W3", F(9)),
    ],
)
def test_what_is_near_or_no_number_of_pieces_is_a_length(called: str, said: str, length: F) -> None:
    desk = Desk(MemoryStore())
    desk.call(called)
    assert desk.call(said).happened == "changed"
    (row,) = desk.state.rows.values()
    assert (row.cut.count, row.cut.length.inches) == (only_cut(called).count, length)


def test_what_may_count_is_in_the_crews_figures() -> None:
    desk = Desk(MemoryStore())
    desk.set_setting("figures", "mm")
    desk.call("8 @ 2410")
    assert desk.call("no 9").happened == "asked"
    (row,) = desk.state.rows.values()
    assert [cut.count for cut in row.readings] == [8, 9]

"""Calls as they are spoken at the work: the piece first, what a length is for, which wall, and the
same again elsewhere. The calls are of our own invention (common practice).
"""

from __future__ import annotations

import random
from fractions import Fraction as F

import pytest
from desk import Desk

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.domain.cut import Cut, Rise
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NotACall
from cutmemo.language import FromRow, read, sampler

Meant = tuple[int, F, str, str | None]


def meant(said: str) -> list[Meant]:
    """Return count, length, piece and place of every reading of what was said."""
    return [
        (each.intent.count, each.intent.length.inches, each.intent.piece or "", each.intent.place)
        for each in read(said, by_voice=True)
        if isinstance(each.intent, Cut)
    ]


@pytest.mark.parametrize(
    ("said", "cut"),
    [
        ("thirty seven for the header", (1, F(37), "header", None)),
        ("thirty seven for treads times twelve", (12, F(37), "tread", None)),
        ("four at eighty and a half for trimmers", (4, F(161, 2), "trimmer", None)),
        ("one sixty five for floor joists need twelve", (12, F(165), "floor joist", None)),
        ("trimmers two of them eighty and a half", (2, F(161, 2), "trimmer", None)),
        ("block two pieces fourteen and a half", (2, F(29, 2), "block", None)),
        ("knee wall studs six at forty eight", (6, F(48), "stud", "knee wall")),
        ("pony wall cap plate ninety nine", (1, F(99), "cap plate", "pony wall")),
        ("chimney header thirty one", (1, F(31), "header", "chimney")),
        ("shower niche sill fourteen and a half", (1, F(29, 2), "sill", "shower niche")),
        ("header thirty nine for the gable end", (1, F(39), "header", "gable end")),
        ("joist one sixty five and an eighth left end", (1, F(1321, 8), "joist", "left end")),
        (
            "trimmer joist stair left side one sixty",
            (1, F(160), "trimmer joist", "stair left side"),
        ),
        ("top plate eighty eight side wall", (1, F(88), "top plate", "side wall")),
        ("and the header forty", (1, F(40), "header", None)),
        ("twelve at twenty two and a halfs blocks", (12, F(45, 2), "block", None)),
    ],
)
def test_a_call_says_its_piece_and_its_place_in_any_order(said: str, cut: Meant) -> None:
    assert meant(said) == [cut]


@pytest.mark.parametrize(
    "said",
    ["one at twenty two and a halfs", "ten foot four and a halfs", "forty side", "forty end"],
)
def test_what_is_not_said_so_is_no_call(said: str) -> None:
    with pytest.raises(NotACall):
        read(said, by_voice=True)


def test_several_pieces_without_how_many_ask_behind_for_too() -> None:
    """ "For treads" and "four treads" sound alike."""
    (reading,) = read("thirty seven for treads", by_voice=True)
    assert [each.kind for each in reading.doubts] == [DoubtKind.UNCOUNTED]


@pytest.mark.parametrize("head", ["one hundred", "a hundred", "two hundred"])
@pytest.mark.parametrize("part", ["half", "quarter", "eighth", "sixteenth"])
def test_one_and_a_part_behind_hundred_may_be_another_inch(head: str, part: str) -> None:
    """A swallowed "and a": 100-1/4, or 101-1/4."""
    lengths = {inches for _, inches, _, _ in meant(f"{head} and one {part}")}
    assert len(lengths) == 2
    assert max(lengths) - min(lengths) == 1


def test_a_pitch_needs_no_name_where_a_point_follows() -> None:
    (reading,) = read("gable stud twelve and an eighth six twelve long point", by_voice=True)
    assert isinstance(reading.intent, Cut)
    assert reading.intent.length.inches == F(97, 8)
    assert (reading.intent.ends[0].rise, reading.intent.ends[0].point) == (Rise(F(6)), "long")


@pytest.mark.parametrize(
    ("said", "count", "piece", "place"),
    [
        ("same for w five", None, None, "W5"),
        ("same again for the west wall", None, None, "west wall"),
        ("two more for the porch", 2, None, "porch"),
        ("two more studs for the porch", 2, "stud", "porch"),
    ],
)
def test_the_same_is_called_for_another_place(
    said: str, count: int | None, piece: str | None, place: str
) -> None:
    (reading,) = read(said, by_voice=True)
    assert isinstance(reading.intent, FromRow)
    assert reading.intent.change is not None
    assert reading.intent.piece == piece
    assert (reading.intent.change.count, reading.intent.change.place) == (count, place)


def spoken(desk: Desk, words: str) -> None:
    desk.hear(Recognition((Hypothesis(words, 0.0),)))


def test_the_same_for_another_place_is_a_second_row(session: Desk) -> None:
    spoken(session, "four at thirty six two by six header for w two")
    spoken(session, "same for w five")
    first, second = session.state.rows.values()
    assert (second.cut.count, second.cut.length, second.cut.section) == (
        first.cut.count,
        first.cut.length,
        first.cut.section,
    )
    assert (first.cut.place, second.cut.place) == ("W2", "W5")


def test_all_that_is_sampled_of_these_is_read() -> None:
    r = random.Random(41)
    for _ in range(400):
        for said in (f"{sampler.piece_first(r)} forty and a half", sampler.same_elsewhere(r)):
            assert read(" ".join(said.split()), by_voice=True)

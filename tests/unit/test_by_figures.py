"""Typed lines that are no call as they stand, read by what each figure may be.

They always ask, no figure is lost, and what orders, asks, tells or denies is no call. The lines are
of our own invention (common practice).
"""

from __future__ import annotations

import random
import re
from fractions import Fraction as F

import pytest
from desk import Desk

from cutmemo.domain.cut import Cut, mixed
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NotACall, Refused
from cutmemo.language import CallList, Reading, read_typed
from cutmemo.language.by_figures import read_by_figures


def every(found: tuple[Reading, ...] | CallList | None) -> list[list[Reading]]:
    """Return the readings of each cut of a line."""
    if found is None:
        return []
    return [[*part.readings] for part in found.parts] if isinstance(found, CallList) else [[*found]]


def measured(reading: Reading) -> tuple[int, F, str]:
    cut = reading.intent
    assert isinstance(cut, Cut)
    return cut.count, cut.length.inches, str(cut.section or "")


@pytest.mark.parametrize(
    ("said", "count", "inches", "size", "kept"),
    [
        ("stair trimmers 213 x 2 straight ones", 2, F(213), "", "straight ones"),
        ("2 10' top plates 2x6", 2, F(120), "2x6", ""),
        ("unit 4 niche 2x4 two at 10-15/16 by the mirror", 2, F(175, 16), "2x4", "unit 4"),
        ("bay L: plates 2x6 - 3 @ 33-15/16, long pt", 3, F(543, 16), "2x6", "bay L"),
        ("4x6 post 104-5/8 3 EA grid C", 3, F(837, 8), "4x6", "grid C"),
        ("joist 96 1/4 just 1, dies at the dryer vent", 1, F(385, 4), "", "dryer vent"),
    ],
)
def test_where_no_figure_may_be_another_and_the_words_say_where_it_stands(
    said: str, count: int, inches: F, size: str, kept: str
) -> None:
    ((reading,),) = every(read_typed(said))
    cut = reading.intent
    assert isinstance(cut, Cut)
    assert (measured(reading), reading.doubts) == ((count, inches, size), ())
    assert kept in ", ".join(filter(None, (cut.place, cut.note)))


@pytest.mark.parametrize(
    "said",
    [
        "2 10 top plates 2x6",  # ten feet, or inches
        "30 81 trimmer 2x6",  # many
        "trimmer 81 2x6 4 glaes",  # whose number is it?
        "8'4x4 post",  # four, or a size
        "6 trim 101 1/2 2x6 beam ends, 3 ea end",  # six, or three at each
        "4 studs 2x6 81 not the wide ones",
        "4 81 trimmer 2x6 2x4 gables",
    ],
)
def test_where_a_figure_or_a_word_may_say_more_it_asks_or_is_refused(said: str) -> None:
    for found in every(_taken(said)):
        assert len(found) > 1 or found[0].doubts


def _taken(said: str) -> tuple[Reading, ...] | CallList | None:
    try:
        return read_typed(said)
    except (NotACall, Refused):
        return None


@pytest.mark.parametrize(
    ("said", "count", "inches", "size", "kept"),
    [
        ("4 81 trimmer 2x6 widish", 4, F(81), "2x6", "widish"),
        ("eave blocks 2x10 14-1/2 rip to 7 bevel, 36", 36, F(29, 2), "2x10", "rip to 7"),
        ("sof verts 11x 15 1/4 notch 1 1/2 x 3 1/2 btm", 11, F(61, 4), "", "notch 1 1/2"),
        ("Jack 44 1/16 cheek 45 2x8", 1, F(705, 16), "2x8", "cheek 45"),
        ("Linen wall 2x4 pl 3 - 50 1/4", 3, F(201, 4), "2x4", "Linen wall"),
        ("beam blocks porch 2x10 9 3/8 pt @ 3", 3, F(75, 8), "2x10 treated", "porch"),
        ("ft rail blks 20x 14 1/2 2x6 bar front 7 in up", 20, F(29, 2), "2x6", "7 in up"),
        ("stringers 2x12 three 13'-8 1/4, 7 3/4 over 10 1/4", 3, F(657, 4), "2x12", "over 10 1/4"),
        ("Vise block, a piece of 4x6 oak, 13.5", 1, F(27, 2), "4x6", "Vise"),
        ("ridge 22' 1-1/2\" 2x10, best one in the pile", 1, F(531, 2), "2x10", "best"),
        ("1 stud 112 1/2 2x6 east, last one was bowed", 1, F(225, 2), "2x6", "was bowed"),
        ("6 trim 101 1/2 2x6 beam ends, 3 ea end", 6, F(203, 2), "2x6", "3 ea end"),
        ("4 hdr 32 1/2 2x4 knee wall doors w/ 1/2 ply btwn", 4, F(65, 2), "2x4", "1/2 ply btwn"),
        ("3 @ 75 1/2 2x12 header SD1, no wane", 3, F(151, 2), "2x12", "no wane"),
        ("4 A 2x6 41-1/2 block", 4, F(83, 2), "2x6", "A"),
    ],
)
def test_the_measures_are_found_wherever_they_stand_and_it_asks(
    said: str, count: int, inches: F, size: str, kept: str
) -> None:
    ((*found,),) = every(read_typed(said))
    assert (count, inches, size) in map(measured, found)
    assert all(reading.doubts for reading in found)
    cut = found[0].intent
    assert isinstance(cut, Cut)
    assert kept in ", ".join(filter(None, (cut.place, cut.note)))


@pytest.mark.parametrize(
    ("said", "cuts"),
    [
        ("Ridge 2x10 one 16' one 15'6 5/8", [(1, F(192), "2x10"), (1, F(1493, 8), "2x10")]),
        (
            "Lattice frame 1x3 4 x 68 and 4 x 29.75 for the windy side",
            [(4, F(68), "1x3"), (4, F(119, 4), "1x3")],
        ),
        (
            "tops for PW1 2x6 double, 2 @ 13'-2 1/2\" + 2 @ 7'-11 3/4\"",
            [(2, F(317, 2), "2x6"), (2, F(383, 4), "2x6")],
        ),
        (
            "Gable studs 2x4 2 ea: 11 5/16 19 5/16 27 5/16 bev 6/12 lp",
            [(2, F(181, 16), "2x4"), (2, F(309, 16), "2x4"), (2, F(437, 16), "2x4")],
        ),
        ("pt 2x6 48 and 191 west side", [(1, F(48), "2x6 treated"), (1, F(191), "2x6 treated")]),
        (
            "hatch, two heads 2x8 55-5/8 and 2 sills 2x6 52-5/8 cedar",
            [(2, F(445, 8), "2x8"), (2, F(421, 8), "2x6")],
        ),
    ],
)
def test_several_cuts_of_a_line_ask_one_by_one(said: str, cuts: list[tuple[int, F, str]]) -> None:
    found = every(read_by_figures(said))
    assert len(found) == len(cuts)
    assert all(reading.doubts for readings in found for reading in readings)
    for readings, cut in zip(found, cuts, strict=True):
        assert cut in map(measured, readings)


@pytest.mark.parametrize(
    "said",
    [
        "how many 16 footers do we need 2x6",
        "tell bob the header is 3 inches too long",
        "the 14-1/2 blocks go together",
        "we used 4 2x4 at 92-5/8",
        "mark the 36 headers H1",
        "dont cut blk 41-1/2 2x4 yet",
        "plate 2x4 45ish 8-1/8",
        "swap row 3 blk 14-1/2 2x6",
        "blk 14-1/2 2/83 2x6",  # 2/83 of an inch: no figure is passed over
        "studs for wall 3 before headers",
        "duct is 43-1/2 hooty",
        "studs 2x4 2 @ 46-1/2, 38-1/4 hooty",  # two of both, or of the first
        "2x4 plate 48 60 porch hooty",
        "cheek studs 2 ea 46 38 30 22 bev 14 top lp",  # lengths or counts: too many ways
        "fifteen sixteen and something",
        "forty two and nine elevenths",  # no tape has them
    ],
)
def test_what_orders_asks_tells_or_cannot_be_told_apart_is_no_cut(said: str) -> None:
    assert read_by_figures(said) is None


def test_a_number_that_is_neither_length_nor_count_is_kept_with_its_words() -> None:
    said = "8 jacks 133-3/16 2x8 plumb 5/12 bevel 45 long point, 4 left 4 right"
    ((reading,),) = every(read_by_figures(said))
    cut = reading.intent
    assert isinstance(cut, Cut)
    assert (cut.count, cut.length.inches, cut.piece) == (8, F(2131, 16), "jack rafter")
    assert cut.place == "4 left 4 right"


def test_a_pitch_behind_its_point_is_read_before_it() -> None:
    ((first, *_),) = every(read_by_figures("bay roof rafts 5 @ 41 7/8 lp 6/12"))
    cut = first.intent
    assert isinstance(cut, Cut)
    assert str(cut.ends[0]) == "plumb 6/12 long point"


@pytest.mark.parametrize(
    ("said", "piece"),
    [
        ("under the header hooty 4 cripples 8-5/8 2x4", "cripple"),
        ("stair trimmer hooty 213-1/2 2x4", "trimmer"),
        ("trimmer rafter each side of the chimney stud 178-1/16 2x8", "rafter"),
    ],
)
def test_the_piece_is_no_part_of_a_place(said: str, piece: str) -> None:
    ((reading, *_),) = every(read_by_figures(said))
    cut = reading.intent
    assert isinstance(cut, Cut)
    assert (cut.piece or "").split()[-1] == piece


@pytest.mark.parametrize(
    ("said", "first"),
    [
        ("rafter 2x8 pt 40 45 one end long point, already cut", (1, F(40))),
        ("stud 53 knee wall 12 and 33 short point 22.5 both ends", (1, F(53))),
    ],
)
def test_a_length_is_never_how_many_there_are_of_an_angle(said: str, first: tuple[int, F]) -> None:
    for reading in every(read_typed(said))[0]:
        assert measured(reading)[:2] == first
        assert reading.doubts


def test_a_cut_with_a_size_of_its_own_is_like_no_other() -> None:
    ((reading,),) = every(read_by_figures("loft, same niche 3 backers 2x8 14-1/4"))
    assert isinstance(reading.intent, Cut)


def test_a_line_like_the_last_takes_the_rest_from_it(session: Desk) -> None:
    session.call("4 @ 12-3/8 2x4 cripple 45 one end long point")
    session.call("2 33-3/4 same cuts")
    row = session.find("2")
    assert row.state == "doubtful"
    assert DoubtKind.PUT_TOGETHER in {each.kind for each in row.doubts}
    assert (row.cut.count, row.cut.length.inches, row.cut.piece) == (2, F(135, 4), "cripple")
    assert (str(row.cut.section), row.cut.ends) == ("2x4", session.find("1").cut.ends)


def test_several_that_are_like_the_last_are_no_list(session: Desk) -> None:
    session.call("4 @ 12-3/8 2x4 cripple")
    for said in ("23-3/8 lp x2 and 12-11/16 lp x2 same gable", "2 33-3/4 same, 4 44-1/8 same"):
        with pytest.raises((NotACall, Refused)):
            session.call(said)
    assert len(session.state.rows) == 1


def test_the_question_shows_what_words_were_kept(session: Desk) -> None:
    told = session.call("Jack 44 1/16 cheek 45 2x8")
    assert "put together" in str(told)
    assert "“cheek 45”" in str(told)


WORDS = "gable verts hooty doorway snug offcutter mirror lintelish windy crooked".split()


def test_no_figure_is_lost_and_the_cut_is_among_the_readings_however_its_parts_stand() -> None:
    """Count, length, size and piece in any order among words: it asks with them, stands as them, or
    is refused.
    """
    r = random.Random(1811)
    read = 0
    for _ in range(400):
        count, size = r.randrange(2, 20), r.choice(["2x4", "2x6", "1x8"])
        inches = F(r.randrange(25 * 16, 140 * 16) | 1, 16)
        parts = [f"{count} pcs", mixed(inches), size, r.choice(["block", "rail", "trimmer"])]
        r.shuffle(parts)
        for _ in range(r.randrange(1, 4)):
            parts.insert(r.randrange(len(parts) + 1), r.choice(WORDS))
        said = " ".join(parts)
        try:
            found = every(read_typed(said))
        except (NotACall, Refused):
            continue
        read += 1
        assert len(found) == 1, said
        assert (count, inches, size) in map(measured, found[0]), said
        for figure in re.findall(r"\d+", said):
            assert any(figure in re.findall(r"\d+", shown(each)) for each in found[0]), said
    assert read > 360


def shown(reading: Reading) -> str:
    cut = reading.intent
    assert isinstance(cut, Cut)
    words = filter(None, (cut.place, cut.note))
    return " ".join([str(cut.count), mixed(cut.length.inches), str(cut.section), *words])

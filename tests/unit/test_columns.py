"""Typed lines in columns, piece, size, length and count, parted by commas or by dashes.

A number in a column of its own is how many, and asks where it may be a length as well; it is never a
second cut in silence. The lines are of our own invention (common practice).
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import CutmemoError
from cutmemo.language import CallList, Reading, read, read_typed


def parts(said: str) -> list[list[Reading]]:
    found = read_typed(said)
    return [[*part.readings] for part in found.parts] if isinstance(found, CallList) else [[*found]]


def only_cut(said: str) -> tuple[Cut, bool]:
    """Return the one cut of a line, and whether it asks."""
    ((reading,),) = parts(said)
    assert isinstance(reading.intent, Cut)
    return reading.intent, bool(reading.doubts)


@pytest.mark.parametrize("mark", [", ", " - ", "\t", " | ", ","])
@pytest.mark.parametrize(
    ("columns", "count", "inches", "asks"),
    [
        (["girt", "2x6", "90-1/2", "4", "west wall"], 4, F(181, 2), False),
        (["girt", "2x6", "90-1/2", "11"], 11, F(181, 2), False),
        (["girt", "2x6", "90-1/2", "12"], 12, F(181, 2), False),
        (["girt", "2x6", "50", "24"], 24, F(50), False),
        (["girt", "2x6", "46", "24"], 24, F(46), True),  # a girt of 24 in.?
        (["girt", "2x6", "90-1/2", "25"], 25, F(181, 2), True),
        (["purlin", "2x4", "16'", "18"], 18, F(192), True),  # 18 ft?
        (["girts", "2x6", "90-1/2", "24"], 24, F(181, 2), False),
        (["girts", "2x6", "90-1/2", "25"], 25, F(181, 2), True),
        (["block", "2x8", "46-1/2", "3"], 3, F(93, 2), False),
        (["block", "2x8", "46-1/2", "4"], 4, F(93, 2), True),  # a block of 4 in.?
        (["loft joist", "2x10", "12'", "7"], 7, F(144), False),
        (["header", "2x8", "41", "2", "side door"], 2, F(41), False),
        (["skirt board", "2x8", "143-1/4", "2", "north end", "treated"], 2, F(573, 4), False),
        (["cleat", "2x4", "33", "1"], 1, F(33), False),
        (["post", "6x6", "10", "132-1/2"], 10, F(265, 2), False),  # the count first
        (["2x6 stud", "12", "92-5/8"], 12, F(741, 8), True),
        (["stud 2x6", "92-5/8", "2"], 2, F(741, 8), False),
        (["joist", "2x10", "144", "28"], 28, F(144), True),
        (["baluster", "2x2", "32-1/2", "34"], 34, F(65, 2), True),
    ],
)
def test_a_number_in_a_column_of_its_own_is_how_many(
    mark: str, columns: list[str], count: int, inches: F, asks: bool
) -> None:
    cut, asked = only_cut(mark.join(columns))
    assert (cut.count, cut.length.inches, asked) == (count, inches, asks)
    words = " ".join(columns).split()
    assert str(cut.section).split()[0] in words
    assert (cut.piece or "").split()[-1] in [word.rstrip("s") for word in words]


@pytest.mark.parametrize(
    ("said", "count", "inches", "asks"),
    [
        ("1) 4 @ 36", 4, F(36), True),
        ("12) 92-5/8 2x6", 1, F(741, 8), True),
        ("2) 14 pcs 92-5/8 2x6", 14, F(741, 8), False),  # how many is said
        ("- nailer 46-1/2", 1, F(93, 2), False),  # a sign is no number
        ("- 4 @ 36", 4, F(36), True),
        ("* 4 @ 36", 4, F(36), True),
        ("\u2022 4 @ 36", 4, F(36), True),
        ("a) 4 @ 36", 4, F(36), True),
        ("1.5", 1, F(3, 2), False),  # no number of a list
        ("(2) 36", 2, F(36), False),
    ],
)
def test_what_a_line_of_a_list_begins_with_is_no_figure(
    said: str, count: int, inches: F, asks: bool
) -> None:
    cut, asked = only_cut(said)
    assert (cut.count, cut.length.inches, asked) == (count, inches, asks)


@pytest.mark.parametrize("marks", [("1.", "2.", "3."), ("1)", "2)", "3)"), ("-", "-", "-")])
def test_a_pasted_list_with_numbers_is_a_cut_a_line(marks: tuple[str, ...]) -> None:
    lines = zip(marks, ["4 @ 36", "92-5/8 2x6", "6 @ 41-1/2"], strict=True)
    found = [readings[0].intent for readings in parts("\n".join(map(" ".join, lines)))]
    cuts = [(cut.count, cut.length.inches) for cut in found if isinstance(cut, Cut)]
    assert cuts == [(4, F(36)), (1, F(741, 8)), (6, F(83, 2))]


@pytest.mark.parametrize(
    ("said", "count", "inches"),
    [
        ("sill = 36", 1, F(36)),
        ("W1 win A: trimmers (2) = 81-1/2", 2, F(163, 2)),
        ("kings 2 = 57", 2, F(57)),
        ("joists 2x10 = 7 @ 17' 9\"", 7, F(213)),
        ("studs 2x6 = 11 of 7' 8-5/8\"", 11, F(741, 8)),
        ("4 / 2x12 / 15'-10 1/2\" / trimmer joist", 4, F(381, 2)),
        ("tread / 2x12 / 43-1/2 / 14 pcs", 14, F(87, 2)),
        ("36 5 / 8", 1, F(293, 8)),  # one slash is of a fraction
    ],
)
def test_equals_signs_and_slashes_part_what_they_stand_between(
    said: str, count: int, inches: F
) -> None:
    cut, asked = only_cut(said)
    assert (cut.count, cut.length.inches, asked) == (count, inches, False)


def test_a_pitch_is_no_column_of_figures() -> None:
    ((*found,),) = parts("2x6, rafter, 96-1/2, 4, 8/12")
    assert {each.intent.count for each in found if isinstance(each.intent, Cut)} == {4}


@pytest.mark.parametrize(
    "said",
    [
        "casing, 1x4, 84-1/4, 4, side door, both sides",  # four, or two of four?
        "loft joist, 2x10, 100-1/2, 3, tail at stair hole",
    ],
)
def test_columns_that_are_not_all_read_ask_and_are_no_list(said: str) -> None:
    cut, asked = only_cut(said)
    assert asked
    assert cut.length.inches > 30


@pytest.mark.parametrize(
    ("said", "lengths"),
    [
        ("101-1/2, 102-1/8", [F(203, 2), F(817, 8)]),
        ("2x6 header 28-1/2, 30", [F(57, 2), F(30)]),
        ("header, 2x10, 41, 63", [F(41), F(63)]),
        ("2x6, 36, 48", [F(36), F(48)]),
        ("stud, 2x4, 90, 85, 80", [F(90), F(85), F(80)]),  # three figures: a list
        ("W3, 36, 40", [F(36), F(40)]),
    ],
)
def test_what_is_no_row_of_columns_is_a_list(said: str, lengths: list[F]) -> None:
    found = [readings[0].intent for readings in parts(said)]
    assert [cut.length.inches for cut in found if isinstance(cut, Cut)] == lengths


@pytest.mark.parametrize(
    ("said", "count", "inches", "asks"),
    [
        ("2x6 header 28-1/2, 2", 2, F(57, 2), False),
        ("2x6 header 28-1/2, 11", 11, F(57, 2), False),
        ("2x6 header 28-1/2, 12", 12, F(57, 2), True),
        ("2x6 header 28-1/2, 24", 24, F(57, 2), True),
        ("2x6 stud 14-5/8, 9", 9, F(117, 8), True),  # as short itself
        ("2x6, eleven, 92-5/8 stud", 11, F(741, 8), False),
        ("2, 36-1/4 studs", 2, F(145, 4), False),
        ("101 3/8 studs 2x4, six, back wall", 6, F(811, 8), False),
        ("8' 5 5/8 corner stud, 3", 3, F(813, 8), False),
        ("14 1/2 bird block 2x6, 9", 9, F(29, 2), True),  # a block of 9 in.?
        ("33 3/4 knee brace 4x4 45 miter long to long, 4", 4, F(135, 4), False),
        ("101 1/2 fly rafters 2x6, 2, plumb 4/12 long point", 2, F(203, 2), False),
        ("83 trimmers 2x4, two, kitchen window", 2, F(83), False),
    ],
)
def test_a_bare_number_behind_a_whole_call_is_how_many(
    said: str, count: int, inches: F, asks: bool
) -> None:
    cut, asked = only_cut(said)
    assert (cut.count, cut.length.inches, asked) == (count, inches, asks)


@pytest.mark.parametrize(
    ("said", "lengths"),
    [
        ("2x6 header 28-1/2, 25", [F(57, 2), F(25)]),  # as well a header
        ("4 @ 36 2x4, 12", [F(36), F(12)]),  # how many was said
        ("28-1/2, 2", [F(57, 2), F(2)]),
        ("28-1/2, 12", [F(57, 2), F(12)]),
    ],
)
def test_a_bare_number_that_may_be_a_length_is_a_cut_of_its_own(
    said: str, lengths: list[F]
) -> None:
    found = [readings[0].intent for readings in parts(said)]
    assert [cut.length.inches for cut in found if isinstance(cut, Cut)] == lengths


def test_a_count_before_several_pieces_and_a_few_behind_a_comma_ask() -> None:
    ((*found,),) = parts("24 scabs 2x4, 6")
    cuts = {
        (each.intent.count, each.intent.length.inches)
        for each in found
        if isinstance(each.intent, Cut)
    }
    assert cuts == {(24, F(6)), (6, F(24))}


def opened(said: str) -> list[tuple[int, F]]:
    """Return the cuts of a line that stand in silence."""
    try:
        found = parts(said)
    except CutmemoError:
        return []
    listed = read_typed(said)
    if isinstance(listed, CallList) and not listed.marked:
        return []
    sure = [readings[0] for readings in found if len(readings) == 1 and not readings[0].doubts]
    cuts = [each.intent for each in sure]
    return [(cut.count, cut.length.inches) for cut in cuts if isinstance(cut, Cut)]


@pytest.mark.parametrize(
    ("said", "never"),
    [
        ("plate - 2x6 - 120; 4 @ 48 - 3", [(1, F(3))]),
        ("kitchen - stud 96 - 3", [(3, F(96)), (1, F(93))]),
        ("W3 stud - 92 - 1", [(1, F(92))]),
        ("girt\t2x6\t92\t5/8\t4", [(1, F(92)), (1, F(5, 8)), (1, F(4))]),
        ("girt\t2x6\t8'\t2-1/2\t4", [(1, F(96)), (1, F(5, 2)), (1, F(4))]),
        ("king\t2x6\t92\t8\t45", [(1, F(8))]),
        ("girt, 2x6, 90-1/2, 4, 2", [(1, F(4)), (1, F(2))]),
        ("brace, 2x4, 4, 48, 45", [(1, F(4))]),
        ("12\t92-5/8\tnorth wall", [(1, F(12))]),
        ("12 | 92-5/8", [(1, F(12))]),
        ("92-5/8, 12\n96, 4", [(1, F(12)), (1, F(4))]),
        ("12) 36\n4) 40", [(1, F(36)), (1, F(40))]),
        ("sill = 36 = 4", [(36, F(4)), (1, F(36))]),
        ("4 = 36", [(4, F(36))]),
        ("header, 4, 6", [(4, F(6)), (6, F(4))]),
        ("girt, 2x6, 10, 11", [(10, F(11)), (11, F(10))]),
        ("plates 2 - 12", [(12, F(2))]),
        ("20 - 14 1/2", [(1, F(11, 2))]),
        ("4 braces 48 - 45", [(4, F(3))]),
        ("jacks 2 ea: 36 1/2, 52 1/2", [(1, F(105, 2))]),
        ("4x14 1/2", [(1, F(1, 2))]),
        ("2x12½", [(1, F(1, 2))]),
        ("14'6x12", [(1, F(168))]),
        ("8'4x4 post", [(1, F(96)), (4, F(100))]),
    ],
)
def test_what_has_two_ways_does_not_stand_one_way(said: str, never: list[tuple[int, F]]) -> None:
    """Each stood in silence one way at some time."""
    assert not set(opened(said)) & set(never)


@pytest.mark.parametrize(
    ("said", "count", "inches"),
    [
        ("14'6\"x12", 12, F(174)),
        ("5'2\"x12", 12, F(62)),
        ("header 3'2\"x6", 6, F(38)),
        ("8' 2\"x4 plates", 4, F(98)),
    ],
)
def test_feet_and_inches_are_no_size_with_an_x(said: str, count: int, inches: F) -> None:
    cut, asked = only_cut(said)
    assert (cut.count, cut.length.inches, cut.section, asked) == (count, inches, None, False)


@pytest.mark.parametrize("end", ["\n", "; "])
def test_pasted_lines_in_columns_are_a_cut_each(end: str) -> None:
    said = end.join(
        ["girt, 2x6, 90-1/2, 4, west wall", "rail, 2x4, 36, 2", "purlin, 2x4, 16', 18, loft"]
    )
    found = [readings[0] for readings in parts(said)]
    cuts = [each.intent for each in found if isinstance(each.intent, Cut)]
    assert [(cut.count, cut.length.inches, cut.piece) for cut in cuts] == [
        (4, F(181, 2), "girt"),
        (2, F(36), "rail"),
        (18, F(192), "purlin"),
    ]
    assert [bool(each.doubts) for each in found] == [False, False, True]


def test_a_pasted_line_in_columns_that_is_not_read_is_never_two_cuts_in_silence() -> None:
    said = "rail, 2x4, 36, 2\ncasing, 1x4, 84-1/4, 4, side door, both sides"
    try:
        found = read_typed(said)
    except CutmemoError:
        return
    assert isinstance(found, CallList)
    assert not found.marked


@pytest.mark.parametrize("count", [2, 3, 11])
def test_a_few_inches_of_a_piece_that_is_never_so_short_ask_in_a_list(count: int) -> None:
    first, *_ = parts(f"plate {count}, 36, 40")
    assert DoubtKind.COUNT_OR_LENGTH in {each.kind for each in first[0].doubts}


def test_a_dash_before_a_few_pieces_of_a_named_piece_asks() -> None:
    found = read("stud 96 - 4")
    cuts = {
        (each.intent.count, each.intent.length.inches)
        for each in found
        if isinstance(each.intent, Cut)
    }
    assert cuts == {(4, F(96)), (1, F(92))}


@pytest.mark.parametrize(
    ("said", "inches"),
    [("96 - 4", F(92)), ("stud 96 - 4-1/2", F(183, 2)), ("stud 96 - 25", F(71))],
)
def test_a_dash_still_takes_off(said: str, inches: F) -> None:
    (reading,) = read(said)
    assert isinstance(reading.intent, Cut)
    assert (reading.intent.length.inches, reading.doubts) == (inches, ())


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("kitchen - stud 96 - 3", {(3, F(96)), (1, F(93))}),
        ("porch - plates 36 - 2", {(2, F(36)), (1, F(34))}),
        ("porch - 4 @ 36 - 2", {(4, F(34))}),
    ],
)
def test_a_dash_behind_a_length_of_a_column_takes_off_or_asks(
    said: str, meant: set[tuple[int, F]]
) -> None:
    (readings,) = parts(said)  # a dash that takes off parts no cut of its own
    assert {
        (each.intent.count, each.intent.length.inches)
        for each in readings
        if isinstance(each.intent, Cut)
    } == meant


def test_each_of_two_lengths_with_dashes_behind_one_piece_asks() -> None:
    first, second = parts("bench rail, 2x4, 93 - 4, 21 - 6")
    assert len(first) > 1
    assert {each.kind for each in second[0].doubts} == {DoubtKind.COUNT_OR_LENGTH}
    assert second[0].intent.piece == "rail"  # type: ignore[union-attr]  # a cut


@pytest.mark.parametrize("said", ["same - 1/2", "36 - kerf", "row 2 - 1/4"])
def test_dashes_behind_no_noun_are_no_columns(said: str) -> None:
    try:
        found = parts(said)
    except CutmemoError:
        return
    assert len(found) == 1

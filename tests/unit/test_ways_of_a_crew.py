"""Typed calls as crews write them, where a word or a number could be taken for another measure.

The lines are of our own invention (common practice).
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NotACall, Refused
from cutmemo.language import CallList, Change, Reading, read, read_typed

Meant = tuple[int, F, str, str]


def meant(reading: Reading) -> Meant:
    cut = reading.intent
    assert isinstance(cut, Cut)
    return cut.count, cut.length.inches, str(cut.section or ""), cut.piece or ""


def taken(said: str) -> list[tuple[Reading, ...]]:
    """Return the readings of each cut; none where the line is refused."""
    try:
        found = read_typed(said)
    except (NotACall, Refused):
        return []
    return [part.readings for part in found.parts] if isinstance(found, CallList) else [found]


@pytest.mark.parametrize(
    ("said", "inches", "place"),
    [
        ("1 2x4 kicker 35-1/2 foot of stair", F(71, 2), "foot of stair"),
        ("2x4 stud 80 foot of the stair", F(80), "foot of the stair"),
        ("stud 80-1/4 head of stair", F(321, 4), "head of stair"),
    ],
)
def test_the_foot_of_something_is_no_unit(said: str, inches: F, place: str) -> None:
    ((reading,),) = taken(said)
    assert isinstance(reading.intent, Cut)
    assert (reading.intent.length.inches, reading.intent.place) == (inches, place)


@pytest.mark.parametrize(
    ("said", "inches"),
    [
        ("8 foot of 2x4", 96),
        ("6 foot of the 2x4", 72),
        ("12 foot of plywood", 144),
        ("12 foot of decking", 144),
        ("8' of 2x4", 96),
    ],
)
def test_what_is_sold_by_the_foot_is_measured_in_feet(said: str, inches: int) -> None:
    assert inches in {meant(each)[1] for part in taken(said) for each in part}


@pytest.mark.parametrize(
    ("said", "by_voice"),
    [
        ("2x10 joist 14", False),
        ("4 2x4 studs 8", False),
        ("2x4 plate 12 closet wall", False),
        ("W6: top plates 2x6 - 2 of 16", False),
        ("joist 14", False),
        ("two by ten joist fourteen", True),
    ],
)
def test_a_bare_even_number_behind_a_long_piece_may_be_feet(said: str, by_voice: bool) -> None:
    """Lumber is called by its feet (common practice)."""
    found = read(said, by_voice=True) if by_voice else taken(said)[0]
    inches = {meant(each)[1] for each in found}
    assert len(inches) == 2
    assert max(inches) == 12 * min(inches)


@pytest.mark.parametrize(
    "said",
    ["2x4 block 12", "2x10 joist 15", "2x10 joist 26", "stud 14", 'joist 14"', "joist 14-1/2"],
)
def test_any_other_number_behind_a_piece_is_inches(said: str) -> None:
    ((reading,),) = taken(said)
    assert meant(reading)[1] < 27


@pytest.mark.parametrize(
    "said",
    ["casing 33-1/4 45 short to short", "33-1/4 casing 45 ss", "casing 33-1/4 short to short 45"],
)
def test_an_angle_may_stand_before_or_behind_both_of_its_points(said: str) -> None:
    ((reading,),) = taken(said)
    cut = reading.intent
    assert isinstance(cut, Cut)
    assert cut.length.inches == F(133, 4)
    assert [(end.miter, end.point) for end in cut.ends] == [(F(45), "short")] * 2


@pytest.mark.parametrize(
    "said", ["28 2x4 lookouts 26-1/2 both rakes", "40 2x12 block 14 1/2 mid bay both sides"]
)
def test_a_length_before_both_sides_is_no_angle(said: str) -> None:
    for part in taken(said):
        for each in part:
            assert isinstance(each.intent, Cut)
            assert not each.intent.angled()


def test_an_angle_before_both_ends_is_one() -> None:
    ((reading,),) = taken("stud 36 26-1/2 both ends")
    assert isinstance(reading.intent, Cut)
    assert [end.miter for end in reading.intent.ends] == [F(53, 2)] * 2


@pytest.mark.parametrize(
    ("said", "cuts"),
    [
        (
            "32 1/4 nailer and 29 7/8 nailer",
            [(1, F(129, 4), "", "nailer"), (1, F(239, 8), "", "nailer")],
        ),
        (
            "80 1/2 trimmers 2 and 101 3/8 kings 2 back door",
            [(2, F(161, 2), "", "trimmer"), (2, F(811, 8), "", "king stud")],
        ),
        (
            "34 plate 2x4 and 62 3/8 plate 2x4 bath",
            [(1, F(34), "2x4", "plate"), (1, F(499, 8), "2x4", "plate")],
        ),
        (
            "93 1/4, 93 5/8 and 94 1/8 posts 4x4 porch",
            [(1, F(n, 8), "4x4", "post") for n in (746, 749, 753)],
        ),
        (
            "141 1/4 and 141 3/4 sister joists",
            [(1, F(n, 4), "", "sister joist") for n in (565, 567)],
        ),
    ],
)
def test_several_whole_cuts_with_their_pieces_are_rows(said: str, cuts: list[Meant]) -> None:
    found = taken(said)
    assert [meant(part[0]) for part in found] == cuts
    assert all(len(part) == 1 and not part[0].doubts for part in found)


@pytest.mark.parametrize(
    "said",
    [
        "12 2x4 10' and 8 2x6 12'",  # boards for the rack?
        "four at 40 and 2 @ 36 studs",
        "36 stud and 3 eighths",
        "six two and 36 studs",
    ],
)
def test_what_is_not_whole_with_its_piece_still_asks_or_is_refused(said: str) -> None:
    found = read_typed(said) if taken(said) else None
    if isinstance(found, CallList):
        sure = all(len(each.readings) == 1 and not each.readings[0].doubts for each in found.parts)
        assert not (found.marked and sure)
    elif found is not None:
        assert len(found) > 1 or found[0].doubts


def test_a_piece_that_the_last_of_several_counts_asks_whether_it_is_of_all() -> None:
    first, last = taken("4 @ 35 3/16, 4 @ 16 1/2 2x6 gable studs")
    assert (4, F(563, 16), "2x6", "gable stud") in map(meant, first)
    assert len(first) > 1
    assert meant(last[0]) == (4, F(33, 2), "2x6", "gable stud")


@pytest.mark.parametrize("ends", ["7/12 lp", "7/12 long point", "7/12 single cheek long point"])
def test_a_pitch_with_a_point_is_that_of_the_cut(ends: str) -> None:
    for each in taken(f"4 @ 44 1/2 2x6 gable stud {ends}")[0]:
        assert isinstance(each.intent, Cut)
        assert each.intent.angled()
        assert "7/12" not in (each.intent.note or "")


def test_a_pitch_alone_may_be_that_of_the_roof() -> None:
    (found,) = taken("4 @ 44 1/2 2x6 gable stud 7/12")
    assert {"7/12" in (each.intent.note or "") for each in found} == {True, False}  # type: ignore[union-attr]


def test_boards_or_cuts_is_asked_only_where_no_piece_is_named() -> None:
    ((boards,),) = taken("4 16' 2x10")
    assert [each.kind for each in boards.doubts] == [DoubtKind.BOARDS_OR_CUTS]
    ((rim,),) = taken("4 16' 2x10 rim")
    assert not rim.doubts


@pytest.mark.parametrize(
    ("said", "cut", "note"),
    [
        ("24 studs 2x4 92 5/8 no 2", (24, F(741, 8), "2x4", "stud"), "#2"),
        ("24 2x6 92 5/8 no 2", (24, F(741, 8), "2x6", ""), "#2"),
        ("stud, 2x4, 92 5/8, 24, SPF no 2", (24, F(741, 8), "2x4", "stud"), "#2"),
        ("joist 144 no 1", (1, F(144), "", "joist"), "#1"),
    ],
)
def test_no_and_a_grade_at_the_end_takes_no_length_back(said: str, cut: Meant, note: str) -> None:
    """Boards are graded No. 1 to No. 3 (common practice)."""
    ((reading,),) = taken(said)
    assert meant(reading) == cut
    assert isinstance(reading.intent, Cut)
    assert note in (reading.intent.note or "")


@pytest.mark.parametrize(("said", "inches"), [("stud 36, no 2", 2), ("36 no 40", 40), ("no 2", 2)])
def test_any_other_number_behind_no_is_the_right_one(said: str, inches: int) -> None:
    (reading,) = read(said)
    intent = reading.intent
    assert isinstance(intent, Cut | Change)
    assert intent.length is not None
    assert intent.length.inches == inches


def test_a_count_behind_feet_asks_before_a_deck_as_before_a_porch() -> None:
    (found,) = taken("2x10 joist 14' 20 deck")
    assert (20, F(168), "2x10", "joist") in map(meant, found)
    assert len(found) > 1


@pytest.mark.parametrize("last", ["floor 2", "stair 2", "16 oc", "24 o.c.", "bath 2"])
def test_a_numbered_floor_or_a_spacing_is_no_second_length_of_a_row(last: str) -> None:
    for part in taken(f"block, 2x8, 40 1/2, 12, {last}"):
        assert len(part) > 1 or part[0].doubts or meant(part[0])[:2] == (12, F(81, 2))


@pytest.mark.parametrize("said", ["plates 2x4 12, 14, 16", "2x10 joists 14, 16, 12"])
def test_all_of_a_list_may_be_feet_where_its_first_may(said: str) -> None:
    for part in taken(said):
        inches = {meant(each)[1] for each in part}
        assert max(inches) == 12 * min(inches)


def test_a_length_with_its_unit_is_what_it_says_in_a_list_as_well() -> None:
    _, second, _ = taken("2x4 12, 14', 15")
    assert [meant(each)[1] for each in second] == [168]


@pytest.mark.parametrize(("said", "asks"), [("2 left", True), ("2 left side", False), ("2", False)])
def test_how_many_are_left_is_not_how_many_to_cut(said: str, asks: bool) -> None:
    ((reading,),) = taken(f"2x4 stud 92-5/8 {said}")
    assert meant(reading)[0] == 2
    assert bool(reading.doubts) is asks


def test_two_dozen_ahead_of_a_size_may_be_a_length_or_a_count() -> None:
    (found,) = taken("2 24 2x6 plate")
    assert len(found) > 1 or found[0].doubts


def test_cuts_joined_by_and_with_their_pieces_are_marked_as_rows() -> None:
    found = read_typed("32 1/4 nailer and 29 7/8 nailer")
    assert isinstance(found, CallList)
    assert found.marked


@pytest.mark.parametrize(
    "said",
    [
        "trimmer 81 2x6 4 trout 36-1/2",  # two lengths
        "4 @ 36 2x6 hat 12 block",  # a number between words
        "6 trim 101 1/2 2x6 beam ends, 3 ea end",
        "4 studs 2x4 92 hatch 5/8",  # a word inside a length
    ],
)
def test_words_between_figures_never_stand_in_silence(said: str) -> None:
    parts = taken(said)
    found = read_typed(said) if parts else None
    in_doubt = isinstance(found, CallList) and not found.marked
    assert in_doubt or all(len(part) > 1 or part[0].doubts for part in parts)


def test_a_spoken_pitch_without_a_point_may_be_a_length_and_is_no_end() -> None:
    with pytest.raises((NotACall, Refused)):
        read("gable stud thirty six and a half six twelve", by_voice=True)

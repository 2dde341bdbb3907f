"""Laws of whole calls: ends and points, boards and counts, places, in whatever order they are said.

The calls are put together from words of our own, whose meaning is known: how a board, an end or a
place is said stands below (common practice).
"""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction as F

import pytest
from said_lengths import (
    FRACTIONS,
    cuts,
    found,
    lengths,
    part,
    refused,
    words,
)

from cutmemo.domain.cut import SQUARE, Cut, End, Rise, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings

# --- whole calls ---------------------------------------------------------------------------------------

SIZES = {
    "two by four": Section(F(2), F(4)),
    "two by six": Section(F(2), F(6)),
    "two by ten": Section(F(2), F(10)),
    "four by four": Section(F(4), F(4)),
    "one by twelve": Section(F(1), F(12)),
}
TYPED_SIZES = {"2x4": Section(F(2), F(4)), "2x12": Section(F(2), F(12)), "1x6": Section(F(1), F(6))}
NAMES = ("stud", "king stud", "trimmer", "joist", "header", "sill", "cripple", "block")
PLACES = {
    "for the kitchen": "kitchen",
    "for bedroom two": "bedroom 2",
    "for north wall": "north wall",
}
TYPED_PLACES = {
    "for kitchen": "kitchen",
    "for bedroom 2": "bedroom 2",
    "for north wall": "north wall",
}


def angled(degrees: F | int) -> End:
    return End("angled", miter=F(degrees))


ENDINGS: dict[str, tuple[End, End]] = {
    "mitered forty five": (angled(45), SQUARE),
    "forty five degree miter": (angled(45), SQUARE),
    "forty five both ends": (angled(45), angled(45)),
    "both ends forty five": (angled(45), angled(45)),
    "thirty degrees one end": (angled(30), SQUARE),
    "bevel thirty": (End("angled", bevel=F(30)), SQUARE),
    "plumb cut seven twelve": (End("plumb", Rise(F(7))), SQUARE),
    "plumb cut six in twelve": (End("plumb", Rise(F(6))), SQUARE),
}


@pytest.mark.parametrize("seed", range(120))
def test_a_call_put_together_from_known_words_means_these(seed: int) -> None:
    r = random.Random(seed)
    by_voice = seed % 2 == 0
    number, fraction = r.randrange(25, 95), r.choice(FRACTIONS[:15])
    called = Cut(Length(number + fraction))
    if by_voice:
        length = f"{words(number)} and {part(fraction.numerator, fraction.denominator)[0]}"
    else:
        length = f"{number}-{fraction}"
    said = [length]
    if r.random() < 0.5:
        size = r.choice(list(SIZES if by_voice else TYPED_SIZES))
        called = replace(called, section=(SIZES if by_voice else TYPED_SIZES)[size])
        said.append(size)
    if r.random() < 0.5:
        name = r.choice(NAMES)
        called = replace(called, piece=name)
        said.append(name)
    if r.random() < 0.4:
        ending = r.choice(list(ENDINGS))
        if by_voice:
            said.append(ending)
            called = replace(called, ends=ENDINGS[ending])
    behind = []
    if r.random() < 0.4:
        count = r.randrange(2, 24)
        behind.append(f"{words(count) if by_voice else count} pieces")
        called = replace(called, count=count)
    if r.random() < 0.4:
        places = PLACES if by_voice else TYPED_PLACES
        place = r.choice(list(places))
        behind.append(place)
        called = replace(called, place=places[place])
    text = " ".join([*said, *behind])
    readings = found(text, by_voice)
    assert called in [each.intent for each in readings], text
    sure = [each.intent for each in readings if not each.doubts]
    assert not by_voice or len(sure) <= 1 or called in sure, text
    assert all(isinstance(each, Cut) and each.length == called.length for each in sure), text


@pytest.mark.parametrize("ending", ENDINGS)
def test_ends_are_read_before_and_behind_the_board_alike(ending: str) -> None:
    ends = ENDINGS[ending]
    for said in (
        f"thirty six and a half {ending}",
        f"thirty six and a half two by six {ending}",
        f"thirty six and a half {ending} two by six",
    ):
        assert ends in {each.ends for each in cuts(said)}, said
        assert all(each.length.inches == F(73, 2) for each in cuts(said) if each.ends == ends)


def test_two_angles_on_one_end_are_a_compound_cut_in_either_order() -> None:
    both = End("angled", miter=F(45), bevel=F(30))
    for said in (
        "36 miter 45 bevel 30",
        "36 bevel 30 miter 45",
        "36 miter 45 and bevel 30",
        "36 bevel 30 and miter 45",
    ):
        assert (both, SQUARE) in {each.ends for each in cuts(said, by_voice=False)}, said
    for said in ("36 miter 45 miter 30", "36 bevel 45 bevel 30"):
        for each in cuts(said, by_voice=False):
            assert all(end.miter is None or end.bevel is None for end in each.ends or ()), said


def test_a_lead_announces_every_way_an_end_is_said() -> None:
    square = End()
    for said, end in (
        ("36 with 45", angled(45)),
        ("36 with a 45", angled(45)),
        ("36 with 45 degree miter", angled(45)),
        ("36 with a 45 degree bevel", End("angled", bevel=F(45))),
        ("36 with a plumb cut 7/12", End("plumb", Rise(F(7)))),
        ("36 with a seat cut 7/12", End("seat", Rise(F(7)))),
        ("36 with a 22-1/2 degree miter", angled(F(45, 2))),
    ):
        assert (end, square) in {each.ends for each in cuts(said, by_voice=False)}, said
    pointed = replace(angled(45), point="long")
    assert (pointed, square) in {
        each.ends for each in cuts("36 with 45 long point", by_voice=False)
    }


def test_an_angle_past_75_degrees_and_a_roof_past_24_in_12_are_none() -> None:
    for degrees, there in ((75, True), (76, False), (1, True), (0, False)):
        said = f"36 {degrees} degrees"
        assert (not refused(said, False) and any(each.ends for each in cuts(said, False))) is there
    for rise, there in ((24, True), (25, False), (1, True), (0, False)):
        said = f"36 plumb cut {rise} in 12"
        ends = {each.ends for each in cuts(said, False)}
        assert any(end.rise for pair in ends for end in pair or ()) is there
    assert not any(
        end.rise for each in cuts("36 plumb cut 7 in 13", by_voice=False) for end in each.ends or ()
    )


def test_points_belong_to_their_ends() -> None:
    for said, points in (
        ("36 45 both ends long point", ("long", "long")),
        ("36 45 both ends short point", ("short", "short")),
        ("36 45 both ends long to short", ("long", "short")),
        ("36 45 both ends short to long", ("short", "long")),
        ("36 45 both ends long to long", ("long", "long")),
    ):
        pointed = [
            tuple(end.point for end in each.ends)
            for each in cuts(said, by_voice=False)
            if each.ends
        ]
        assert points in pointed, said


# --- boards and counts -------------------------------------------------------------------------------


@pytest.mark.parametrize("thick", range(1, 17))
def test_only_sizes_that_are_sawn_are_sizes(thick: int) -> None:
    # PS 20 nominal sizes: 1, 2, 3, 4, 5, 6, 8, 10, 12, 14, 16.
    for wide in range(1, 17):
        sawn = {1, 2, 3, 4, 6, 8, 10, 12}
        said = f"36-1/2 {thick}x{wide}"
        sections = {each.section for each in cuts(said, False)}
        there = Section(F(thick), F(wide)) in sections
        if thick in {1, 2, 4, 6} and wide in sawn and wide >= thick and wide > 1:
            assert there, said
        if wide in {7, 9, 11, 13, 15}:
            assert not there, said
            spoken_size = f"thirty six and a half {words(thick)} by {words(wide)}"
            voiced = {each.section for each in cuts(spoken_size)}
            assert Section(F(thick), F(wide)) not in voiced


def test_treated_is_said_once_before_or_behind_the_size() -> None:
    size = Section(F(2), F(6), treated=True)
    for said in ("36 treated 2x6", "36 2x6 treated", "treated 2x6 36", "2x6 treated 36"):
        assert {each.section for each in cuts(said, by_voice=False)} == {size}, said
    for said in ("36 2x6 treated joist", "36 joist treated 2x6"):
        assert {(each.section, each.piece) for each in cuts(said, by_voice=False)} == {
            (size, "joist")
        }


def test_engineered_boards_have_the_depths_they_are_made_in() -> None:
    for said, section in (
        ("36 1-3/4x11-7/8 LVL", Section(F(7, 4), F(95, 8), "LVL")),
        ("36 1-3/4x9-1/2 LVL", Section(F(7, 4), F(19, 2), "LVL")),
        ("36 LVL 1-3/4x11-7/8", Section(F(7, 4), F(95, 8), "LVL")),
        ("36 LVL", Section(material="LVL")),
    ):
        assert section in {each.section for each in cuts(said, by_voice=False)}, said
    for depth, made in (("9-1/2", True), ("11-7/8", True), ("14-1/2", False), ("9-3/8", False)):
        said = f"{depth} LVL 36"
        sections = {each.section for each in cuts(said, False)}
        whole_part, _, over = depth.partition("-")
        assert (Section(None, F(whole_part) + F(over), "LVL") in sections) is made, said


def test_a_panel_of_up_to_twelve_by_twelve_may_be_feet() -> None:
    for wide, long, feet in (
        (4, 8, True),
        (4, 12, True),
        (12, 12, True),
        (4, 13, False),
        (13, 4, False),
    ):
        found_lengths = lengths(f"{wide} by {long} plywood", by_voice=False)
        assert found_lengths == ({F(long), F(12 * long)} if feet else {F(long)})
        notes = {each.note for each in cuts(f"{wide} by {long} plywood", by_voice=False)}
        assert notes == {f'{wide}" wide', *([f'{12 * wide}" wide'] if feet else [])}
    assert F(191, 4) in lengths("23-1/2 by 47-3/4 plywood", by_voice=False)
    assert lengths("4 by 3 plywood", by_voice=False) >= {F(3)}
    assert F(2) not in lengths("4 by 2 plywood", by_voice=False)
    # A strip of so much and a half is in inches, unless it comes out in whole square feet.
    assert lengths("2-1/2 by 5 plywood", by_voice=False) == {F(5)}
    assert lengths("2-1/2 by 8 plywood", by_voice=False) == {F(8), F(96)}


def test_a_count_before_lengths_in_the_plural_and_none_where_the_length_is_doubtful() -> None:
    for said, count, length in (
        ("10 92-5/8 studs", 10, F(741, 8)),
        ("10 12 studs", 10, F(12)),
        ("10 36-1/2 2x4s", 10, F(73, 2)),
    ):
        assert (count, length) in {(e.count, e.length.inches) for e in cuts(said, False)}, said
    # 8-4-1/2 is 8 ft 4-1/2 only where the crew says pairs so: no count stands before what is asked about.
    assert refused("10 8-4-1/2 studs", by_voice=False)
    sure = Settings(pairs="feet")
    assert (10, F(201, 2)) in {
        (e.count, e.length.inches) for e in cuts("10 8-4-1/2 studs", False, sure)
    }
    for said in ("10 11 studs", "10 11-1/2 studs"):
        asked = cuts(said, False)
        assert not any(each.count == 10 and each.length.inches < 12 for each in asked), said


def test_a_number_before_a_board_counts_and_from_a_dozen_on_asks() -> None:
    for number, asks in ((2, False), (11, False), (12, True), (24, True)):
        readings = cuts(f"{words(number)} stud forty and a half")
        counted = [
            r for e, r in readings.items() if (e.count, e.length.inches) == (number, F(81, 2))
        ]
        assert len(counted) == 1
        assert bool(counted[0].doubts) is asks, number
    for number, asks in ((24, False), (25, True)):
        readings = cuts(f"{number} 2x4 40-1/2", by_voice=False)
        counted = [
            r for e, r in readings.items() if (e.count, e.length.inches) == (number, F(81, 2))
        ]
        assert [bool(each.doubts) for each in counted] == [asks], number
    # A plural says that it counts.
    for said in ("twelve studs forty and a half", "fifty two by fours forty and a half"):
        readings = cuts(said)
        assert any(e.count in (12, 50) and not r.doubts for e, r in readings.items()), said


# --- places ----------------------------------------------------------------------------------------------


def test_a_typed_place_has_its_number_behind_a_room_or_a_letter() -> None:
    for said, place in (
        ("36 for north bedroom 2", "north bedroom 2"),
        ("36 for bedroom 24", "bedroom 24"),
        ("36 for bedroom twenty two", "bedroom 22"),
        ("36 for the south kitchen", "south kitchen"),
        ("36 for window B 3", "window B 3"),
    ):
        assert {each.place for each in cuts(said, by_voice=False)} == {place}, said
        assert lengths(said, by_voice=False) == {F(36)}
    for said in ("36 for bedroom north 2", "36 for bedroom 2 2", "36 for ab 2"):
        places = {each.place for each in cuts(said, False)}
        assert not any(place and place.endswith("2") for place in places), said
    assert {each.place for each in cuts("thirty six for bedroom twenty two")} == {"bedroom 22"}


def test_a_number_past_24_or_with_a_unit_behind_a_room_is_the_length() -> None:
    for said, place, length in (
        ("stud for kitchen 25", "kitchen", F(25)),
        ("stud for kitchen 20 inches", "kitchen", F(20)),
        ("stud for kitchen 20 ft", "kitchen", F(240)),
    ):
        asked = cuts(said, False)
        assert {(each.place, each.length.inches) for each in asked} == {(place, length)}, said
    assert refused("stud for kitchen 24", by_voice=False)
    assert {(e.place, e.count) for e in cuts("2x4 for bedroom 2 pieces 36", False)} == {
        ("bedroom", 2)
    }

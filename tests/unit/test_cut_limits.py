"""What a number in a call is, a count or a length or an angle or feet, on both sides of every limit."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import SQUARE, Cut, End, Section
from cutmemo.errors import NotACall, Refused
from cutmemo.language import read

STUD, JOIST = Section(F(2), F(4)), Section(F(2), F(6))


def cuts(said: str, by_voice: bool = False) -> dict[Cut, bool]:
    """Return the cuts that *said* may be, and of each whether it asks."""
    try:
        found = read(said, None, by_voice)
    except (NotACall, Refused):
        return {}
    return {each.intent: bool(each.doubts) for each in found if isinstance(each.intent, Cut)}


def counted(said: str, by_voice: bool = False) -> dict[tuple[int, F], bool]:
    return {(cut.count, cut.length.inches): asks for cut, asks in cuts(said, by_voice).items()}


@pytest.mark.parametrize("number", [0, 1, 2, 3, 24, 49, 50, 51])
def test_two_to_fifty_count_before_a_length_in_the_plural(number: int) -> None:
    fits = 1 < number <= 50
    for said in ("36-1/2 studs", "36-1/2 2x4 studs", "36-1/2 2x4s", "54 inch 2x4s", '54" 2x4s'):
        length = F(54) if "54" in said else F(73, 2)
        assert (counted(f"{number} {said}").get((number, length)) is False) is fits, said


@pytest.mark.parametrize(
    ("inches", "fits"), [("11-7/8", False), ("12", True), ("12-1/8", True), ("54", True)]
)
def test_lengths_from_a_foot_on_are_counted_so(inches: str, fits: bool) -> None:
    whole, _, part = inches.partition("-")
    length = F(whole) + F(part or 0)
    assert ((10, length) in counted(f"10 {inches} studs")) is fits
    assert ((3, length) in counted(f"three {inches}s")) is fits


def test_whole_feet_before_a_plural_size_may_be_boards_and_ask() -> None:
    for said, length, asks in (
        ("10 16' 2x4s", F(192), True),
        ("10 16 ft 2x4s", F(192), True),
        ("10 54 inch 2x4s", F(54), False),
        ("10 66 inch 2x4s", F(66), False),
        ("10 4' 6 2x4s", F(54), False),
    ):
        assert counted(said).get((10, length)) is asks, said
    assert not counted("10 192 inch 2x4s")
    assert not counted("10 48 inch 2x4s")


@pytest.mark.parametrize(
    ("word", "number"), [("one", 1), ("two", 2), ("three", 3), ("nineteen", 19), ("twenty", 20)]
)
def test_two_to_nineteen_in_words_count_lengths_in_figures(word: str, number: int) -> None:
    for said in (f"{word} 57-3/4s", f"{word} 57-3/4"):
        found = counted(said)
        assert ((number, F(231, 4)) in found) is (1 < number < 20), said


@pytest.mark.parametrize("number", [5, 6, 7, 14, 23, 24, 25])
@pytest.mark.parametrize("lead", ["x", " ", " at ", " by "])
def test_from_6_to_24_behind_a_size_may_be_feet(number: int, lead: str) -> None:
    found = {cut.length.inches for cut in cuts(f"2x6{lead}{number}") if cut.section == JOIST}
    assert found == ({F(number), F(12 * number)} if 6 <= number <= 24 else {F(number)})


@pytest.mark.parametrize("number", [0, 1, 4, 24, 25])
def test_up_to_24_before_a_place_may_count_and_ask(number: int) -> None:
    for place, said in (("W3", "W3"), ("kitchen", "for kitchen")):
        found = [
            asks for cut, asks in cuts(f"{number} {said} 92-5/8").items()
            if (cut.count, cut.length.inches, cut.place) == (number, F(741, 8), place)
        ]  # fmt: skip
        assert found == ([True] if 0 < number <= 24 else [])


@pytest.mark.parametrize("inches", [12, 23, 24, 25, 36])
def test_at_an_angle_behind_what_is_no_likely_count(inches: int) -> None:
    mitered = Cut(next(iter(cuts("36"))).length, ends=(End("angled", miter=F(45)), SQUARE))
    found = cuts(f"{inches} @ 45")
    assert (inches, F(45)) in counted(f"{inches} @ 45")
    angles = {cut.ends for cut in found}
    assert (mitered.ends in angles) is (inches >= 24)
    assert counted(f"{inches} @ 31") == {(inches, F(31)): False}  # no usual angle


def test_many_small_pieces_of_a_long_kind_only_stand_where_nothing_else_does() -> None:
    """Header 39 x 2 is two of 39 in., and 30 of 39 as likely as 39 of 30."""
    for said, lengths in (
        ("header 39 x 2", {(2, F(39))}),
        ("header 39 x 30", {(30, F(39)), (39, F(30))}),
        ("header 24 x 5", {(5, F(24)), (24, F(5))}),
        ("header 25 x 5", {(5, F(25))}),
        ("header 24 x 11", {(11, F(24)), (24, F(11))}),
        ("header 25 x 11", {(11, F(25))}),
        ("header 25 x 12", {(12, F(25)), (25, F(12))}),
        ("header 51 x 12", {(12, F(51))}),
        ("header 51 x 24", {(24, F(51))}),
        ("header 51 x 25", {(25, F(51)), (51, F(25))}),
        ("header 50 x 12", {(12, F(50)), (50, F(12))}),
        ("block 39 x 2", {(2, F(39)), (39, F(2))}),
    ):
        assert set(counted(said)) == lengths, said


def test_separators_stand_between_what_was_said_and_only_once() -> None:
    stud = Cut(next(iter(cuts("36"))).length, section=STUD, piece="stud")
    for said in ("36, 2x4, stud", "36 2x4, stud", "2x4 stud, 36", "2x4 stud - 36", "stud - 36 2x4"):
        assert list(cuts(said)) == [stud], said
    for said in ("36,, stud", ", 36 stud", "36 - stud", "- 36 stud"):
        assert not cuts(said), said
    assert set(counted("36 - 8 pcs")) == {(8, F(36))}
    assert set(counted("90-1/2 - 8 pieces")) == {(8, F(181, 2))}
    assert not cuts("2x10 73 stud, 114")


def test_each_field_is_said_once() -> None:
    for said in (
        "36 2x4 2x6",
        "36 2x4 treated treated",
        "36 strong shy",
        "36 exactly strong",
        "36 strong exactly",
        "5 pieces 36 6 pieces",
        "10 at 36 at 37",
        "36 45 miter 30 miter 22-1/2 miter",
    ):
        assert not cuts(said), said


def test_a_touch_more_or_less_stands_before_the_length_in_it_and_behind_it() -> None:
    for said, word, side, slight in (
        ("strong 36", "strong", "over", False),
        ("36 strong", "strong", "over", False),
        ("just under 36", "a hair under", "under", True),
        ("36 shy", "shy", "under", False),
        ("36 a hair over", "a hair over", "over", True),
        ("36 minus a hair", "minus a hair", "under", True),
        ("36 plus a hair", "plus a hair", "over", True),
        ("36 and a hair", "and a hair", "over", True),
        ("36 a hair", "a hair", "over", True),
    ):
        (found,) = cuts(said)
        allowance = found.allowance
        assert allowance is not None
        assert (allowance.word, allowance.side, allowance.slight) == (word, side, slight), said
        assert found.length.inches == 36
    for said, by_voice in (
        ("36 and a strong quarter", False),
        ("36 a strong quarter", False),
        ("thirty six and a strong quarter", True),
    ):
        (found,) = cuts(said, by_voice)
        assert (found.length.inches, str(found.allowance)) == (F(145, 4), "strong"), said
    for said in ("exactly 36", "36 exactly", "36 even", "36 on the money"):
        assert counted(said) == {(1, F(36)): False}, said


def test_treated_and_the_size_of_a_material_may_stand_apart() -> None:
    treated = Section(F(2), F(4), treated=True)
    assert {cut.section for cut in cuts("36 treated stud 2x4")} == {treated}
    assert {(cut.section, cut.note) for cut in cuts("36 treated")} == {(None, "treated")}
    lvl = Section(F(7, 4), F(19, 2), "LVL")
    for said in ("LVL header 1-3/4x9-1/2 36", "1-3/4x9-1/2 LVL header 36"):
        assert {cut.section for cut in cuts(said)} == {lvl}, said
    assert {cut.section for cut in cuts('41" of 2x4')} == {STUD}


def test_a_plural_without_a_count_asks_how_many() -> None:
    for said, asks in (("36 studs", True), ("36 stud", False), ("5 at 36 studs", False)):
        assert set(cuts(said).values()) == {asks}, said
    for said, note in (("36 2 ply header", "2 ply"), ("36 1 ply header", "1 ply")):
        found = cuts(said)
        assert {cut.note for cut in found} == {note}
        assert set(found.values()) == {note == "2 ply"}

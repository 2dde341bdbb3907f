"""Where a piece goes: said with or without "for", before or behind the length, and the side of a piece."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NotACall, Refused
from cutmemo.language import read


def meant(said: str, by_voice: bool = False) -> list[tuple[F, str | None, str | None]]:
    """Return the length, the piece and the place of every reading."""
    cuts = [each.intent for each in read(said, by_voice=by_voice) if isinstance(each.intent, Cut)]
    return [(cut.length.inches, cut.piece, cut.place) for cut in cuts]


@pytest.mark.parametrize(
    ("said", "piece", "place"),
    [
        ("W3 north, king L 92-5/8", "king stud", "W3 north L"),
        ("king L W3 92-5/8", "king stud", "W3 L"),
        ("W3 north 92-5/8", None, "W3 north"),
        ("W3 - king L 92-5/8", "king stud", "W3 L"),
        ("W3: king L 92-5/8", "king stud", "W3 L"),
        ("left king W3 92-5/8", "king stud", "W3 left"),
        ("92-5/8 W3 north, king L", "king stud", "W3 north L"),
        ("92-5/8 king L, W3", "king stud", "W3 L"),
        ("92-5/8 for W3 north, king L", None, "W3 north, king L"),
        ("north wall 92-5/8", None, "north wall"),
        ("wall 3 north 92-5/8", None, "wall 3 north"),
        ("bedroom 2 92-5/8", None, "bedroom 2"),
        ("kitchen window 92-5/8", None, "kitchen window"),
    ],
)
def test_a_place_needs_no_announcement_typed(said: str, piece: str | None, place: str) -> None:
    assert meant(said) == [(F(741, 8), piece, place)]


@pytest.mark.parametrize(
    ("said", "piece", "place"),
    [
        ("w three north king left ninety two and five eighths", "king stud", "W3 north left"),
        ("king left w three ninety two and five eighths", "king stud", "W3 left"),
        ("w three north ninety two and five eighths", None, "W3 north"),
        ("ninety two and five eighths w three north king left", "king stud", "W3 north left"),
        ("ninety two and five eighths for w three king left", "king stud", "W3 left"),
        ("north wall ninety two and five eighths", None, "north wall"),
    ],
)
def test_a_place_needs_no_announcement_spoken(said: str, piece: str | None, place: str) -> None:
    assert meant(said, by_voice=True) == [(F(741, 8), piece, place)]


@pytest.mark.parametrize(
    ("said", "lengths"),
    [
        ("w twenty two forty", {F(40), F(240)}),
        ("bedroom two forty one", {F(41), F(241)}),
        ("window three four and a half", {F(9, 2), F(69, 2), F(81, 2)}),
        ("king left wall three forty one and a half", {F(83, 2), F(683, 2)}),
    ],
)
def test_a_number_between_a_place_and_a_length_is_asked(said: str, lengths: set[F]) -> None:
    assert lengths <= {inches for inches, _, _ in meant(said, by_voice=True)}


@pytest.mark.parametrize(
    "said", ["north wall 13 south wall 72", "bath 13 kitchen 72", "W3 36 W4 72"]
)
def test_the_length_of_one_of_two_cuts_is_no_number_of_a_place(said: str) -> None:
    try:
        found = read(said)
    except NotACall:
        return
    assert all(each.doubts for each in found) or len(found) > 1


@pytest.mark.parametrize("by_voice", [False, True])
@pytest.mark.parametrize(
    "said", ["room twelve", "line two", "jack stud for wall two", "kitchen three", "no room"]
)
def test_the_number_of_a_room_is_no_length(said: str, by_voice: bool) -> None:
    with pytest.raises(NotACall):
        read(said, by_voice=by_voice)


@pytest.mark.parametrize("said", ["a thirty and a half", "a four forty two", "b two forty one"])
def test_a_letter_that_is_no_wall_is_no_place_before_a_length(said: str) -> None:
    try:
        assert all(place is None for _, _, place in meant(said, by_voice=True))
    except NotACall:
        return


@pytest.mark.parametrize(
    "said", ["wall twelve foot", "door six foot eight", "deck 144", "stairs 36", "wall 12'"]
)
def test_what_begins_a_set_or_a_measure_is_no_place(said: str) -> None:
    try:
        found = read(said, by_voice=not any(sign.isdecimal() for sign in said))
    except NotACall:
        return
    places = {each.intent.place for each in found if isinstance(each.intent, Cut)}
    assert not any(place in ("wall 12", "door 6", "wall", "deck") for place in places)


@pytest.mark.parametrize(("said", "asks"), [("wall 7 97-1/8", False), ("wall 8 97-1/8", True)])
def test_a_wall_that_may_be_so_many_feet_long_asks(said: str, asks: bool) -> None:
    (reading,) = read(said)
    assert [each.kind for each in reading.doubts] == ([DoubtKind.PLACE_OR_SET] if asks else [])


@pytest.mark.parametrize(
    ("said", "piece", "place"),
    [
        ("92-5/8 2x10 unsure room", None, "unsure room"),
    ],
)
def test_words_that_mean_no_more_are_kept_and_asked_about(
    said: str, piece: str | None, place: str | None
) -> None:
    (reading,) = read(said)
    assert meant(said) == [(F(741, 8), piece, place)]
    assert [each.kind for each in reading.doubts] == [DoubtKind.UNKNOWN_WORDS]


@pytest.mark.parametrize(
    ("said", "piece", "place"),
    [
        ("flitch beam 2x10 92-5/8", "beam", "flitch"),
        ("2x10 grab bar backing 92-5/8", "backing", "grab bar"),
        ("manger plank 2x10 92-5/8", "plank", "manger"),
    ],
)
def test_words_right_before_a_piece_say_which_it_is(said: str, piece: str, place: str) -> None:
    (reading,) = read(said)
    assert (meant(said), reading.doubts) == ([(F(741, 8), piece, place)], ())


@pytest.mark.parametrize(
    "said",
    [
        "fourty stud 36",  # a number that was mistyped
        "2x4 inchs 36",
        "not a stud 36",
        "36 minus stud 40",
        "36 corner 40 stud",
        "2x4 half 36 stud",
    ],
)
def test_a_word_that_may_mean_more_is_not_kept(said: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(said)


def test_no_word_is_kept_by_voice() -> None:
    with pytest.raises(NotACall):
        read("flitch beam ninety two and five eighths", by_voice=True)


@pytest.mark.parametrize(
    "said",
    ["for grid 4 2x6 king 153-13/16", "2x6 for north 4 king 153-13/16"],
)
def test_a_number_between_a_place_and_a_board_is_asked(said: str) -> None:
    readings = [each.intent for each in read(said)]
    cuts = {(cut.count, cut.place) for cut in readings if isinstance(cut, Cut)}
    place = said.removeprefix("2x6 ").split()[1]
    assert cuts == {(4, place), (1, f"{place} 4")}


@pytest.mark.parametrize("said", ["for grid 4", "for unit 12", "for north 14", "for flue 14"])
def test_the_number_of_any_place_is_no_length(said: str) -> None:
    with pytest.raises(NotACall):
        read(said)
    assert meant("for W3 14") == [(F(14), None, "W3")]
    assert meant("for north 14-1/2") == [(F(29, 2), None, "north")]


@pytest.mark.parametrize("number", [1, 4, 24])
def test_a_number_right_before_a_place_and_a_length_asks_whether_it_counts(number: int) -> None:
    (reading,) = read(f"{number} W3 92-5/8")
    assert isinstance(reading.intent, Cut)
    assert (reading.intent.count, reading.intent.place) == (number, "W3")
    assert [each.kind for each in reading.doubts] == [DoubtKind.COUNT_OR_LENGTH]


def test_a_longer_number_before_a_place_is_a_cut_of_its_own() -> None:
    with pytest.raises(NotACall):
        read("25 W3 92-5/8")


@pytest.mark.parametrize(
    ("said", "by_voice", "meant"),
    [
        ("36 x 4 in north", False, {(4, F(36)), (36, F(4))}),
        ("36 x 4 in hall", False, {(4, F(36)), (36, F(4))}),
        ("blocks hall 13 x 16", False, {(13, F(16)), (16, F(13))}),
        ("four for the hall seventeen", True, {(4, F(17)), (1, F(4))}),
        ("king for door two twenty three", True, {(1, F(23)), (1, F(223))}),
        ("2 for kitchen 12", False, {(2, F(12)), (1, F(2))}),
    ],
)
def test_two_numbers_and_a_place_between_or_behind_them_ask(
    said: str, by_voice: bool, meant: set[tuple[int, F]]
) -> None:
    cuts = [each.intent for each in read(said, by_voice=by_voice)]
    assert {(cut.count, cut.length.inches) for cut in cuts if isinstance(cut, Cut)} == meant


def test_a_number_behind_a_room_is_the_rooms() -> None:
    assert meant("9 for bath 2") == [(F(9), None, "bath 2")]
    assert meant("seven and a half for bath two", by_voice=True) == [(F(15, 2), None, "bath 2")]

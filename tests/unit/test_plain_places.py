"""Typed words that only say where: known ones ask nothing, any other still asks; a jack at an opening is a trimmer."""

from __future__ import annotations

import random
from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Reading, read
from cutmemo.language.lexicon.en import (
    MATERIALS,
    MAY_CHANGE,
    MEANS_MORE,
    NOTES,
    PIECES,
    QUALIFYING,
    ROOMS,
    SIDES,
    SPOTS,
)
from cutmemo.language.lexicon.ordinary import ORDINARY

TABLES = (MATERIALS, NOTES, PIECES, ROOMS, SIDES, SPOTS)


def cut_of(reading: Reading) -> Cut:
    assert isinstance(reading.intent, Cut)
    return reading.intent


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("stud 46-1/4 knee wall west", "knee wall west"),
        ("stud 46-1/4 dormer face", "dormer face"),
        ("stud 46-1/4 rake wall", "rake wall"),
        ("pocket door stud 46-1/4", "pocket door"),
        ("linen closet stud 46-1/4", "linen closet"),
    ],
)
def test_a_room_with_words_that_say_which_one_asks_nothing(said: str, place: str) -> None:
    (reading,) = read(said)
    found = cut_of(reading)
    assert (found.length.inches, found.count, found.piece) == (F(185, 4), 1, "stud")
    assert (found.place, reading.doubts) == (place, ())


@pytest.mark.parametrize(
    "word",
    "thrice whisker smidge tapered notched fiftyfive twofoot reversed longish threefold handful duoble unsure "
    "piar lses flul minsu ate tow lower double".split(),
)
@pytest.mark.parametrize("frame", ["stud 53 {} knee wall", "stud 53 knee wall {}"])
def test_any_other_word_beside_a_room_asks_or_is_refused(word: str, frame: str) -> None:
    try:
        found = read(frame.format(word))
    except (NotACall, Refused):
        return
    kept = [word in (cut_of(each).place or "").split() for each in found]
    assert not any(kept) or all(each.doubts for each in found)


@pytest.mark.parametrize("said", ["stud 53 linen", "stud 53 tack", "53 pocket stud", "53 rake"])
def test_which_room_it_is_names_no_place_without_a_room(said: str) -> None:
    try:
        found = read(said)
    except (NotACall, Refused):
        return
    for each in found:
        cut = cut_of(each)
        assert (cut.length.inches, cut.count) == (F(53), 1)
        assert each.doubts or (cut.place, cut.note) == (None, said.split()[-1])


@pytest.mark.parametrize(
    "word", "firewall drywall mossy kichen towel landing mossy firewall".split()
)
def test_words_that_end_a_whole_call_are_kept_and_ask_nothing(word: str) -> None:
    """Only where the length can be no count, and what it is or its size is said."""
    (found,) = read(f"4 studs 2x4 92-5/8 {word}")
    cut = cut_of(found)
    assert (cut.count, cut.length.inches, found.doubts) == (4, F(741, 8), ())
    assert word in (cut.place, cut.note)
    for bare in (f"92-5/8 {word}", f"12 2x4 {word}", f"{word} 12 2x4"):
        try:
            others = read(bare)
        except (NotACall, Refused):
            continue
        assert any(each.doubts for each in others) or len(others) > 1 or word == "landing", bare


@pytest.mark.parametrize("seed", range(6))
def test_a_slip_of_a_word_that_measures_or_orders_always_asks(seed: int) -> None:
    """Letters of it exchanged, left out, put in or changed; a word of its own is none."""
    r = random.Random(seed)
    known = {*MEANS_MORE, *MAY_CHANGE, *QUALIFYING}
    parts = {word for table in TABLES for form in table for word in form}
    words = sorted(word for word in known - parts if word.isalpha() and len(word) > 3)
    letters = "abcdefghijklmnopqrstuvwxyz"
    seen = 0
    for word in r.sample(words, 120):
        k, letter = r.randrange(len(word) - 1), r.choice(letters)
        slip = r.choice(
            [
                word[:k] + word[k + 1] + word[k] + word[k + 2 :],
                word[:k] + word[k + 1 :],
                word[:k] + letter + word[k:],
                word[:k] + letter + word[k + 1 :],
            ]
        )
        if slip == word or slip in parts or slip in ORDINARY:
            continue
        try:
            found = read(f"4 studs 2x4 92-5/8 {slip}")
        except (NotACall, Refused):
            continue
        seen += 1
        for each in found:
            kept = isinstance(each.intent, Cut) and slip in (each.intent.note, each.intent.place)
            assert not kept or each.doubts, slip
    assert seen > 50


@pytest.mark.parametrize("said", ["stud 53 knee wall 3", "stud 53 knee wall 12", "53 knee wall 36"])
def test_a_number_behind_such_a_place_is_never_dropped_in_silence(said: str) -> None:
    try:
        found = read(said)
    except (NotACall, Refused):
        return
    assert all(each.doubts for each in found)


@pytest.mark.parametrize(("number", "asks"), [(1, True), (12, True), (24, True), (25, False)])
def test_a_small_number_at_such_a_place_may_be_how_many(number: int, asks: bool) -> None:
    (reading,) = read(f"{number} 2x4 plate knee wall")
    assert bool(reading.doubts) == asks


def test_a_plural_at_such_a_place_still_asks_how_many() -> None:
    (reading,) = read("studs 53 dormer face")
    assert [each.kind for each in reading.doubts] == [DoubtKind.UNCOUNTED]


@pytest.mark.parametrize(
    ("said", "pieces"),
    [
        ("side door jacks 81-1/2 x 2", ["trimmer"]),
        ("2 jacks 81-1/2 plumb 5/12 long point", ["jack rafter"]),
        ("2 jacks 81-1/2 bath window", ["trimmer"]),
        ("2 jacks 81-1/2 W5", ["jack rafter", "trimmer"]),
        ("2 jacks 81-1/2", ["jack rafter", "trimmer"]),
        ("2 jacks 81-1/2 porch roof", ["jack rafter", "trimmer"]),
        ("2 jacks 81-1/2 D5", ["jack rafter", "trimmer"]),
        ("2 jacks 81-1/2 bath window 45 one end", ["jack rafter", "trimmer"]),
        ("2 jack rafters 81-1/2 W5", ["jack rafter"]),
    ],
)
def test_a_square_jack_at_an_opening_is_a_trimmer(said: str, pieces: list[str]) -> None:
    found = read(said)
    assert sorted(cut_of(each).piece or "" for each in found) == pieces
    assert {(cut_of(each).length.inches, cut_of(each).count) for each in found} == {(F(163, 2), 2)}


@pytest.mark.parametrize("word", ["third", "fifth", "sixth"])
def test_a_part_of_an_inch_behind_a_number_is_no_place(word: str) -> None:
    """36 third: 36-1/3 stands on no tape, and no wall is called that by itself."""
    with pytest.raises((NotACall, Refused)):
        read(f"2x4 stud 36 {word}")
    if word == "third":
        (found,) = read(f"2x4 stud 36 {word} floor")
        assert (cut_of(found).place, found.doubts) == ("third floor", ())


@pytest.mark.parametrize("place", ["bar side", "grab bar", "side door", "attic hatch", "pump room"])
@pytest.mark.parametrize("call", ["2 trimmers 81-1/2 {}", "stud 92-5/8 {}", "4 @ 36-1/4 2x6 {}"])
def test_places_of_a_house_ask_nothing_behind_a_whole_call(call: str, place: str) -> None:
    (found,) = read(call.format(place))
    cut = cut_of(found)
    assert found.doubts == ()
    assert place in (cut.place, cut.note)


@pytest.mark.parametrize("number", [6, 14, 24])
@pytest.mark.parametrize("words", ["", "firewall", "defoor well"])
def test_a_bare_number_behind_a_size_may_be_feet_with_any_words_behind_it(
    number: int, words: str
) -> None:
    """Of 16 in. and 16 ft neither stands in silence because a word follows."""
    found = read(f"joist 2x6 {number} {words}".strip())
    assert {cut_of(each).length.inches for each in found} == {number, 12 * number}

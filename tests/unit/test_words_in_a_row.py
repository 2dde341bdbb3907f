"""Names of several words, and orders with a row between their words: every way to part them is looked at."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.length import Length
from cutmemo.language import Change, Command, OnRow, read
from cutmemo.language.lexicon.en import PIECES


def orders(said: str, by_voice: bool = False) -> set[tuple[int | None, str]]:
    """Return the row and the verb of each reading of *said*."""
    found = set()
    for reading in read(said, by_voice=by_voice):
        assert isinstance(reading.intent, OnRow)
        assert isinstance(reading.intent.intent, Command)
        found.add((reading.intent.row, reading.intent.intent.verb))
    return found


def length_of(said: str) -> Length:
    (found,) = {each.intent.length for each in read(said) if isinstance(each.intent, Cut)}
    return found


LONG = [words for words in PIECES if len(words) > 1 and words[-1] not in PIECES]


def test_some_pieces_end_in_a_word_that_is_none_by_itself() -> None:
    assert ("barge", "board") in LONG


@pytest.mark.parametrize("words", LONG, ids=" ".join)
def test_a_hand_stands_before_or_behind_a_piece_of_several_words(words: tuple[str, ...]) -> None:
    named = " ".join(words)
    for hand in ("left", "right", "L", "R"):
        for said in (f"36 {named} {hand}", f"{named} {hand} 36", f"36 {hand} {named}"):
            found = [reading.intent for reading in read(said)]
            assert all(isinstance(each, Cut) for each in found)
            assert (hand, PIECES.meanings[words]) in {
                (each.place, each.piece) for each in found if isinstance(each, Cut)
            }, said


NUMBERS = {"two": 2, "twenty": 20, "twenty two": 22, "one hundred": 100, "one hundred four": 104}


@pytest.mark.parametrize(
    ("before", "behind", "verb"),
    [
        ("put", "on hold", "hold"),
        ("set", "aside", "hold"),
        ("take", "off hold", "release"),
        ("take", "off", "strike"),
        ("put", "back", "put back"),
        ("put", "last", "skip"),
    ],
)
@pytest.mark.parametrize("spoken", NUMBERS)
def test_the_row_between_the_words_of_an_order_may_have_a_number_of_many_words(
    before: str, behind: str, verb: str, spoken: str
) -> None:
    for by_voice in (False, True):
        said = f"{before} row {spoken} {behind}"
        assert (NUMBERS[spoken], verb) in orders(said, by_voice)
        assert {each for _, each in orders(said, by_voice)} == {verb}
    assert (NUMBERS[spoken], verb) in orders(f"{before} row {NUMBERS[spoken]} {behind}")


def test_it_and_the_last_one_stand_between_the_words_of_an_order_too() -> None:
    for row in ("it", "the last one"):
        assert orders(f"put {row} on hold") == {(None, "hold")}
        assert orders(f"take {row} off") == {(None, "strike")}


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("58-3/4", "57-3/4"),
        ("fifty eight and three quarters", "fifty seven and three quarters"),
        ("one hundred two", "one hundred twenty two"),
        ("fifty eight", "fifty seven and three quarters"),
        ("six foot two and a half", "six foot two"),
    ],
)
@pytest.mark.parametrize("instead", ["not", "instead of", ", not"])
def test_a_row_is_corrected_by_what_it_is_and_what_it_is_not(
    right: str, wrong: str, instead: str
) -> None:
    for number in ("4", "four"):
        found = [reading.intent for reading in read(f"row {number} {right} {instead} {wrong}")]
        want, was = length_of(right), length_of(wrong)
        on_four = [each for each in found if isinstance(each, OnRow) and each.row == 4]
        assert on_four == [OnRow(4, Change(length=want), was=Change(length=was))]


@pytest.mark.parametrize("lead", ["at ", ", ", ",", "@ ", ""])
def test_an_unknown_piece_behind_a_size_is_kept_whatever_leads_to_its_length(lead: str) -> None:
    (reading,) = read(f"4 2x4 flump {lead}36-1/2".replace("flump ,", "flump,"))
    assert isinstance(reading.intent, Cut)
    found = reading.intent
    assert (found.count, found.piece, found.length) == (4, "flump", Length(F(73, 2)))
    assert reading.doubts == ()
    (reading,) = read(f"2x4 flumps {lead}36".replace("flumps ,", "flumps,"))
    assert [each.kind for each in reading.doubts] == [DoubtKind.UNCOUNTED]

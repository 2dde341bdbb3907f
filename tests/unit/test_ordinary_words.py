"""Ordinary words of English are no slips of words that mean something, but where they may be one
that says how long or how many.
"""

from __future__ import annotations

import pytest

from cutmemo.language import CallList, read_typed
from cutmemo.language.grammar.unknown import within_one_slip
from cutmemo.language.lexicon.en import (
    COUNT_MARKS,
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    MAY_CHANGE,
    MEANS_MORE,
    NOUGHT,
    ONES,
    PLURALS,
    PLUS_MINUS,
    POINT_PAIRS,
    POINTS,
    QUALIFYING,
    TENS,
    UNITS,
)
from cutmemo.language.lexicon.ordinary import ORDINARY

_TABLES = (UNITS, DENOMINATORS, DENOMINATOR_PLURALS, NOUGHT, PLUS_MINUS, COUNT_MARKS, POINTS)
MEASURING = {
    word
    for words in (*(table.words() for table in (*_TABLES, POINT_PAIRS)), ONES, TENS, PLURALS)
    for word in words
    if len(word) > 2
} | set("both each every pair dozen hundred double triple twice more half kerf minus less".split())
JOINING = {"the", "for", "from", "ends", "times", "end", "all", "past", "over", "under", "second"}


def test_no_ordinary_word_is_one_slip_from_a_word_that_measures() -> None:
    near = {
        (word, known)
        for word in ORDINARY
        for known in MEASURING - JOINING - {"seconds", "those", "them", "these"}
        if within_one_slip(word, known)
    }
    assert not near


def test_no_ordinary_word_means_anything() -> None:
    assert not ORDINARY & (MEANS_MORE | MAY_CHANGE | QUALIFYING)


@pytest.mark.parametrize("word", ["hole", "hood", "wet", "pot", "hatch", "track"])
def test_an_ordinary_word_is_kept_without_a_question(word: str) -> None:
    found = read_typed(f"4 studs 2x4 92-5/8 {word}")
    assert not isinstance(found, CallList)
    assert len(found) == 1
    assert not found[0].doubts


@pytest.mark.parametrize("word", ["holf", "fve", "lses", "shrot", "haf", "minsu", "piar"])
def test_a_slip_that_is_no_word_asks(word: str) -> None:
    found = read_typed(f"4 studs 2x4 92-5/8 {word}")
    assert not isinstance(found, CallList)
    assert len(found) > 1 or found[0].doubts

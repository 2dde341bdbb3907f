"""An attention word: hands free, only what begins with it is for the memo."""

from __future__ import annotations

import pytest

from cutmemo.asr import Attention, Hypothesis, Recognition


def heard(*texts: str, start: float = 0.0, held: bool = False) -> Recognition:
    scores = tuple(Hypothesis(text, 100.0 - k) for k, text in enumerate(texts))
    return Recognition(scores, start, start + 1.0, held=held)


def taken(attention: Attention, *heards: Recognition) -> list[tuple[str, ...] | None]:
    found = [attention.after(each) for each in heards]
    return [each and tuple(h.text for h in each.hypotheses) for each in found]


def test_without_a_word_all_is_let_through() -> None:
    said = heard("ninety two")
    assert Attention().after(said) is said


def test_what_does_not_begin_with_it_is_for_somebody_else() -> None:
    attention = Attention("Listen up")
    assert taken(attention, heard("ninety two"), heard("listen ninety two", start=9)) == [None] * 2


def test_the_word_goes_and_the_call_stays_with_what_else_it_may_be() -> None:
    said = heard("listen up ninety two", "listen up ninety", "[unk]", "nine to you")
    assert taken(Attention("listen up"), said) == [("ninety two", "ninety", "[unk]")]


def test_the_word_alone_opens_the_ear_for_three_seconds() -> None:
    attention = Attention("listen up")
    said = [heard("listen up"), heard("ninety two", start=3.9), heard("six", start=8.5)]
    assert taken(attention, *said) == [None, ("ninety two",), None]


def test_the_rest_of_a_call_is_let_through_with_its_first_half() -> None:
    attention = Attention("listen up")
    first = heard("listen up one hundred")
    whole = heard("listen up one hundred eight and a half")
    second = Recognition(
        (Hypothesis("eight and a half", 99.0),), 2.0, 3.0, follows=first, joined=whole
    )
    attention.after(first)
    found = attention.after(second)
    assert found is not None
    assert found.follows is not None
    assert found.joined is not None
    assert (found.follows.text, found.joined.text) == (
        "one hundred",
        "one hundred eight and a half",
    )


@pytest.mark.parametrize("held", [True, False])
def test_who_holds_the_microphone_needs_no_word(held: bool) -> None:
    found = Attention("listen up").after(heard("ninety two", held=held))
    assert (found is not None) == held

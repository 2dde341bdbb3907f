"""What runs together by ear runs together wherever it stands in a call: behind other words, and before other words."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import pytest

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.asr.confusions import (
    add_confusable_hypotheses,
    before_and,
    confusable_of,
    with_eighteen,
    with_f_for_s,
    with_swallowed_and,
    without_plural,
)

BEFORE = ["four", "two two by sixes", "cut four of the header"]
"""Words that no twin has, one, four and five of them."""
TWINS: list[tuple[Callable[[str], tuple[str, ...]], list[str]]] = [
    (
        with_swallowed_and,
        [
            "seventy and thirteen sixteenths",
            "seventeen thirteen sixteenths",
            "seventy and a half",
            "seventy and an eighth",
            "seventeen and a half",
            "thirteen six",
            "thirteen feet six",
            "seventy thirteen sixteenths",
        ],
    ),
    (with_f_for_s, ["sixty eight", "fifteen sixteenths", "one sixteenth", "fifty fourths"]),
    (with_eighteen, ["eighteen feet", "fifteen sixteenths", "sixteen", "eighteen fourths"]),
    (before_and, ["seventeen and three eighths", "seventeen or eight", "seventy and a half"]),
    (without_plural, ["sixteens", "twenties", "a halfs", "an eighths", "the halfs", "ten eighths"]),
]


@pytest.mark.parametrize(
    ("twins", "said"), [(twins, said) for twins, all_said in TWINS for said in all_said]
)
def test_a_twin_is_one_behind_other_words_and_before_them(
    twins: Callable[[str], tuple[str, ...]], said: str
) -> None:
    alone = twins(said)
    for words in BEFORE:
        found = set(twins(f"{words} {said}")) - {f"{each} {said}" for each in twins(words)}
        assert found == {f"{words} {each}" for each in alone}
    assert set(twins(f"{said} for wall a")) >= {f"{each} for wall a" for each in alone}


@pytest.mark.parametrize(
    ("said", "twin"),
    [
        ("ninety five sixteenths", "nineteen five sixteenths"),
        ("nineteen fifteen thirty seconds", "ninety fifteen thirty seconds"),
        ("ninety fifteen sixty fourths", "nineteen fifteen sixty fourths"),
        ("ninety five eighths", "nineteen five eighths"),
        ("ninety five", None),
        ("ninety five and", None),
        ("ninety three sixteenths", None),
        ("ninety one five sixteenths", None),
        ("forty eight five sixteenths", None),
        ("eight king", "eighteen"),
        ("eight kings", "eighteen"),
        ("eight jack", None),
        ("eight", None),
    ],
)
def test_the_twin_the_recogniser_does_not_name_is_found_anywhere(
    said: str, twin: str | None
) -> None:
    for words in ["", "four at ", "cut four of the header at "]:
        for rest in ["", " for wall a", " studs for wall a"]:
            expected = None if twin is None else f"{words}{twin}{rest}"
            assert confusable_of(f"{words}{said}{rest}") == expected


SAID = "seventy and thirteen sixteenths"
TWIN = "seventeen thirteen sixteenths"
TENS = "seventeen and thirteen sixteenths"
"""Its other twin: a teen before an "and"."""


def _once_more(fits: Mapping[str, float], *others: str) -> Recognition:
    texts = (SAID, *others)
    heard = Recognition(tuple(Hypothesis(text, 100.0 - 9 * k) for k, text in enumerate(texts)))
    return add_confusable_hypotheses(heard, lambda asked: {t: fits[t] for t in asked if t in fits})


@pytest.mark.parametrize(
    ("fits", "found"),
    [
        ({SAID: 5.0, TWIN: 5.0}, [TWIN]),
        ({SAID: 5.0, TWIN: 4.9}, []),
        ({TWIN: -999.0}, [TWIN]),
        ({SAID: 5.0, TENS: 2.0}, [TENS]),
        ({SAID: 5.0, TENS: 1.9}, []),
        ({TENS: -math.inf}, [TENS]),
        ({SAID: 5.0, TWIN: 6.0, TENS: 6.0}, [TWIN, TENS]),
        ({}, []),
    ],
)
def test_a_twin_comes_right_behind_the_best_and_is_as_likely(
    fits: dict[str, float], found: list[str]
) -> None:
    rest = ["seventy one", "eleven"]
    once_more = _once_more(fits, *rest).hypotheses
    assert [each.text for each in once_more] == [SAID, *found, *rest]
    assert {each.log_likelihood for each in once_more[: 1 + len(found)]} == {100.0}
    assert [each.log_likelihood for each in once_more[1 + len(found) :]] == [91.0, 82.0]


def test_a_twin_that_was_named_is_no_new_one_by_a_swallowed_and_and_stands_once() -> None:
    named = _once_more({SAID: 5.0, TWIN: 9.0}, TWIN, "eleven")
    assert [each.log_likelihood for each in named.hypotheses] == [100.0, 91.0, 82.0]
    moved = _once_more({SAID: 5.0, TENS: 5.0}, "eleven", TENS)
    assert [each.text for each in moved.hypotheses] == [SAID, TENS, "eleven"]


def test_nothing_heard_is_nothing_to_hear_once_more() -> None:
    nothing = Recognition(())
    assert add_confusable_hypotheses(nothing, lambda _: {}) is nothing

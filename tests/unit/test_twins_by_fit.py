"""Twins by sound: the better one fits, the sooner it is named; a number that is part of a fraction has none."""

from __future__ import annotations

from itertools import permutations

import pytest

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.asr.confusions import (
    FIGURE_MARGIN,
    add_confusable_hypotheses,
    with_another_figure,
    with_eighteen,
    with_f_for_s,
)

SAID = "one two three"


def named(fits: dict[str, float], text: str = SAID) -> list[str]:
    """Return the texts that *text* may be, where the sound fits as *fits* says."""
    heard = Recognition((Hypothesis(text, 100.0), Hypothesis("noise", 50.0)))
    found = add_confusable_hypotheses(
        heard, lambda texts: {each: fits[each] for each in texts if each in fits}
    )
    assert found.hypotheses[0] == heard.hypotheses[0]
    twins = [each for each in found.hypotheses[1:] if each.text != "noise"]
    assert all(each.log_likelihood == 100.0 for each in twins)
    return [each.text for each in twins]


def test_twins_by_a_figure_are_named_the_best_fitting_first() -> None:
    twins = with_another_figure(SAID)[:3]
    assert len(twins) == 3
    for order in permutations(twins):
        fits = {twin: 100.0 - k / 4 for k, twin in enumerate(order)}
        assert named({SAID: 100.0} | fits) == list(order)
    # Those that fit alike stay as they are.
    assert named({SAID: 100.0} | dict.fromkeys(twins, 99.0)) == list(twins)


@pytest.mark.parametrize(
    ("lead", "comes"),
    [(FIGURE_MARGIN - 0.5, True), (FIGURE_MARGIN, True), (FIGURE_MARGIN + 0.5, False)],
)
def test_a_twin_by_a_figure_comes_within_its_margin_and_no_further(
    lead: float, comes: bool
) -> None:
    twin = with_another_figure(SAID)[0]
    assert named({SAID: 100.0, twin: 100.0 - lead}) == [twin] * comes
    # Where the words themselves do not fit at all, the best twin is the measure.
    best, other = with_another_figure(SAID)[:2]
    assert named({best: 100.0, other: 100.0 - lead}) == ([best, other] if comes else [best])
    assert named({}) == []


@pytest.mark.parametrize("part", ["fourth", "fourths", "sixteenth", "sixteenths"])
@pytest.mark.parametrize("behind", ["", " stud", " two by six"])
def test_a_number_right_before_its_part_has_no_twin_whatever_comes_behind(
    part: str, behind: str
) -> None:
    for twins_of in (with_f_for_s, with_eighteen):
        assert twins_of(f"ten and fifteen {part}{behind}") == ()
        assert twins_of(f"fifteen {part}{behind}") == ()
        # The number before the fraction has one, and only that.
        found = twins_of(f"fifteen and three {part}{behind}")
        assert found
        assert all(each.endswith(f" and three {part}{behind}") for each in found)
        # A part further behind is none of its own.
        assert twins_of(f"fifteen stud {part}")


@pytest.mark.parametrize(
    ("number", "f_and_s", "eighteen"),
    [
        ("fifteen", {"sixteen"}, {"eighteen"}),
        ("sixteen", {"fifteen"}, {"eighteen"}),
        ("eighteen", set(), {"fifteen", "sixteen"}),
        ("fifty", {"sixty"}, set()),
        ("sixty", {"fifty"}, set()),
        ("seventeen", set(), set()),
        ("forty", set(), set()),
    ],
)
def test_each_number_has_its_twins_and_no_others(
    number: str, f_and_s: set[str], eighteen: set[str]
) -> None:
    for around in ("{}", "one {}", "{} and a half", "two at {} stud"):
        said = around.format(number)
        assert set(with_f_for_s(said)) == {around.format(each) for each in f_and_s}
        assert set(with_eighteen(said)) == {around.format(each) for each in eighteen}

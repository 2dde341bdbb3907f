"""The measure of doubt: its fit against a known law, its features, and how it is compared."""

from __future__ import annotations

import numpy as np
import pytest
from recipe.evaluation.doubt import MAX_LEAD, NAMES, Logistic, calibration, compare, features

from cutmemo.asr import Hypothesis, Recognition


def heard(*hypotheses: tuple[str, float]) -> Recognition:
    return Recognition(tuple(Hypothesis(*each) for each in hypotheses), 1.0, 3.0)


def named(recognition: Recognition, snr: float | None = 30.0) -> dict[str, float]:
    return dict(zip(NAMES, features(recognition, snr), strict=True))


def test_a_law_that_drew_the_calls_is_found_again() -> None:
    drawn = np.random.default_rng(7)
    rows = drawn.normal(size=(20_000, 2)) * (1, 4)
    truth = 1 / (1 + np.exp(-(-2 + rows @ [1.5, -0.25])))
    wrong = drawn.random(20_000) < truth
    measure = Logistic.fitted(rows, wrong)
    assert measure.bias == pytest.approx(-2, abs=0.15)
    assert measure.weights == pytest.approx((1.5, -0.25), abs=0.1)
    # Calibrated: of the calls in a bin about as many are wrong as the bin says.
    for low, high, calls, share in calibration(measure.probability(rows), wrong):
        slack = 3 / calls**0.5
        assert low - slack <= share <= high + slack


def test_leads_are_told_by_what_the_other_hypothesis_is() -> None:
    found = named(
        heard(("forty two", 9.0), ("fifty two", 7.5), ("forty two [unk]", 6.0), ("", 5.0))
    )
    assert found["lead over another meaning"] == 1.5
    assert found["lead over the filler word"] == 3.0
    assert found["lead over silence"] == 4.0
    assert found["other meanings"] == 1
    assert found["noise"] == 0
    assert found["words a second"] == 1.0


def test_other_words_for_the_same_cut_are_no_other_meaning() -> None:
    found = named(heard(("one hundred eight", 9.0), ("a hundred and eight", 9.0)))
    assert found["lead over another meaning"] == MAX_LEAD
    assert found["no other meaning named"] == 1
    assert found["other meanings"] == 0


def test_rules_and_measure_are_compared_at_the_same_share_of_questions() -> None:
    wrong = np.array([True, False, True, False, False])
    asked = np.array([True, True, False, False, False])
    found = compare(np.array([0.9, 0.1, 0.2, 0.3, 0.0]), wrong, asked)
    assert (found.asked, found.silent) == (2, 1)
    # The measure asks about the first and the fourth: the third stays silent; one question is enough.
    assert (found.silent_at_same_share, found.questions_needed) == (1, 1)
    better = compare(np.array([0.9, 0.1, 0.8, 0.3, 0.0]), wrong, asked)
    assert better.silent_at_same_share == 0


def test_a_penalty_keeps_the_weights_of_few_calls_small() -> None:
    rows, wrong = np.arange(10.0).reshape(-1, 1), np.arange(10) > 4
    weak, strong = (Logistic.fitted(rows, wrong, ridge).weights[0] for ridge in (0.5, 50.0))
    assert 0 < strong < 0.5 * weak < 2

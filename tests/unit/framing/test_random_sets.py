"""Random sets against checks of their own, which take nothing from framing but its results (tests/framed.py)."""

from __future__ import annotations

import math
import random
from fractions import Fraction as F

import framed
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutmemo.domain.length import to_tape
from cutmemo.domain.settings import Settings
from cutmemo.framing import MeasureError, WallSpec, calculate

SEEDS = st.randoms(use_true_random=False)


@settings(deadline=None)  # speed is measured in tests/bench only
@given(SEEDS)
def test_a_random_wall_has_no_fault(r: random.Random) -> None:
    spec = framed.any_wall(r)
    try:
        wall = calculate(spec, Settings())
    except MeasureError:
        return
    assert not list(framed.faults_of_wall(spec, wall))


@pytest.mark.parametrize("spacing", framed.SPACINGS, ids=lambda each: f"{float(each):g}")
def test_walls_of_many_lengths(spacing: F) -> None:
    """Every 97th of the sixteenths to 40 ft; tests/bench/framing.py takes them all."""
    for n in range(48, 480 * 16 + 1, 97):
        spec = WallSpec(F(n, 16), framed.HEIGHT, spacing)
        assert not list(framed.faults_of_wall(spec, calculate(spec, Settings())))


@settings(deadline=None)
@given(SEEDS)
def test_a_random_floor_has_no_fault(r: random.Random) -> None:
    spec = framed.any_floor(r)
    try:
        floor = calculate(spec, Settings())
    except MeasureError:
        return
    assert not list(framed.faults_of_floor(spec, floor))


@settings(deadline=None)
@given(SEEDS)
def test_a_random_flight_has_no_fault(r: random.Random) -> None:
    spec = framed.any_stairs(r)
    try:
        stairs = calculate(spec, Settings())
    except MeasureError:
        return
    assert not list(framed.faults_of_stairs(spec, stairs))


@settings(deadline=None)
@given(SEEDS)
def test_a_random_roof_lands_on_the_marks_nearest_to_its_points(r: random.Random) -> None:
    for what, found, truth in framed.any_roof(r):
        assert float(found) == pytest.approx(truth, abs=1e-5), what
        if abs(truth * 16 % 1 - 0.5) > 1e-4:  # a float cannot tell the middle between two marks
            assert float(to_tape(found)) == math.floor(truth * 16 + 0.5) / 16, what

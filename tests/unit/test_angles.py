"""Degrees on the saw against the tangent table; runs of commons and hips from NAVEDTRA 14044 (US Navy carpentry course)."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.angles import saw_degrees
from cutmemo.domain.cut import End


# atan(rise / 12) and atan(rise / 16.97) to a hundredth of a degree: 45, 30.26, 18.43; 35.26, 22.42.
@pytest.mark.parametrize(
    ("end", "mark", "exact"),
    [
        (End("plumb", rise=12), F(45), True),
        (End("plumb", rise=7), F(121, 4), False),
        (End("plumb", rise=4), F(37, 2), False),
        (End("hip", rise=12), F(141, 4), False),
        (End("hip", rise=7), F(45, 2), False),
        (End("seat", rise=12), F(45), True),
        (End("seat", rise=7), F(239, 4), False),
    ],
)
def test_a_rise_is_the_nearest_quarter_degree_and_told_whether_exact(
    end: End, mark: F, exact: bool
) -> None:
    assert saw_degrees(end) == (mark, exact)


@pytest.mark.parametrize("end", [End(), End("angled", miter=F(45, 2))])
def test_only_a_rise_is_turned_into_degrees(end: End) -> None:
    assert saw_degrees(end) is None

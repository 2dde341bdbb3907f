"""Numbers of flats in typed lines: no length is taken from them, and no length is taken for one.

The lines are of our own invention (common practice).
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.errors import NotACall, Refused
from cutmemo.language import CallList, Reading, read_typed


def readings(said: str) -> tuple[Reading, ...]:
    found = read_typed(said)
    assert not isinstance(found, CallList)
    return found


@pytest.mark.parametrize(
    ("said", "count", "inches", "place"),
    [
        ("26 104 5/8 2x4 studs unit 101", None, F(837, 8), "unit 101"),
        ("4 81 2x4 trimmer unit 101", 4, F(81), "unit 101"),
        ("2 53 2x4 header unit 101 closet", 2, F(53), "unit 101, closet"),
        ("24 104 5/8 2x4 stud party wall 101/102", 24, F(837, 8), "party wall 101/102"),
        ("4 14'-7 1/2\" 2x4 top plate party wall 101/102", 4, F(351, 2), "party wall 101/102"),
        ("10 104 5/8 2x6 stud u103", 10, F(837, 8), "U103"),
        ("2x4 stud 92-5/8 suite 210", 1, F(741, 8), "suite 210"),
    ],
)
def test_the_number_of_a_unit_is_its_own(
    said: str, count: int | None, inches: F, place: str
) -> None:
    (found,) = readings(said)
    cut = found.intent
    assert isinstance(cut, Cut)
    assert cut.length.inches == inches
    assert cut.place == place
    assert count is None or (cut.count == count and not found.doubts)


@pytest.mark.parametrize("said", ["unit 101", "unit 101-1/2 stud", "stud unit 101 1/2", "unit 36"])
def test_a_line_without_another_length_keeps_its_only_figure(said: str) -> None:
    try:
        found = readings(said)
    except (NotACall, Refused):
        return
    for each in found:
        assert isinstance(each.intent, Cut)
        assert each.intent.length.inches >= 36


def test_behind_a_wall_a_number_of_hundreds_may_be_a_length() -> None:
    found = read_typed("2x4 stud 92-5/8 wall 101")
    parts = [part.readings for part in found.parts] if isinstance(found, CallList) else [found]
    sure = len(parts) == 1 and len(parts[0]) == 1 and not parts[0][0].doubts
    assert not sure or isinstance(found, CallList)


def test_each_cut_of_a_line_has_the_unit_it_is_for() -> None:
    found = read_typed("4 81 2x4 trimmer unit 102, 4 104 5/8 2x4 king unit 102")
    assert isinstance(found, CallList)
    cuts = [part.readings[0].intent for part in found.parts]
    assert [(c.count, c.length.inches, c.place) for c in cuts if isinstance(c, Cut)] == [
        (4, F(81), "unit 102"),
        (4, F(837, 8), "unit 102"),
    ]


@pytest.mark.parametrize("said", ["stud unit 101", "4 studs unit 101"])
def test_the_only_figure_that_is_long_enough_is_the_length(said: str) -> None:
    for each in readings(said):
        assert isinstance(each.intent, Cut)
        assert each.intent.length.inches == 101

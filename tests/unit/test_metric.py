"""Metric crews: what a number without a unit is, and sizes of settings in millimetres.

25.4 mm to the inch exactly: NIST Special Publication 811, appendix B.
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.language import read

MM = F(10, 254)


def lengths(said: str, settings: Settings, by_voice: bool = False) -> list[F]:
    return [
        reading.intent.length.inches
        for reading in read(said, settings, by_voice)
        if isinstance(reading.intent, Cut)
    ]


@pytest.mark.parametrize("said", ["240", "4 @ 240", "240.5", "240 2x4 stud"])
def test_a_number_without_a_unit_asks_where_lengths_are_shown_in_millimetres(said: str) -> None:
    number = F("240.5") if "." in said else F(240)
    assert set(lengths(said, Settings(display="mm"))) == {number, number * MM}
    assert lengths(said, Settings()) == [number]


@pytest.mark.parametrize("said", ['240"', "240 mm", "92-5/8", "7' 8\""])
def test_a_unit_or_a_fraction_settles_it(said: str) -> None:
    assert len(read(said, Settings(display="mm"))) == 1


@pytest.mark.parametrize(
    ("said", "by_voice", "millimetres"),
    [
        ("2400", False, 2400),
        ("4 @ 2438", False, 2438),
        ("twenty four hundred", True, 2400),
        ("twenty four thirty eight", True, 2438),
        ("six hundred", True, 600),
        ("two eleven", True, 211),
    ],
)
def test_a_metric_crew_says_millimetres(said: str, by_voice: bool, millimetres: int) -> None:
    crew = Settings(figures="mm", display="mm")
    assert lengths(said, crew, by_voice) == [millimetres * MM]


@pytest.mark.parametrize(
    ("name", "text", "inches"),
    [("kerf", "3mm", 3 * MM), ("longest", "5400 mm", 5400 * MM), ("kerf", "1/8", F(1, 8))],
)
def test_a_setting_may_be_given_in_millimetres(name: str, text: str, inches: F) -> None:
    assert getattr(Settings().with_setting(name, text), name) == inches

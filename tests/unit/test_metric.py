"""Metric crews: what a number without a unit is, and sizes of settings in millimetres.

25.4 mm to the inch exactly: NIST Special Publication 811, appendix B.
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadBoards, BadSetting
from cutmemo.language import read
from cutmemo.present.racks import section_of

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
    ("said", "by_voice"),
    [
        ("45x95 2400", False),
        ("2400 45x95", False),
        ("45 x 95 @ 2400", False),
        ("forty five by ninety five two thousand four hundred", True),
    ],
)
def test_a_metric_crew_names_boards_by_the_millimetre(said: str, by_voice: bool) -> None:
    (reading,) = read(said, Settings(figures="mm", display="mm"), by_voice)
    assert isinstance(reading.intent, Cut)
    assert reading.intent.length.inches == 2400 * MM
    section = reading.intent.section
    assert section is not None
    assert (str(section), section.dressed()) == ("45x95", (45 * MM, 95 * MM))
    assert section.board_feet(F(96)) == 0


@pytest.mark.parametrize(
    ("text", "millimetres"), [("5400", 5400), ("3.2", F(16, 5)), ("5400 mm", 5400)]
)
def test_a_metric_crew_gives_its_settings_in_millimetres(text: str, millimetres: F) -> None:
    crew = Settings(figures="mm", display="mm")
    name = "kerf" if millimetres < 10 else "longest"
    changed = crew.with_setting(name, text)
    assert getattr(changed, name) == millimetres * MM
    assert changed.written(name) == f"{float(millimetres):g}mm"
    assert changed.with_setting(name, changed.written(name) or "") == changed


@pytest.mark.parametrize("text", ["20", "16", "8.5"])
def test_the_longest_board_asks_for_its_unit_where_feet_are_as_likely(text: str) -> None:
    """Lumber is called by feet (common practice): 20 in. would stop every call of the day."""
    with pytest.raises(BadSetting):
        Settings().with_setting("longest", text)
    assert Settings().with_setting("longest", f"{text}'").longest == 12 * F(text)
    assert Settings().with_setting("longest", f'{text}"').longest == F(text)
    assert Settings().with_setting("longest", "192").longest == 192


@pytest.mark.parametrize(
    ("name", "text", "inches"),
    [("kerf", "3mm", 3 * MM), ("longest", "5400 mm", 5400 * MM), ("kerf", "1/8", F(1, 8))],
)
def test_a_setting_may_be_given_in_millimetres(name: str, text: str, inches: F) -> None:
    assert getattr(Settings().with_setting(name, text), name) == inches


def test_a_rack_takes_a_size_in_millimetres() -> None:
    assert section_of("45x95") == Section(F(45), F(95), metric=True)
    assert section_of("2x6") == Section(F(2), F(6))
    with pytest.raises(BadBoards):
        section_of("45x950")


@pytest.mark.parametrize("space", ["\u2009", "\u202f", "\u00a0", "\u2007"])
def test_a_space_that_holds_a_number_together_parts_thousands(space: str) -> None:
    assert lengths(f"2{space}440 mm", Settings()) == [2440 * MM]
    assert lengths(f"12{space}200mm", Settings()) == [12200 * MM]


def test_a_plain_space_before_three_figures_asks() -> None:
    """2 440 mm may be two of 440 mm."""
    found = [
        (reading.intent.count, reading.intent.length.inches)
        for reading in read("2 440 mm")
        if isinstance(reading.intent, Cut)
    ]
    assert found == [(1, 2440 * MM), (2, 440 * MM)]

"""Settings of a crew: what each takes, what it refuses, and what turns it off; none changes another."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.settings import LENGTHS, SETTINGS, Settings
from cutmemo.errors import BadSetting

SIZES = (*LENGTHS, "miter", "bevel")
SHADED = Settings(shade=F(1, 32))
INCH = F(10, 254)
"""Inches in a millimetre: an inch is 25.4 mm exactly (NIST SP 811)."""


def refused(name: str, text: str, crew: Settings = SHADED) -> DoubtKind:
    with pytest.raises(BadSetting) as caught:
        crew.with_setting(name, text)
    return caught.value.reason.kind


@pytest.mark.parametrize("text", ["off", "none", ""])
def test_only_the_shade_and_the_site_are_turned_off(text: str) -> None:
    assert SHADED.with_setting("shade", text) == Settings()
    for name in SIZES:
        if name != "shade":
            assert refused(name, text) is DoubtKind.NO_SIZE, name
    named = Settings(site="House 4")
    off = named.with_setting("site", text)
    assert off.site == (None if text != "none" else "none")
    assert SHADED.with_stored("shade", None) == Settings()
    assert named.with_stored("site", None) == Settings()


@pytest.mark.parametrize("name", SIZES)
def test_nothing_and_less_are_no_sizes_but_of_a_kerf_and_a_trim(name: str) -> None:
    assert refused(name, "-1/8") is DoubtKind.NO_SIZE
    assert refused(name, "-1 ft") is DoubtKind.NO_AMOUNT
    if name in ("kerf", "trim"):
        assert getattr(SHADED.with_setting(name, "0"), name) == 0
    else:
        assert refused(name, '0"') is DoubtKind.NO_AMOUNT
    assert getattr(SHADED.with_setting(name, '1/64"'), name) == F(1, 64)
    assert getattr(SHADED.with_stored(name, "1000000"), name) == 1_000_000
    with pytest.raises(BadSetting):
        SHADED.with_stored(name, "1000000-1/64")


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1/8", F(1, 8)),
        ("14-1/2", F(29, 2)),
        ('14-1/2"', F(29, 2)),
        ("14-1/2 in", F(29, 2)),
        ("14.5", F(29, 2)),
        ("16'", F(192)),
        ("16 ft", F(192)),
        ("16 feet", F(192)),
        ("1 foot", F(12)),
        ("1.5'", F(18)),
        ("14-63/64", 15 - F(1, 64)),
        ("14-0/8", F(14)),
        ("3mm", 3 * INCH),
        ("3 mm", 3 * INCH),
        ("  20 ", F(20)),
    ],
)
def test_a_length_is_given_in_inches_feet_or_millimetres(text: str, inches: F) -> None:
    assert Settings().with_setting("leftover", text).leftover == inches


@pytest.mark.parametrize(
    "text",
    [
        "1/0",
        "1e3",
        "ten",
        "1/8/8",
        "14 1/2",
        "5 6'",
        "--1",
        "mm",
        "'",
        "1--2",
        "2--1",
        "14-3",
        "14-1",
        "14-8/8",
        "²",
    ],
)
def test_what_is_no_length_is_none(text: str) -> None:
    assert refused("leftover", text) is DoubtKind.NO_SIZE


def test_a_bare_longest_board_below_48_may_be_feet() -> None:
    for text in ("16", "24", "47", "47.9"):
        assert refused("longest", text) is DoubtKind.FEET_OR_INCHES
    for text, inches in (("48", 48), ("288", 288), ("16'", 192), ('47"', 47), ("47 in", 47)):
        assert Settings().with_setting("longest", text).longest == inches
    metric = Settings(figures="mm")
    assert metric.with_setting("longest", "4800").longest == 4800 * INCH
    assert metric.with_setting("longest", "47").longest == 47 * INCH
    for name in ("leftover", "shortest", "trim"):
        assert getattr(Settings().with_setting(name, "16"), name) == 16


def test_a_metric_crews_bare_figures_are_millimetres_and_angles_are_degrees() -> None:
    metric = Settings(figures="mm")
    for name, text in (("kerf", "3"), ("leftover", "300"), ("shade", "1"), ("shortest", "0.5")):
        assert getattr(metric.with_setting(name, text), name) == F(text) * INCH
    assert metric.with_setting("kerf", '1/8"').kerf == F(1, 8)
    assert metric.with_setting("miter", "45").miter == 45
    assert metric.with_setting("bevel", "30").bevel == 30


def test_each_setting_changes_nothing_else_and_travels() -> None:
    values = {
        "pairs": "feet",
        "bare": "eighths",
        "shade": "1/16",
        "fineness": "32",
        "display": "feet",
        "figures": "mm",
        "bare_boards": "feet",
        "kerf": "3/32",
        "trim": "1/4",
        "leftover": "24",
        "longest": "240",
        "shortest": "10",
        "miter": "47",
        "bevel": "40",
        "site": "House 4",
    }
    assert set(values) == set(SETTINGS)
    for name, text in values.items():
        crew = Settings().with_setting(name, text)
        changed = [each for each in SETTINGS if getattr(crew, each) != getattr(Settings(), each)]
        assert changed == [name]
        assert Settings.from_plain(crew.to_plain()) == crew
        written = crew.written(name)
        assert written is not None
        assert crew.with_setting(name, written) == crew
    for name in ("pairs", "bare", "fineness", "display", "figures", "bare_boards"):
        assert refused(name, "other") is DoubtKind.NO_SUCH_VALUE
    assert refused("colour", "red") is DoubtKind.NO_SUCH_SETTING
    assert Settings().with_setting("site", "  House \t 4 ").site == "House 4"


def test_lengths_are_written_in_millimetres_where_they_are_shown_so() -> None:
    metric = Settings(display="mm", kerf=3 * INCH, longest=F(288))
    assert metric.written("kerf") == "3mm"
    assert metric.written("longest") == "7315.2mm"
    assert metric.written("miter") == "50"
    assert metric.written("shade") is None
    assert Settings().written("kerf") == "1/8"
    assert Settings(shade=F(1, 32)).written("shade") == "1/32"
    assert Settings().written("site") is None


def test_what_a_call_is_read_under_is_one_line() -> None:
    assert Settings().shown() == "pairs ask · bare ask · tape 1/16 · kerf 1/8"
    feet = Settings(pairs="feet", bare="no", fineness=32, kerf=F(1, 16))
    assert feet.shown() == "pairs 6 2 = 6' 2\" · bare refuse · tape 1/32 · kerf 1/16"
    inches = Settings(pairs="inches", bare="sixteenths")
    assert inches.shown() == 'pairs 6 2 = 62" · bare sixteenths · tape 1/16 · kerf 1/8'

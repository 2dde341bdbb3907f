"""The picture of a set: narrow enough for a terminal, and its pieces where the list says that they stand."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    DeckSpec,
    FloorSpec,
    HeaderSpec,
    HipSlope,
    HipSpec,
    JackSpec,
    OpeningSpec,
    Pitch,
    RafterSpec,
    RakeSpec,
    Spec,
    StairSpec,
    WallSpec,
    calculate,
)
from cutmemo.present.assemblies import WIDTH, assembly_as_text, assembly_title, picture
from cutmemo.wording.cuts import describe

SETTINGS = Settings()
SEVEN = Pitch(F(7))
EVEN = HipSlope(SEVEN, SEVEN)
EVERY_SPEC = [
    RafterSpec(F(144), SEVEN, 22, length=F(480)),
    RafterSpec(F(144), Pitch(F(24))),
    RafterSpec(F(144), Pitch(F(1))),
    HipSpec(F(144), EVEN),
    HipSpec(F(144), EVEN, valley=True),
    JackSpec("hip", F(480), EVEN, F(16)),
    JackSpec("cripple", F(72), EVEN, F(16)),
    RakeSpec(F(288), SEVEN, gable=True),
    RakeSpec(F(144), SEVEN, F(96)),
    WallSpec(F(480), F(97)),
    FloorSpec(F(480), F(168), blocking=2),
    DeckSpec(F(480), F(168)),
    StairSpec(F(107)),
    StairSpec(F(20)),
]


def frame(spec: Spec) -> Assembly:
    return calculate(spec, SETTINGS)


@pytest.mark.parametrize("spec", EVERY_SPEC, ids=lambda spec: type(spec).__name__)
def test_every_picture_fits_a_terminal(spec: Spec) -> None:
    drawn = picture(frame(spec), SETTINGS).split("\n")
    assert 1 <= len(drawn) <= 24
    assert all(0 < len(line) <= 76 for line in drawn if line)


@pytest.mark.parametrize("spec", EVERY_SPEC, ids=lambda spec: type(spec).__name__)
def test_the_text_holds_the_cuts_the_facts_and_the_cautions(spec: Spec) -> None:
    found = frame(spec)
    text = assembly_as_text(found, lambda cut: describe(cut, SETTINGS), SETTINGS, ("Mind it.",))
    assert all(f"  {describe(cut, SETTINGS)}" in text for cut in found.cuts)
    assert "! Mind it." in text
    assert "! Arithmetic only" in text
    assert len(text.split("\n")) >= len(found.cuts) + len(found.facts) + len(found.cautions)
    assert assembly_title(found, SETTINGS)


@given(st.integers(24, 480), st.sampled_from([16, 24]))
def test_each_stud_is_drawn_where_it_stands(length: int, spacing: int) -> None:
    found = frame(WallSpec(F(length), F(97), F(spacing)))
    row = picture(found, SETTINGS).split("\n")[1]
    studs = [each for each in found.layout if each.upright]
    columns = {round((each.left + F(3, 4)) / length * (WIDTH - 1)) for each in studs}
    assert {n for n, sign in enumerate(row) if sign != " "} == columns


def test_an_opening_is_drawn_with_its_header_and_its_sill() -> None:
    header = HeaderSpec(Section(F(2), F(8)))
    window = OpeningSpec(F(36), F(82), F(60), header, F(36))
    drawn = picture(frame(WallSpec(F(144), F(97), openings=(window,))), SETTINGS).split("\n")
    (head,) = [line for line in drawn if "▀" in line]
    (sill,) = [line for line in drawn if "─" in line]
    assert drawn.index(head) < drawn.index(sill)
    left, right = round(F(60) / 144 * (WIDTH - 1)), round(F(96) / 144 * (WIDTH - 1))
    assert sill[left : right + 1].strip("─┃║") == ""
    empty = drawn[drawn.index(head) + 1]
    assert not empty[left + 1 : right].strip()

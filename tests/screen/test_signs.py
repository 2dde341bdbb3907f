"""Words in block signs, and angles for the saw."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutmemo.domain.angles import off_square, saw_degrees
from cutmemo.domain.cut import Cut, End
from cutmemo.domain.length import Length
from cutmemo.tui.widgets import signs
from cutmemo.wording.screens import both_ends, end_label

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
HALF = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}
QUARTERS = {sign: k for k, sign in enumerate(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")}


def read_wide(lines: list[str]) -> list[list[bool]]:
    """Return the dots that half blocks stand for, from the meaning of the signs in Unicode."""
    width = max(map(len, lines))
    rows: list[list[bool]] = []
    for line in lines:
        pairs = [HALF[sign] for sign in line.ljust(width)]
        rows += [[bool(upper) for upper, _ in pairs], [bool(lower) for _, lower in pairs]]
    return rows


def read_narrow(lines: list[str]) -> list[list[bool]]:
    width = max(map(len, lines))
    rows: list[list[bool]] = []
    for line in lines:
        for bits in ((1, 2), (4, 8)):
            rows.append([bool(QUARTERS[s] & bit) for s in line.ljust(width) for bit in bits])
    return rows


def trimmed(rows: list[list[bool]]) -> list[tuple[int, int]]:
    return [(y, x) for y, row in enumerate(rows) for x, dot in enumerate(row) if dot]


def test_no_two_signs_look_alike() -> None:
    drawings = {sign: tuple(signs.drawn(sign, 20)) for sign in LETTERS}
    assert len(set(drawings.values())) == len(LETTERS)


@given(st.text(alphabet=LETTERS + " '-/", min_size=1, max_size=40), st.integers(8, 90))
def test_wide_and_narrow_signs_are_the_same_dots_and_none_is_cut(text: str, width: int) -> None:
    if not text.strip():
        return
    wide, narrow = signs.drawn(text, width), signs.drawn(text, width, narrow=True)
    assert max(map(len, wide)) <= width
    assert max(map(len, narrow)) <= width
    assert len(wide) >= 2
    whole = sum(map(sum, signs.dots("".join(text.split()))))
    assert len(trimmed(read_wide(wide))) == whole
    assert len(trimmed(read_narrow(narrow))) == whole
    assert trimmed(read_narrow(signs.drawn(text, width, narrow=True))) == trimmed(
        read_wide(signs.drawn(text, 2 * width))
    )


def test_a_letter_without_a_sign_is_known() -> None:
    assert signs.can_draw("W3 north, king L é")
    assert not signs.can_draw("北")


# Degrees of the unit rise in 12, from the tangent table of any handbook: 18.43 at 4, 22.62 at 5,
# 26.57 at 6, 30.26 at 7, 33.69 at 8, 45 at 12 (from memory). The hip at 7 in 12 is the angle of 7 in 16.97:
# 22.4 (NAVEDTRA 14044 gives the 16.97).
@pytest.mark.parametrize(
    ("end", "degrees"),
    [
        (End("plumb", rise=4), 18.43),
        (End("plumb", rise=5), 22.62),
        (End("plumb", rise=6), 26.57),
        (End("plumb", rise=7), 30.26),
        (End("plumb", rise=8), 33.69),
        (End("plumb", rise=12), 45.0),
        (End("seat", rise=7), 90 - 30.26),
        (End("hip", rise=7), 22.42),
    ],
)
def test_the_angle_off_square(end: End, degrees: float) -> None:
    assert off_square(end) == pytest.approx(degrees, abs=0.006)


@pytest.mark.parametrize(
    ("end", "shown"),
    [
        (End("plumb", rise=7, point="long"), "plumb 7/12 LP ≈30-1/4°"),
        (End("plumb", rise=12, point="short"), "plumb 12/12 SP 45°"),
        (End("hip", rise=7, point="long"), "hip 7/12 LP ≈22-1/2°"),
        (End("seat", rise=7, point="long"), "seat 7/12 LP ≈59-3/4°"),
        (End("angled", miter=F(45, 2), point="long"), "22.5° miter LP"),
        (End(), "square"),
    ],
)
def test_an_end_names_its_degrees_for_the_saw(end: End, shown: str) -> None:
    assert end_label(end) == shown


def test_only_a_pitch_is_turned_into_degrees() -> None:
    assert saw_degrees(End("angled", miter=F(45, 2))) is None


def test_the_end_that_is_not_square_is_named() -> None:
    length, plumb = Length(F(60)), End("plumb", rise=12, point="long")
    assert both_ends(Cut(length)) == ""
    assert both_ends(Cut(length, ends=(End(), plumb))) == "right plumb 12/12 LP 45°"
    assert both_ends(Cut(length, ends=(plumb, plumb))) == "both ends plumb 12/12 LP 45°"

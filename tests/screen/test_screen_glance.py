"""What is read from afar: numerals, contrast, the two themes."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk
from shown import text

from cutmemo.domain.length import Length, format_length
from cutmemo.tui.app import MemoApp
from cutmemo.tui.themes import DARK, LIGHT, contrast
from cutmemo.tui.widgets.large_length import LargeLength
from cutmemo.tui.widgets.numerals import draw, in_blocks, largest


async def test_help_and_the_two_themes(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("h")
        await pilot.pause()
        assert app.screen.query("#help")
        await pilot.press("escape")
        await pilot.press("d")
        await pilot.pause()
        assert app.theme == LIGHT.name


@pytest.mark.parametrize("theme", [DARK, LIGHT])
def test_words_stand_at_7_to_1_or_more(theme: object) -> None:
    # WCAG 2.2, success criterion 1.4.6: 7:1.
    grounds = [theme.background, theme.surface, theme.panel]  # type: ignore[attr-defined]
    inks = [
        theme.foreground,
        theme.primary,
        theme.warning,
        theme.error,
        theme.success,
        theme.secondary,
    ]  # type: ignore[attr-defined]
    assert min(contrast(ink, ground) for ink in inks for ground in grounds) >= 7


def test_contrast_agrees_with_the_standard() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known 4.54:1 (from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("inches", [F(203, 2), F(5, 8), F(36), F(2881, 16), F(1, 3)])
@pytest.mark.parametrize(("width", "height"), [(48, 9), (76, 14), (200, 50), (10, 2)])
def test_numerals_fit_and_grow_with_the_room(inches: F, width: int, height: int) -> None:
    lines = largest(format_length(Length(inches)), width, height).split("\n")
    assert max(map(len, lines)) <= max(width, len(str(format_length(Length(inches)))))
    assert len(lines) <= height


def test_a_fraction_is_stacked_below_its_numerator() -> None:
    whole = in_blocks(draw(format_length(Length(F(36))), 2)).split("\n")
    stacked = in_blocks(draw(format_length(Length(F(293, 8))), 2)).split("\n")
    assert len(stacked) > len(whole)


@pytest.mark.parametrize("size", [(60, 18), (42, 30), (120, 40)])
async def test_the_numerals_of_the_memo_follow_the_size_at_once(
    session: Desk, size: tuple[int, int]
) -> None:
    session.call("4 @ 145-11/16")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.resize_terminal(*size)
        await pilot.pause()
        place = app.query_one(LargeLength).size
        shown = format_length(Length(F(145 * 16 + 11, 16)))
        assert text(app, "numerals") == largest(shown, place.width, place.height, "4×")

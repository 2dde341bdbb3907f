"""What the tests of the screens share."""

from __future__ import annotations

import html
import re
from collections.abc import Callable

import pytest

from cutmemo.tui.app import MemoApp

SIGN_WIDE, SIGN_HIGH = 12.2, 24.4
"""What one sign measures in a picture that Textual exports."""


def as_lines(svg: str) -> list[str]:
    """Return the signs of an exported picture, as they stand on the screen."""
    grid: dict[int, dict[int, str]] = {}
    for x, y, content in re.findall(
        r'<text class="[^"]*-r\d+" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]*)</text>', svg
    ):
        row, column = round(float(y) / SIGN_HIGH), round(float(x) / SIGN_WIDE)
        for k, sign in enumerate(html.unescape(content).replace("\xa0", " ")):
            grid.setdefault(row, {})[column + k] = sign
    lines = []
    for row in range(min(grid), max(grid) + 1):
        signs = grid.get(row, {})
        lines.append(
            "".join(signs.get(column, " ") for column in range(max(signs, default=-1) + 1)).rstrip()
        )
    while lines and not lines[-1]:
        lines.pop()
    return lines


@pytest.fixture
def signs_on() -> Callable[[MemoApp], list[str]]:
    """Read the signs off a screen, line by line."""
    return lambda app: as_lines(app.export_screenshot())

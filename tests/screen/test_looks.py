"""What the screens look like, sign by sign, at three sizes. CUTMEMO_LOOKS=write makes the files anew; read them before you commit."""

from __future__ import annotations

import html
import os
import re
from pathlib import Path

import pytest
from desk import Desk

from cutmemo.tui.app import MemoApp

HERE = Path(__file__).parent / "looks"
CALLS = (
    "6 @ 92-5/8 2x6 king stud for wall 3",
    "101-1/2",
    "36-1/4 strong",
    "2 @ 61-5/16 2x6 common rafter plumb 7/12 long point",
    "10 2x6 16 footers",
    "six two and a quarter",
)
SIGN_WIDE, SIGN_HIGH = 12.2, 24.4
"""What one sign measures in a picture that Textual exports."""


def as_lines(svg: str) -> str:
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
    return "\n".join(lines).rstrip() + "\n"


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (42, 30)], ids=["80x24", "120x40", "phone"])
@pytest.mark.parametrize(
    "name, keys",
    [
        ("memo", ""),
        ("answered", "2"),
        ("saw", "s"),
        ("angled", "skkk"),
        ("trouble", "sct"),
        ("handoff", "e"),
        ("help", "h"),
    ],
)
async def test_a_screen_looks_as_it_did(
    session: Desk, size: tuple[int, int], name: str, keys: str
) -> None:
    for said in CALLS:
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await app.workers.wait_for_complete()
        app.set_read_back(False)
        await pilot.press(*keys)
        for _ in range(3):
            await app.workers.wait_for_complete()
            await pilot.pause()
        looks = as_lines(app.export_screenshot())
    file = HERE / f"{name}_{size[0]}x{size[1]}.txt"
    if os.environ.get("CUTMEMO_LOOKS") == "write":
        file.parent.mkdir(exist_ok=True)
        file.write_text(looks, encoding="utf-8")
    assert looks == file.read_text("utf-8"), f"{file.name} looks otherwise now"

"""What the screens look like, sign by sign, at three sizes. CUTMEMO_LOOKS=write makes the files anew; read them before you commit."""

from __future__ import annotations

import os
from collections.abc import Callable
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
    session: Desk,
    signs_on: Callable[[MemoApp], list[str]],
    size: tuple[int, int],
    name: str,
    keys: str,
) -> None:
    for said in CALLS:
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await app.workers.wait_for_complete()
        app.sound.set_read_back(False)
        await pilot.press(*keys)
        for _ in range(3):
            await app.workers.wait_for_complete()
            await pilot.pause()
        looks = "\n".join(signs_on(app)) + "\n"
    file = HERE / f"{name}_{size[0]}x{size[1]}.txt"
    if os.environ.get("CUTMEMO_LOOKS") == "write":
        file.parent.mkdir(exist_ok=True)
        file.write_text(looks, encoding="utf-8")
    assert looks == file.read_text("utf-8"), f"{file.name} looks otherwise now"

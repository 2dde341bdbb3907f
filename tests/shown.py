"""What a screen shows, for the tests of the screens."""

from __future__ import annotations

from textual.widgets import Input

from cutmemo.tui.app import MemoApp
from cutmemo.tui.widgets.key_bar import KeyBar
from cutmemo.tui.widgets.saw_sheet import SawSheet

SIZES = [(80, 24), (120, 40)]


def text(app: MemoApp, name: str) -> str:
    """Return what stands in one part of the screen that is up."""
    found = app.screen.query(f"#{name}").first()
    if isinstance(found, KeyBar):
        return "\n".join(spot.text for spot in found.spots(found.size.width))
    return str(found.content)  # type: ignore[attr-defined]


def at_saw(app: MemoApp, name: str) -> str:
    """Return one part of the sheet at the saw, as it is laid out."""
    parts = app.screen.query_one(SawSheet).parts()
    return "\n".join(line for part in parts if part.name.startswith(name) for line in part.lines)


async def type_call(pilot: object, words: str) -> None:
    await pilot.press("t")  # type: ignore[attr-defined]
    pilot.app.query_one(Input).value = words  # type: ignore[attr-defined]
    await pilot.press("enter", "escape")  # type: ignore[attr-defined]
    await pilot.pause()  # type: ignore[attr-defined]


async def laid(app: MemoApp, pilot: object) -> str:
    """Return the view by board once it is laid."""
    await app.workers.wait_for_complete()
    await pilot.pause()  # type: ignore[attr-defined]
    return text(app, "plan")

"""The screen copies the memo while it is open."""

from __future__ import annotations

from pathlib import Path

from desk import Desk

from cutmemo.memo import copies
from cutmemo.tui.app import MemoApp


async def test_a_screen_that_is_open_keeps_a_copy(session: Desk, tmp_path: Path) -> None:
    session.call("36-1/2")
    app = MemoApp(session)
    async with app.run_test() as pilot:
        app._keep_copy()
        await app.workers.wait_for_complete()
        await pilot.pause()
        (copy,) = copies.copies_of(tmp_path / "porch.cutmemo")
        assert len(copies.rows_of(copy)) == 1

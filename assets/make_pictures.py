"""Makes the pictures of README from the real screen on a porch job of our own: python assets/make_pictures.py

Writes screen.svg, question.svg, saw.svg, sun.svg and boards.svg beside itself.
"""

from __future__ import annotations

import asyncio
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cutmemo.journal import open_journal
from cutmemo.screen.app import MemoApp
from cutmemo.session import Session

HERE = Path(__file__).resolve().parent
CALLS = (
    "6 @ 92-5/8 2x6 king stud for wall 3", "4 @ 14-5/8 2x6 header", "101-1/2", "102-1/8 2x4", "36-1/4 strong",
    "2 @ 61-5/16 common rafter plumb 7/12 long point", "8' 2-3/16\" 2x8 joist", "12 @ 22-1/2 block",
)  # fmt: skip


class Clock:
    """A clock that goes on by a minute whenever it is read."""

    def __init__(self) -> None:
        self.time = datetime(2026, 5, 4, 7, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.time += timedelta(minutes=1)
        return self.time


async def pictures(session: Session) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(96, 30)) as pilot:
        await pilot.pause()
        app.save_screenshot(str(HERE / "screen.svg"))
        app.do(lambda: session.call("six two and a quarter"))
        await pilot.pause()
        app.save_screenshot(str(HERE / "question.svg"))
        app.do(lambda: session.answer(2))
        await pilot.press("s")
        await pilot.pause()
        await pilot.press("c")
        await pilot.pause()
        app.save_screenshot(str(HERE / "saw.svg"))
        await pilot.press("s", "d")
        await pilot.pause()
        app.save_screenshot(str(HERE / "sun.svg"))
        for said in ("2 2x6 16 footers", "4 2x8 12 footers"):
            session.call(said)
        await pilot.press("d", "p")
        await app.workers.wait_for_complete()
        await pilot.pause()
        app.save_screenshot(str(HERE / "boards.svg"))


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, open_journal(Path(folder) / "porch.cutmemo") as journal:
        session = Session(journal, "ladder", "ann", Clock())
        for said in CALLS:
            session.call(said)
        asyncio.run(pictures(session))


if __name__ == "__main__":
    main()

"""Makes the pictures and the recording of README from the real screen on a porch job of our own:
python assets/make_pictures.py

Writes screen.svg, question.svg, saw.svg, trouble.svg, sun.svg, boards.svg, wall.svg and handoff.svg
beside itself, and day.svg: a short recording that plays by itself wherever SVG is shown.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cutmemo.memo import open_store
from cutmemo.memo.commands import Say
from cutmemo.service import Memo, Station
from cutmemo.tui.app import MemoApp

HERE = Path(__file__).resolve().parent
CALLS = (
    "6 @ 92-5/8 2x6 king stud for wall 3",
    "4 @ 14-5/8 2x6 header",
    "101-1/2",
    "102-1/8 2x4",
    "36-1/4 strong",
    "2 @ 61-5/16 2x6 common rafter plumb 7/12 long point",
    "8' 2-3/16\" 2x8 joist",
    "12 @ 22-1/2 block",
)
WALL = "wall 12' high 97-1/8 window 36 wide 82 high sill 36 at 48 header 2x8"
FRAME_SECONDS = 1.6


class Clock:
    """A clock that goes on by a minute whenever it is read."""

    def __init__(self) -> None:
        self.time = datetime(2026, 5, 4, 7, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.time += timedelta(minutes=1)
        return self.time


BUTTONS = re.compile(r'<g transform="translate\(26,22\)">.*?</g>', re.S)
"""The buttons of a window, which Textual draws: the program has none."""


def screen_of(app: MemoApp) -> str:
    """Return what stands on the screen as SVG."""
    return BUTTONS.sub("", app.export_screenshot())


async def pictures(station: Station) -> None:
    app = MemoApp(station)
    async with app.run_test(size=(96, 30)) as pilot:

        async def settle() -> None:
            await app.workers.wait_for_complete()
            await pilot.pause()
            await pilot.pause()

        async def picture(name: str, *keys: str) -> None:
            await pilot.press(*keys)
            await settle()
            (HERE / f"{name}.svg").write_text(screen_of(app), encoding="utf-8")

        await picture("screen")
        app.stage.do(lambda: app.stage.memo.say("six two and a quarter"))
        await picture("question")
        app.stage.do(lambda: app.stage.memo.answer(2))
        station.execute(Say("2 2x6 16 footers"))
        await picture("saw", "s", "k", "k", "k", "k", "k", "c")
        await picture("trouble", "t")
        await picture("sun", "1", "s", "d")
        station.execute(Say("4 2x8 12 footers"))
        await picture("boards", "d", "p")
        await picture("handoff", "p", "e")
        await pilot.press("escape")
        app.stage.do(lambda: app.stage.memo.say(WALL))
        await picture("wall")


async def recording(station: Station) -> None:
    """Record calls, a question and its answer, and the way to the saw, one picture after the
    other.
    """
    app = MemoApp(station)
    frames: list[str] = []
    async with app.run_test(size=(80, 24)) as pilot:

        async def frame(*keys: str, said: str = "") -> None:
            if said:
                app.stage.do(lambda: app.stage.memo.say(said))
            await pilot.press(*keys)
            await app.workers.wait_for_complete()
            await pilot.pause()
            await pilot.pause()
            frames.append(screen_of(app))

        await frame()
        for said in ("one oh one and a half", "4 @ 14-5/8 2x6 header", "six two and a quarter"):
            await frame(said=said)
        await frame("2")
        await frame(said="2 @ 61-5/16 2x6 common rafter plumb 7/12 long point")
        await frame("s")
        for keys in (("c",), ("c",), ("c",), ("t",), ("1",), ("k",), ("c",), ("u",), ("s",)):
            await frame(*keys)
    (HERE / "day.svg").write_text(played(frames), encoding="utf-8")


def played(frames: list[str]) -> str:
    """Return pictures of one size as one SVG that shows them in turn, for ever."""
    parts, styles = [], []
    total = FRAME_SECONDS * len(frames)
    share = 100 / len(frames)
    for number, svg in enumerate(frames):
        name = re.search(r"terminal-\d+", svg)
        body = svg[svg.index(">", svg.index("<svg")) + 1 : svg.rindex("</svg>")]
        parts.append(
            f'<g class="f f{number}">{body.replace(name[0], f"t{number}") if name else body}</g>'
        )
        styles.append(f".f{number}{{animation-delay:{number * FRAME_SECONDS:.1f}s}}")
    head = frames[0][frames[0].index("<svg") : frames[0].index(">", frames[0].index("<svg")) + 1]
    style = (
        f".f{{visibility:hidden;animation:turn {total:.1f}s infinite step-end}}.f0{{visibility:visible}}"  # noqa: E501 - a sentence is not cut
        f"@keyframes turn{{0%{{visibility:visible}}{share:.4f}%{{visibility:hidden}}}}{''.join(styles)}"  # noqa: E501 - a sentence is not cut
    )
    return f"{head}<style>{style}</style>{''.join(parts)}</svg>\n"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        with open_store(Path(folder) / "porch.cutmemo") as journal:
            station = Station(Memo(journal), "ladder", "ann", Clock())
            for said in CALLS:
                station.execute(Say(said))
            asyncio.run(pictures(station))
        with open_store(Path(folder) / "day.cutmemo") as journal:
            asyncio.run(recording(Station(Memo(journal), "ladder", "ann", Clock())))


if __name__ == "__main__":
    main()

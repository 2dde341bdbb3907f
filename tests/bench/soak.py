"""Uses the program for long, and watches what it holds: python tests/bench/soak.py [ACTS] [HOURS]

ACTS random keys and typed calls (20,000 where nothing is said) on the real screen, then HOURS of
sound (8) heard as fast as it can be decoded: the recordings that came with the program, each
between seconds of quiet. Ten times on the way it prints the memory of this process (resident,
after a garbage collection), what of it Python knows of, open descriptors and threads. Memory that
is level once the memo is as large as it gets, and descriptors that are level throughout, are the
goal. Run by hand and reported.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import itertools
import random
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from desk import Desk
from textual.widgets import Input

from cutmemo.asr import Recogniser, Recognition, load_model, phrases_for
from cutmemo.audio.chunk import CHUNK_SAMPLES, SoundChunk
from cutmemo.audio.recording import recording
from cutmemo.bundle import bundled
from cutmemo.errors import CutmemoError
from cutmemo.memo import Projection, open_store
from cutmemo.tui.app import MemoApp
from cutmemo.tui.screens.memo import MemoScreen

KEYS = (*"cccccCuuurxbosspphheedw12", "escape", "escape", "up", "down", "enter", "pagedown")
"""Keys of the memo, the saw and the boards; not those that open the microphone or leave."""
QUIET_SECONDS = 3


def held(what: str, begun: float) -> None:
    """Print what this process holds."""
    gc.collect()
    status = dict(line.split(":", 1) for line in Path("/proc/self/status").read_text().splitlines())
    megabytes = int(status["VmRSS"].split()[0]) / 1024
    files = len(list(Path("/proc/self/fd").iterdir()))
    print(
        f"{what:44} {time.monotonic() - begun:7.0f} s {megabytes:7.1f} MB"
        f" {len(gc.get_objects()):9,} objects {files:3} descriptors {threading.active_count():3} threads",
        flush=True,
    )


async def screen(folder: Path, acts: int) -> None:
    """Press keys and type calls; start a new memo's worth of rows whenever 60 are open."""
    chance, begun = random.Random(5), time.monotonic()
    with open_store(folder / "soak.cutmemo") as store:
        desk = Desk(store, "saw", "ann")
        app = MemoApp(desk)
        async with app.run_test(size=(100, 30)) as pilot:
            for number in range(acts + 1):
                if number % max(acts // 10, 1) == 0:
                    rows, entries = len(desk.state.rows), len(desk.log)
                    held(f"{number:6} acts, {rows:5} rows, {entries:6} entries", begun)
                if chance.random() < 0.1 and isinstance(app.screen, MemoScreen):
                    many = len(desk.state.open_rows()) > 60
                    call = f"{chance.randint(1, 3)} @ {chance.randint(14, 110)}-1/2 2x4"
                    await pilot.press("t")
                    app.screen.query_one(Input).value = "scratch that" if many else call
                    await pilot.press("enter", "escape")
                else:
                    await pilot.press(chance.choice(KEYS))
        assert Projection(store.events()).state == desk.state


def sound(hours: float, begun: float) -> Iterator[SoundChunk]:
    """Yield *hours* of the recordings with quiet between them."""
    files = [list(recording(file)) for file in sorted(bundled("demo").glob("*.wav"))]
    quiet = SoundChunk(bytes(2 * CHUNK_SAMPLES))
    silence = [quiet] * max(int(QUIET_SECONDS / quiet.seconds), 1)
    done, step, due = 0.0, hours * 360, 0.0
    for chunk in itertools.chain.from_iterable(
        [*file, *silence] for file in itertools.cycle(files)
    ):
        if done >= due:
            held(f"{done / 3600:6.2f} h of sound", begun)
            due += step
        if done >= hours * 3600:
            return
        done += chunk.seconds
        yield chunk


def listening(folder: Path, hours: float) -> None:
    """Hear *hours* of sound, and take what it calls into a memo that is cleared again and again."""
    begun = time.monotonic()
    recogniser = Recogniser(load_model(bundled("model")), phrases_for(bundled("model")))
    heard = 0
    with open_store(folder / "heard.cutmemo") as store:
        desk = Desk(store, "ladder", "ann")
        for each in recogniser.hear(sound(hours, begun)):
            if isinstance(each, Recognition):
                heard += 1
                with contextlib.suppress(CutmemoError):
                    desk.hear(each)
        print(f"{heard} utterances, {len(desk.state.rows)} rows")


def main(acts: int, hours: float) -> None:
    with tempfile.TemporaryDirectory() as folder:
        if acts:
            asyncio.run(screen(Path(folder), acts))
        if hours:
            listening(Path(folder), hours)


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 20_000,
        float(sys.argv[2]) if len(sys.argv) > 2 else 8.0,
    )

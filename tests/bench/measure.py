"""Measures what a person waits for, and how well the program hears, on this machine: python tests/bench/measure.py

Prints one line a figure with its goal; of hearing one line a kind of recording (tests/voice/bench).
Speed is never a test: this is run by hand and reported. ``hearing`` measures hearing alone: two minutes of CPU
with what the decoder answered last time, 25 ``--anew`` or with another model. ``--write`` makes the figures anew
that every run of the tests is held against, and what is kept of the decoder; ``--wrong`` names what stood wrong
in silence.
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import os
import statistics
import subprocess
import sys
import tempfile
import time
import wave
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import hearing_figures
from decodings import Decodings, fingerprint
from desk import Desk
from hearing_figures import DECODINGS

from cutmemo.asr import Recogniser, load_model, phrases_for
from cutmemo.audio.recording import recording
from cutmemo.bundle import bundled
from cutmemo.errors import CutmemoError
from cutmemo.language import read, sampler
from cutmemo.memo import Projection, open_store


def seconds(action: Callable[[], object]) -> float:
    begun = time.perf_counter()
    action()
    return time.perf_counter() - begun


def told(what: str, value: float, goal: float, unit: str = "s") -> None:
    print(f"{what:58} {value:8.3f} {unit:3} goal {goal} {'' if value < goal else '  MISSED'}")


def start(folder: Path) -> None:
    command = [sys.executable, "-m", "cutmemo", "--memo", str(folder / "s.cutmemo"), "say", "36"]
    told(
        "cold start of a text verb, median of 9",
        statistics.median(
            seconds(lambda: subprocess.run(command, capture_output=True, check=False))
            for _ in range(9)
        ),
        0.35,
    )


def parsing() -> None:
    times = []
    read("24 mm")
    for phrase in itertools.islice(sampler.phrases(3), 2000):

        def one(words: str = phrase) -> None:
            try:
                read(words, by_voice=True)
            except CutmemoError:
                return

        times.append(seconds(one) * 1000)
    told("a call parsed, median of 2,000", statistics.median(times), 2, "ms")
    told("a call parsed, 99th of 100", statistics.quantiles(times, n=100)[98], 20, "ms")


def replay(folder: Path) -> None:
    with open_store(folder / "r.cutmemo") as journal:
        session = Desk(journal, "s", "w")
        for n in range(5000):
            row = session.call(f"{n % 200 + 20}-1/2 for wall {n}").row
            if row is not None and row.state == "open":
                session.clear(row.id)
            elif row is not None:
                session.answer(1, row.id)
        count = len(journal.events())
        took = seconds(lambda: Projection(journal.events()))
    told(f"{count:,} events replayed", took, 0.5)


def hearing() -> None:
    load = seconds(lambda: load_model(bundled("model")))
    told("the model loaded", load, 0.5)
    model = load_model(bundled("model"))
    length = took = 0.0
    for file in sorted(bundled("demo").glob("*.wav")):
        with wave.open(str(file)) as sound:
            length += sound.getnframes() / sound.getframerate()
        recogniser = Recogniser(model, phrases_for(bundled("model")))
        took += seconds(lambda r=recogniser, f=file: list(r.hear(recording(f))))
    told("a recording decoded, share of its length, one core", took / length, 0.1, "")


async def keys(folder: Path) -> None:
    from textual.widgets import DataTable

    from cutmemo.tui.app import MemoApp

    with open_store(folder / "k.cutmemo") as journal:
        session = Desk(journal, "s", "w")
        for n in range(1000):
            session.call(f"{n % 250 + 20}-1/2 for wall {n}")
        for row in session.state.of_state("doubtful"):
            session.answer(1, row.id)
        begun = time.perf_counter()
        app = MemoApp(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await pilot.pause()
            told("the screen is up with 1,000 open rows", time.perf_counter() - begun, 1.5)
            times = []
            for _ in range(40):
                painted = asyncio.Event()
                begun = time.perf_counter()
                # Not pilot.press: it waits for some time of its own after every key.
                rows = app.query_one(DataTable).row_count
                app.simulate_key("c")
                while app.query_one(DataTable).row_count == rows:
                    await asyncio.sleep(0)
                app.call_after_refresh(painted.set)
                await painted.wait()
                times.append((time.perf_counter() - begun) * 1000)
                await pilot.pause()
            assert len(session.state.open_rows()) < 1000
            told(
                "a key shows with 1,000 open rows, 95th of 100",
                statistics.quantiles(times, n=20)[18],
                100,
                "ms",
            )


def bench(model: Path, write: bool, wrong: bool, anew: bool, processes: int) -> None:
    """Print how well *model* hears the bench."""
    kept = Decodings(fingerprint(model)) if anew else Decodings.of(DECODINGS, model)
    found = [*hearing_figures.measured(model, hearing_figures.streams(), processes, decodings=kept)]
    figures = hearing_figures.counted(iter(found))
    print("\n".join(hearing_figures.told(figures)))
    if wrong:
        for kind, stream, outcome in found:
            if outcome.what == "wrong":
                print(kind, "|", stream.name, "|", *outcome.rows, "|", *outcome.heard)
    if write:
        letters = "".join(hearing_figures.LETTERS[outcome.what] for _, _, outcome in found)
        hearing_figures.keep(figures, letters)
        kept.write(DECODINGS)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("what", nargs="?", choices=["all", "hearing"], default="all")
    options.add_argument("--model", type=Path, default=bundled("model"))
    options.add_argument("--write", action="store_true")
    options.add_argument("--wrong", action="store_true")
    options.add_argument("--anew", action="store_true", help="decode what is kept as well")
    options.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    given = options.parse_args()
    if given.what == "all":
        waiting()
    bench(given.model, given.write, given.wrong, given.anew, given.processes)


def waiting() -> None:
    """Print what a person waits for."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        start(folder)
        parsing()
        hearing()
        replay(folder)
        asyncio.run(keys(folder))


if __name__ == "__main__":
    main()

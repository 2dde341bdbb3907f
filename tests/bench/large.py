"""Measures a memo of 10,000 rows, in CPU time of this process: python tests/bench/large.py

Prints the median of each act with its goal, and how long an import of 20,000 rows takes. Speed is
never a test: this is run by hand and reported.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from desk import Desk

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.memo import Draft, Event, open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.events import CutAdded
from cutmemo.service import open_memo

ROWS = 10_000
PIECES = ("stud", "header", "block", None, "joist", "sill", "cripple", None)


def cuts(rows: int) -> Iterator[CutAdded]:
    """Yield as many calls as a crew makes in a year: a few sections and pieces, many lengths."""
    for number in range(rows):
        section = Section(Fraction(2), Fraction(4 + 2 * (number % 3)))
        piece, place = PIECES[number % len(PIECES)], f"W{number % 50}"
        cut = Cut(Length(Fraction(200 + number % 1500, 16)), 1 + number % 4, None, section, piece)
        yield CutAdded(row=f"row{number:029}", cut=cut, said=f"call {number} for {place}")


def write(path: Path, rows: int) -> None:
    """Write *rows* rows to a memo at *path*, each built on the one before."""

    def drafts(_seen: list[Event]) -> tuple[tuple[str, ...], list[Draft]]:
        return (), [Draft(cut) for cut in cuts(rows)]

    with open_store(path) as store:
        store.record(0, "2026-05-04T07:30:00+00:00", "yard", "cal", drafts)


def cpu(act: Callable[[], object]) -> float:
    """Return the CPU time of *act*, in milliseconds."""
    begun = time.process_time()
    act()
    return (time.process_time() - begun) * 1000


def told(what: str, times: list[float], goal: float) -> None:
    """Print the median and the longest of *times*."""
    median = statistics.median(times)
    print(
        f"{what:34} median {median:8.1f} ms, most {max(times):8.1f} ms, goal {goal:6.0f}"
        f"{'' if median < goal else '   MISSED'}"
    )


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.cutmemo"
        write(path, ROWS)
        opening = []
        for _ in range(5):
            with open_store(path) as store:
                opening.append(cpu(lambda store=store: open_memo(store)))
        told("opening", opening, 500)
        with open_store(path) as store:
            desk = Desk(store)
            desk.memo = open_memo(store)
            calls = [f"{20 + 3 * n}-1/2 2x4 {'stud' if n % 2 else ''}" for n in range(15)]
            told("a call", [cpu(lambda said=said: desk.call(said)) for said in calls], 20)
            told("a clear", [cpu(desk.clear) for _ in range(9)], 20)
            told("an undo", [cpu(desk.undo) for _ in range(9)], 20)
            told("a redo", [cpu(desk.redo) for _ in range(9)], 20)
            told("undo of calls", [cpu(desk.undo) for _ in range(20)], 20)
            told("the sums", [cpu(desk.totals)], 200)
            told("the order", [cpu(desk.set_order) for _ in range(3)], 100)
            told("the hand-off", [cpu(desk.handoff)], 1000)
        many = Path(folder) / "many.cutmemo"
        write(many, 2 * ROWS)
        with open_store(many) as store:
            lines = [to_line(event) for event in store.events()]
        with open_store(Path(folder) / "new.cutmemo") as store:
            told("import of 20,000 rows", [cpu(lambda: Desk(store).take_in(lines))], 5000)
        one = ", ".join(f"{20 + n % 70}-{n % 8 * 2 + 1}/16" for n in range(40))
        with open_store(Path(folder) / "one.cutmemo") as store:
            told("40 cuts on one line", [cpu(lambda: Desk(store).call(one))], 1000)


if __name__ == "__main__":
    main()

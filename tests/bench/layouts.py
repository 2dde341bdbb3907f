"""Measures the layout, by hand: python tests/bench/layouts.py [INSTANCES.jsonl …]

Without files: jobs of 20 to 1,000 cuts in three styles (studs and blocks, all lengths, few
lengths many times), board lengths 8 to 16 ft, kerf 1/8, lengths in sixteenths. With files:
instances of one JSON object a line, either stocks [[length, cost, available]] and items
[[length, quantity]] with the kerf counted, or boards and pieces with a kerf; opt is the
proven optimum. Times are CPU seconds, with HiGHS loaded before.
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections import Counter
from pathlib import Path

import highspy  # noqa: F401 - loaded before the clock starts

from cutmemo.planning.checker import faults
from cutmemo.planning.problem import Item, Problem, Solution, StockType
from cutmemo.planning.solver import solve

KERF = 2
"""Of 1/16 in."""


def made_up(cuts: int, style: int, seed: int) -> Problem:
    r = random.Random(seed)
    if style == 0:
        lengths = [
            r.choice(
                [
                    92 * 16 + 10,
                    14 * 16 + 8,
                    22 * 16 + 8,
                    r.randrange(20, 80) * 16,
                    r.randrange(300, 1400),
                ]
            )
            for _ in range(cuts)
        ]
    elif style == 1:
        lengths = [r.randrange(12 * 16, 140 * 16) for _ in range(cuts)]
    else:
        few = [r.randrange(12 * 16, 110 * 16) for _ in range(max(3, cuts // 12))]
        lengths = [r.choice(few) for _ in range(cuts)]
    demands = tuple(
        Item(length + KERF, count) for length, count in sorted(Counter(lengths).items())
    )
    return Problem(tuple(StockType(feet * 192 + KERF, feet * 12) for feet in (8, 10, 12, 14, 16)), demands)


def from_line(line: str) -> tuple[Problem, int]:
    plain = json.loads(line)
    if "stocks" in plain:
        kinds = tuple(
            StockType(int(length), int(cost), number) for length, cost, number in plain["stocks"]
        )
        return Problem(
            kinds, tuple(Item(int(length), count) for length, count in plain["items"])
        ), plain["opt"]
    kerf = plain["kerf"]
    kinds = tuple(StockType(length + kerf, cost, number) for length, cost, number in plain["boards"])
    return Problem(
        kinds, tuple(Item(length + kerf, count) for length, count in plain["pieces"])
    ), plain["opt"]


def timed(job: Problem) -> tuple[Solution, float]:
    begun = time.process_time()
    layout = solve(job)
    took = time.process_time() - begun
    if layout is None:
        raise SystemExit("no layout")
    if faults(job, layout.boards):
        raise SystemExit("the checker found faults")
    return layout, took


def told(name: str, layouts: list[tuple[Solution, float]]) -> str:
    times = sorted(took for _, took in layouts)
    gaps = [100 * (layout.cost / layout.cost_bound - 1) for layout, _ in layouts]
    cheapest = sum(layout.cost == layout.cost_bound for layout, _ in layouts)
    whole = sum(layout.proven for layout, _ in layouts)
    return (
        f"{name:28} least board proven {cheapest}/{len(layouts)}, fewest boards too {whole}/{len(layouts)}, "
        f"gap to the bound mean {sum(gaps) / len(gaps):.2f} max {max(gaps):.2f} %, "
        f"CPU s median {times[len(times) // 2]:.3f} p95 {times[int(0.95 * (len(times) - 1) + 0.5)]:.3f}"
    )


def main() -> None:
    if sys.argv[1:]:
        for name in sys.argv[1:]:
            found = [
                (timed(job), opt)
                for job, opt in map(from_line, Path(name).read_text().splitlines())
            ]
            best = sum(layout.cost == opt for (layout, _), opt in found)
            print(
                f"{told(Path(name).stem, [each for each, _ in found])}, optimum reached {best}/{len(found)}"
            )
        return
    for cuts, seeds in ((20, 12), (60, 12), (200, 6), (500, 3), (1000, 2)):
        print(
            told(
                f"{cuts} cuts",
                [
                    timed(made_up(cuts, style, 100 * cuts + seed))
                    for style in range(3)
                    for seed in range(seeds)
                ],
            ),
            flush=True,
        )


if __name__ == "__main__":
    main()

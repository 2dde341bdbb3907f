"""Measures the layout, by hand: python tests/bench/layouts.py [PART …] [INSTANCES.jsonl …]

Parts: yard (jobs of 20 to 1,000 cuts in three styles, board lengths 8 to 16 ft without limit),
rack (whole jobs of three sections on a mixed rack, a fifth of the lots with a bad part, left-
overs),
miters (braces, blocks and jacks with slanted ends), day (cuts, calls between cuts, a printed page:
what changes on boards that keep their plan, and what that costs). Without any, all of them. Files hold instances of one JSON object a
line, either stocks [[length, cost, available]] and items [[length, quantity]] with the kerf
counted, or boards and pieces with a kerf; opt is the proven optimum. All jobs are our own,
drawn by a seed: kerf 1/8, lengths in sixteenths. Times are CPU seconds, HiGHS loaded before.
"""

from __future__ import annotations

import itertools
import json
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable
from fractions import Fraction as F
from pathlib import Path

import highspy  # noqa: F401 - loaded before the clock starts

from cutmemo.domain.cut import SQUARE, Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.planning import (
    Lot,
    Rack,
    SectionPlan,
    Wanted,
    plan,
    printed,
    sawn_off,
    wanted_of,
    with_printed,
    with_released,
    with_sawn,
)
from cutmemo.planning.checker import faults
from cutmemo.planning.problem import Item, Problem, Solution, StockType
from cutmemo.planning.solver import solve

DAYS = 4
"""Jobs of a day of each size."""
KERF = 2
"""Of 1/16 in."""
FEET = (8, 10, 12, 14, 16)
CREW = Settings()
SECTIONS = tuple(Section(F(2), F(width)) for width in (4, 6, 8))


# --- the solver alone


def made_up(cuts: int, style: int, seed: int) -> Problem:
    """Return studs and blocks among others, all lengths, or few lengths many times."""
    r = random.Random(seed)
    if style == 0:
        usual = [92 * 16 + 10, 14 * 16 + 8, 22 * 16 + 8]
        lengths = [
            r.choice([*usual, r.randrange(20, 80) * 16, r.randrange(300, 1400)])
            for _ in range(cuts)
        ]
    elif style == 1:
        lengths = [r.randrange(12 * 16, 140 * 16) for _ in range(cuts)]
    else:
        few = [r.randrange(12 * 16, 110 * 16) for _ in range(max(3, cuts // 12))]
        lengths = [r.choice(few) for _ in range(cuts)]
    items = tuple(Item(length + KERF, n) for length, n in sorted(Counter(lengths).items()))
    return Problem(tuple(StockType(feet * 192 + KERF, feet * 12) for feet in FEET), items)


def from_line(line: str) -> tuple[Problem, int]:
    """Return the instance of one line, and its optimum."""
    plain = json.loads(line)
    if "stocks" in plain:
        stock = tuple(StockType(int(size), int(cost), n) for size, cost, n in plain["stocks"])
        return Problem(stock, tuple(Item(int(size), n) for size, n in plain["items"])), plain["opt"]
    kerf = plain["kerf"]
    stock = tuple(StockType(size + kerf, cost, n) for size, cost, n in plain["boards"])
    return Problem(stock, tuple(Item(size + kerf, n) for size, n in plain["pieces"])), plain["opt"]


def timed(job: Problem) -> tuple[Solution, float]:
    """Return the solution, checked, and its CPU seconds."""
    begun = time.process_time()
    found = solve(job)
    took = time.process_time() - begun
    if found is None:
        raise SystemExit("no layout")
    if faults(job, found.boards):
        raise SystemExit("the checker found faults")
    return found, took


def median_and_p95(times: Iterable[float]) -> str:
    """Return both in words."""
    ordered = sorted(times)
    p95 = ordered[int(0.95 * (len(ordered) - 1) + 0.5)]
    return f"CPU s median {ordered[len(ordered) // 2]:.3f} p95 {p95:.3f}"


def told(name: str, found: list[tuple[Solution, float]]) -> str:
    """Return one line about many solutions."""
    gaps = [100 * (each.cost / each.cost_bound - 1) for each, _ in found if each.cost_bound]
    cheapest = sum(each.cost_proven for each, _ in found)
    whole = sum(each.proven for each, _ in found)
    return (
        f"{name:28} least board proven {cheapest}/{len(found)}, fewest boards too {whole}/{len(found)}, "
        f"gap to the bound mean {sum(gaps) / len(gaps):.2f} max {max(gaps):.2f} %, "
        f"{median_and_p95(took for _, took in found)}"
    )


def yard() -> None:
    """Measure jobs on boards without limit."""
    for cuts, seeds in ((20, 12), (60, 12), (200, 6), (500, 3), (1000, 2)):
        jobs = [
            made_up(cuts, style, 100 * cuts + seed) for style in range(3) for seed in range(seeds)
        ]
        print(told(f"yard, {cuts} cuts", [timed(job) for job in jobs]), flush=True)


# --- whole jobs


def framing_length(r: random.Random) -> tuple[F, int]:
    """Return the length of a framing piece, and how many of it there are at once."""
    kind = r.choice(["stud", "block", "plate", "header", "rafter", "jack"])
    if kind == "stud":
        return F(741, 8), r.choice([2, 4, 6, 8])
    least, most = {
        "block": (12, 24),
        "plate": (60, 190),
        "header": (30, 80),
        "rafter": (90, 180),
        "jack": (20, 100),
    }[kind]
    return F(r.randrange(least * 16, most * 16), 16), r.choice([1, 1, 1, 2, 2, 3, 4, 6])


def racked(r: random.Random, section: Section, need: F, first: int) -> list[Lot]:
    """Return boards of 8 to 16 ft, together 0 to 1.5 of the *need*, a fifth of the lots with a bad part, and left-overs."""
    lots: list[Lot] = []
    share = F(r.randrange(0, 151), 100) * need / len(FEET)
    for feet in FEET:
        count = round(share / (12 * feet) * F(r.randrange(0, 201), 100))
        bad: tuple[tuple[F, F], ...] = ()
        if r.random() < 0.2:
            size = F(r.randrange(4 * 16, 24 * 16), 16)
            begin = F(r.randrange(0, int((12 * feet - size) * 16)), 16)
            bad = ((begin, begin + size),)
        if count:
            number = first + len(lots)
            lots.append(Lot(f"lot{number}", number, section, F(12 * feet), count, None, bad))
    for _ in range(r.randrange(5)):
        number = first + len(lots)
        inches = F(r.randrange(14 * 16, 100 * 16), 16)
        lots.append(Lot(f"lot{number}", number, section, inches, 1, leftover=True))
    return lots


def job_on_a_rack(cuts: int, seed: int) -> tuple[list[Wanted], list[Lot]]:
    """Return a job of three sections, and its rack."""
    r = random.Random(1000 * cuts + seed)
    parts = [r.uniform(0.5, 1.5) for _ in SECTIONS]
    wanted: list[Wanted] = []
    lots: list[Lot] = []
    for section, part in zip(SECTIONS, parts, strict=True):
        left, need = max(2, round(cuts * part / sum(parts))), F(0)
        while left:
            inches, count = framing_length(r)
            count = min(count, left)
            left -= count
            need += inches * count
            number = len(wanted) + 1
            wanted.append(Wanted(number, f"row{number}", inches, count, section))
        lots += racked(r, section, need, len(lots) + 1)
    return wanted, lots


def measured(name: str, jobs: Iterable[tuple[list[Wanted], list[Lot]]]) -> list[SectionPlan]:
    """Plan whole jobs, and print what was proven and how long it took."""
    times, made = [], []
    for wanted, lots in jobs:
        begun = time.process_time()
        made.append(plan(wanted, lots, CREW))
        times.append(time.process_time() - begun)
    sections = [each for plans in made for each in plans]
    least = sum(each.over == 0 for each in sections)
    best = sum(each.proven for each in sections)
    whole = sum(all(each.proven for each in plans) for plans in made)
    print(
        f"{name:28} sections: least board proven {least}/{len(sections)}, fewest boards too {best}/{len(sections)}; "
        f"whole jobs {whole}/{len(made)}; {median_and_p95(times)}",
        flush=True,
    )
    return sections


def rack() -> None:
    """Measure jobs on a mixed rack."""
    for cuts, seeds in ((20, 20), (60, 20), (200, 8), (500, 2)):
        measured(f"rack, {cuts} cuts", [job_on_a_rack(cuts, seed) for seed in range(seeds)])


def mitred(cuts: int, seed: int) -> list[Wanted]:
    """Return braces, blocks and jacks of one section with slanted ends, and some square ones."""
    r = random.Random(1000 * cuts + seed)
    miter = End("angled", miter=F(45), point="long")
    plumb = End("plumb", F(r.choice([4, 6, 8, 12])), point="long")
    out: list[Wanted] = []
    left = cuts
    while left:
        count = min(left, r.randrange(2, 9))
        left -= count
        ends = r.choice([(miter, miter), (plumb, SQUARE), (plumb, plumb), (SQUARE, SQUARE)])
        length = Length(F(r.randrange(16 * 16, 80 * 16), 16))
        cut = Cut(length, count, section=SECTIONS[1], ends=ends)
        out.append(wanted_of(len(out) + 1, f"row{len(out) + 1}", cut, count, CREW))
    return out


def miters() -> None:
    """Measure jobs with slanted ends, and what nesting saves."""
    for cuts, seeds in ((20, 12), (60, 8)):
        jobs = [mitred(cuts, seed) for seed in range(seeds)]
        nested = measured(f"miters, {cuts} cuts", [(job, []) for job in jobs])
        apart = [
            plan([Wanted(w.row, w.row_id, w.inches, w.count, w.section) for w in job], [], CREW)
            for job in jobs
        ]
        before = sum(float(each.laid_inches) for plans in apart for each in plans)
        now = sum(float(each.laid_inches) for each in nested)
        print(f"{'':28} nested {now / before - 1:+.1%} of the board that square ends would take")


# --- a day


def cut_down(  # noqa: C901 - a day as it goes
    cuts: int,
    seed: int,
    choose: Callable[[random.Random, SectionPlan], str],
    called_first: F = F(1),
    on_paper: bool = False,
    anew: bool = False,
) -> tuple[int, int, F, F, F]:
    """Cut a job piece by piece, *choose* naming the row; *called_first* of its rows are known at
    once, then one is called after every third cut. *on_paper*, what is known first is printed.
    *anew*, no board keeps its plan: after every cut everything is laid anew.

    Return cuts on a begun board, changes to one or to a printed one, inches used, planned at once,
    and planned at once by one who has to keep the page.
    """
    r = random.Random(seed)
    wanted, lots = job_on_a_rack(3 * cuts, seed)
    all_rows = {w.row_id: w for w in wanted if w.section == SECTIONS[0]}
    first = max(1, round(called_first * len(all_rows)))
    todo, later = dict(list(all_rows.items())[:first]), list(all_rows.items())[first:]
    store = Rack(tuple(lot for lot in lots if lot.section == SECTIONS[0]), len(lots))
    names = (f"id{k}" for k in itertools.count())
    at_once = plan(list(all_rows.values()), store.lots, CREW)[0]
    used, on_begun, changed, planned = F(0), 0, 0, at_once.laid_inches
    known, rests = {lot.id for lot in store.lots}, set[str]()
    if on_paper:
        page = plan(list(todo.values()), store.lots, CREW)
        store = with_printed(store, printed(page, store, "page", lambda: next(names)))
        at_once = plan(list(all_rows.values()), store.lots, CREW, kept=store.boards)[0]
    for number in itertools.count(1):
        if later and (number % 3 == 0 or not todo):
            todo.update([later.pop(0)])
        if not todo:
            break
        made = plan(list(todo.values()), store.lots, CREW, kept=store.boards)[0]
        row = choose(r, made)
        sawn = sawn_off(made, store, row, 1, lambda: next(names))
        before = {b.id: {(p.row_id, p.start) for p in b.pieces if not p.cut} for b in store.boards}
        begun = {each.board for each in store.boards if each.begun}
        if not sawn:  # off a board that has to be bought
            board = next(b for b in made.boards if any(p.row_id == row for p in b.pieces))
            number = store.given + 1
            fresh = Lot(f"bought{number}", number, made.section, board.inches, 1)
            store = Rack((*store.lots, fresh), number, store.prices, store.boards)
            known.add(fresh.id)
            continue
        for each in sawn:
            if each.board not in begun:
                # What is over of a board of the day was counted with that board.
                used += sum(
                    (s.inches for s in each.stretches if s.pieces and s.lot not in rests), F(0)
                )
            else:
                on_begun += 1
        store = with_sawn(store, sawn, CREW.shortest)
        if anew:
            for each in sawn:
                store = with_released(store, each.board, CREW.shortest)
        rests |= {lot.id for lot in store.lots} - known
        known |= rests
        one = todo[row]
        todo[row] = Wanted(one.row, row, one.inches, one.count - 1, one.section)
        todo = {name: each for name, each in todo.items() if each.count}
        after = plan(list(todo.values()), store.lots, CREW, kept=store.boards) if todo else []
        shown = {
            b.kept: {(p.row_id, p.start) for p in b.pieces} for each in after for b in each.boards
        }
        for name, pieces in before.items():
            gone = pieces - shown.get(name, set())
            changed += len(gone) > any(row_id == row for row_id, _ in gone)
    return on_begun, changed, used, planned, at_once.laid_inches


def day() -> None:
    """Measure whether a begun board keeps its plan, and what that costs."""

    def by_board(r: random.Random, made: SectionPlan) -> str:
        return made.boards[0].pieces[0].row_id

    def by_list(r: random.Random, made: SectionPlan) -> str:
        return min(
            (piece for board in made.boards for piece in board.pieces), key=lambda p: p.row
        ).row_id

    for name, choose, first, on_paper, anew in (
        ("board by board", by_board, F(1), False, False),
        ("in the list's order", by_list, F(1), False, False),
        ("called between cuts", by_board, F(1, 2), False, False),
        ("the same, all laid anew", by_board, F(1, 2), False, True),
        ("by a printed page", by_board, F(1, 2), True, False),
    ):
        found = [
            cut_down(cuts, seed, choose, first, on_paper, anew)
            for cuts in (20, 40)
            for seed in range(DAYS)
        ]
        used, planned, kept = (sum(float(each[k]) for each in found) for k in (2, 3, 4))
        print(
            f"{'day, ' + name:28} {sum(each[0] for each in found)} cuts on a begun board, "
            f"{sum(each[1] for each in found)} changed what is kept; "
            f"{used / planned - 1:+.2%} board beyond planning at once"
            + (f", {kept / planned - 1:+.2%} of it by keeping the page" if on_paper else ""),
            flush=True,
        )


PARTS = {"yard": yard, "rack": rack, "miters": miters, "day": day}


def main() -> None:
    """Run the parts and files that were named, or every part."""
    for name in sys.argv[1:] or PARTS:
        if name in PARTS:
            PARTS[name]()
            continue
        found = [
            (timed(job), opt) for job, opt in map(from_line, Path(name).read_text().splitlines())
        ]
        best = sum(each.cost == opt for (each, _), opt in found)
        line = told(Path(name).stem, [each for each, _ in found])
        print(f"{line}, optimum reached {best}/{len(found)}", flush=True)


if __name__ == "__main__":
    main()

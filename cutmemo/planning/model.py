"""One section's pieces and boards as a cutting-stock problem in whole numbers, always to the safe side."""  # noqa: E501 - one sentence

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor, lcm

from cutmemo.domain.settings import Settings
from cutmemo.planning.bounds import boards_bound, cost_bound
from cutmemo.planning.checker import faults
from cutmemo.planning.ends import MARK_PARTS, Family, Shape, family_of
from cutmemo.planning.exhaustive import best_of_all, is_small
from cutmemo.planning.greedy import SHORT_LIST, fit, quick
from cutmemo.planning.problem import (
    Boards,
    Effort,
    Item,
    PackedBoard,
    Problem,
    Solution,
    StockType,
)
from cutmemo.planning.solver import solve
from cutmemo.planning.stock import Source, costs
from cutmemo.planning.wanted import Wanted

MAX_SCALE = 192
"""Parts of an inch that lengths are counted in.

Enough for sixty-fourths and thirds. Finer ones are rounded up.
"""
FINE_SCALE, FEW_PIECES = 10_000, 12
"""Parts of an inch for no more than so many pieces: millimetres beside a kerf of 1/8 are exact."""
COARSE_SCALE = 64
"""What they are counted in then; and the least where slants are, which are rounded up, each piece."""  # noqa: E501 - one sentence
MAX_FAMILIES = 6
"""Slants that share cuts on the boards of one section.

Those with fewer pieces are laid as if they were square.
"""


@dataclass(frozen=True)
class Model:
    """A problem, and what its numbers stand for."""

    problem: Problem
    sources: tuple[Source, ...]
    """What each stock type is."""
    rows: tuple[tuple[Wanted, ...], ...]
    """For each item the rows that want it, in their order."""
    relaxed: Problem | None
    """The same with no piece taking more than any arrangement must give it, and no board less than
    it has: what bounds prove where slants are, or lengths that are rounded.

    ``None`` without any.
    """

    def fits_whole(self) -> list[int | None]:
        """Return for each stock type the item that is its very length."""
        square = {
            rows[0].inches: number for number, rows in enumerate(self.rows) if rows[0].shape is None
        }
        return [square.get(source.inches - source.trim) for source in self.sources]


def modelled(
    found: Sequence[Source], todo: Sequence[Wanted], by_price: bool, settings: Settings
) -> Model:
    """Return the problem of laying *todo* on the boards *found*."""
    scale = _scale(found, todo, settings)
    kerf = settings.kerf
    families = _families(todo)
    grouped: dict[tuple[Fraction, Shape | None], list[Wanted]] = {}
    for each in todo:
        grouped.setdefault((each.inches, each.shape), []).append(each)
    items = []
    for (inches, shape), rows in grouped.items():
        demand = sum(each.count for each in rows)
        kind = family_of(inches, shape)
        family = None if kind is None else families.get(kind)
        widest = kerf if shape is None else shape.widest_kerf(kerf)
        saving = shape.saving if shape is not None and family is not None else Fraction(0)
        rounding = Fraction(1, MARK_PARTS) if family is not None else Fraction(0)
        single = family is not None and shape is not None and len(shape.sharing) == 1
        size = ceil((inches - saving + widest + rounding) * scale)
        items.append(Item(size, demand, family, single))
    charges = tuple(ceil(_open_end(kind, todo) * scale) for kind in families)
    split = _split(found)
    stock = tuple(
        StockType(
            floor((source.inches - source.trim) * scale) + ceil(kerf * scale),
            cost,
            source.available,
            split.get(source.lot.id) if source.lot is not None else None,
        )
        for source, cost in zip(found, costs(found, by_price), strict=True)
    )
    exact = all(
        (each * scale).denominator == 1
        for each in (
            kerf,
            *(source.inches - source.trim for source in found),
            *(each.inches for each in todo),
        )
    )
    roomy = tuple(
        replace(each, capacity=ceil((source.inches - source.trim + kerf) * scale))
        for each, source in zip(stock, found, strict=True)
    )
    slanted = any(each.shape is not None for each in todo)
    demands = {key: sum(each.count for each in rows) for key, rows in grouped.items()}
    return Model(
        Problem(stock, tuple(items), charges),
        tuple(found),
        tuple(tuple(rows) for rows in grouped.values()),
        _relaxed(roomy, demands, kerf, scale) if slanted or not exact else None,
    )


def _relaxed(
    stock: tuple[StockType, ...],
    demands: Mapping[tuple[Fraction, Shape | None], int],
    kerf: Fraction,
    scale: int,
) -> Problem:
    """Return the problem in which no piece takes more than any arrangement must give it.

    Its mean length, and half the kerf of each of its ends: pieces and kerfs do not overlap
    anywhere over the section, so that their means add up to no more than the board. A cut beside
    a slanted end takes its kerf along the board, at the end of the board too. Where two ends
    face each other, at least half the difference of their runs is empty besides, and so for every
    step between two runs: half of it wherever one end is beyond the step and the other is not.
    The ends of a board and square ones have no run.
    """
    shapes = {shape for _, shape in demands if shape is not None}
    by_shape = {shape: [each.run(shape.section) for each in shape.ends] for shape in shapes}
    uneven = any(all(runs) and len(set(runs)) > 1 for runs in by_shape.values())
    short = any(shape and inches < max(by_shape[shape]) for inches, shape in demands)
    if uneven or short:  # ends of two families, or none that can be: only what two ends cost
        steps = [_entry(by_shape.values())]
        family_at = {run: 0 for runs in by_shape.values() if all(runs) for run in runs}
    else:
        falling = sorted({run for runs in by_shape.values() for run in runs if run}, reverse=True)
        steps = [run - below for run, below in pairwise((*falling, Fraction(0)))]
        family_at = {run: k for k, run in enumerate(falling)}
    charges = [max(floor((step - _ROUNDED) / 2 * scale), 0) for step in steps]
    items = []
    for (inches, shape), demand in demands.items():
        if shape is None:
            items.append(Item(max(floor((inches + kerf) * scale), 1), demand))
            continue
        runs = by_shape[shape]
        kerfs = (shape.kerf(kerf, 0) + shape.kerf(kerf, 1)) / 2
        size = floor((inches - sum(runs) / 2 + kerfs - _ROUNDED) * scale)
        single = not all(runs)
        family = None if (uneven or short) and single else family_at[max(runs)]
        single = single and family is not None
        # No piece is shorter than its one slant, so that one piece more never takes less.
        shortest = sum(charges[family:]) if single else 1
        items.append(Item(max(size, shortest, 1), demand, family, single))
    return Problem(stock, tuple(items), tuple(charges), nested=True)


_ROUNDED = Fraction(1, 10_000)
"""Slants are rounded up to a millionth: this covers what that makes of a run or a kerf."""


def _entry(pairs: Iterable[Sequence[Fraction]]) -> Fraction:
    """Return the least that pieces with two slanted ends take of every board they stand on, beyond their means.

    They lie between ends that are not theirs: the board's, square ones, and those of pieces with
    one slanted end. Between two ends at least half the difference of their runs is empty.
    """  # noqa: E501 - one sentence
    inner: list[Fraction] = []
    outer = [Fraction(0)]
    for runs in pairs:
        if all(runs):
            inner += runs
        else:
            outer += runs
    return min((abs(one - other) for one in inner for other in outer), default=Fraction(0))


def _split(found: Sequence[Source]) -> dict[str, int]:
    """Return the lots of which several stretches are among the sources, each with a number."""
    stretches = Counter(source.lot.id for source in found if source.lot is not None)
    return {lot: k for k, lot in enumerate(stretches) if stretches[lot] > 1}


def _scale(found: Sequence[Source], todo: Sequence[Wanted], settings: Settings) -> int:
    """Return the parts of an inch in which all square pieces and the boards are whole numbers, as far as that goes.

    Where they are too many, those in which the pieces are: a millimetre piece is then still as
    long as a millimetre board, and kerfs are rounded up, other boards down.
    """  # noqa: E501 - one sentence
    pieces = lcm(*(each.inches.denominator for each in todo if each.shape is None))
    boards = (source.inches - source.trim for source in found)
    scale = lcm(pieces, settings.kerf.denominator, *(each.denominator for each in boards))
    slanted = any(each.shape is not None for each in todo)
    few = not slanted and sum(each.count for each in todo) <= FEW_PIECES
    if scale > (FINE_SCALE if few else MAX_SCALE):
        scale = pieces * max(COARSE_SCALE // pieces, 1)
        scale = COARSE_SCALE if scale > MAX_SCALE else scale
    fine = lcm(scale, COARSE_SCALE)
    return fine if slanted and fine <= MAX_SCALE else scale


def _families(todo: Sequence[Wanted]) -> dict[Family, int]:
    """Return the families that are worth nesting, the most frequent ones, each with its number."""
    counts: Counter[Family] = Counter()
    for each in todo:
        family = family_of(each.inches, each.shape)
        if family is not None:
            counts[family] += each.count
    often = [family for family, count in counts.most_common(MAX_FAMILIES) if count > 1]
    return {family: number for number, family in enumerate(often)}


def _open_end(family: Family, todo: Sequence[Wanted]) -> Fraction:
    """Return the inches that an end of *family* takes where it meets none of its like."""
    return max(
        each.shape.saving / len(each.shape.sharing)
        for each in todo
        if each.shape is not None and family_of(each.inches, each.shape) == family
    )


def placeable(problem: Problem) -> tuple[list[int], Boards | None]:
    """Return how many of each item the boards can hold, and boards that hold them where the greedy ways found none.

    Only where boards run out are some left out: the longest ones then, so that as many pieces
    as can be are laid.
    """  # noqa: E501 - one sentence
    demands = [item.demand for item in problem.items]
    unlimited = max(
        (stock.capacity for stock in problem.stock if stock.available is None), default=0
    )
    scarce = [k for k in range(len(problem.items)) if problem.alone(k) > unlimited]
    if not scarce or _laid(problem) is not None:
        return demands, None
    limited = [k for k, stock in enumerate(problem.stock) if stock.available is not None]
    pieces = sorted(
        (k for k in scarce for _ in range(demands[k])), key=lambda k: (problem.alone(k), k)
    )

    def on_limited(most: int) -> Boards | None:
        counts = Counter(pieces[:most])
        part = Problem(
            tuple(problem.stock[k] for k in limited),
            tuple(replace(problem.items[k], demand=number) for k, number in counts.items()),
            problem.charges,
        )
        names = list(counts)
        laid = _laid(part) if counts else ()
        return (
            None
            if laid is None
            else tuple(
                PackedBoard(limited[each.stock], tuple(names[item] for item in each.items))
                for each in laid
            )
        )

    low, high = 0, len(pieces) - 1
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if on_limited(middle) is not None else (low, middle - 1)
    counts = Counter(pieces[:low])
    demands = [counts[k] if k in scarce else each for k, each in enumerate(demands)]
    usual = [k for k in range(len(problem.items)) if k not in scarce]
    endless = [k for k, stock in enumerate(problem.stock) if stock.available is None]
    rest: Boards | None = ()
    if usual:
        rest = fit(
            Problem(
                tuple(problem.stock[k] for k in endless),
                tuple(problem.items[k] for k in usual),
                problem.charges,
            )
        )
    bought = tuple(
        PackedBoard(endless[each.stock], tuple(usual[item] for item in each.items))
        for each in rest or ()
    )
    return demands, (*(on_limited(low) or ()), *bought)


def _laid(problem: Problem) -> Boards | None:
    """Return any boards that hold all pieces, or ``None`` where none were found."""
    if not problem.stock:
        return None
    found = quick(problem, 1 << 62)
    return best_of_all(problem) if found is None and is_small(problem) else found


def relaxed_bounds(relaxed: Problem, found: Solution, effort: Effort) -> tuple[int, int]:
    """Return a bound on the cost, and on the boards at that cost, that holds however slants are nested.

    *found* is a solution of the problem that was relaxed.
    """  # noqa: E501 - one sentence
    cost, boards = found.cost, found.number
    least = cost_bound(relaxed, cost)
    fewest = boards_bound(relaxed, least, boards) if least == cost else 0
    if least == cost and fewest == boards:
        return least, fewest
    if relaxed.charges and relaxed.pieces > SHORT_LIST and not effort.long_lists:
        return least, fewest
    known = None if faults(relaxed, found.boards) else found.boards
    solution = solve(relaxed, effort=effort, known=known)
    if solution is None:
        return least, fewest
    least = max(least, min(solution.cost_bound, cost))
    number = solution.boards_bound if solution.cost == solution.cost_bound == cost else 0
    return least, max(fewest, number)

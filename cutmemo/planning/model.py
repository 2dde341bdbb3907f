"""One section's pieces and boards as a cutting-stock problem in whole numbers, always to the safe side."""  # noqa: E501 - one sentence

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, lcm

from cutmemo.domain.settings import Settings
from cutmemo.planning.bounds import boards_bound, cost_bound
from cutmemo.planning.ends import MARK_PARTS, Shape
from cutmemo.planning.exhaustive import best_of_all, is_small
from cutmemo.planning.greedy import fit, quick
from cutmemo.planning.problem import Boards, Effort, Item, PackedBoard, Problem, StockType
from cutmemo.planning.solver import solve
from cutmemo.planning.stock import Source, costs
from cutmemo.planning.wanted import Wanted

MAX_SCALE = 192
"""Parts of an inch that lengths are counted in.

Enough for sixty-fourths and thirds. Finer ones are rounded up.
"""
COARSE_SCALE = 64
MAX_FAMILIES = 3
"""Shapes that are nested on the boards of one section.

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
    """The same with no piece taking more than any arrangement must give it: what bounds prove where
    slants are.

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
    items, flat = [], []
    for (inches, shape), rows in grouped.items():
        demand = sum(each.count for each in rows)
        family = families.get(shape) if shape is not None and _nests(inches, shape) else None
        widest = kerf if shape is None else shape.widest_kerf(kerf)
        saving = shape.saving if shape is not None and family is not None else Fraction(0)
        rounding = Fraction(1, MARK_PARTS) if family is not None else Fraction(0)
        items.append(Item(ceil((inches - saving + widest + rounding) * scale), demand, family))
        flat.append(_least(inches, shape, demand, kerf, scale))
    charges = tuple(ceil(shape.saving * scale) for shape in families)
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
    slanted = any(each.shape is not None for each in todo)
    shapes = {each.shape for each in todo if each.shape is not None}
    return Model(
        Problem(stock, tuple(items), charges),
        tuple(found),
        tuple(tuple(rows) for rows in grouped.values()),
        Problem(stock, tuple(flat), (floor(_entry(shapes) * scale),)) if slanted else None,
    )


def _least(inches: Fraction, shape: Shape | None, demand: int, kerf: Fraction, scale: int) -> Item:
    """Return the item of a piece with the least that it takes of a board, however pieces are laid.

    Its mean length, and half the kerf of each of its ends: pieces and kerfs do not overlap
    anywhere over the section, so that their means add up to no more than the board. A cut beside
    a slanted end takes its kerf along the board, at the end of the board too.
    """
    if shape is None:
        return Item(max(floor((inches + kerf) * scale), 1), demand)
    mean = inches - sum(each.run(shape.section) for each in shape.ends) / 2
    kerfs = (shape.kerf(kerf, 0) + shape.kerf(kerf, 1)) / 2
    family = 0 if all(not each.square for each in shape.ends) else None
    # Slants are rounded up to a millionth: a ten-thousandth covers what that makes of a kerf.
    return Item(max(floor((mean + kerfs - _ROUNDED) * scale), 1), demand, family)


_ROUNDED = Fraction(1, 10_000)


def _entry(shapes: Iterable[Shape]) -> Fraction:
    """Return the least that pieces with two slanted ends take of every board they stand on, beyond their means.

    They lie between ends that are not theirs: the board's, square ones, and those of pieces with
    one slanted end. Between two ends at least half the difference of their runs is empty.
    """  # noqa: E501 - one sentence
    inner, outer = [], [Fraction(0)]
    for shape in shapes:
        runs = [each.run(shape.section) for each in shape.ends]
        if all(runs):
            inner += runs
        else:
            outer += runs
    if not inner:
        return Fraction(0)
    return max(min(abs(one - other) for one in inner for other in outer) - _ROUNDED, Fraction(0))


def _split(found: Sequence[Source]) -> dict[str, int]:
    """Return the lots of which several stretches are among the sources, each with a number."""
    stretches = Counter(source.lot.id for source in found if source.lot is not None)
    return {lot: k for k, lot in enumerate(stretches) if stretches[lot] > 1}


def _scale(found: Sequence[Source], todo: Sequence[Wanted], settings: Settings) -> int:
    """Return the parts of an inch in which all square pieces and the boards are whole numbers, as far as that goes."""  # noqa: E501 - one sentence
    lengths = [
        settings.kerf,
        *(source.inches - source.trim for source in found),
        *(each.inches for each in todo if each.shape is None),
    ]
    scale = lcm(*(each.denominator for each in lengths))
    return COARSE_SCALE if scale > MAX_SCALE else scale if scale > 1 else 1


def _families(todo: Sequence[Wanted]) -> dict[Shape, int]:
    """Return the shapes that are worth nesting, the most frequent ones, each with its number."""
    counts: Counter[Shape] = Counter()
    for each in todo:
        if each.shape is not None and each.shape.saving and _nests(each.inches, each.shape):
            counts[each.shape] += each.count
    often = [shape for shape, count in counts.most_common(MAX_FAMILIES) if count > 1]
    return {shape: number for number, shape in enumerate(often)}


def _nests(inches: Fraction, shape: Shape) -> bool:
    """Return whether a piece is long enough that its slants do not cross, however they lean."""
    return inches >= shape.shared(0) + shape.shared(1)


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
            tuple(
                Item(problem.items[k].size, number, problem.items[k].family)
                for k, number in counts.items()
            ),
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


def relaxed_bounds(relaxed: Problem, cost: int, boards: int, effort: Effort) -> tuple[int, int]:
    """Return a bound on the cost, and on the boards at that cost, that holds however slants are nested."""  # noqa: E501 - one sentence
    least = cost_bound(relaxed, cost)
    fewest = boards_bound(relaxed, least, boards) if least == cost else 0
    if least == cost and fewest == boards:
        return least, fewest
    solution = solve(relaxed, effort=effort)
    if solution is None:
        return least, fewest
    least = max(least, min(solution.cost_bound, cost))
    number = solution.boards_bound if solution.cost == solution.cost_bound == cost else 0
    return least, max(fewest, number)

"""Among solutions of equal cost and as many boards, one that is easier to cut.

Boards that are a piece's very length are used whole; the stop and the saw are set less
often; what is left over is in one long piece. The steps only exchange pieces between boards.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations

from cutmemo.planning.problem import Boards, PackedBoard, Problem

MAX_TRIES = 12_000
"""Exchanges that are looked at; counted, so that a rerun gives the same boards."""


def _free(problem: Problem, board: PackedBoard) -> int:
    return problem.stock[board.stock].capacity - problem.need(board.items)


def whole_first(problem: Problem, boards: Boards, fits_whole: Sequence[int | None]) -> Boards:
    """Return *boards* with every board that is the very length of an item holding one of it, as far as there are any.

    *fits_whole* names that item for each stock type. What stood on the board changes places
    with the piece, whose place is as long: the cost stays.
    """
    out = list(boards)
    for k, board in enumerate(out):
        item = fits_whole[board.stock]
        if item is None or board.items == (item,):
            continue
        for j, other in enumerate(out):
            if j == k or item not in other.items or fits_whole[other.stock] == item:
                continue
            rest = list(other.items)
            rest.remove(item)
            changed = PackedBoard(other.stock, (*rest, *board.items))
            if _free(problem, changed) >= 0:
                out[j], out[k] = changed, PackedBoard(board.stock, (item,))
                break
    return tuple(out)


def fewer_settings(problem: Problem, boards: Boards, fixed: Sequence[bool]) -> Boards:
    """Return *boards* with pieces exchanged so that fewer different items stand on each; *fixed* stock is left alone."""
    out = list(boards)
    tries = iter(range(MAX_TRIES))
    improved = True
    while improved:
        improved = False
        for a, b in combinations(range(len(out)), 2):
            if fixed[out[a].stock] or fixed[out[b].stock] or out[a] == out[b]:
                continue
            now = len(set(out[a].items)) + len(set(out[b].items))
            if now == 2:
                continue
            for one, two in _exchanged(problem, out[a], out[b]):
                if next(tries, None) is None:
                    return tuple(out)
                if len(set(one.items)) + len(set(two.items)) < now:
                    out[a], out[b] = one, two
                    improved = True
                    break
    return tuple(out)


def _exchanged(
    problem: Problem, one: PackedBoard, two: PackedBoard
) -> Iterator[tuple[PackedBoard, PackedBoard]]:
    """Yield both boards with a piece, or two equal ones, changed for another, where that fits."""
    here, there = Counter(one.items), Counter(two.items)
    for i in here:
        for j in there:
            if i == j:
                continue
            for many in range(1, min(here[i], there[j]) + 1):
                left = here + Counter({j: many})
                left[i] -= many
                right = there + Counter({i: many})
                right[j] -= many
                changed = tuple(
                    PackedBoard(board.stock, tuple(sorted((+items).elements())))
                    for board, items in ((one, left), (two, right))
                )
                if all(_free(problem, board) >= 0 for board in changed):
                    yield changed[0], changed[1]


def gathered(problem: Problem, boards: Boards, fixed: Sequence[bool]) -> Boards:
    """Return *boards* with pieces moved off the emptiest where others have room, so that one long end is left."""
    out = list(boards)
    movable = [k for k, board in enumerate(out) if not fixed[board.stock]]
    if len(movable) < 2:
        return boards
    target = max(movable, key=lambda k: _free(problem, out[k]))
    for item in sorted(out[target].items, key=problem.alone):
        if len(out[target].items) == 1:
            break
        homes = [
            k
            for k in movable
            if k != target and _free(problem, PackedBoard(out[k].stock, (*out[k].items, item))) >= 0
        ]
        if homes:
            home = min(homes, key=lambda k: _free(problem, out[k]))
            out[home] = PackedBoard(out[home].stock, (*out[home].items, item))
            rest = list(out[target].items)
            rest.remove(item)
            out[target] = PackedBoard(out[target].stock, tuple(rest))
    return tuple(out)

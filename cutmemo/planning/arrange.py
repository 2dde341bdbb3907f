"""Among solutions of equal cost and as many boards, one that is easier to cut.

Boards that are a piece's very length are used whole; the stop and the saw are set less
often; what is left over is in one long piece. The steps only exchange pieces between boards.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import combinations, product

from cutmemo.planning.problem import Boards, PackedBoard, Problem

MAX_TRIES = 8_000
"""Pairs of boards that are looked at; counted, so that a rerun gives the same boards."""


def _free(problem: Problem, board: PackedBoard) -> int:
    return problem.stock[board.stock].capacity - problem.need(board.items)


def whole_first(
    problem: Problem,
    boards: Boards,
    fits_whole: Sequence[int | None],
    only_whole: Sequence[bool] | None = None,
) -> Boards:
    """Return *boards* with every board that is the very length of an item holding one of it, as far as there are any.

    *fits_whole* names that item for each stock type, *only_whole* says which stock is for it
    alone: that comes before other boards of its length. What stood on the board changes places
    with the piece, whose place is as long: the cost stays.
    """  # noqa: E501 - one sentence
    out = list(boards)
    for k, board in enumerate(out):
        item = fits_whole[board.stock]
        if item is None or board.items == (item,):
            continue
        if problem.alone(item) > problem.stock[board.stock].capacity:
            continue  # lengths were rounded
        for j, other in enumerate(out):
            needs = only_whole is not None and only_whole[board.stock] > only_whole[other.stock]
            if item not in other.items or (fits_whole[other.stock] == item and not needs):
                continue
            rest = list(other.items)
            rest.remove(item)
            changed = PackedBoard(other.stock, (*rest, *board.items))
            if _free(problem, changed) >= 0:
                out[j], out[k] = changed, PackedBoard(board.stock, (item,))
                break
    return tuple(out)


def fewer_settings(problem: Problem, boards: Boards, fixed: Sequence[bool]) -> Boards:
    """Return *boards* with pieces exchanged so that fewer different items stand on each.

    *fixed* stock is left alone.
    """
    out = list(boards)
    movable = [k for k, board in enumerate(out) if not fixed[board.stock]]
    tries = iter(range(MAX_TRIES))
    improved = True
    while improved:
        improved = False
        for a, b in combinations(movable, 2):
            if len(set(out[a].items)) == len(set(out[b].items)) == 1 or out[a] == out[b]:
                continue
            if next(tries, None) is None:
                return tuple(out)
            changed = _exchanged(problem, out[a], out[b])
            if changed is not None:
                out[a], out[b] = changed
                improved = True
    return tuple(out)


def _exchanged(
    problem: Problem, one: PackedBoard, two: PackedBoard
) -> tuple[PackedBoard, PackedBoard] | None:
    """Return both boards with equal pieces changed for others so that fewer different items stand on them, if that fits."""  # noqa: E501 - one sentence
    here, there = Counter(one.items), Counter(two.items)
    for i, j in product(here, there):
        many = min(here[i], there[j])
        after = (here[i] > many) + (there[j] > many) + (j not in here) + (i not in there)
        if i == j or after >= 2:
            continue
        left, right = here + Counter({j: many}), there + Counter({i: many})
        left[i] -= many
        right[j] -= many
        changed = (
            PackedBoard(one.stock, tuple(sorted(left.elements()))),
            PackedBoard(two.stock, tuple(sorted(right.elements()))),
        )
        if all(_free(problem, board) >= 0 for board in changed):
            return changed
    return None


def gathered(problem: Problem, boards: Boards, fixed: Sequence[bool]) -> Boards:
    """Return *boards* with pieces moved off the emptiest where others have room, so that one long end is left."""  # noqa: E501 - one sentence
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

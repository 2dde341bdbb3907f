"""Checks a solution from its numbers alone; it shares no code with what made it."""

from __future__ import annotations

from collections import Counter

from cutmemo.planning.problem import PackedBoard, Problem


def faults(problem: Problem, boards: tuple[PackedBoard, ...]) -> list[str]:
    """Return all that is impossible in *boards*; nothing for a sound solution."""
    found: list[str] = []
    used: Counter[int] = Counter()
    laid: Counter[int] = Counter()
    for number, board in enumerate(boards, start=1):
        if not 0 <= board.stock < len(problem.stock):
            found.append(f"board {number} is of no stock there is")
            continue
        used[board.stock] += 1
        laid.update(board.items)
        strange = [item for item in board.items if not 0 <= item < len(problem.items)]
        if strange:
            found.append(f"board {number} has an item nobody asked for")
            continue
        taken = _taken(problem, board)
        if taken > problem.stock[board.stock].capacity:
            found.append(f"board {number} is over by {taken - problem.stock[board.stock].capacity}")
        if not board.items:
            found.append(f"board {number} has nothing on it")
    return found + _miscounted(problem, used, laid)


def _miscounted(problem: Problem, used: Counter[int], laid: Counter[int]) -> list[str]:
    """Return which stock is used beyond its number, and which items are laid too seldom or too often."""  # noqa: E501 - one sentence
    found = []
    for stock, number in used.items():
        available = problem.stock[stock].available
        if available is not None and number > available:
            found.append(f"{number} boards of stock {stock} are used and {available} there are")
    for item, wanted in enumerate(problem.items):
        if laid[item] != wanted.demand:
            found.append(f"item {item} is laid {laid[item]} times and asked {wanted.demand} times")
    return found


def _taken(problem: Problem, board: PackedBoard) -> int:
    """Return what the items of *board* take, and the open ends of each family."""
    items = [problem.items[number] for number in board.items]
    taken = sum(item.size for item in items)
    for family, charge in enumerate(problem.charges):
        least = 0 if problem.nested else family
        here = [
            each for each in items if each.family is not None and least <= each.family <= family
        ]
        single = sum(each.single for each in here)
        taken += charge * (single % 2 if single else 2 if here else 0)
    return taken


def assured(problem: Problem, boards: tuple[PackedBoard, ...]) -> tuple[PackedBoard, ...]:
    """Return *boards* after they were checked. A fault here is a bug of the solver, never of the person."""  # noqa: E501 - one sentence
    found = faults(problem, boards)
    if found:
        raise AssertionError(f"a layout that cannot be: {'; '.join(found)}")
    return boards

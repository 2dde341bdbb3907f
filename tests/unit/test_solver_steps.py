"""Which step of the solver comes when: the quick ways, every way for a few pieces, groups, patterns, then the fewest boards."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from cutmemo.planning import solver
from cutmemo.planning.column_generation import Improvement
from cutmemo.planning.problem import (
    AT_ONCE,
    THOROUGH,
    Boards,
    Effort,
    Item,
    PackedBoard,
    Problem,
    Solution,
    StockType,
)

FEW = Problem((StockType(10, 10), StockType(10, 20)), (Item(5, 4),))
MANY = Problem((StockType(10, 10), StockType(10, 20)), (Item(5, 12),))
"""Every way is tried for up to nine pieces."""


def boards(*costs: int, of: int = 2, pieces: int = 4) -> Boards:
    """Return boards for 10 or 20, each with so many pieces; the last has the rest."""
    items = [of] * (len(costs) - 1)
    items.append(pieces - sum(items))
    return tuple(
        PackedBoard(cost // 10 - 1, (0,) * n) for cost, n in zip(costs, items, strict=True)
    )


BEST, WORSE, MORE = boards(10, 10), boards(10, 20), boards(10, 10, 20, of=1)


class Steps:
    """What each step is made to find, and which were taken."""

    def __init__(self, patch: pytest.MonkeyPatch, **found: Any) -> None:
        self.found, self.taken = found, list[str]()
        for name in ("quick", "best_of_all", "improve", "_regrouped", "_fewest"):
            patch.setattr(solver, name, self._step(name))
        patch.setattr(solver, "cost_bound", lambda problem, enough: found.get("least", 20))
        patch.setattr(solver, "boards_bound", lambda *_: found.get("fewest", 2))
        patch.setattr(solver, "has_highs", lambda: found.get("highs", True))
        patch.setattr(solver, "assured", lambda problem, made: made)

    def _step(self, name: str) -> Any:
        def step(*_: Any, **__: Any) -> Any:
            self.taken.append(name.strip("_"))
            return self.found[name.strip("_")]

        return step


def solved(problem: Problem, effort: Effort = AT_ONCE) -> Solution:
    found = solver.solve(problem, effort=effort)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("quick", "least", "fewest", "taken"),
    [
        (BEST, 20, 2, ["quick"]),
        (WORSE, 20, 2, ["quick", "best_of_all"]),
        (BEST, 20, 1, ["quick", "best_of_all"]),
        (BEST, 10, 2, ["quick", "best_of_all"]),
    ],
)
def test_for_a_few_pieces_every_way_is_tried_where_the_quick_ones_are_not_proven(
    quick: Boards, least: int, fewest: int, taken: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = Steps(monkeypatch, quick=quick, least=least, fewest=fewest, best_of_all=BEST)
    assert solved(FEW) == Solution(BEST, 20, 20, 2, 2)
    assert steps.taken == taken


def test_what_the_quick_ways_do_not_find_every_way_may(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = Steps(monkeypatch, quick=None, best_of_all=BEST)
    assert solved(FEW) == Solution(BEST, 20, 20, 2, 2)
    assert steps.taken[:2] == ["quick", "best_of_all"]
    Steps(monkeypatch, quick=None, best_of_all=None)
    assert solver.solve(FEW) is None
    assert solver.solve(MANY) is None
    made = boards(*[10] * 6, pieces=12)
    Steps(monkeypatch, quick=None, least=60, fewest=6)
    assert solver.solve(MANY, made) == Solution(made, 60, 60, 6, 6)


def test_nothing_to_lay_is_laid_and_what_no_board_holds_is_not() -> None:
    assert solver.solve(replace(FEW, items=())) == Solution((), 0, 0, 0, 0)
    for capacity, fits in ((5, True), (4, False)):
        one = Problem((StockType(capacity, 10),), (Item(5, 1), Item(2, 1)))
        assert (solver.solve(one) is not None) is fits
    gone = Problem((StockType(10, 10, 0), StockType(4, 4)), (Item(5, 1),))
    assert solver.solve(gone) is None


SIX, SEVEN = boards(*[10] * 6, pieces=12), boards(*[10] * 7, of=1, pieces=12)
DEAR = boards(*[10] * 5, 20, pieces=12)


@pytest.mark.parametrize(
    ("quick", "least", "fewest", "improved", "ends", "taken"),
    [
        (SIX, 60, 6, None, (SIX, 60, 6), ["quick"]),
        (DEAR, 60, 6, Improvement(SIX, 60, 6), (SIX, 60, 6), ["quick", "improve"]),
        (DEAR, 60, 5, Improvement(DEAR, 65, 0), (DEAR, 65, 5), ["quick", "improve"]),
        (SEVEN, 70, 6, Improvement(SEVEN, 70, 6), (SIX, 70, 6), ["quick", "improve", "fewest"]),
        (SEVEN, 70, 6, Improvement(SEVEN, 70, 7), (SEVEN, 70, 7), ["quick", "improve"]),
    ],
)
def test_patterns_come_where_the_quick_ways_are_not_proven_and_the_fewest_boards_last(
    quick: Boards,
    least: int,
    fewest: int,
    improved: Improvement | None,
    ends: tuple[Boards, int, int],
    taken: list[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    steps = Steps(
        monkeypatch, quick=quick, least=least, fewest=fewest, improve=improved, fewest_=None
    )
    steps.found["fewest"] = (SIX, 6)
    monkeypatch.setattr(solver, "boards_bound", lambda *_: fewest)
    found = solved(MANY)
    made, bound, boards_bound = ends
    assert (found.boards, found.cost_bound, found.boards_bound) == (made, bound, boards_bound)
    assert steps.taken == taken


@pytest.mark.parametrize(
    ("pieces", "effort", "looked"),
    [(60, AT_ONCE, True), (61, AT_ONCE, False), (61, THOROUGH, True)],
)
def test_the_fewest_boards_are_looked_into_for_short_lists_or_with_much_effort(
    pieces: int, effort: Effort, looked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = Problem((StockType(10, 10),), (Item(5, pieces),))
    made = tuple(PackedBoard(0, (0,)) for _ in range(pieces))
    cost = 10 * pieces
    steps = Steps(monkeypatch, quick=made, least=cost, improve=Improvement(made, cost, 1))
    steps.found["fewest"] = (made, 1)
    monkeypatch.setattr(solver, "boards_bound", lambda *_: 1)
    solved(problem, effort)
    assert ("fewest" in steps.taken) is looked
    # Stretches of one board are not counted so.
    steps.taken.clear()
    split = Problem((StockType(10, 10, None, 1),), problem.items)
    solved(split, effort)
    assert "fewest" not in steps.taken


@pytest.mark.parametrize(("items", "highs", "taken"), [
    (200, True, ["quick", "improve"]),
    (201, True, ["quick", "regrouped"]),
    (200, False, ["quick"]),
])  # fmt: skip
def test_long_lists_are_solved_in_groups_and_without_the_solver_the_fill_stands(
    items: int, highs: bool, taken: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = Problem((StockType(500, 10),), tuple(Item(5 + k, 1) for k in range(items)))
    made = tuple(PackedBoard(0, (k,)) for k in range(items))
    steps = Steps(
        monkeypatch,
        quick=made,
        least=10,
        improve=Improvement(made, 10, 0),
        regrouped=made,
        highs=highs,
    )
    found = solved(problem)
    assert steps.taken == taken
    assert (found.cost, found.cost_bound) == (10 * items, 10)

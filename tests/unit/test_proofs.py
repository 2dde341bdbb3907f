"""When a layout is proven: each step of the proof by itself, with what the steps before it found."""

from __future__ import annotations

from typing import Any

import pytest

from cutmemo.planning import enumeration as proofs
from cutmemo.planning.enumeration import Proof, _TooMany, _Waste, proven_best
from cutmemo.planning.highs import Pattern
from cutmemo.planning.problem import Boards, Effort, Item, PackedBoard, Problem, StockType
from cutmemo.planning.spare import Level

EFFORT = Effort(600, 2, 1_200, 1)
JOB = Problem((StockType(10, 6), StockType(10, 9), StockType(20, 12)), (Item(4, 2), Item(5, 1)))
"""In steps of 3: three pieces, on boards for 6, 9 and 12."""
ONE: Boards = (PackedBoard(2, (0, 0, 1)),)
TWO: Boards = (PackedBoard(0, (0, 0)), PackedBoard(0, (1,)))
"""Both cost 12."""
DEAR: Boards = (PackedBoard(1, (0, 0)), PackedBoard(0, (1,)))
DEARER: Boards = (PackedBoard(1, (0, 0)), PackedBoard(1, (1,)))
PATTERN: Pattern = (2, ((0, 2), (1, 1)))


def proven(boards: Boards, bound: int, count: bool = True) -> Proof:
    return proven_best(JOB, (4, 5), [PATTERN], boards, bound, EFFORT, count)


@pytest.mark.parametrize(
    ("boards", "bound", "cheaper", "better", "ends"),
    [
        (DEAR, 6, DEAR, 6, Proof(DEAR, 6, 0)),
        (DEAR, 6, TWO, 6, Proof(TWO, 6, 0)),
        (DEAR, 6, TWO, 9, Proof(TWO, 9, 0)),
    ],
)
def test_what_is_not_proven_the_cheapest_is_not_proven_the_fewest(
    boards: Boards,
    bound: int,
    cheaper: Boards,
    better: int,
    ends: Proof,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given: list[tuple[Any, ...]] = []

    def cheapest(*told: Any) -> tuple[Boards, int]:
        given.append(told[1:])
        return cheaper, better

    monkeypatch.setattr(proofs, "_cheapest", cheapest)
    assert proven(boards, bound) == ends
    assert given == [([PATTERN], boards, bound, EFFORT)]


@pytest.mark.parametrize("begun", [DEAR, TWO])
@pytest.mark.parametrize(("count", "least"), [(False, 1), (True, 2), (True, 1), (False, 2)])
def test_what_is_the_cheapest_may_be_the_fewest_by_its_size_alone(
    begun: Boards, count: bool, least: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[tuple[Any, ...]] = []

    def fewest(*told: Any) -> tuple[Boards, bool]:
        tried.append((told[1], told[3], told[5]))
        return ONE, True

    monkeypatch.setattr(proofs, "_cheapest", lambda *_: (TWO, 12))
    monkeypatch.setattr(proofs, "boards_bound", lambda *told: least)
    monkeypatch.setattr(proofs, "patterns_within", lambda *told: [PATTERN])
    monkeypatch.setattr(proofs, "_fewest_of", fewest)
    found = proven(begun, 12 if begun is TWO else 6, count)
    if not count:
        assert found == Proof(TWO, 12, 0)
    elif least == 2:
        assert found == Proof(TWO, 12, 2)
    else:
        assert found == Proof(ONE, 12, 1)
        assert tried == [([PATTERN], TWO, ([2, 3, 4], 4))]
    assert bool(tried) is (count and least == 1)


@pytest.mark.parametrize(
    ("too_many", "ended", "proof"),
    [(False, True, 1), (False, False, 0), (True, True, 0), (True, False, 0)],
)
def test_fewer_boards_are_proven_only_by_all_patterns_and_a_search_that_ended(
    too_many: bool, ended: bool, proof: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[int, int]] = []
    used: list[list[Pattern]] = []

    def within(waste: _Waste, spare: int, number: int) -> list[Pattern]:
        asked.append((spare, number))
        if too_many:
            raise _TooMany
        return [PATTERN] * 3

    def fewest(problem: Problem, patterns: list[Pattern], *_: Any) -> tuple[Boards, bool]:
        used.append(patterns)
        return ONE, ended

    monkeypatch.setattr(proofs, "boards_bound", lambda *_: 1)
    monkeypatch.setattr(proofs, "patterns_within", within)
    monkeypatch.setattr(proofs, "_least_wasting", lambda *_: [PATTERN] * 5)
    monkeypatch.setattr(proofs, "_fewest_of", fewest)
    monkeypatch.setattr(_Waste, "levels", lambda self, most: [Level(3, 1), Level(most, 7)])
    assert proven(TWO, 12) == Proof(ONE, 12, proof)
    assert asked == [(7, 2)]
    assert used == [[PATTERN] * (2 if too_many else 3)]


# --- the cheapest ------------------------------------------------------------------------------------

LEVELS = [Level(6, 0), Level(9, 3), Level(12, 6), Level(15, 9)]


def cheapest(
    boards: Boards,
    listed: list[tuple[int, list[Pattern]]],
    within: list[tuple[Boards | None, bool]],
    monkeypatch: pytest.MonkeyPatch,
    patterns: int = 4_000,
) -> tuple[tuple[Boards, int], list[tuple[int, int]]]:
    """Return what the search comes to and which spans of cost it was asked for."""
    spans: list[tuple[int, int]] = []
    lists, found = iter(listed), iter(within)

    def solved(problem: Problem, used: object, least: int, most: int, effort: object) -> Any:
        spans.append((least, most))
        return next(found)

    monkeypatch.setattr(_Waste, "levels", lambda self, most: [e for e in LEVELS if e.cost <= most])
    monkeypatch.setattr(proofs, "_listed", lambda *_: next(lists))
    monkeypatch.setattr(proofs, "_least_wasting", lambda *_: [PATTERN])
    monkeypatch.setattr(proofs, "_within", solved)
    monkeypatch.setattr(proofs, "_cheaper", lambda *told: ("cheaper", *told[3:5]))
    waste = _Waste.at(JOB, (4, 5))
    effort = Effort(patterns, 2, 1_200, 1)
    return proofs._cheapest(waste, [PATTERN], boards, 3, effort), spans


def test_where_all_lower_costs_are_none_the_boards_are_proven(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Boards for 18: levels of 6, 9, 12 and 15 may be; all of them at once come to nothing.
    found, spans = cheapest(DEARER, [(4, [PATTERN])], [(None, True)], monkeypatch)
    assert found == (DEARER, 18)
    assert spans == [(6, 15)]
    # Two of them first, then the others.
    steps: list[tuple[int, list[Pattern]]] = [(2, [PATTERN]), (2, [PATTERN])]
    found, spans = cheapest(DEARER, steps, [(None, True), (None, True)], monkeypatch)
    assert found == (DEARER, 18)
    assert spans == [(6, 9), (12, 15)]


def test_boards_at_the_lowest_cost_or_of_a_search_that_ended_are_the_cheapest(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for ended, bound in ((True, 12), (False, 6)):
        cheap: Boards = TWO
        found, spans = cheapest(
            DEARER, [(4, [PATTERN])] * 2, [(cheap, ended), (None, True)], monkeypatch
        )
        if ended:
            assert found == (TWO, bound)
            assert spans == [(6, 15)]
        else:
            assert found[0] == ("cheaper", TWO, 6)
    # At the lowest cost there may be none cheaper, whether or not the search ended.
    lowest: Boards = (PackedBoard(0, (0, 0, 1)),)
    for ended in (True, False):
        found, spans = cheapest(DEARER, [(4, [PATTERN])], [(lowest, ended)], monkeypatch)
        assert (found, spans) == ((lowest, 6), [(6, 15)])
    # Cheaper ones that few patterns gave: the levels below them are looked at with more.
    none: tuple[int, list[Pattern]] = (0, [PATTERN])
    found, spans = cheapest(
        DEARER, [none, (2, [PATTERN])], [(TWO, True), (None, True)], monkeypatch
    )
    assert spans == [(6, 6), (6, 9)]
    assert found == (TWO, 12)


def test_what_cannot_be_listed_is_not_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    none: tuple[int, list[Pattern]] = (0, [])
    found, spans = cheapest(DEARER, [none], [(None, True)], monkeypatch, patterns=300)
    assert found == (("cheaper", DEARER, 6), 6)
    assert spans == [(6, 6)]
    found, spans = cheapest(DEARER, [none] * 3, [(None, True)] * 3, monkeypatch)
    assert found == (("cheaper", DEARER, 6), 6)
    assert len(spans) == 3  # 300, 1,200 and 4,000 patterns


def test_nothing_below_is_looked_at_where_no_boards_have_such_a_cost(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lowest: Boards = (PackedBoard(0, (0, 0, 1)),)  # 6: its own cost is the lowest level
    found, spans = cheapest(lowest, [], [], monkeypatch)
    assert (found, spans) == ((lowest, 6), [])


# --- searches ---------------------------------------------------------------------------------------------


def test_a_search_has_the_work_of_its_effort_and_stays_within_its_costs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given: list[tuple[Any, ...]] = []
    answer: list[Any] = [[1, 0], True]

    def whole(problem: Problem, patterns: Any, units: Any, nodes: int, start: Any, limit: Any, **more: Any) -> Any:  # fmt: skip
        given.append((units, nodes, limit, more))
        return answer[0], answer[1]

    monkeypatch.setattr(proofs, "whole_numbers", whole)
    patterns: list[Pattern] = [PATTERN, (0, ((0, 2),))]
    assert proofs._within(JOB, patterns, 6, 15, EFFORT) == (ONE, True)
    assert given == [([2, 3, 4], 1_200, ([2, 3, 4], 5), {"enough": 2})]
    answer[1] = False
    assert proofs._within(JOB, patterns, 6, 12, EFFORT) == (ONE, False)
    assert proofs._within(JOB, patterns, 6, 11, EFFORT) == (None, False)  # 12 is too dear
    answer[0] = [0, 1]
    assert proofs._within(JOB, patterns, 6, 15, EFFORT) == (None, False)  # a piece is missing
    answer[0] = None
    assert proofs._within(JOB, patterns, 6, 15, EFFORT) == (None, False)
    answer[1] = True
    assert proofs._within(JOB, patterns, 6, 15, EFFORT) == (None, True)
    given.clear()
    assert proofs._within(JOB, [], 6, 15, EFFORT) == (None, True)
    assert given == []


def test_the_fewest_boards_are_those_found_where_they_are_sound_and_no_worse(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given: list[tuple[Any, ...]] = []
    answer: list[Any] = [[1, 0, 0], True]

    def whole(problem: Problem, patterns: Any, units: Any, nodes: int, start: Any, limit: Any, **more: Any) -> Any:  # fmt: skip
        given.append((list(patterns), nodes, start, limit, more))
        return answer[0], answer[1]

    monkeypatch.setattr(proofs, "whole_numbers", whole)
    limit = [2, 3, 4], 4
    own: list[Pattern] = [(0, ((0, 2),)), (0, ((1, 1),))]

    def fewest() -> tuple[Boards, bool]:
        return proofs._fewest_of(JOB, [PATTERN, own[0]], [2, 3, 4], TWO, EFFORT, limit)

    assert fewest() == (ONE, True)
    assert given == [([PATTERN, *own], 1_200, TWO, limit, {"count_boards": True})]
    answer[1] = False
    assert fewest() == (ONE, False)
    answer[:] = [None, True]
    assert fewest() == (TWO, True)
    answer[:] = [[0, 1, 0], True]  # a piece is missing
    assert fewest() == (TWO, False)
    answer[:] = [[1, 1, 1], True]  # no piece too many is cut: the first board holds them all
    assert fewest() == (ONE, True)


def test_cheaper_boards_are_sought_among_the_patterns_that_waste_least(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given: list[tuple[Any, ...]] = []
    answer: list[Any] = [(ONE, True)]

    def within(problem: Problem, patterns: Any, least: int, most: int, effort: Effort) -> Any:
        given.append((list(patterns), least, most))
        return answer[0]

    def least_wasting(waste: object, patterns: list[Pattern], spare: int) -> list[Pattern]:
        given.append((list(patterns), spare))
        return patterns * 200

    monkeypatch.setattr(_Waste, "levels", lambda self, most: [e for e in LEVELS if e.cost <= most])
    monkeypatch.setattr(proofs, "_least_wasting", least_wasting)
    monkeypatch.setattr(proofs, "_within", within)
    waste = _Waste.at(JOB, (4, 5))
    other: Pattern = (0, ((0, 2),))
    some = [PATTERN, other, PATTERN]
    assert proofs._cheaper(waste, [], some, DEARER, 6, EFFORT) == ONE
    assert given[0] == ([PATTERN, other], 9)
    assert given[1] == (([PATTERN, other] * 200)[:300], 6, 15)
    answer[0] = None, True
    assert proofs._cheaper(waste, [], some, DEARER, 6, EFFORT) == DEARER
    given.clear()
    # All that wastes least was searched before: there is nothing to find.
    assert proofs._cheaper(waste, some, some, DEARER, 6, EFFORT) == DEARER
    assert given == [([PATTERN, other], 9)]
    given.clear()
    assert proofs._cheaper(waste, [], some, DEARER, 18, EFFORT) == DEARER
    assert given == []
    lowest: Boards = (PackedBoard(0, (0, 0, 1)),)
    assert proofs._cheaper(waste, [], some, lowest, 3, EFFORT) == lowest
    assert given == []

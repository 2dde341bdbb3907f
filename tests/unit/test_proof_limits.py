"""What proofs of a plan stand on: slants rounded to the safe side, families, starts that are kept, and when more is looked into."""

from __future__ import annotations

import math
from fractions import Fraction as F
from typing import Any
from unittest.mock import MagicMock

import pytest
from layouts import wanted

from cutmemo.domain.cut import Cut, End, Rise, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.planning import Wanted, model, solver, wanted_of
from cutmemo.planning.column_generation import Improvement, _rounded
from cutmemo.planning.ends import GRAIN, Slant, long_point, slant
from cutmemo.planning.highs import Pattern, _stop_after, whole_numbers
from cutmemo.planning.model import modelled, relaxed_bounds
from cutmemo.planning.problem import (
    AT_ONCE,
    NESTED,
    THOROUGH,
    Boards,
    Effort,
    Item,
    PackedBoard,
    Problem,
    Solution,
    StockType,
)
from cutmemo.planning.stock import Source

CREW = Settings()
TWO_BY_SIX = Section(F(2), F(6))
DRESSED = (F(3, 2), F(11, 2))
"""Of a 2x6, in inches (PS 20)."""

# --- slants ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("end", "exact"),
    [
        *((End("hip", rise), rise / math.hypot(12, 12)) for rise in (1, 4, 7, 12, 24)),
        *(
            (End("angled", miter=F(degrees)), math.tan(math.radians(degrees)))
            for degrees in (5, 22.5, 30, 60)
        ),
    ],
)
def test_a_slant_is_rounded_up_to_the_next_millionth_and_no_further(end: End, exact: float) -> None:
    across = slant(end).across
    assert (across * 10**6).denominator == 1
    assert -1e-9 <= float(across) - exact < 1e-6 + 1e-9
    assert GRAIN == 10**6


@pytest.mark.parametrize("rise", [3, 6, 7, 12])
def test_plumb_and_seat_cuts_slant_by_the_rise_exactly(rise: int) -> None:
    assert slant(End("plumb", Rise(rise))).across == F(rise, 12)
    assert slant(End("seat", Rise(rise))).across == F(12, rise)
    assert slant(End("plumb", Rise(rise))).through == 0


@pytest.mark.parametrize("bevel", [15, 22.5, 30, 40])
def test_a_bevel_slants_through_the_thickness(bevel: float) -> None:
    found = slant(End("angled", bevel=F(bevel)))
    assert float(found.through) == pytest.approx(math.tan(math.radians(bevel)), abs=2e-6)
    assert (found.across, found.shares) == (0, True)
    both = slant(End("angled", bevel=F(bevel), miter=F(30)))
    leaning = math.tan(math.radians(bevel)) / math.cos(math.radians(30))
    assert float(both.through) == pytest.approx(leaning, abs=2e-6)
    assert not both.shares


def test_a_cheek_is_cut_at_45_degrees_and_a_double_one_to_half() -> None:
    single, double = (slant(End("plumb", 12, cheek=each)) for each in ("single", "double"))  # type: ignore[arg-type]
    assert float(single.through) == pytest.approx(math.sqrt(2), abs=2e-6)
    assert float(double.through) == pytest.approx(math.sqrt(2) / 2, abs=2e-6)
    assert not single.shares
    assert not double.shares


@pytest.mark.parametrize(("points", "more"), [(0, 0), (1, 1), (2, 2)])
def test_to_its_short_point_a_piece_takes_the_run_of_the_end_more(points: int, more: int) -> None:
    long, short = (
        End("angled", miter=F(45), point=each)
        for each in ("long", "short")  # type: ignore[arg-type]
    )
    ends = [(long, long), (short, long), (short, short)][points]
    cut = Cut(Length(F(36)), section=TWO_BY_SIX, ends=ends)
    found = long_point(cut)
    assert found is not None
    assert float(found) == pytest.approx(36 + 5.5 * more, abs=1e-4)
    unknown = long_point(Cut(Length(F(36)), ends=ends))
    assert unknown == (F(36) if not more else None)


@pytest.mark.parametrize(("across", "through"), [(0, 0), (1, 0), (0, 1), (1, 1), (F(1, 2), 0)])
def test_a_run_is_width_and_thickness_times_the_slant(across: F | int, through: F | int) -> None:
    leaning = Slant(F(across), F(through))
    assert leaning.run(DRESSED) == DRESSED[1] * across + DRESSED[0] * through
    assert leaning.square is (leaning.run(DRESSED) == 0)
    factor = math.sqrt(1 + float(across) ** 2 + float(through) ** 2)
    assert float(leaning.kerf_factor()) == pytest.approx(factor, abs=2e-6)


# --- families -------------------------------------------------------------------------------------


def mitred(row: int, inches: int, *angles: int) -> Wanted:
    """Return pieces of a 2x6 with these angles at their ends, 0 for a square one."""
    first, second = (
        End("angled", miter=F(each), point="long") if each else End() for each in angles
    )
    cut = Cut(Length(F(inches)), 3, section=TWO_BY_SIX, ends=(first, second))
    return wanted_of(row, f"r{row}", cut, 3, CREW)


def relaxed(*rows: Wanted) -> Problem:
    found = modelled([Source(None, F(0), F(144), None)], rows, False, CREW).relaxed
    assert found is not None
    return found


def run(degrees: int) -> float:
    return 5.5 * math.tan(math.radians(degrees))


def test_pieces_with_two_like_ends_keep_their_families_in_the_bound() -> None:
    found = relaxed(mitred(1, 40, 45, 45), mitred(2, 50, 30, 30))
    assert [(item.family, item.single) for item in found.items] == [(0, False), (1, False)]
    # From the longest slant down, each charge is half of what its run is longer than the next.
    scale = found.stock[0].capacity / 144
    expected = [(run(45) - run(30)) / 2, run(30) / 2]
    assert [each / scale for each in found.charges] == pytest.approx(expected, rel=0.01)
    assert found.nested


def test_a_piece_with_one_slant_is_of_its_family_by_that_end() -> None:
    found = relaxed(mitred(1, 40, 45, 45), mitred(2, 50, 30, 0))
    assert [(item.family, item.single) for item in found.items] == [(0, False), (1, True)]
    assert len(found.charges) == 2


@pytest.mark.parametrize(
    ("inches", "angles"),
    [(40, (45, 45)), (40, (30, 30)), (50, (30, 0)), (50, (0, 45)), (60, (45, 30)), (33, (0, 0))],
)
def test_a_piece_counts_in_the_bound_by_its_mean_length_and_half_the_kerf_of_each_end(
    inches: int, angles: tuple[int, int]
) -> None:
    found = relaxed(mitred(1, inches, *angles), mitred(2, 70, 20, 20))
    scale = (found.stock[0].capacity) / (144 + CREW.kerf)
    mean = inches - sum(run(each) for each in angles) / 2
    kerfs = sum(float(CREW.kerf) / math.cos(math.radians(each)) / 2 for each in angles)
    size = found.items[0].size / float(scale)
    # Never more than that, and less by no more than roundings.
    assert mean + kerfs - 1e-3 - 1 / float(scale) <= size <= mean + kerfs


def test_what_rounding_makes_of_a_slant_is_taken_off_the_bound_and_not_added() -> None:
    # A plumb cut of 12 in 12 runs its width to the sixteenth: the mean is whole, and no kerf is lost.
    crew = Settings(kerf=F(0))
    end = End("plumb", Rise(12), point="long")
    cut = Cut(Length(F(40)), 3, section=TWO_BY_SIX, ends=(end, end))
    piece = wanted_of(1, "r1", cut, 3, crew)
    found = modelled([Source(None, F(0), F(144), None)], [piece], False, crew).relaxed
    assert found is not None
    scale = F(found.stock[0].capacity, 144)
    assert scale.denominator == 1
    assert found.items[0].size == (40 - F(11, 2)) * scale - 1
    assert found.charges == (math.floor((F(11, 2) - F(1, 10_000)) / 2 * scale),)


@pytest.mark.parametrize("asked", [0, 1, 25])
def test_a_search_is_stopped_once_it_asked_more_often_than_its_work(asked: int) -> None:
    solver_ = MagicMock()
    stopped = _stop_after(solver_, asked)
    ((asks,), _) = solver_.cbMipInterrupt.subscribe.call_args
    for time in range(1, asked + 3):
        event = MagicMock()
        asks(event)
        assert event.data_in.user_interrupt is stopped() is (time > asked)


@pytest.mark.parametrize("rows", [((40, 45, 30),), ((40, 45, 30), (50, 45, 45))])
def test_pieces_with_two_unlike_ends_are_charged_once_a_board(
    rows: tuple[tuple[int, int, int], ...],
) -> None:
    found = relaxed(*(mitred(k, *each) for k, each in enumerate(rows, start=1)))
    assert [(item.family, item.single) for item in found.items] == [(0, False)] * len(rows)
    scale = found.stock[0].capacity / 144
    assert [each / scale for each in found.charges] == pytest.approx([run(30) / 2], rel=0.01)


def test_a_piece_shorter_than_its_slant_leaves_one_family_for_all() -> None:
    found = relaxed(mitred(1, 5, 45, 45), mitred(2, 50, 30, 30))
    assert [item.family for item in found.items] == [0, 0]
    assert len(found.charges) == 1
    longer = relaxed(mitred(1, 6, 45, 45), mitred(2, 50, 30, 30))
    assert [item.family for item in longer.items] == [0, 1]
    with_square = relaxed(mitred(1, 40, 45, 45), *wanted(30))
    assert [item.family for item in with_square.items] == [0, None]


# --- bounds that hold however slants are nested -----------------------------------------------------


@pytest.mark.parametrize(
    ("charged", "pieces", "effort", "looked"),
    [
        (True, 60, AT_ONCE, True),
        (True, 61, AT_ONCE, False),
        (True, 61, NESTED, False),
        (True, 61, THOROUGH, True),
        (False, 61, AT_ONCE, True),
    ],
)
def test_long_lists_with_slants_are_looked_into_with_much_effort_only(
    charged: bool, pieces: int, effort: Effort, looked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[Effort] = []

    def solved(problem: Problem, **told: Any) -> Solution:
        tried.append(told["effort"])
        return Solution((), 990, 980, 99, 98)

    monkeypatch.setattr(model, "solve", solved)
    monkeypatch.setattr(model, "cost_bound", lambda *_: 900)
    monkeypatch.setattr(model, "faults", lambda *_: ["one"])
    job = Problem((StockType(20, 10),), (Item(5, pieces, 0 if charged else None),))
    if charged:
        job = Problem(job.stock, job.items, (1,))
    found = relaxed_bounds(job, Solution((), 1000, 900, 100, 90), effort)
    assert found == ((980, 0) if looked else (900, 0))
    assert tried == ([effort] if looked else [])


@pytest.mark.parametrize(
    ("own", "least", "fewest", "found", "bounds"),
    [
        # What the sizes prove needs no search.
        (60, 60, 6, None, (60, 6)),
        (60, 60, 5, None, (60, 5)),
        # A bound is never past what was found, and of boards only at the proven cost.
        (60, 60, 5, Solution((), 60, 60, 6, 6), (60, 6)),
        (60, 60, 5, Solution((), 60, 60, 6, 4), (60, 5)),
        (60, 50, 5, Solution((), 70, 70, 7, 7), (60, 0)),
        (60, 50, 5, Solution((), 60, 55, 6, 6), (55, 0)),
        (60, 50, 5, Solution((), 60, 60, 6, 6), (60, 6)),
    ],
)
def test_a_bound_is_what_was_proven_and_never_past_what_was_found(
    own: int,
    least: int,
    fewest: int,
    found: Solution | None,
    bounds: tuple[int, int],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(model, "solve", lambda *_, **__: found)
    monkeypatch.setattr(model, "cost_bound", lambda *_: least)
    monkeypatch.setattr(model, "boards_bound", lambda *_: fewest)
    monkeypatch.setattr(model, "faults", lambda *_: ["one"])
    job = Problem((StockType(20, 10),), (Item(5, 20),))
    assert relaxed_bounds(job, Solution((), own, 0, 6, 0), AT_ONCE) == bounds


# --- the fewest boards ------------------------------------------------------------------------------

JOB = Problem((StockType(10, 10), StockType(10, 20)), (Item(5, 12),))


def boards(*numbers: int) -> Boards:
    return tuple(PackedBoard(0, (0,) * number) for number in numbers)


SEVEN, SIX = boards(2, 2, 2, 2, 2, 1, 1), boards(2, 2, 2, 2, 2, 2)


@pytest.mark.parametrize(
    ("proven", "fewest", "better", "bound"),
    [(6, 5, SEVEN, 6), (4, 5, SEVEN, 5), (7, 5, SEVEN, 7), (9, 5, SEVEN, 7), (6, 5, SIX, 6)],
)
def test_the_bound_on_the_boards_is_what_the_search_proved_and_no_more_than_there_are(
    proven: int, fewest: int, better: Boards, bound: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    one_more = JOB.pieces + 1

    def improved(problem: Problem, start: Boards, least: int, *_: Any, **__: Any) -> Improvement:
        # In units of the step of the costs, times more than there are pieces, and one a board.
        assert [each.cost for each in problem.stock] == [one_more + 1, 2 * one_more + 1]
        assert (start, least) == (SEVEN, 7 * one_more + fewest)
        return Improvement(better, 7 * one_more + proven)

    monkeypatch.setattr(solver, "improve", improved)
    found, least = solver._fewest(JOB, SEVEN, fewest, AT_ONCE)
    assert least == min(bound, 7)
    assert found == better


def test_a_start_is_kept_where_no_work_is_left_whatever_is_counted() -> None:
    # Two stretches of one board; the start uses one of them twice, the other once.
    job = Problem(
        (StockType(10, 10, None, 0), StockType(10, 10, None, 0), StockType(10, 10)),
        (Item(4, 3), Item(3, 3)),
    )
    patterns: list[Pattern] = [
        (0, ((0, 2),)),
        (1, ((1, 3),)),
        (2, ((0, 1), (1, 1))),
        (0, ((0, 1),)),
    ]
    start = (PackedBoard(0, (0, 0)), PackedBoard(0, (0,)), PackedBoard(1, (1, 1, 1)))
    for work in (0, 1):
        for count in (True, False):
            found = whole_numbers(job, patterns, [10] * 3, work, start, count_boards=count)
            assert found == ([1, 1, 0, 1], False)
        assert whole_numbers(job, patterns, [10] * 3, work, count_boards=True) == (None, False)
    numbers, ended = whole_numbers(job, patterns, [10] * 3, 4_000, start, count_boards=True)
    assert ended
    assert numbers is not None
    made = [
        PackedBoard(k, ()) for (k, _), n in zip(patterns, numbers, strict=True) for _ in range(n)
    ]
    assert job.number_of(made) == 2


@pytest.mark.parametrize(
    ("value", "whole"), [(2.0, 2), (2 - 1e-7, 2), (2 - 1e-3, 1), (2 + 1e-7, 2)]
)
def test_a_number_that_is_whole_but_for_rounding_is_taken_as_whole(
    value: float, whole: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken: list[list[int]] = []
    monkeypatch.setattr(
        "cutmemo.planning.column_generation.cut_by",
        lambda problem, patterns, numbers: taken.append(list(numbers)),
    )
    _rounded(JOB, [(0, ((0, 2),))], [value])
    assert taken[0] == [whole]
    # From half a board on, up.
    assert taken[-1] == [2]
    assert len(taken) == 5

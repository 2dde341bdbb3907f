"""Boards: what is laid where, at which marks, and what has to be bought."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace
from fractions import Fraction as F

import pytest
from desk import Desk
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import STUD, only, sound, wanted

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.planning import Lot, SectionPlan, Terms, Wanted, Yard, plan
from cutmemo.planning.order import order_of
from cutmemo.planning.plan import _renumbered
from cutmemo.planning.problem import PackedBoard
from cutmemo.present import (
    boards_as_text,
)


def test_the_rack_comes_before_the_yard_and_left_overs_before_the_rack() -> None:
    lots = [Lot("a", 1, STUD, F(144), 1), Lot("b", 2, STUD, F(50), 1, leftover=True)]
    made = only(plan(wanted(48, 100, 90), lots, Settings()))
    assert [board.lot.number if board.lot else None for board in made.boards] == [2, 1, None]
    assert made.order == {F(96): 1}
    assert made.waiting == {3: 1} or made.waiting == {2: 1}


def test_a_bad_part_is_never_cut_into() -> None:
    lot = Lot("a", 1, STUD, F(96), 1, bad=((F(40), F(52)),))
    assert lot.runs() == ((0, 40), (52, 96))
    made = only(plan(wanted(44, 40), [lot], Settings()))
    assert {(board.start, board.inches) for board in made.boards} == {(F(0), F(40)), (F(52), F(44))}
    assert not made.order


def test_trim_comes_off_first_but_not_off_a_left_over() -> None:
    crew = Settings(trim=F(1, 2))
    made = only(plan(wanted(F(191, 2)), [Lot("a", 1, STUD, F(96), 1)], crew))
    assert made.boards[0].pieces[0].start == F(1, 2)
    sound(made, crew)
    assert only(plan(wanted(96), [Lot("a", 1, STUD, F(96), 1)], crew)).order == {F(120): 1}
    assert not only(plan(wanted(96), [Lot("a", 1, STUD, F(96), 1, leftover=True)], crew)).order


def test_a_short_piece_is_cut_while_the_board_is_long() -> None:
    made = only(plan(wanted(40, 10, 30), [], Settings()))
    assert [piece.inches for piece in made.boards[0].pieces] == [10, 40, 30]


def test_pieces_of_one_saw_setting_stand_together_on_a_board() -> None:
    cuts = [
        Wanted(k, str(k), F(inches), 1, STUD, setting=setting)
        for k, (inches, setting) in enumerate(
            [(40, "plumb 7/12"), (30, ""), (35, "plumb 7/12"), (20, "")], start=1
        )
    ]
    made = only(plan(cuts, [Lot("a", 1, STUD, F(144), 1)], Settings()))
    assert [piece.row for piece in made.boards[0].pieces] == [2, 4, 1, 3]


def test_the_ends_stand_beside_the_piece(session: Desk) -> None:
    session.call("61-5/16 2x6 common rafter plumb cut 7/12 long point for gable 2")
    text = boards_as_text(session.plans(), Settings())
    assert "plumb 7/12 long point" in text
    assert "for gable 2" in text
    assert "marks to" not in text


def test_marks_to_the_long_point_are_said(session: Desk) -> None:
    session.call("60 2x4 plumb cut 7/12 short point")
    session.call("50 plumb cut 7/12 short point")
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    text = boards_as_text(session.plans(), Settings())
    # 60 + 3-1/2 × 7/12 = 62-1/24, shown to the sixteenth and marked as rounded.
    assert '≈62-1/16"' in text
    assert "(marks to the long points)" in text
    assert "say its section" in text


def test_too_long_for_any_board_is_said_and_the_rest_goes_on() -> None:
    made = only(plan(wanted(300, 40), [], Settings()))
    assert [each.row for each in made.too_long] == [1]
    assert made.pieces == 1
    assert made.waiting == {1: 1, 2: 1}


LENGTHS = st.lists(
    st.tuples(st.integers(4 * 16, 190 * 16), st.integers(1, 4)), min_size=1, max_size=12
)
LOTS = st.lists(
    st.tuples(st.integers(20 * 16, 192 * 16), st.integers(1, 3), st.booleans()), max_size=4
)


@settings(max_examples=80, deadline=None)
@given(
    LENGTHS,
    LOTS,
    st.sampled_from([F(1, 8), F(1, 16), F(0), F(3, 32)]),
    st.sampled_from([F(0), F(1, 4)]),
)
def test_every_plan_adds_up(
    lengths: list[tuple[int, int]], lots: list[tuple[int, int, bool]], kerf: F, trim: F
) -> None:
    crew = Settings(kerf=kerf, trim=trim)
    cuts = [
        Wanted(k, str(k), F(n, 16), count, STUD) for k, (n, count) in enumerate(lengths, start=1)
    ]
    rack = [
        Lot(str(k), k, STUD, F(n, 16), count, leftover=left)
        for k, (n, count, left) in enumerate(lots, start=1)
    ]
    made = only(plan(cuts, rack, crew))
    sound(made, crew)
    laid = [piece.row for board in made.boards for piece in board.pieces]
    for cut in cuts:
        assert laid.count(cut.row) == cut.count
    for lot in rack:
        assert sum(1 for board in made.boards if board.lot == lot) <= lot.count
    kept, waste = made.kept(crew.leftover), made.waste(crew.leftover)
    assert made.laid_inches == made.piece_inches + kept + waste
    assert waste >= 0


# --- nothing is lost


WIDE = Section(F(2), F(12))


def counts(made: SectionPlan) -> dict[int, int]:
    """Return how many pieces of each row are accounted for, laid or named."""
    found: Counter[int] = Counter(piece.row for board in made.boards for piece in board.pieces)
    for each in (*made.too_long, *made.unplaced):
        found[each.row] += each.count
    return dict(found)


def test_one_piece_too_many_for_the_long_boards_leaves_the_others_laid() -> None:
    cuts = [Wanted(1, "a", F(300), 2, WIDE), Wanted(2, "b", F(30), 10, WIDE)]
    made = only(plan(cuts, [Lot("x", 1, WIDE, F(312), 1)], Settings()))
    assert [(each.row, each.count) for each in made.unplaced] == [(1, 1)]
    assert made.too_long == ()
    assert made.pieces == 11
    assert sum(made.order.values()) > 0
    assert made.waiting[1] == 1


def test_where_the_yard_sends_no_long_ones_the_rest_is_laid() -> None:
    cuts = [Wanted(1, "a", F(230), 2, STUD), Wanted(2, "b", F(60), 3, STUD)]
    made = only(plan(cuts, [Lot("x", 1, STUD, F(240), 1)], Settings(longest=F(192))))
    assert [(each.row, each.count) for each in made.unplaced] == [(1, 1)]
    assert counts(made) == {1: 2, 2: 3}


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(20, 330), st.integers(1, 3)), min_size=1, max_size=6),
    st.lists(st.tuples(st.integers(30, 330), st.integers(1, 2)), max_size=4),
    st.sampled_from([F(96), F(192), F(288)]),
)
def test_every_piece_is_laid_or_named(
    lengths: list[tuple[int, int]], lots: list[tuple[int, int]], longest: F
) -> None:
    cuts = [Wanted(k, str(k), F(n), count, STUD) for k, (n, count) in enumerate(lengths, start=1)]
    rack = [Lot(str(k), k, STUD, F(n), count) for k, (n, count) in enumerate(lots, start=1)]
    made = only(plan(cuts, rack, Settings(longest=longest)))
    assert counts(made) == {cut.row: cut.count for cut in cuts}
    if made.boards:
        sound(made, Settings())
    longest_board = max([*(lot.inches for lot in rack), 12 * (longest // 24 * 2), F(0)])
    for each in made.too_long:
        assert each.inches > min(longest_board, longest) or each.inches > 288


# --- true costs


@pytest.mark.parametrize(
    ("piece", "boards", "taken"),
    [
        (F(24), (35, 25), 2),
        (F(341, 4), (95, F(171, 2), 88), 2),
        (F(341, 4), (F(341, 4), 86), 1),
    ],
)
def test_a_longer_board_is_not_cut_where_a_shorter_one_serves(
    piece: F, boards: tuple[F | int, ...], taken: int
) -> None:
    lots = [Lot(str(k), k, STUD, F(inches), 1) for k, inches in enumerate(boards, start=1)]
    made = only(plan(wanted(piece), lots, Settings()))
    assert [board.lot.number for board in made.boards if board.lot] == [taken]
    assert made.proven


def brute_cost(pieces: list[F], boards: list[tuple[F, int]], kerf: F) -> F | None:
    """Return the least weighted inches by trying every assignment of pieces to boards.

    Exact, and knows no solver.
    """
    best: F | None = None
    for choice in itertools.product(range(len(boards)), repeat=len(pieces)):
        cost = F(0)
        for k, (inches, weight) in enumerate(boards):
            here = [piece for piece, board in zip(pieces, choice, strict=True) if board == k]
            if here and sum(here) + (len(here) - 1) * kerf > inches:
                break
            cost += inches * weight if here else 0
        else:
            best = cost if best is None else min(best, cost)
    return best


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(14 * 16, 90 * 16), min_size=1, max_size=5),
    st.lists(st.tuples(st.integers(20 * 16, 130 * 16), st.booleans()), min_size=2, max_size=5),
)
def test_proven_best_is_said_of_the_exact_cost(
    pieces: list[int], boards: list[tuple[int, bool]]
) -> None:
    lots = [
        Lot(str(k), k, STUD, F(n, 16), 1, leftover=left) for k, (n, left) in enumerate(boards, 1)
    ]
    lengths = [F(n, 16) for n in pieces]
    best = brute_cost(lengths, [(lot.inches, 1 if lot.leftover else 2) for lot in lots], F(1, 8))
    if best is None:
        return  # the yard has to help: another test's matter
    made = only(plan(wanted(*lengths), lots, Settings()))
    cost = sum(
        board.inches * (16 if board.lot is None else 1 if board.lot.leftover else 2)
        for board in made.boards
    )
    assert made.proven
    assert cost == best


def test_pre_cut_studs_are_used_whole_first() -> None:
    # 92-5/8 in. is the pre-cut stud of an 8 ft wall (common practice).
    stud = F(741, 8)
    lots = [Lot("long", 1, STUD, F(192), 10), Lot("stud", 2, STUD, stud, 6)]
    crew = Settings(trim=F(1, 4))
    made = only(
        plan([Wanted(1, "s", stud, 6, STUD), Wanted(2, "b", F(29, 2), 7, STUD)], lots, crew)
    )
    whole = [board for board in made.boards if board.lot is not None and board.lot.number == 2]
    assert [[piece.inches for piece in board.pieces] for board in whole] == [[stud]] * 6
    assert all(board.left == 0 for board in whole)
    assert made.pull == {(1, F(192)): 1, (2, stud): 6}


def test_the_yard_sends_pre_cut_studs_where_it_sells_them() -> None:
    yard = Yard((Terms(STUD, precuts=(F(741, 8),)),))
    made = only(plan([Wanted(1, "s", F(741, 8), 10, STUD)], [], Settings(), yard))
    assert made.order == {F(741, 8): 10}
    other = only(plan([Wanted(1, "s", F(90), 10, STUD)], [], Settings(), yard))
    assert F(741, 8) not in other.order


def test_a_pre_cut_stud_is_bought_for_its_very_length_where_the_rack_has_another() -> None:
    # The block comes off the stud on the rack, and a new one is bought for the stud that is called.
    stud = F(741, 8)
    lots = [Lot("a", 1, STUD, stud, 1, leftover=True)]
    yard = Yard((Terms(STUD, (F(96), F(120)), precuts=(stud,)),))
    made = only(plan(wanted(stud, 60), lots, Settings(), yard))
    assert [(board.lot is None, board.pieces[0].inches) for board in made.boards] == [
        (False, 60),
        (True, stud),
    ]


def test_the_cheapest_boards_are_taken_where_prices_are_known() -> None:
    studs = [Wanted(1, "s", F(741, 8), 6, STUD)]
    lots = [Lot("a", 1, STUD, F(192), 10, F(20)), Lot("b", 2, STUD, F(96), 20, F(3))]
    paid = [(STUD, F(192), F(20)), (STUD, F(96), F(3))]
    made = only(plan(studs, lots, Settings(), prices=paid))
    assert made.by_price
    assert made.pull == {(2, F(96)): 6}  # 18.00; three of 16 ft are 60.00
    bought = only(
        plan(
            [replace(studs[0], count=10)],
            [],
            Settings(),
            prices=[(STUD, F(192), F(19, 2)), paid[1]],
        )
    )
    assert bought.order == {F(96): 10}  # 30.00; five of 16 ft are 47.50


def test_what_the_yard_sells_is_a_setting_of_the_section() -> None:
    joists = [Wanted(1, "j", F(107), 10, STUD)]
    assert only(plan(joists, [], Settings())).order == {F(120): 10}
    feet = (8, 10, 12, 14, 16, 18)
    yard = Yard((Terms(STUD, tuple(F(12 * each) for each in feet)),))
    assert only(plan(joists, [], Settings(), yard)).order == {F(216): 5}
    # One long joist brings one long board, and changes nothing for the others.
    long_too = only(plan([*joists, Wanted(2, "l", F(200), 1, STUD)], [], Settings()))
    assert long_too.order == {F(120): 10, F(216): 1}


def test_an_order_holds_spare_boards_and_the_fewest_the_yard_hands_out() -> None:
    yard = Yard(
        (Terms(STUD, (F(96),), prices=((F(96), F(4)),), minimum=5),), waste_allowance=F(1, 10)
    )
    made = only(plan([Wanted(1, "s", F(741, 8), 3, STUD)], [], Settings(), yard))
    order = order_of(made, Settings(), yard)
    assert [(line.needed, line.count, line.cost) for line in order.lines] == [(3, 5, F(20))]
    many = only(plan([Wanted(1, "s", F(741, 8), 21, STUD)], [], Settings(), yard))
    assert [line.count for line in order_of(many, Settings(), yard).lines] == [24]  # 23.1 up
    # Waste of 8 ft boards for 92-5/8: 3-3/8 of 96 in.
    assert order.waste == F(27, 8) / 96
    assert (order.boards, order.inches, order.pieces, order.cost) == (5, F(480), 3, F(20))


def test_a_board_missed_by_a_kerf_is_told() -> None:
    lot = [Lot("a", 1, STUD, F(96), 1)]
    made = only(plan(wanted(48, 48), lot, Settings()))
    assert [(near.row, near.by, near.board) for near in made.kerf_short] == [(2, F(1, 8), 0)]
    assert only(plan(wanted(48, F(383, 8)), lot, Settings())).kerf_short == ()
    assert only(plan(wanted(48, F(193, 4)), lot, Settings())).kerf_short == ()


def test_the_parts_of_a_board_with_a_bad_part_are_one_board_to_fetch() -> None:
    made = only(
        plan(wanted(39, 43), [Lot("a", 1, STUD, F(96), 1, bad=((F(40), F(52)),))], Settings())
    )
    assert len(made.boards) == 2
    assert made.fetched == 1
    assert made.pull == {(1, F(96)): 1}


def test_equal_boards_stand_together_and_their_settings_count_once() -> None:
    cuts = [Wanted(1, "a", F(60), 8, STUD), Wanted(2, "b", F(35), 8, STUD)]
    made = only(plan(cuts, [], Settings(longest=F(96))))
    looks = [tuple(piece.inches for piece in board.pieces) for board in made.boards]
    assert len(set(looks)) == len(list(itertools.groupby(looks)))
    # Set by hand on the plan: 60 and 35 on eight boards of 8 ft are two settings, not sixteen.
    assert set(looks) == {(60, 35)}
    assert made.settings == 2


def test_odd_denominators_fit_exactly() -> None:
    # Nine thirds of 10-2/3 are 96 in. to the last; a blade of no width leaves nothing.
    made = only(
        plan(
            [Wanted(1, "a", F(32, 3), 9, STUD)], [Lot("a", 1, STUD, F(96), 1)], Settings(kerf=F(0))
        )
    )
    assert not made.order
    assert made.boards[0].left == 0


MM = F(5, 127)
"""A millimetre in inches: an inch is 25.4 mm (international yard and pound, 1959)."""


@pytest.mark.parametrize("more", [0, 12])
def test_millimetres_beside_a_kerf_in_inches_lose_no_board(more: int) -> None:
    # 2400 mm is its board's very length, whatever else is rounded.
    lengths = [2400 * MM, *(F(20) + 97 * k * MM for k in range(more))]
    lots = [Lot(f"l{k}", k, STUD, inches, 1) for k, inches in enumerate(lengths, start=1)]
    made = only(plan(wanted(*lengths), lots, Settings()))
    assert {(board.inches, board.pieces[0].inches) for board in made.boards} >= {
        (2400 * MM, 2400 * MM)
    }
    assert not made.order
    assert not made.unplaced


@pytest.mark.parametrize("more", [0, 12])
@pytest.mark.parametrize("pair", [(700, 812), (355, 1204), (999, 1000)])
def test_nothing_is_called_best_that_rounding_alone_made_so(
    more: int, pair: tuple[int, int]
) -> None:
    # Two pieces and a kerf are the left-over to a hair; every other piece has one of its own.
    crew = Settings()
    others = [(300 + 7 * k) * MM for k in range(more)]
    lengths = [pair[0] * MM, pair[1] * MM, *others]
    left = [sum(pair) * MM + crew.kerf, *others]
    lots = [
        Lot(f"l{k}", k, STUD, inches, 1, leftover=True) for k, inches in enumerate(left, start=1)
    ]
    made = only(plan(wanted(*lengths), lots, crew))
    cost = sum(board.inches * (16 if board.lot is None else 1) for board in made.boards)
    assert cost * (1 - made.over) <= sum(left)
    if not more:
        assert cost == sum(left)
        assert made.proven


def test_a_piece_as_long_as_its_board_is_laid_where_both_are_rounded() -> None:
    lengths = [2050 * MM, *(F(30) + F(k, 64) for k in range(13))]
    made = only(plan(wanted(*lengths), [Lot("a", 1, STUD, 2050 * MM, 1)], Settings(kerf=F(0))))
    assert made.pieces == len(lengths)
    assert not made.unplaced


def test_boards_are_known_by_their_items_once_others_are_left_out() -> None:
    boards = (PackedBoard(2, (1, 3, 3)), PackedBoard(0, (4,)))
    assert _renumbered(boards, [0, 2, 0, 5, 1]) == (
        PackedBoard(2, (0, 1, 1)),
        PackedBoard(0, (2,)),
    )
    assert _renumbered(None, [0]) is None


def test_the_board_with_the_longest_end_left_is_begun_last() -> None:
    lots = [
        Lot("a", 1, STUD, F(144), 5),
        Lot("b", 2, STUD, F(50), 1, leftover=True),
        Lot("c", 3, STUD, F(40), 1, leftover=True),
    ]
    half = F(144 - F(1, 8)) / 2
    made = only(plan(wanted(120, half, half, half, half, 30, 40), lots, Settings()))
    ends = [(board.lot.number, board.left) for board in made.boards if board.lot is not None]
    assert ends == [(3, 0), (2, 50 - 30 - F(1, 8)), (1, 0), (1, 0), (1, 144 - 120 - F(1, 8))]


@pytest.mark.parametrize(
    ("cost", "bound", "proven", "standing"),
    [
        (100, 100, True, "best"),
        (100, 100, False, "least board"),
        (100, 98, False, "open"),
        (98, 98, True, "open"),  # there is a better layout: these boards are not proven
    ],
)
def test_a_later_proof_is_of_the_boards_that_are_shown(
    cost: int, bound: int, proven: bool, standing: str
) -> None:
    shown = SectionPlan(STUD, (), proven=False, over=F(1, 10), cost=100, bound=90)
    later = SectionPlan(STUD, (), proven=proven, cost=cost, bound=bound)
    assert shown.proven_by(later).standing == standing
    assert shown.proven_by(later).boards == shown.boards


def test_a_better_layout_of_the_same_cuts_is_told_from_one_that_only_proves() -> None:
    made = only(plan(wanted(60, 60, 60), [], Settings()))
    worse = replace(made, cost=made.cost + 16, proven=False, over=F(1, 9))
    assert worse.proven_by(made).better == made
    assert worse.proven_by(made).boards == worse.boards
    assert worse.proven_by(worse).better is None
    assert made.proven_by(worse).better is None
    other = replace(made, unplaced=tuple(wanted(60)))
    assert worse.proven_by(other).better is None


def test_of_equal_boards_the_one_with_the_longest_piece_comes_first() -> None:
    """But for the last, whose end left is the longest, and among boards with as many stops to set."""
    lots = [Lot("a", 1, STUD, F(96), 4), Lot("b", 2, STUD, F(120), 3)]
    made = only(plan(wanted(55, 37, 49, 45, 61, 32, 80, 38, 71, 46, 66, 50), lots, Settings()))
    for lot in lots:
        longest = [
            max(piece.inches for piece in board.pieces)
            for board in made.boards
            if board.lot is not None and board.lot.number == lot.number
        ]
        assert len(longest) == 3
        assert longest[:-1] == sorted(longest[:-1], reverse=True)


@pytest.mark.parametrize("lengths", [(F(96),), (F(96), F(120))])
@pytest.mark.parametrize("studs", [0, 1, 3])
def test_a_piece_that_no_board_holds_takes_a_pre_cut_stud_and_none_of_the_studs_is_short_of_it(
    lengths: tuple[F, ...], studs: int
) -> None:
    """A stud from the mill is 104-5/8 (common practice); 8 ft boards hold no piece of 100."""
    stud = F(837, 8)
    yard = Yard((Terms(STUD, lengths, (stud,)),))
    made = only(plan(wanted(*[stud] * studs, 100, 40), [], Settings(), yard))
    assert not made.too_long
    assert not made.unplaced
    of = {piece.inches: board.inches for board in made.boards for piece in board.pieces}
    assert of[F(100)] == (F(120) if F(120) in lengths else stud)
    assert of.get(stud, stud) == stud
    needed = studs + (F(120) not in lengths)
    assert made.order.get(stud, 0) == needed
    # One that is longer than the stud waits.
    over = only(plan(wanted(stud + F(1, 16)), [], Settings(), yard))
    assert bool(over.too_long) is (F(120) not in lengths)


def test_no_more_studs_are_bought_than_pieces_need_them_however_cheap() -> None:
    """A stud for three and an 8 ft board for nine: pieces of 90 fit the board and take one."""
    stud = F(837, 8)
    sold = Terms(STUD, (F(96),), (stud,), ((F(96), F(9)), (stud, F(3))))
    made = only(plan(wanted(stud, stud, 90, 90), [], Settings(), Yard((sold,))))
    assert made.order == {F(96): 2, stud: 2}

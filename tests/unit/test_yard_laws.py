"""Laws of what is to be had and what it costs: lengths of the yard, terms, prices, orders, the rack."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from layouts import STUD, only

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.planning import (
    Lot,
    Terms,
    Wanted,
    Yard,
    plan,
)
from cutmemo.planning.order import order_of
from cutmemo.planning.stock import Source, costs, priced, sources
from cutmemo.planning.yard import LONGER_LENGTHS, USUAL_LENGTHS, offers

CREW = Settings()
SIXTEENTH = F(1, 16)


def _offered(
    pieces: list[tuple[F | int, int, bool]], yard: Yard | None = None, **more: F
) -> dict[F, int | None]:
    found = offers(
        yard or Yard(),
        STUD,
        [(F(inches), count, square) for inches, count, square in pieces],
        more.get("trim", F(0)),
        more.get("longest", F(288)),
    )
    return {each.inches: each.available for each in found}


def test_the_yard_has_the_usual_lengths_and_longer_ones_for_pieces_that_need_them() -> None:
    # Common practice: 2 ft steps, 8 to 16 ft usual, to 24 ft.
    usual = dict.fromkeys(USUAL_LENGTHS)
    assert _offered([(192, 3, True)]) == usual
    assert _offered([(192 + SIXTEENTH, 3, True)]) == {**usual, LONGER_LENGTHS[0]: 3}
    assert _offered([(216, 3, True), (240, 2, True)]) == {**usual, F(216): 3, F(240): 2}
    assert _offered([(288, 1, True)]) == {**usual, F(288): 1}
    assert _offered([(289, 1, True)]) == usual
    assert _offered([(192, 3, True)], trim=F(1, 2)) == {**usual, F(216): 3}
    assert _offered([(F(383, 2), 3, True)], trim=F(1, 2)) == usual
    assert _offered([(216, 2, True)], longest=F(215)) == usual
    assert _offered([(216, 2, True)], longest=F(216)) == {**usual, F(216): 2}
    assert _offered([(216, 2, True)], longest=F(144)) == {F(96): None, F(120): None, F(144): None}


def test_pre_cut_studs_are_offered_for_square_pieces_of_their_very_length() -> None:
    stud = F(741, 8)
    sold = Yard((Terms(STUD, precuts=(stud,)),))
    assert _offered([(stud, 4, True)], sold)[stud] == 4
    assert stud not in _offered([(stud, 4, False)], sold)
    assert stud not in _offered([(stud - SIXTEENTH, 4, True)], sold)
    assert stud not in _offered([(stud, 4, True)])
    by_price = Yard((Terms(STUD, prices=((stud, F(4)), (F(96), F(5)))),))
    assert _offered([(stud, 4, True)], by_price)[stud] == 4
    assert stud not in _offered([(stud, 4, True)], sold, longest=F(90))


def test_terms_of_a_section_take_the_place_of_the_usual() -> None:
    terms = Terms(STUD, (F(100), F(300)), minimum=5)
    yard = Yard((Terms(None), terms))
    assert _offered([(50, 1, True), (200, 1, True)], yard) == {F(100): None}
    assert yard.of(STUD) == terms
    assert yard.of(Section(F(2), F(6))) == Terms(Section(F(2), F(6)))
    assert yard.with_terms(Terms(STUD)).of(STUD) == Terms(STUD)
    assert len(yard.with_terms(Terms(STUD)).terms) == 2


def test_the_last_price_said_counts_and_the_yards_own_before_it() -> None:
    known = [(STUD, F(96), F(3)), (STUD, F(96), F(2)), (None, F(120), F(9)), (STUD, F(144), F(6))]
    yard = Yard((Terms(STUD, (F(96), F(120), F(144)), prices=((F(144), F(7)),)),))
    found = offers(yard, STUD, [(F(50), 1, True)], F(0), F(288), known)
    assert {each.inches: each.price for each in found} == {F(96): 3, F(120): None, F(144): 7}


@pytest.mark.parametrize(
    "needed, allowance, minimum, count",
    [
        (10, F(0), 1, 10),
        (10, F(1, 10), 1, 11),
        (11, F(1, 10), 1, 13),
        (3, F(0), 4, 4),
        (4, F(0), 4, 4),
        (5, F(0), 4, 5),
        (1, F(1, 100), 1, 2),
    ],
)
def test_an_order_is_rounded_up_and_no_less_than_the_yard_hands_out(
    needed: int, allowance: F, minimum: int, count: int
) -> None:
    yard = Yard((Terms(STUD, (F(96),), minimum=minimum),), waste_allowance=allowance)
    made = only(plan([Wanted(1, "r", F(90), needed, STUD)], [], CREW, yard))
    order = order_of(made, CREW, yard, [(STUD, F(96), F(3)), (STUD, F(96), F(2))])
    (line,) = order.lines
    assert [line.needed, line.count, line.price, line.cost] == [needed, count, 3, 3 * count]
    assert [order.boards, order.inches, order.cost, order.pieces] == [
        count,
        96 * count,
        3 * count,
        needed,
    ]
    # 96 less 90, less a kerf: too short to keep, so all of it is waste. A 2x4 has 2/3 board foot a foot (common practice).
    assert order.waste == F(6, 96)
    assert order.board_feet == F(96 * count, 12) * F(2, 3)


def test_the_waste_of_an_order_is_what_is_neither_piece_nor_kept() -> None:
    yard = Yard((Terms(STUD, (F(96),)),))
    for inches in (96 - CREW.leftover - CREW.kerf, 96 - CREW.leftover - CREW.kerf + SIXTEENTH):
        made = only(plan([Wanted(1, "r", inches, 1, STUD)], [], CREW, yard))
        left = 96 - inches - CREW.kerf
        used = inches + (left if left >= CREW.leftover else 0)
        assert order_of(made, CREW, yard).waste == 1 - used / 96
    assert order_of(made, CREW, yard).cost is None


def test_boards_are_chosen_by_price_only_where_enough_prices_are_known() -> None:
    def source(
        inches: int, price: int | None, lot: Lot | None = None, exact: bool = False
    ) -> Source:
        return Source(
            lot, F(0), F(inches), None, F(0), None if price is None else F(price), exact=exact
        )

    two = [source(96, 4), source(120, 6)]
    assert priced(two, F(96)) == two
    assert priced([source(96, 4)], F(50)) == [source(96, 4)]
    assert priced([source(96, None), source(120, None)], F(50)) is None
    one_of_two = [source(96, 4), source(120, None)]
    assert priced(one_of_two, F(50)) is None
    two_of_three = [*two, source(144, None)]
    assert priced(two_of_three, F(120)) == two
    assert priced(two_of_three, 120 + SIXTEENTH) is None
    with_stud = [source(93, 3, exact=True), source(96, 4), source(120, None)]
    assert priced(with_stud, F(50)) is None
    lot = Lot("a", 1, STUD, F(100), 2)
    # A board on the rack without a price is there: it has the lowest price an inch, 4 for 96, too.
    assert priced([*two, source(100, None, lot)], F(50)) == [
        *two,
        replace(source(100, None, lot), price=F(100 * 4, 96)),
    ]
    assert priced([*two, source(100, 5, lot)], F(50)) == [*two, source(100, 5, lot)]
    # A left-over has its share of the lowest price an inch: 4 for 96.
    rest = Lot("b", 2, STUD, F(48), 1, leftover=True)
    found = priced([*two, source(48, None, rest)], F(50))
    assert found is not None
    assert found[-1].price == 2
    assert costs(found, True) == [64 * 1, 96 * 1, 2 * 1]
    assert costs([source(96, 4), source(120, 6), source(48, None, rest)], False) == [
        96 * 16,
        120 * 16,
        48,
    ]
    halves = [source(96, None), replace(source(100, None, lot), inches=F(193, 2))]
    assert costs(halves, False) == [96 * 16, 193]


def test_what_is_on_the_rack_is_a_source_where_a_piece_fits() -> None:
    lots = [
        Lot("a", 1, STUD, F(96), 2, price=F(5)),
        Lot("b", 2, STUD, F(40), 1, leftover=True),
        Lot("c", 3, STUD, F(120), 1, price=F(6), bad=((F(50), F(60)),)),
        Lot("d", 4, STUD, F(741, 8), 3),
    ]
    crew = Settings(trim=F(1, 4))
    found = sources(lots, [], offers(Yard(), STUD, [], crew.trim, F(96)), F(50), crew, Yard())
    seen: list[object] = [
        (s.lot.id if s.lot else "", s.start, s.inches, s.trim, s.price) for s in found
    ]
    assert seen == [
        ("a", 0, 96, F(1, 4), 5),
        ("c", 0, 50, F(1, 4), None),
        ("c", 60, 60, F(1, 4), None),
        ("d", 0, F(741, 8), 0, None),
        ("", 0, 96, F(1, 4), None),
    ]
    assert [s.weight for s in found] == [2, 2, 2, 2, 16]
    short = sources(lots, [], [], F(40), crew, Yard())
    seen = [(s.lot.id, s.trim, s.weight) for s in short if s.lot and s.lot.leftover]
    assert seen == [("b", 0, 1)]

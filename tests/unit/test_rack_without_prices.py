"""Boards on the rack without a price: they are used first, and what is bought beside them is the cheapest."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import product

import pytest

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.planning import Lot, Wanted, plan
from cutmemo.planning.order import order_of
from cutmemo.planning.yard import Terms, Yard

STUD = Section(F(2), F(4))
CREW = Settings(kerf=F(1, 8), trim=F(0))
PRICES = ((F(96), F(7, 2)), (F(120), F(5)), (F(144), F(6)), (F(192), F(12)))
YARD = Yard((Terms(STUD, prices=PRICES),))


def cheapest(pieces: int, inches: int) -> F:
    """Return the least that boards for so many equal pieces cost, by trying every number of each length."""
    holds = [(length + CREW.kerf) // (inches + CREW.kerf) for length, _ in PRICES]
    most = [-(-pieces // max(each, 1)) if each else 0 for each in holds]
    return min(
        sum((n * price for n, (_, price) in zip(numbers, PRICES, strict=True)), F(0))
        for numbers in product(*(range(each + 1) for each in most))
        if sum(n * each for n, each in zip(numbers, holds, strict=True)) >= pieces
    )


@pytest.mark.parametrize("price", [None, F(4)])
@pytest.mark.parametrize("bad", [(), ((F(50), F(60)),)])
@pytest.mark.parametrize(("pieces", "inches"), [(9, 47), (7, 90), (11, 39), (5, 62)])
def test_what_is_bought_beside_the_rack_is_the_cheapest(
    pieces: int, inches: int, bad: tuple[tuple[F, F], ...], price: F | None
) -> None:
    lot = Lot("a", 1, STUD, F(108), 1, price=price, bad=bad)
    (made,) = plan([Wanted(1, "row", F(inches), pieces, STUD)], [lot], CREW, YARD)
    from_rack = sum(len(each.pieces) for each in made.boards if each.lot is not None)
    parts = [F(50), F(48)] if bad else [F(108)]
    assert from_rack == sum((each + CREW.kerf) // (inches + CREW.kerf) for each in parts)
    assert made.by_price
    assert order_of(made, CREW, YARD).cost == cheapest(pieces - from_rack, inches)

"""Laws of floors and decks: holes, rims, the last deck board."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import pairwise

import pytest
from sets_told import (
    THICK,
    K,
    floor,
    frame,
    hole,
    row,
    told,
)

from cutmemo.domain.cut import Section
from cutmemo.framing import (
    DeckSpec,
    FloorSpec,
)


def test_headers_and_tails_stand_on_each_side_that_has_room() -> None:
    # By coordinates: rim 1-1/2, doubled header 3; a hole at a rim has none on that side.
    inside = 168 - 3
    for across, near, far in (
        (THICK, None, F(102)),
        (F(9, 2), F(0), F(99)),
        (F(24), F(39, 2), F(159, 2)),
        (F(207, 2), F(99), F(0)),
        (F(213, 2), F(102), None),
    ):
        found = frame(floor(hole(60, across)))
        headers = sorted(p.bottom for p in found.layout if p.piece == "header")
        expected = [] if near is None else [across - 3, across - THICK]
        expected += [] if far is None else [across + 60, across + 60 + THICK]
        assert headers == expected
        tails = {
            (p.bottom, p.height) for p in found.layout if p.piece == "joist" and p.height < inside
        }
        assert tails == {
            (bottom, room) for bottom, room in ((THICK, near), (across + 63, far)) if room
        }
        assert all(
            (p.left, p.right) == (F(60), F(100)) for p in found.layout if p.piece == "header"
        )
        stand = [p.left for p in found.layout if p.piece == "joist" and p.height < inside]
        assert all(60 <= left <= 100 - THICK for left in stand)


def test_joists_beside_a_hole_are_doubled_and_stand_in_for_an_end_joist() -> None:
    full = [p.left for p in frame(floor(hole(3))).layout if p.piece == "joist" and p.height == 165]
    assert full[:2] == [0, THICK]
    assert {43, F(89, 2)} <= {*full}
    assert len(full) == len({*full})
    far = [p.left for p in frame(floor(hole(245))).layout if p.piece == "joist" and p.height == 165]
    assert far[-2:] == [285, F(573, 2)]


def test_rims_are_joined_over_joists_and_none_is_longer_than_a_board() -> None:
    found = frame(floor(length=400), F(192))
    middles = {p.left + p.width / 2 for p in found.layout if p.piece == "joist"}
    for bottom in (0, 168 - THICK):
        rims = [p for p in row(found, "rim") if p.bottom == bottom]
        assert (rims[0].left, rims[-1].right) == (F(0), F(400))
        assert all(p.width <= 192 for p in rims)
        assert all(one.right == two.left and one.right in middles for one, two in pairwise(rims))


# Number × board and the gaps between them reach the span; what is over is ripped off the last one.
@pytest.mark.parametrize(
    "span, board, gap, number, last",
    [
        (F(11, 2), F(11, 2), F(1, 8), 1, F(11, 2)),
        (F(89, 8), F(11, 2), F(1, 8), 2, F(11, 2)),
        (F(90, 8), F(11, 2), F(1, 8), 2, F(11, 2)),
        (F(91, 8), F(11, 2), F(1, 8), 3, F(1, 8)),
        (F(12), F(4), F(0), 3, F(4)),
        (F(13), F(4), F(0), 4, F(1)),
    ],
)
def test_the_last_deck_board_is_ripped_to_what_is_left(
    span: F, board: F, gap: F, number: int, last: F
) -> None:
    found = frame(DeckSpec(F(240), span, board=board, gap=gap), F(144))
    (boards,) = told(found, K.DECK_BOARDS)
    assert boards == {"number": number, "board": board, "gap": gap, "last": last}
    laid = [cut for cut in found.cuts if cut.piece == "deck board"]
    assert sum(cut.length.inches * cut.count for cut in laid) == number * 240
    assert all(cut.length.inches <= 144 and cut.count % number == 0 for cut in laid)
    names = [p.piece for p in found.layout if p.piece in ("ledger", "rim")]
    assert names.count("ledger") == names.count("rim")
    assert {p.bottom for p in found.layout if p.piece == "ledger"} == {0}
    assert {p.bottom for p in found.layout if p.piece == "rim"} == {span - THICK}


def test_lumber_without_a_standard_size_is_an_inch_and_a_half_thick() -> None:
    # Common practice; what has one is as thick as that is dressed.
    for section, thick in ((Section(material="LVL"), THICK), (Section(F(4), F(10)), F(7, 2))):
        found = frame(FloorSpec(F(288), F(168), section=section))
        assert {p.width for p in found.layout if p.piece == "joist"} == {thick}
        assert {p.height for p in found.layout if p.piece == "joist"} == {168 - 2 * thick}

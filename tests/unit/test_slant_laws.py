"""Laws of slanted ends: what a kerf takes beside them, and which pieces lie into each other."""

from __future__ import annotations

import math
from fractions import Fraction as F

import pytest
from layouts import STUD, wanted

from cutmemo.domain.cut import SQUARE, Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.planning import (
    Wanted,
    wanted_of,
)
from cutmemo.planning.ends import Shape, Slant, shape_of, slant
from cutmemo.planning.model import MAX_FAMILIES, modelled
from cutmemo.planning.stock import Source

CREW = Settings()


@pytest.mark.parametrize("miter", [0, 22.5, 30, 45])
@pytest.mark.parametrize("bevel", [0, 15, 30, 45])
def test_a_kerf_takes_its_width_square_to_the_plane_of_the_cut(miter: float, bevel: float) -> None:
    """The cut's plane as a vector: x less across × y less through × z; a kerf lies square to it."""
    end = End("angled", miter=F(miter) if miter else None, bevel=F(bevel) if bevel else None)
    across = math.tan(math.radians(miter))
    # The bevel tilts the blade about the line on the face, which is longer by the miter's secant.
    through = math.tan(math.radians(bevel)) / math.cos(math.radians(miter))
    found = slant(end)
    assert float(found.across) == pytest.approx(across, abs=2e-6)
    assert float(found.through) == pytest.approx(through, abs=2e-6)
    normal = (1.0, -across, -through)
    assert float(found.kerf_factor()) == pytest.approx(math.hypot(*normal), abs=3e-6)
    assert float(found.kerf_factor()) >= math.hypot(*normal) - 1e-9
    assert found.shares is not bool(miter and bevel)
    if miter == 0 and bevel:
        # One angle alone: the kerf over its cosine, as with any slanted slice.
        assert float(found.kerf_factor()) == pytest.approx(
            1 / math.cos(math.radians(bevel)), abs=3e-6
        )
    long = float(found.run((F(3, 2), F(11, 2))))
    assert long == pytest.approx(5.5 * across + 1.5 * through, abs=2e-5)


def _shaped(inches: F | int, miter: float, count: int, row: int) -> Wanted:
    end = End("angled", miter=F(miter), point="long")
    cut = Cut(Length(F(inches)), count, section=Section(F(2), F(6)), ends=(end, end))
    return wanted_of(row, f"r{row}", cut, count, CREW)


def test_the_most_frequent_shapes_that_can_nest_are_nested() -> None:
    """Pieces too short for their slants never nest, however many: they take no other shape's place."""
    short = [_shaped(6, 45, 50, 1)]
    assert short[0].shape is not None
    assert short[0].inches < short[0].shape.shared(0) + short[0].shape.shared(1)
    angles = (10, 15, 20, 25, 30, 35, 40)
    long = [_shaped(40, angle, 5 + k, 2 + k) for k, angle in enumerate(angles)]
    assert len(long) == MAX_FAMILIES + 1
    yard = [Source(None, F(0), F(144), None)]
    model = modelled(yard, [*short, *long], False, CREW)
    nested = {
        rows[0].row
        for item, rows in zip(model.problem.items, model.rows, strict=True)
        if item.family is not None
    }
    assert nested == {3, 4, 5, 6, 7, 8}
    assert model.relaxed is not None
    single = modelled(yard, [_shaped(40, 30, 1, 1), *wanted(30)], False, CREW)
    assert all(item.family is None for item in single.problem.items)
    square = modelled(yard, wanted(30, 40), False, CREW)
    assert square.relaxed is None
    assert square.problem.charges == ()


def test_a_piece_nests_only_where_its_slants_do_not_cross() -> None:
    section = (F(3, 2), F(11, 2))
    one = Slant(across=F(1))
    shape = Shape((one, one), section)
    room = shape.shared(0) + shape.shared(1)
    yard = [Source(None, F(0), F(144), None)]
    for inches, nests in ((room, True), (room - F(1, 64), False)):
        piece = Wanted(1, "r", inches, 4, STUD, shape=shape)
        (item,) = modelled(yard, [piece], False, CREW).problem.items
        assert (item.family is not None) is nests


def test_shapes_are_one_whichever_end_comes_first() -> None:
    one, other = End("angled", miter=F(30), point="long"), End("angled", miter=F(45), point="long")
    section = Section(F(2), F(6))

    def shape(*ends: End) -> Shape | None:
        return shape_of(Cut(Length(F(40)), section=section, ends=(ends[0], ends[1])))

    assert shape(one, other) == shape(other, one) != shape(one, one)
    assert shape(SQUARE, SQUARE) is None
    assert shape(SQUARE, one) == shape(one, SQUARE) is not None
    assert shape_of(Cut(Length(F(40)), ends=(one, one))) is None  # no section, no width

"""Members on centres, gap by gap over a whole spacing in quarter inches: on every mark, tight only where they must be."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction as F
from itertools import pairwise, product

import pytest

from cutmemo.framing.centres import SHEETS, between, fit, marks_near, sheets
from cutmemo.framing.remarks import MeasureError, RemarkKind

THICK = F(3, 2)
SPACING = F(16)
QUARTER = F(1, 4)


def _faults(left: F, right: F, members: list[F]) -> Iterator[str]:
    """Yield what is wrong with *members* between solid wood; each is named by its near edge."""
    if members and (members[0] < left or members[-1] + THICK > right):
        yield "outside"
    walls = [left - THICK, *members, right]
    for one, two in pairwise(walls):
        if two - one < THICK:
            yield f"in one place at {two}"
        if two - one > SPACING:
            yield f"a spacing of {two - one}"
    marks = [mark for n in range(8) if left < (mark := n * SPACING) < right]
    for mark in marks:
        if not any(edge <= mark <= edge + THICK for edge in members):
            yield f"the mark {mark} in the air"


@pytest.mark.parametrize("left", [F(n, 4) for n in range(64)], ids=str)
def test_every_mark_has_its_member_and_none_stands_that_is_not_needed(left: F) -> None:
    for n in range(6, 90):
        right = left + n * QUARTER
        members = between(left, right, SPACING, THICK)
        assert members == sorted(members)
        assert not [*_faults(left, right, members)]
        on_marks = [
            edge
            for k in range(8)
            if left <= (edge := k * SPACING - THICK / 2) and edge + THICK <= right
        ]
        assert {*on_marks} <= {*members}
        for edge in {*members} - {*on_marks}:
            assert edge in (left, right - THICK)
            assert [*_faults(left, right, [each for each in members if each != edge])]


@pytest.mark.parametrize("spacing", [F(25, 16), F(2), F(5, 2), F(3), F(13, 4)], ids=str)
def test_members_hardly_apart_do_not_stand_in_one_place(spacing: F) -> None:
    for begin, n in product(range(8), range(60)):
        left, right = begin * QUARTER, (begin + n) * QUARTER
        members = between(left, right, spacing, THICK)
        edges = [left - THICK, *members, right]
        assert all(two - one >= THICK for one, two in pairwise(edges)) or n * QUARTER < THICK
        for k in range(12):
            edge = k * spacing - THICK / 2
            assert (edge in members) or edge < left or edge + THICK > right


def test_a_gap_narrower_than_a_member_stays_empty() -> None:
    for n in range(64):
        for width in (F(0), QUARTER, THICK - QUARTER):
            assert not between(n * QUARTER, n * QUARTER + width, SPACING, THICK)


def test_marks_at_both_ends_of_a_stretch_are_in_it() -> None:
    assert marks_near(F(16), F(48), SPACING) == [16, 32, 48]
    assert marks_near(F(16) + QUARTER, F(48) - QUARTER, SPACING) == [32]
    assert marks_near(F(17), F(31), SPACING) == []
    assert marks_near(F(-1), F(1), SPACING) == [0]


def test_members_that_just_have_room_between_them() -> None:
    fit(THICK + QUARTER, THICK)
    with pytest.raises(MeasureError) as close:
        fit(THICK, THICK)
    assert dict(close.value.problem.values) == {"spacing": THICK, "thick": THICK}


MM = F(10, 254)


# Sheets are 4 by 8 ft or 1200 by 2400 mm (common practice): which of their sides is whole spacings?
@pytest.mark.parametrize(
    ("spacing", "upright", "across", "size"),
    [
        (F(12), None, None, None),
        (F(16), None, None, None),
        (F(24), None, None, None),
        (F(48), None, None, None),
        (F(96, 5), RemarkKind.SHEETS_ACROSS, None, (48, 96)),
        (F(32), RemarkKind.SHEETS_ACROSS, None, (48, 96)),
        (F(18), RemarkKind.SHEETS_NEVER, RemarkKind.SHEETS_NEVER, (48, 96)),
        (F(20), RemarkKind.SHEETS_NEVER, RemarkKind.SHEETS_NEVER, (48, 96)),
        (400 * MM, None, None, None),
        (600 * MM, None, None, None),
        (480 * MM, RemarkKind.SHEETS_ACROSS, None, (1200 * MM, 2400 * MM)),
        (500 * MM, RemarkKind.SHEETS_NEVER, RemarkKind.SHEETS_NEVER, (1200 * MM, 2400 * MM)),
        # Whole millimetres and sixty-fourths of an inch both: inches were said (127 mm are 5 in.).
        (F(35), RemarkKind.SHEETS_NEVER, RemarkKind.SHEETS_NEVER, (48, 96)),
        (F(1, 3) * 50, RemarkKind.SHEETS_NEVER, RemarkKind.SHEETS_NEVER, (48, 96)),
    ],
)
def test_sheets_that_do_not_end_on_marks_are_told_in_the_sizes_of_the_crew(
    spacing: F,
    upright: RemarkKind | None,
    across: RemarkKind | None,
    size: tuple[F, F] | None,
) -> None:
    assert SHEETS == ((48, 96), (1200 * MM, 2400 * MM))
    for kind, laid_across in ((upright, False), (across, True)):
        told = [(each.kind, dict(each.values)) for each in sheets(spacing, across=laid_across)]
        expected = {"spacing": spacing} | (
            {} if size is None else {"short": size[0], "long": size[1]}
        )
        assert told == ([] if kind is None else [(kind, expected)])

"""What the tests of boards share: cuts to lay out, and the marks of a layout summed up anew."""

from __future__ import annotations

from fractions import Fraction as F

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.planning import SectionPlan, Wanted

STUD = Section(F(2), F(4))


def wanted(*lengths: F | int, section: Section = STUD) -> list[Wanted]:
    return [
        Wanted(k, f"row{k}", F(inches), 1, section) for k, inches in enumerate(lengths, start=1)
    ]


def only(plans: list[SectionPlan]) -> SectionPlan:
    assert len(plans) == 1
    return plans[0]


def sound(made: SectionPlan, crew: Settings) -> None:
    """Every board is summed up anew, from its marks."""
    for board in made.boards:
        at = F(0) if board.lot is not None and board.lot.leftover else crew.trim
        for piece in board.pieces:
            assert piece.start == at
            at = piece.end + crew.kerf
        assert board.pieces[-1].end <= board.inches
        assert board.left == max(board.inches - at, 0)

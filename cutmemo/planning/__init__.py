"""The rack, the layout of cuts onto its boards, and what the yard has to bring."""

from cutmemo.planning.begun import (
    Sawn,
    board_called,
    called,
    printed,
    sawn_off,
    with_printed,
    with_released,
    with_sawn,
)
from cutmemo.planning.ends import long_point, shape_of
from cutmemo.planning.kept import BoardPlan, KeptPiece, breaches, keep
from cutmemo.planning.layout import Board, KerfShort, Piece, SectionPlan
from cutmemo.planning.plan import plan
from cutmemo.planning.rack import Lot, Rack
from cutmemo.planning.wanted import Wanted, wanted_of
from cutmemo.planning.yard import Terms, Yard

__all__ = [
    "Board",
    "BoardPlan",
    "KeptPiece",
    "KerfShort",
    "Lot",
    "Piece",
    "Rack",
    "Sawn",
    "SectionPlan",
    "Terms",
    "Wanted",
    "Yard",
    "board_called",
    "breaches",
    "called",
    "keep",
    "long_point",
    "plan",
    "printed",
    "sawn_off",
    "shape_of",
    "wanted_of",
    "with_printed",
    "with_released",
    "with_sawn",
]

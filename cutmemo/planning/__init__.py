"""The rack, the layout of cuts onto its boards, and what the yard has to bring."""

from cutmemo.planning.plan import Board, Piece, SectionPlan, Wanted, plan
from cutmemo.planning.rack import Lot, Rack

__all__ = ["Board", "Lot", "Piece", "Rack", "SectionPlan", "Wanted", "plan"]

"""What a load between two sites holds: pieces that are cut, or boards."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from cutmemo.domain.cut import Cut, Section
from cutmemo.memo.limits import check_boards, check_cut


class SentPieces(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag="pieces"):
    """Pieces of a row that are cut, on a truck."""

    row: str
    cut: Cut
    """As what they were cut; its count is how many are sent."""

    def __post_init__(self) -> None:
        """Refuse a cut that cannot be."""
        check_cut(self.cut)

    @property
    def count(self) -> int:
        """Return how many are sent."""
        return self.cut.count


class SentBoards(
    msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True, tag="boards"
):
    """Boards of one lot, or a left-over, on a truck."""

    lot: str
    section: Section | None
    inches: Fraction
    count: int = 1
    price: Fraction | None = None
    bad: tuple[tuple[Fraction, Fraction], ...] = ()
    leftover: bool = False

    def __post_init__(self) -> None:
        """Refuse boards that no rack holds."""
        check_boards(self.section, self.inches, self.count, self.price, self.bad)
        if not self.count:
            raise ValueError("a load of no boards cannot be")


Goods = SentPieces | SentBoards

"""A section's cuts on boards.

Which board, in which order, at which marks, and what has to be bought.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from typing import Literal

from cutmemo.domain.cut import Section
from cutmemo.planning.rack import Lot
from cutmemo.planning.wanted import Measure, Wanted

Breach = Literal["row gone", "row changed", "board gone"]
"""Why a printed board does not hold: its row was struck, cut elsewhere or asks; its row has another
length; its board is not on the rack, or not as it was.
"""
Standing = Literal["best", "least board", "open"]
"""What is proven: that nothing costs less and takes fewer boards; that nothing costs less.

Or neither.
"""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece on a board."""

    row: int
    row_id: str
    inches: Fraction
    """Between its long points."""
    start: Fraction
    """Its first mark, from the end of the board; the second is a piece further."""
    label: str = ""
    setting: str = ""
    shares: bool = False
    """True where it starts at the cut that ended the piece before: their slants meet."""
    measure: Measure = "as called"

    @property
    def end(self) -> Fraction:
        """Return the mark to cut at."""
        return self.start + self.inches


@dataclass(frozen=True, slots=True)
class Board:
    """One board, or one sound stretch of it, with its pieces in saw order."""

    lot: Lot | None
    """``None`` for one that has to be bought."""
    start: Fraction
    """Where the sound stretch begins."""
    inches: Fraction
    pieces: tuple[Piece, ...]
    left: Fraction
    """What is over after the last cut."""
    kept: str = ""
    """The id of the plan this board keeps, where it was begun or printed."""
    begun: bool = False
    """True where some of it was cut off already."""
    fetch: int = 0
    """Stretches of one board have the same number."""
    place: int = 0
    """Its number on the page it was printed on; 0 where it is on none."""
    number: int = 0
    """What it is called in the plan of its section: its place on the page, or the next number."""


@dataclass(frozen=True, slots=True)
class KerfShort:
    """A piece that misses a board by no more than a kerf, and so takes another."""

    row: int
    inches: Fraction
    """The piece."""
    by: Fraction
    """What is missing."""
    board: int
    """The place of the board in the plan, from 0."""


@dataclass(frozen=True, slots=True)
class SectionPlan:
    """All cuts of one section."""

    section: Section | None
    boards: tuple[Board, ...]
    too_long: tuple[Wanted, ...] = ()
    """Longer than any board at hand or at the yard."""
    proven: bool = True
    over: Fraction = Fraction(0)
    """What part of its cost the best layout may save at most; 0 where the cost is proven."""
    unplaced: tuple[Wanted, ...] = ()
    """Pieces that only boards of the rack are long enough for, of which there are too few."""
    by_price: bool = False
    """True where boards were chosen by what they cost, false where by their length."""
    kerf_short: tuple[KerfShort, ...] = ()
    cost: int = 0
    """Of the boards that are not kept whole, in the units of its problem."""
    bound: int = 0
    """No layout costs less, in the same units."""
    better: SectionPlan | None = None
    """A better layout of the same cuts that a longer search found, or ``None``."""
    breach: tuple[int, Breach] | None = None
    """From which board on the printed page no longer holds, and why; ``None`` where it does."""

    @property
    def standing(self) -> Standing:
        """Return what is proven of the layout."""
        return "best" if self.proven else "open" if self.over else "least board"

    def beats(self, other: SectionPlan) -> bool:
        """Return whether this is a better layout than *other* of the same cuts."""
        same = (self.too_long, self.unplaced, self.by_price) == (
            other.too_long,
            other.unplaced,
            other.by_price,
        )
        return same and (self.cost, self.fetched) < (other.cost, other.fetched)

    def proven_by(self, other: SectionPlan) -> SectionPlan:
        """Return the same boards, with what *other*, a plan of the same cuts, proves of them or betters."""  # noqa: E501 - one sentence
        over = max(Fraction(self.cost - other.bound, self.cost), Fraction(0)) if self.cost else 0
        same = (self.cost, self.fetched) == (other.cost, other.fetched)
        proven = self.proven or (other.proven and same)
        better = other if other.beats(self) else None
        return replace(self, over=min(self.over, Fraction(over)), proven=proven, better=better)

    @property
    def order(self) -> dict[Fraction, int]:
        """Return what has to be bought: how many of which length in inches."""
        return dict(
            sorted(Counter(board.inches for board in self.boards if board.lot is None).items())
        )

    @property
    def pull(self) -> dict[tuple[int, Fraction], int]:
        """Return what is to be fetched from the rack.

        How many boards of which lot's number and length.
        """
        fetched = {
            board.fetch: (board.lot.number, board.lot.inches)
            for board in self.boards
            if board.lot is not None and not board.begun
        }
        return dict(sorted(Counter(fetched.values()).items()))

    @property
    def fetched(self) -> int:
        """Return how many boards there are; the stretches of one board count once."""
        return len({board.fetch for board in self.boards})

    @property
    def waiting(self) -> dict[int, int]:
        """Return how many pieces of which row wait for boards that are not here."""
        rows = Counter(
            piece.row for board in self.boards if board.lot is None for piece in board.pieces
        )
        for wanted in (*self.too_long, *self.unplaced):
            rows[wanted.row] += wanted.count
        return dict(sorted(rows.items()))

    @property
    def pieces(self) -> int:
        """Return how many pieces are laid."""
        return sum(len(board.pieces) for board in self.boards)

    @property
    def laid_inches(self) -> Fraction:
        """Return how long the boards are together; of a begun one, what its next piece begins."""
        return sum(
            (
                board.inches - (board.pieces[0].start if board.begun and board.pieces else 0)
                for board in self.boards
            ),
            Fraction(0),
        )

    @property
    def piece_inches(self) -> Fraction:
        """Return how long the pieces are together."""
        return sum((piece.inches for board in self.boards for piece in board.pieces), Fraction(0))

    @property
    def settings(self) -> int:
        """Return how often the stop or the saw's angle is set, the first time included, in the order of the plan.

        Equal boards that follow each other are cut together, one setting after the other.
        """  # noqa: E501 - one sentence
        count = 0
        now: tuple[Fraction, str] | None = None
        for look, _ in groupby(
            [(piece.inches, piece.setting, piece.start) for piece in board.pieces]
            for board in self.boards
        ):
            for inches, setting, _ in look:
                count += now != (inches, setting)
                now = inches, setting
        return count

    def kept(self, leftover: Fraction) -> Fraction:
        """Return the left-overs worth keeping, in inches."""
        return sum((board.left for board in self.boards if board.left >= leftover), Fraction(0))

    def waste(self, leftover: Fraction) -> Fraction:
        """Return sawdust, trim and ends too short to keep, in inches.

        Nested slants may make it less than nothing.
        """
        return self.laid_inches - self.piece_inches - self.kept(leftover)

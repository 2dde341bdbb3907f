"""Boards that keep their plan.

One that was begun or printed holds its pieces, their order and their marks.

Nothing here knows events: a memo holds :class:`BoardPlan` values and hands them to the
planner, which lays new pieces on their free ends only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from cutmemo.domain.cut import Section
from cutmemo.planning.layout import Board, Breach, Piece
from cutmemo.planning.rack import Lot
from cutmemo.planning.wanted import Wanted


@dataclass(frozen=True, slots=True)
class KeptPiece:
    """A piece with its marks, planned on a board that keeps its plan."""

    row_id: str
    inches: Fraction
    start: Fraction
    shares: bool = False
    cut: bool = False

    @property
    def end(self) -> Fraction:
        """Return the mark to cut at."""
        return self.start + self.inches


@dataclass(frozen=True, slots=True)
class BoardPlan:
    """One sound stretch of a board that was begun or printed, with what is planned on it."""

    id: str
    board: str
    """The board itself: the sound stretches of one board have it in common."""
    section: Section | None
    lot: str
    """The lot it comes from; empty for one that has to be bought."""
    number: int
    """The lot's number, as a person calls it; 0 for one that has to be bought."""
    start: Fraction
    """Where the sound stretch begins."""
    inches: Fraction
    """The whole stretch, with what was cut off it: marks run from its end."""
    pieces: tuple[KeptPiece, ...]
    """In the order of their marks."""
    kerf: Fraction
    """What the last cut takes along the board: a new piece may start that far behind it."""
    begun: bool = False
    """True once something was cut off the board: then it is no longer one of its lot."""
    leftover: bool = False
    page: str = ""
    """The page it was printed on; empty for one that was begun only."""
    place: int = 0
    """Its number among the boards of its section on that page, from 1."""

    @property
    def finished(self) -> bool:
        """Return whether nothing planned is left on it."""
        return all(piece.cut for piece in self.pieces)

    @property
    def rest(self) -> Fraction:
        """Return what is left of it once all its pieces are cut."""
        return max(self.inches - self.free_from(self.pieces), Fraction(0))

    def free_from(self, pieces: Iterable[KeptPiece | Piece]) -> Fraction:
        """Return where the free end begins behind *pieces* of it."""
        ends = [piece.end for piece in pieces]
        return max(ends) + self.kerf if ends else Fraction(0)

    def planned(self, row_id: str) -> int:
        """Return how many pieces of a row are still to come off it."""
        return sum(piece.row_id == row_id and not piece.cut for piece in self.pieces)

    def with_cut(self, row_id: str, pieces: int = 1) -> BoardPlan:
        """Return the plan after *pieces* of a row came off, the first ones.

        The others stay at their marks.
        """
        out = list(self.pieces)
        for k, piece in enumerate(out):
            if pieces and piece.row_id == row_id and not piece.cut:
                out[k] = replace(piece, cut=True)
                pieces -= 1
        return replace(self, pieces=tuple(out), begun=True)

    def without(self, row_id: str) -> BoardPlan:
        """Return the plan without the pieces of a row that are still to come.

        The marks of the others stay.
        """
        return replace(
            self,
            pieces=tuple(piece for piece in self.pieces if piece.cut or piece.row_id != row_id),
        )


def keep(
    section: Section | None,
    stretches: Iterable[tuple[str, Board]],
    board: str,
    page: str = "",
) -> list[BoardPlan]:
    """Return the plans that the *stretches* of one board keep from now on.

    Each comes with the id for its plan.
    """
    out = []
    for name, each in stretches:
        lot = each.lot
        last = max((piece.end for piece in each.pieces), default=Fraction(0))
        out.append(
            BoardPlan(
                name,
                board,
                section,
                lot.id if lot is not None else "",
                lot.number if lot is not None else 0,
                each.start,
                each.inches,
                tuple(
                    KeptPiece(piece.row_id, piece.inches, piece.start, piece.shares)
                    for piece in each.pieces
                ),
                max(each.inches - each.left - last, Fraction(0)),
                leftover=lot is not None and lot.leftover,
                page=page,
                place=each.number if page else each.place,
            )
        )
    return out


def _lies_there(plan: BoardPlan, lot: Lot | None) -> bool:
    """Return whether a board of *lot* is there, as sound as *plan* takes it for."""
    if lot is None or lot.count < 1:
        return False
    return (plan.start, plan.start + plan.inches) in lot.runs()


def breaches(
    plans: Iterable[BoardPlan], wanted: Iterable[Wanted], lots: Iterable[Lot]
) -> list[tuple[BoardPlan, Breach]]:
    """Return which of the boards on *plans*, in their order, no longer hold, and why."""
    rows = {each.row_id: each for each in wanted}
    left = {each.row_id: each.count for each in wanted}
    there = {lot.id: lot for lot in lots}
    fetched: set[str] = set()
    out: list[tuple[BoardPlan, Breach]] = []
    for plan in plans:
        why: Breach | None = None
        if plan.lot and not plan.begun and plan.board not in fetched:
            fetched.add(plan.board)
            lot = there.get(plan.lot)
            if not _lies_there(plan, lot):
                why = "board gone"
            elif lot is not None:
                there[lot.id] = replace(lot, count=lot.count - 1)
        for piece in plan.pieces:
            if piece.cut:
                continue
            left[piece.row_id] = left.get(piece.row_id, 0) - 1
            if left[piece.row_id] < 0:
                why = why or "row gone"
            elif rows[piece.row_id].inches != piece.inches:
                why = why or "row changed"
        if why is not None:
            out.append((plan, why))
    return out


def first_breach(
    plans: Iterable[BoardPlan], wanted: Iterable[Wanted], lots: Iterable[Lot]
) -> tuple[int, Breach] | None:
    """Return from which board on the printed page no longer holds for one section, and why."""
    on_page = sorted((each for each in plans if each.page), key=lambda each: each.place)
    found = breaches(on_page, wanted, lots)
    return (found[0][0].place, found[0][1]) if found else None


@dataclass(frozen=True, slots=True)
class Held:
    """What of one kept plan still holds."""

    plan: BoardPlan
    pieces: tuple[Piece, ...]
    """Still to come off it."""
    free: Fraction
    """Where its free end begins."""


def held(
    plans: Iterable[BoardPlan], wanted: Iterable[Wanted], lots: Iterable[Lot]
) -> tuple[list[Held], list[Wanted], list[Lot]]:
    """Return what the kept *plans* hold, what of *wanted* is left to lay, and what of *lots* is free.

    A piece whose row is gone, is cut, or has another length now does not hold; nor does a plan
    not begun whose board is gone. A board that had to be bought is taken from the rack once one
    of its length lies there.
    """  # noqa: E501 - one sentence
    rows = {each.row_id: each for each in wanted}
    left = {each.row_id: each.count for each in wanted}
    there = {lot.id: lot for lot in lots}
    by_board: dict[str, list[BoardPlan]] = {}
    for plan in plans:
        by_board.setdefault(plan.board, []).append(plan)
    out: list[Held] = []
    for stretches in by_board.values():
        begun, lot = any(each.begun for each in stretches), None
        if not begun:
            first = stretches[0]
            lot = there.get(first.lot) if first.lot else _delivered(first, there)
            if first.lot and not all(_lies_there(each, lot) for each in stretches):
                continue
        if lot is not None:
            there[lot.id] = replace(lot, count=lot.count - 1)
            stretches = [replace(each, lot=lot.id, number=lot.number) for each in stretches]
        holding = [(each, _holding(each, rows, left)) for each in stretches]
        if begun or any(pieces for _, pieces in holding):
            out += [_held(each, pieces) for each, pieces in holding]
        elif lot is not None:
            there[lot.id] = lot
    rest = [replace(each, count=left[each.row_id]) for each in rows.values() if left[each.row_id]]
    return out, rest, [lot for lot in there.values() if lot.count > 0]


def _holding(plan: BoardPlan, rows: dict[str, Wanted], left: dict[str, int]) -> tuple[Piece, ...]:
    """Return the pieces still to come off *plan*, and count them off *left*."""
    out = []
    for piece in plan.pieces:
        row = rows.get(piece.row_id)
        if piece.cut or row is None or row.inches != piece.inches or not left[row.row_id]:
            continue
        left[row.row_id] -= 1
        out.append(
            Piece(
                row.row,
                row.row_id,
                piece.inches,
                piece.start,
                row.label,
                row.setting,
                piece.shares,
                row.measure,
            )
        )
    return tuple(out)


def _held(plan: BoardPlan, pieces: tuple[Piece, ...]) -> Held:
    cut = (piece for piece in plan.pieces if piece.cut)
    return Held(plan, pieces, plan.free_from([*pieces, *cut]))


def _delivered(plan: BoardPlan, there: dict[str, Lot]) -> Lot | None:
    """Return boards on the rack that are what *plan* had to buy."""
    return next(
        (
            lot
            for lot in there.values()
            if (lot.section, lot.inches) == (plan.section, plan.inches)
            and lot.count
            and not lot.bad
            and not lot.leftover
        ),
        None,
    )

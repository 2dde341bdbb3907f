"""At the saw: cut, strike, put back, trouble, hold, skip."""

from __future__ import annotations

from dataclasses import dataclass

from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.errors import NothingToDo
from cutmemo.language.intent import TRIMMED
from cutmemo.memo import events as e
from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide import find
from cutmemo.memo.decide.orders import order
from cutmemo.memo.decide.rack import boards_for
from cutmemo.memo.decide.undo import last_own_act
from cutmemo.memo.events import Draft
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Happened, Result
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState


def _about(happened: Happened, row: Row, payload: e.Payload) -> Decision:
    return Decision(Result(happened), (Draft(payload),), (row.id,))


@order("clear", "clear all")
def clear(memo: Projection, given: Order, context: Context) -> Decision:
    """Return one piece cut, so many, or all that are left: of the row named, or the row in hand."""
    row = find.at_saw(memo.state, given.row_id, context)
    if row.state == "doubtful":
        raise NothingToDo(doubt(DoubtKind.ASKS_FIRST, row=row.number))
    if row.state != "open":
        raise NothingToDo(doubt(DoubtKind.STATE_ALREADY, row=row.number, state=row.state))
    pieces = row.left if given.verb == "clear all" else given.count or 1
    if pieces > row.left:
        raise NothingToDo(doubt(DoubtKind.FEWER_LEFT, row=row.number, left=row.left))
    sawn = boards_for(memo.state, row, pieces, context)
    cleared = e.PiecesCleared(row=row.id, pieces=pieces, cut=row.cut, sawn=sawn)
    return _about("cleared", row, cleared)


def strike(state: MemoState, row_id: str) -> Decision:
    """Return a row taken off the list; it can be put back."""
    row = find.row_of(state, row_id)
    if row.state == "struck":
        raise NothingToDo(doubt(DoubtKind.STATE_ALREADY, row=row.number, state=row.state))
    return Decision(Result("struck", verb="strike"), (Draft(e.CutStruck(row.id)),), (row.id,))


@order("put back")
def put_back(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a struck row or the last cut piece back on the list: of the row touched last."""
    if given.row_id is not None:
        row = find.row_of(memo.state, given.row_id)
    else:
        rows = [row for row in memo.state.rows.values() if row.state == "struck" or row.cut_here]
        if not rows:
            raise NothingToDo(doubt(DoubtKind.NOTHING_TO_PUT_BACK))
        row = max(rows, key=lambda each: each.touched)
    if row.state == "struck":
        return _about("put back", row, e.CutRestored(row.id))
    if not row.cut_here:
        raise NothingToDo(doubt(DoubtKind.NOTHING_CUT, row=row.number))
    if not row.at_hand:
        raise NothingToDo(doubt(DoubtKind.NO_PIECE_HERE, row=row.number))
    return _about("put back", row, e.PiecesPutBack(row.id, 1))


@dataclass(frozen=True, slots=True)
class Suspect:
    """A piece that may be in trouble."""

    row: Row
    was_cut: bool
    """True for the piece cleared last, false for the one in hand."""


def suspects(memo: Projection, row_id: str | None, context: Context) -> list[Suspect]:
    """Return the pieces that may be in trouble, the likelier first.

    That is the piece this station cleared last, if nothing was done since, and the one in hand;
    of *row_id* alone where it is given.
    """
    state, found = memo.state, []
    last = last_own_act(memo, context.station)
    if last is not None and isinstance(last.payload, e.PiecesCleared):
        cleared = state.rows.get(last.payload.row)
        if row_id in (None, last.payload.row) and cleared is not None and cleared.done:
            found.append(Suspect(cleared, was_cut=True))
    row = (
        find.row_of(state, row_id)
        if row_id is not None
        else next(iter(state.to_cut(context.now)), None)
    )
    if row is not None and row.state == "open":
        found.append(Suspect(row, was_cut=False))
    elif row is not None and row.done and not found:
        found.append(Suspect(row, was_cut=True))
    return found


@order("trouble")
def spoil(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a piece noted as spoiled, to be cut again. Raises :class:`NothingToDo`."""
    reason = given.reason or "bad stock"
    chosen = _in_trouble(memo, given, context)
    row = chosen.row
    if chosen.was_cut and not row.at_hand:
        gone = DoubtKind.NO_PIECE_HERE if row.done else DoubtKind.NOTHING_CUT
        raise NothingToDo(doubt(gone, row=row.number))
    if not chosen.was_cut and row.state != "open":
        raise NothingToDo(doubt(DoubtKind.STATE_ALREADY, row=row.number, state=row.state))
    new_board = not chosen.was_cut and reason != TRIMMED
    payload = e.PieceSpoiled(
        row=row.id,
        reason=reason,
        was_cut=chosen.was_cut,
        sawn=boards_for(memo.state, row, 1, context) if new_board else (),
    )
    return Decision(Result("spoiled", reason=reason), (Draft(payload),), (row.id,))


def _in_trouble(memo: Projection, given: Order, context: Context) -> Suspect:
    if given.row_id is not None and given.was_cut is not None:
        return Suspect(find.row_of(memo.state, given.row_id), given.was_cut)
    likely = suspects(memo, given.row_id, context)
    if not likely:
        raise NothingToDo(doubt(DoubtKind.NO_PIECE_IN_HAND))
    return likely[0]


@order("hold")
def hold(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a row kept back from the saw until it is released.

    Said away from the saw and without a row, it means the listening.
    """
    if context.source != "key" and not context.at_saw and given.row_id is None:
        return Decision(Result("pause"))
    row = find.at_saw(memo.state, given.row_id, context)
    if row.held or row.state not in ("open", "doubtful"):
        now = "on hold" if row.held else row.state
        raise NothingToDo(doubt(DoubtKind.STATE_ALREADY, row=row.number, state=now))
    return _about("held", row, e.RowHeld(row.id))


@order("release")
def release(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a held row offered again: the one named, or the one held last."""
    if given.row_id is not None:
        row = find.row_of(memo.state, given.row_id)
    else:
        held = [row for row in memo.state.rows.values() if row.held]
        if not held:
            raise NothingToDo(doubt(DoubtKind.NOTHING_ON_HOLD))
        row = max(held, key=lambda each: each.touched)
    if not row.held:
        raise NothingToDo(doubt(DoubtKind.NOT_ON_HOLD, row=row.number))
    return _about("released", row, e.RowReleased(row.id))


@order("skip")
def skip(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a row moved to the end at the saw."""
    row = find.at_saw(memo.state, given.row_id, context)
    if row.state != "open":
        raise NothingToDo(doubt(DoubtKind.STATE_ALREADY, row=row.number, state=row.state))
    if len(memo.state.to_cut(context.now)) < 2:
        raise NothingToDo(doubt(DoubtKind.ONLY_ROW))
    return _about("skipped", row, e.RowSkipped(row.id))

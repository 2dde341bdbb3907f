"""What the events about loads between sites do to the state of a memo."""

from __future__ import annotations

from dataclasses import replace

from cutmemo.memo import events as e
from cutmemo.memo.events import Event
from cutmemo.memo.goods import SentBoards, SentPieces
from cutmemo.memo.moves import Move, move_of, rack_after, same_name
from cutmemo.memo.pieces import with_cleared
from cutmemo.memo.rows import Cleared, Row, SentAway
from cutmemo.memo.state import APPLY, Applied, MemoState, new_row, with_row
from cutmemo.planning.rack import Lot


def _sent(state: MemoState, event: Event, payload: e.Sent) -> Applied:
    state = replace(state, loads=state.loads + 1)
    before = _move_of(state, event, payload)
    move = replace(before, number=state.loads, sent=True, at=event.at, who=event.who)
    return _with_move(state, event, move)


def _arrived(state: MemoState, event: Event, payload: e.Arrived) -> Applied:
    move = _move_of(state, event, payload)
    if move.arrived:
        return state  # said twice: the first counts
    state = _with_move(state, event, replace(move, arrived=True))
    if move.going:
        return state
    goods = payload.goods
    if isinstance(goods, SentBoards):
        boards = (goods.section, goods.inches, goods.count, goods.price, goods.bad, goods.leftover)
        return replace(state, rack=state.rack.with_lot(Lot(payload.lot, 0, *boards)))
    came = Cleared(
        event.id, goods.count, goods.cut, event.station, event.who, event.at, move.sender
    )
    row = state.rows.get(payload.row or "")
    if row is None:
        row = Row(payload.row or event.id, 0, goods.cut, "cut", cleared=(came,))
        return new_row(state, event, row)
    return with_cleared(state, event, row, came)


def _load_refused(state: MemoState, event: Event, payload: e.LoadRefused) -> Applied:
    return _with_move(state, event, replace(_move_of(state, event, payload), refused=True))


def _move_of(state: MemoState, event: Event, payload: e.Sent | e.Arrived | e.LoadRefused) -> Move:
    """Return the load that *payload* is about, as it is known so far."""
    new = move_of(event, payload, same_name(payload.sender) in state.names)
    return next((move for move in state.moves if move.id == new.id), new)


def _with_move(state: MemoState, event: Event, move: Move) -> MemoState:
    """Return *state* with *move*, and what it holds on this site's list or rack or off it."""
    if isinstance(move.goods, SentPieces):
        state, move = _row_after(state, event, move)
    rack, move = rack_after(state.rack, move)
    others = [each for each in state.moves if each.id != move.id]
    moves = tuple(sorted((*others, move), key=lambda each: each.number))
    return replace(state, rack=rack, moves=moves)


def _row_after(state: MemoState, event: Event, move: Move) -> tuple[MemoState, Move]:
    """Return *state* and *move* after its pieces left their row here, or came back to it."""
    row = state.rows.get(move.goods.row) if isinstance(move.goods, SentPieces) else None
    if row is None or not move.going or move.off == bool(move.gone):
        return state, move
    others = tuple(each for each in row.sent if each.load != move.id)
    gone = min(move.goods.count, row.at_hand) if move.off else 0
    away = (SentAway(move.id, move.to, gone),) if gone else ()
    return with_row(state, event, replace(row, sent=(*others, *away))), replace(move, gone=gone)


APPLY.update({e.Sent: _sent, e.Arrived: _arrived, e.LoadRefused: _load_refused})

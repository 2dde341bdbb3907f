"""Loads between sites: sent, arrived, refused."""

from __future__ import annotations

from dataclasses import replace

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.domain.length import Length
from cutmemo.errors import BadBoards, NothingToDo
from cutmemo.memo import events as e
from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide import find
from cutmemo.memo.decide.orders import order
from cutmemo.memo.decide.rack import lot_of
from cutmemo.memo.events import Draft
from cutmemo.memo.goods import Goods, SentBoards, SentPieces
from cutmemo.memo.moves import Move, same_name
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row, as_sawn
from cutmemo.memo.state import MemoState
from cutmemo.planning.rack import Lot


@order("send")
def send(memo: Projection, given: Order, context: Context) -> Decision:
    """Return cut pieces of a row on their way to another site: so many, or all that are here.

    Raises :class:`NothingToDo`.
    """
    if given.row_id is None:
        raise NothingToDo(doubt(DoubtKind.NOTHING_NAMED))
    row = find.row_of(memo.state, given.row_id)
    if not row.at_hand:
        raise NothingToDo(doubt(DoubtKind.NO_PIECE_HERE, row=row.number))
    count = given.count or row.at_hand
    if count > row.at_hand:
        raise NothingToDo(doubt(DoubtKind.FEWER_HERE, row=row.number, count=row.at_hand))
    goods = SentPieces(row.id, _with_count(row, count))
    return _sent(memo.state, given, context, goods, (row.id,))


def _with_count(row: Row, count: int) -> Cut:
    """Return as what *count* pieces of *row* were cut, the last ones."""
    return replace(row.cleared[-1].cut, count=count)


@order("send boards")
def send_boards(memo: Projection, given: Order, context: Context) -> Decision:
    """Return boards on their way to another site: of the lot named, or the one of that length.

    Raises :class:`NothingToDo` and :class:`BadBoards`.
    """
    state = memo.state
    if given.length is None:
        lot = lot_of(state, str(given.number))
    else:
        lot = _lot_of_length(state, given, given.length)
    count = given.count or 1
    if count > lot.count:
        few = doubt(DoubtKind.FEWER_BOARDS, name=str(lot.number), count=lot.count)
        raise BadBoards(few)
    goods = SentBoards(lot.id, lot.section, lot.inches, count, lot.price, lot.bad, lot.leftover)
    return _sent(state, given, context, goods)


def _lot_of_length(state: MemoState, given: Order, length: Length) -> Lot:
    """Return the one lot of the length that was said, as fine as the crew's tape: left-overs
    before whole boards.
    """
    marks = state.settings.fineness
    alike = [
        lot
        for lot in state.rack.lots
        if round(lot.inches * marks) == round(length.inches * marks)
        and given.section in (None, lot.section)
    ]
    found = [lot for lot in alike if lot.leftover] or alike
    if not found:
        raise BadBoards(doubt(DoubtKind.NO_BOARD_OF_LENGTH, length=length))
    if len(found) > 1:
        numbers = ", ".join(str(lot.number) for lot in found)
        several = doubt(DoubtKind.SEVERAL_BOARDS_OF_LENGTH, boards=numbers, length=length)
        raise BadBoards(several)
    return found[0]


def _sent(
    state: MemoState, given: Order, context: Context, goods: Goods, rows: tuple[str, ...] = ()
) -> Decision:
    """Return *goods* on their way to the site that was named. Raises :class:`NothingToDo`."""
    if not given.to.strip():
        raise NothingToDo(doubt(DoubtKind.NOTHING_NAMED))
    if not state.settings.site:
        raise NothingToDo(doubt(DoubtKind.SITE_NOT_NAMED))
    known = {same_name(each): each for move in state.moves for each in (move.to, move.sender)}
    to = known.get(same_name(given.to), given.to)
    if same_name(to) in state.names:
        raise NothingToDo(doubt(DoubtKind.SENT_TO_ITSELF, to=to))
    if context.source == "spoken" and same_name(to) not in known:
        raise NothingToDo(doubt(DoubtKind.SITE_NOT_KNOWN, to=to))
    draft = Draft(e.Sent(sender=state.settings.site, to=to, goods=goods))
    result = Result("sent") if same_name(to) in known else Result("sent", topic="new site")
    return Decision(result, (draft,), rows, load_ids=(draft.id,))


@order("arrived")
def arrived(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a load that is here: its boards on the rack, its pieces in the open row that asks for
    them or in a row of their own. Raises :class:`NothingToDo`.
    """
    state, move = memo.state, _coming(memo.state, given.number)
    goods = move.goods
    row = lot = None
    if isinstance(goods, SentPieces):
        row = _row_for(state, goods) or context.new_id()
    else:
        lot = context.new_id()
    payload = e.Arrived(
        sender=move.sender, to=move.to, goods=goods, sent=move.id, row=row, lot=lot or ""
    )
    rows, lots = (row,) if row else (), (lot,) if lot else ()
    return Decision(Result("arrived"), (Draft(payload),), rows, lots, (move.id,))


def _row_for(state: MemoState, goods: SentPieces) -> str | None:
    """Return the one open row that asks for as many of the same piece of wood, or ``None``."""
    rows = [
        row
        for row in state.of_state("open")
        if as_sawn(row.cut) == as_sawn(goods.cut) and row.left >= goods.count
    ]
    return rows[0].id if len(rows) == 1 else None


@order("refuse load")
def refuse(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a load that is not taken here. Raises :class:`NothingToDo`."""
    move = _coming(memo.state, given.number)
    payload = e.LoadRefused(sender=move.sender, to=move.to, goods=move.goods, sent=move.id)
    return Decision(Result("load refused"), (Draft(payload),), load_ids=(move.id,))


def _coming(state: MemoState, number: int) -> Move:
    """Return the load with this number that is on its way here; 0 is the only one."""
    coming = [move for move in state.moves if move.standing == "on its way" and not move.going]
    if number:
        found = [move for move in coming if move.number == number]
        if not found:
            raise NothingToDo(doubt(DoubtKind.NO_SUCH_LOAD, number=number))
        return found[0]
    if not coming:
        raise NothingToDo(doubt(DoubtKind.NO_LOAD))
    if len(coming) > 1:
        numbers = ", ".join(str(move.number) for move in coming)
        raise NothingToDo(doubt(DoubtKind.SEVERAL_LOADS, loads=numbers))
    return coming[0]

"""What is cut of a row stays what it was cut as, whatever the row is corrected to and by whom."""

from __future__ import annotations

from dataclasses import replace

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.memo import events as e
from cutmemo.memo.events import Event
from cutmemo.memo.rows import Cleared, Row, as_sawn, asks_to_add, settled, without_last
from cutmemo.memo.state import APPLY, Applied, MemoState, new_row, shortest, with_row
from cutmemo.planning.begun import Sawn, with_sawn
from cutmemo.planning.rack import Lot


def changed(
    state: MemoState, event: Event, row: Row, new: Cut, asks: e.CutChanged | None
) -> MemoState:
    """Return *state* with *row* corrected to *new*, or asking about the readings of *asks*.

    Pieces that are cut stay what they were cut as: the row ends with them, and what is still to
    cut is a new row. Where nothing is left, that row asks whether to cut as many of the new.
    """
    readings, doubts = (asks.readings, asks.doubts) if asks is not None else ((), ())
    if not row.cleared or as_sawn(new) == as_sawn(row.cut):
        same = new.count == row.cut.count  # then what was cut too many stays told
        count = new.count if same else max(new.count, row.done, 1)
        changed = replace(
            row,
            cut=replace(new, count=count),
            readings=readings,
            doubts=doubts,
            state="doubtful" if doubts else "open",
            called=state.position if event.station == row.station else row.called,
        )
        changed = changed if doubts or row.state == "struck" else settled(changed)
        if row.state == "struck":
            changed = replace(changed, state="struck")
        return with_row(state, event, changed)
    left = new.count - row.done
    before = _cut_before(row, new, row.done if left < 1 else 0)
    counted = tuple(replace(each, count=_rest(each.count, row.done)) for each in (new, *readings))
    count = min(row.done, row.cut.count)
    ended = replace(row, cut=replace(row.cut, count=count), readings=(), doubts=(), state="cut")
    ended = replace(ended, goes_on=event.id)
    fresh = Row(
        event.id,
        0,
        counted[0],
        "doubtful" if doubts or left < 1 else "open",
        said=asks.said if asks is not None else row.said,
        by_voice=row.by_voice,
        readings=counted[1:] or ((counted[0],) if left < 1 else ()),
        doubts=(before, *doubts) if left < 1 else doubts,
        cautions=(before,) if left >= 1 else (),
        settings=row.settings,
    )
    fresh = replace(fresh, state="struck") if row.state == "struck" else fresh
    return new_row(with_row(state, event, ended), event, fresh)


def _cut_before(row: Row, new: Cut, to_add: int) -> Doubt:
    """Return what to know of the pieces of *row* that were cut before it became *new*."""
    kind, length = DoubtKind.CUT_AS_BEFORE, row.cut.length
    return doubt(kind, Field.LENGTH, count=row.done, length=length, to_add=to_add, new=new.length)


def _rest(count: int, done: int) -> int:
    """Return how many of *count* are still to cut; as many as were cut where none is left."""
    return count - done if count > done else done


def _cut_changed(state: MemoState, event: Event, payload: e.CutChanged) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else changed(state, event, row, payload.cut, payload)


def _question_answered(state: MemoState, event: Event, payload: e.QuestionAnswered) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else changed(state, event, row, payload.cut, None)


def _pieces_cleared(state: MemoState, event: Event, payload: e.PiecesCleared) -> Applied:
    row = state.rows.get(payload.row)
    if row is None:
        return None
    state = _sawn(state, payload.boards, payload.sawn)
    as_cut = row.cut if payload.cut is None else payload.cut
    cleared = Cleared(event.id, payload.pieces, as_cut, event.station, event.who, event.at)
    return with_cleared(state, event, row, cleared)


def with_cleared(state: MemoState, event: Event, row: Row, cleared: Cleared) -> MemoState:
    """Return *state* with pieces of *row* cut, or here from another site."""
    as_cut = cleared.cut
    row = _of_that_cut(state, row, as_cut)
    if as_sawn(as_cut) != as_sawn(row.cut):
        # Cut before the correction was known there: as if it had been cut before it was made.
        since = () if row.sent else row.cleared  # cut as corrected, or struck: that goes on
        was = replace(row, cut=replace(as_cut, count=row.cut.count))
        was = replace(was, cleared=(*row.cleared[len(since) :], cleared))
        asks = e.CutChanged(
            row=row.id, cut=row.cut, readings=row.readings, doubts=row.doubts, said=row.said
        )
        state = changed(state, event, was, row.cut, asks)
        fresh = replace(state.rows[event.id], cleared=since)
        return with_row(
            state, event, fresh if fresh.state in ("struck", "doubtful") else settled(fresh)
        )
    cut = replace(row, cleared=(*row.cleared, cleared), skipped=0)
    if row.goes_on:
        state, fewer = _fewer_to_cut(state, event, cut)
        cut = replace(cut, cut=replace(cut.cut, count=cut.cut.count + fewer))
    return with_row(state, event, cut if row.state in ("struck", "doubtful") else settled(cut))


def _of_that_cut(state: MemoState, row: Row, cut: Cut) -> Row:
    """Return which of *row* and those that it goes on in is *cut*; the last where none is."""
    while as_sawn(row.cut) != as_sawn(cut) and row.goes_on in state.rows:
        row = state.rows[row.goes_on]
    return row


def _last(state: MemoState, row: Row) -> Row:
    """Return the row that *row* goes on in now."""
    while row.goes_on in state.rows:
        row = state.rows[row.goes_on]
    return row


def _fewer_to_cut(state: MemoState, event: Event, ended: Row) -> tuple[MemoState, int]:
    """Return *state* with as many pieces fewer to cut as corrected as were cut of the row that
    *ended* beyond its count, and how many: those cut before the correction was known.
    """
    last = _last(state, ended)
    fewer = 0 if asks_to_add(last) else min(ended.over, last.left)
    if not fewer:
        return state, 0
    if fewer < last.cut.count:
        cautions = (
            _cut_before(ended, last.cut, 0) if each.kind is DoubtKind.CUT_AS_BEFORE else each
            for each in last.cautions
        )
        return with_row(state, event, _counted(last, -fewer, tuple(cautions))), fewer
    before = _cut_before(ended, last.cut, ended.done)
    asks = _counted(last, ended.done - last.cut.count)
    asks = replace(
        asks,
        state=last.state if last.state == "struck" else "doubtful",
        readings=asks.readings or (asks.cut,),
        doubts=(before, *last.doubts),
    )
    return with_row(state, event, asks), fewer


def _counted(row: Row, more: int, cautions: tuple[Doubt, ...] = ()) -> Row:
    """Return *row* with so many pieces *more*, all its readings as well."""
    cut, *readings = (
        replace(each, count=max(each.count + more, row.done, 1))
        for each in (row.cut, *row.readings)
    )
    new = replace(row, cut=cut, readings=tuple(readings), cautions=cautions)
    return new if row.state in ("struck", "doubtful") else settled(new)


def left_goes_on(state: MemoState, event: Event) -> MemoState:
    """Return *state* with what the row of *event* has left again to cut as it was corrected.

    Pieces of it were put back, or spoiled, by one who could not know of the correction.
    """
    row = state.rows[getattr(event.payload, "row", "")]
    last, left = _last(state, row), row.left
    if not left or last is row or row.state == "struck":
        return state
    adds = asks_to_add(last)
    doubts = tuple(each for each in last.doubts if each.kind is not DoubtKind.CUT_AS_BEFORE)
    asks = replace(last, doubts=doubts, readings=last.readings if doubts else ())
    if last.state != "struck":
        asks = replace(asks, state="doubtful" if doubts else "open")
    if row.done:
        cautions = (_cut_before(row, last.cut, 0),)
        more = max(left, last.done) - last.cut.count if adds else left
        state = with_row(state, event, _counted(asks, more, cautions))
        return with_row(state, event, _counted(row, -left, row.cautions))
    # Nothing stays that was cut as before: the row itself becomes what it was corrected to.
    itself = replace(
        asks,
        id=row.id,
        number=row.number,
        also=(*row.also, last.id, *last.also),
        spoiled=(*row.spoiled, *last.spoiled),
        sent=(*row.sent, *last.sent),
        cautions=row.cautions,
    )
    more = max(left, last.done) - last.cut.count if adds else left
    state = replace(state, rows=state.rows.without(last))
    return with_row(state, event, _counted(itself, more, row.cautions))


def _pieces_put_back(state: MemoState, event: Event, payload: e.PiecesPutBack) -> Applied:
    row = state.rows.get(payload.row)
    if row is None:
        return None
    cleared = without_last(row.cleared, payload.pieces, cut_here=True)
    return with_row(state, event, _as_it_asked(replace(row, cleared=cleared)))


def _as_it_asked(row: Row) -> Row:
    """Return *row* after it is open again: a question stays one, also of a row that was struck."""
    return replace(row, state="doubtful") if row.doubts else settled(row)


def _piece_spoiled(state: MemoState, event: Event, payload: e.PieceSpoiled) -> Applied:
    row = state.rows.get(payload.row)
    if row is None:
        return None
    state = _sawn(state, payload.boards, payload.sawn)
    spoiled = replace(row, spoiled=(*row.spoiled, payload.reason))
    if payload.was_cut:
        spoiled = _as_it_asked(replace(spoiled, cleared=without_last(row.cleared, 1)))
    return with_row(state, event, spoiled)


def _sawn(state: MemoState, boards: tuple[e.BoardSawn, ...], sawn: tuple[Sawn, ...]) -> MemoState:
    """Return *state* after pieces came off boards: as *boards* tells it, or with plans that are
    kept.
    """
    rack = with_sawn(state.rack, sawn, shortest(state))
    for board in boards:
        rack = rack.sawn(board.lot)
        for rest in board.rests:
            rack = rack.with_lot(Lot(rest.lot, 0, rest.section, rest.inches, 1, leftover=True))
    return replace(state, rack=rack)


def _cut_restored(state: MemoState, event: Event, payload: e.CutRestored) -> Applied:
    row = state.rows.get(payload.row)
    if row is None:
        return None
    return with_row(state, event, _as_it_asked(row))


APPLY.update(
    {
        e.CutChanged: _cut_changed,
        e.QuestionAnswered: _question_answered,
        e.PiecesCleared: _pieces_cleared,
        e.PiecesPutBack: _pieces_put_back,
        e.PieceSpoiled: _piece_spoiled,
        e.CutRestored: _cut_restored,
    }
)

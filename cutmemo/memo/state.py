"""The memo as it stands: rows, rack, settings and order, immutable; ``apply`` is all that changes
it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from fractions import Fraction
from functools import cached_property
from typing import Any

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadSetting
from cutmemo.memo import events as e
from cutmemo.memo.events import Event, Payload, Unreadable
from cutmemo.memo.moves import Move, same_name
from cutmemo.memo.naming import lots_added
from cutmemo.memo.rows import (
    Cleared,
    Order,
    Row,
    Rows,
    RowState,
    Sums,
    as_sawn,
    ordered,
    sums_of,
    without_last,
)
from cutmemo.planning.begun import (
    Sawn,
    with_printed,
    with_released,
    with_sawn,
    without_board,
)
from cutmemo.planning.rack import Lot, Rack
from cutmemo.planning.yard import Terms, Yard


@dataclass(frozen=True)
class MemoState:
    """Everything that the events of a memo come to."""

    rows: Rows = field(default_factory=Rows)
    given: int = 0
    """How many row numbers were given out: no number ever means two rows."""
    settings: Settings = field(default_factory=Settings)
    order: Order = "called"
    rack: Rack = field(default_factory=Rack)
    yard: Yard = field(default_factory=Yard)
    names: tuple[str, ...] = ()
    """Every name that this site ever had, in the form that names are compared in."""
    moves: tuple[Move, ...] = ()
    """Every load that left here or is meant for here, the first the lowest number."""
    loads: int = 0
    """How many numbers were given to loads."""
    refused: tuple[Event, ...] = ()
    """Spoken calls that were refused."""
    waiting: tuple[Event, ...] = ()
    """Events about a row or an event that is not here (yet): applied once it is."""
    unreadable: tuple[Event, ...] = ()
    """Events of a newer program, or damaged ones: kept as they are."""
    position: int = 0
    """How many events it takes in."""

    def of_state(self, state: RowState) -> list[Row]:
        """Return the rows in *state*, as they were called."""
        return [row for row in self.rows.values() if row.state == state]

    def open_rows(self) -> list[Row]:
        """Return the rows still to cut, in the chosen order."""
        return ordered(self.of_state("open"), self.order)

    def to_cut(self, now: datetime | None = None) -> list[Row]:
        """Return the rows the saw is offered: held ones left out, skipped ones at the end.

        With *now*, those whose call may go on are left out as well: half a call is not to be cut.
        """
        offered = (row for row in self.open_rows() if not row.held)
        if now is not None:
            offered = (row for row in offered if not row.may_go_on(now))
        return sorted(offered, key=lambda row: row.skipped)

    def going_on(self, now: datetime) -> list[Row]:
        """Return the rows whose call may go on."""
        return [row for row in self.open_rows() if row.may_go_on(now)]

    def of_assembly(self, assembly_id: str) -> list[Row]:
        """Return the rows that one event added as an assembly."""
        return [row for row in self.rows.values() if row.assembly_id == assembly_id]

    @cached_property
    def sums(self) -> Sums:
        """Return what the rows add up to."""
        return sums_of(self.rows)


def apply(state: MemoState, event: Event, undone: bool = False, waits: bool = False) -> MemoState:
    """Return *state* after *event*.

    An *undone* one changes nothing but the numbers it gave out; one that *waits* for the event it
    names is only noted.
    """
    payload = event.payload
    state = replace(state, position=state.position + 1)
    if isinstance(payload, Unreadable):
        return _unread_numbers_spent(replace(state, unreadable=(*state.unreadable, event)), event)
    if undone:
        return _numbers_spent(state, payload)
    after = None if waits else APPLY[type(payload)](state, event, payload)
    return after if after is not None else replace(state, waiting=(*state.waiting, event))


Applied = MemoState | None
"""The state after an event; ``None`` where what the event is about is not here."""


def _unread_numbers_spent(state: MemoState, event: Event) -> MemoState:
    """Return *state* after *event*, which cannot be read, gave out its numbers.

    They are known as far as its kind tells. The rows behind it keep the numbers that people
    know them by.
    """
    match event.kind:
        case e.CutAdded.KIND:
            return replace(state, given=state.given + 1)
        case e.AssemblyAdded.KIND:
            return replace(state, given=state.given + event.raw.count('"row":'))
        case e.BoardsAdded.KIND:
            return replace(state, rack=state.rack.with_number_spent())
    return state


def _numbers_spent(state: MemoState, payload: Payload) -> MemoState:
    """Return *state* after numbers were given to rows and boards that are undone."""
    rows = 1 if isinstance(payload, e.CutAdded) else 0
    rows = len(payload.rows) if isinstance(payload, e.AssemblyAdded) else rows
    rack = state.rack
    for _ in () if isinstance(payload, e.BoardsPrinted) else lots_added(payload):
        rack = rack.with_number_spent()
    if isinstance(payload, e.SettingsChanged):
        state = _named(state, payload)
    loads = state.loads + isinstance(payload, e.Sent)
    return replace(state, given=state.given + rows, rack=rack, loads=loads)


def with_row(state: MemoState, event: Event, row: Row) -> MemoState:
    """Return *state* with *row*, which *event* touched."""
    touched = replace(row, touched=state.position, touched_at=event.at)
    return replace(state, rows=state.rows.with_row(touched))


def new_row(state: MemoState, event: Event, row: Row) -> MemoState:
    """Return *state* with *row* under the next number."""
    if row.id in state.rows:
        return state  # the same row added twice: the first counts
    number = state.given + 1
    fresh = replace(
        row,
        number=number,
        station=event.station,
        who=event.who,
        at=event.at,
        called=state.position,
        touched=state.position,
        touched_at=event.at,
    )
    return replace(state, given=number, rows=state.rows.with_row(fresh))


def _cut_added(state: MemoState, event: Event, payload: e.CutAdded) -> Applied:
    return new_row(
        state,
        event,
        Row(
            payload.row,
            0,
            payload.cut,
            "doubtful" if payload.doubts else "open",
            said=payload.said,
            by_voice=payload.by_voice,
            hypotheses=payload.hypotheses,
            readings=payload.readings,
            doubts=payload.doubts,
            cautions=payload.cautions,
            settings=payload.settings,
            whole=payload.whole,
        ),
    )


def _assembly_added(state: MemoState, event: Event, payload: e.AssemblyAdded) -> Applied:
    for each in payload.rows:
        row = Row(
            each.row,
            0,
            each.cut,
            "doubtful" if payload.doubts else "open",
            said=payload.said,
            by_voice=payload.by_voice,
            readings=(each.cut,) if payload.doubts else (),
            doubts=payload.doubts,
            cautions=each.cautions,
            settings=payload.settings,
            assembly=payload.title,
            assembly_id=event.id,
        )
        state = new_row(state, event, row)
    return state


def _assembly_confirmed(state: MemoState, event: Event, payload: e.AssemblyConfirmed) -> Applied:
    rows = state.of_assembly(payload.assembly)
    for row in rows:
        if row.state == "doubtful":
            settled = _settled(replace(row, readings=(), doubts=(), state="open"))
            state = with_row(state, event, settled)
    return state if rows else None


def _settled(row: Row) -> Row:
    """Return *row* as cut where nothing of it is left, else as open."""
    return replace(row, state="cut" if row.left == 0 else "open")


def _changed(
    state: MemoState, event: Event, row: Row, new: Cut, asks: e.CutChanged | None
) -> MemoState:
    """Return *state* with *row* corrected to *new*, or asking about the readings of *asks*.

    Pieces that are cut stay what they were cut as: the row ends with them, and what is still to
    cut is a new row. Where nothing is left, that row asks whether to cut as many of the new.
    """
    readings, doubts = (asks.readings, asks.doubts) if asks is not None else ((), ())
    if not row.cleared or as_sawn(new) == as_sawn(row.cut):
        count = max(new.count, row.done, 1)
        changed = replace(
            row,
            cut=replace(new, count=count),
            readings=readings,
            doubts=doubts,
            state="doubtful" if doubts else "open",
            called=state.position if event.station == row.station else row.called,
        )
        changed = changed if doubts or row.state == "struck" else _settled(changed)
        if row.state == "struck":
            changed = replace(changed, state="struck")
        return with_row(state, event, changed)
    left = new.count - row.done
    before = doubt(
        DoubtKind.CUT_AS_BEFORE,
        Field.LENGTH,
        count=row.done,
        length=row.cut.length,
        to_add=row.done if left < 1 else 0,
        new=new.length,
    )
    counted = tuple(replace(each, count=_rest(each.count, row.done)) for each in (new, *readings))
    ended = replace(row, cut=replace(row.cut, count=row.done), readings=(), doubts=(), state="cut")
    ended = replace(ended, goes_on=event.id, ended_by=tuple(each.event for each in row.cleared))
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
    return new_row(with_row(state, event, ended), event, fresh)


def _rest(count: int, done: int) -> int:
    """Return how many of *count* are still to cut; as many as were cut where none is left."""
    return count - done if count > done else done


def _cut_changed(state: MemoState, event: Event, payload: e.CutChanged) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else _changed(state, event, row, payload.cut, payload)


def _question_answered(state: MemoState, event: Event, payload: e.QuestionAnswered) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else _changed(state, event, row, payload.cut, None)


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
    if as_sawn(as_cut) != as_sawn(row.cut):
        # Cut before the correction was known there: as if it had been cut before it was made.
        since = () if row.sent else row.cleared  # cut as corrected, or struck: that goes on
        was = replace(row, cut=replace(as_cut, count=row.cut.count))
        was = replace(was, cleared=(*row.cleared[len(since) :], cleared))
        asks = e.CutChanged(
            row=row.id, cut=row.cut, readings=row.readings, doubts=row.doubts, said=row.said
        )
        state = _changed(state, event, was, row.cut, asks)
        fresh = replace(state.rows[event.id], cleared=since)
        fresh = fresh if fresh.state == "doubtful" else _settled(fresh)
        struck = row.state == "struck"
        return with_row(state, event, replace(fresh, state="struck") if struck else fresh)
    cut = replace(row, cleared=(*row.cleared, cleared), skipped=0)
    return with_row(state, event, cut if row.state in ("struck", "doubtful") else _settled(cut))


def _pieces_put_back(state: MemoState, event: Event, payload: e.PiecesPutBack) -> Applied:
    row = state.rows.get(payload.row)
    if row is None:
        return None
    cleared = without_last(row.cleared, payload.pieces, cut_here=True)
    return with_row(state, event, _settled(replace(row, cleared=cleared)))


def _piece_spoiled(state: MemoState, event: Event, payload: e.PieceSpoiled) -> Applied:
    row = state.rows.get(payload.row)
    if row is None:
        return None
    state = _sawn(state, payload.boards, payload.sawn)
    spoiled = replace(row, spoiled=(*row.spoiled, payload.reason))
    if payload.was_cut:
        spoiled = _settled(replace(spoiled, cleared=without_last(row.cleared, 1)))
    return with_row(state, event, spoiled)


def _cut_struck(state: MemoState, event: Event, payload: e.CutStruck) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else with_row(state, event, replace(row, state="struck"))


def _cut_restored(state: MemoState, event: Event, payload: e.CutRestored) -> Applied:
    row = state.rows.get(payload.row)
    if row is None:
        return None
    back = replace(row, state="doubtful") if row.doubts else _settled(row)
    return with_row(state, event, back)


def _row_held(state: MemoState, event: Event, payload: e.RowHeld) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else with_row(state, event, replace(row, held=True))


def _row_released(state: MemoState, event: Event, payload: e.RowReleased) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else with_row(state, event, replace(row, held=False))


def _row_skipped(state: MemoState, event: Event, payload: e.RowSkipped) -> Applied:
    row = state.rows.get(payload.row)
    return None if row is None else with_row(state, event, replace(row, skipped=state.position))


def _call_refused(state: MemoState, event: Event, _: e.CallRefused) -> Applied:
    return replace(state, refused=(*state.refused, event))


def _settings_changed(state: MemoState, event: Event, payload: e.SettingsChanged) -> Applied:
    """Take the settings that are known; one of a newer program marks the memo and locks nobody
    out.
    """
    settings, unknown = state.settings, False
    for name, value in payload.settings.items():
        try:
            settings = settings.with_stored(name, value)
        except BadSetting:
            unknown = True
    unreadable = (*state.unreadable, event) if unknown else state.unreadable
    return _named(replace(state, settings=settings, unreadable=unreadable), payload)


def _named(state: MemoState, payload: e.SettingsChanged) -> MemoState:
    """Return *state* with the name that *payload* gives this site among those it ever had."""
    name = same_name(str(payload.settings.get("site") or ""))
    return replace(state, names=tuple(dict.fromkeys((*state.names, name)))) if name else state


def _order_set(state: MemoState, event: Event, payload: e.OrderSet) -> Applied:
    return replace(state, order=payload.order)


def _yard_set(state: MemoState, event: Event, payload: e.YardSet) -> Applied:
    terms = Terms(
        payload.section, payload.lengths, payload.precuts, payload.prices, payload.minimum
    )
    return replace(state, yard=state.yard.with_terms(terms))


def _order_terms_set(state: MemoState, event: Event, payload: e.OrderTermsSet) -> Applied:
    yard = replace(state.yard, waste_allowance=payload.waste_allowance, budget=payload.budget)
    return replace(state, yard=yard)


def _undoing(state: MemoState, event: Event, _: e.Undoing) -> Applied:
    return state  # what is undone is known before the replay; see ``projection``


def _boards_added(state: MemoState, event: Event, payload: e.BoardsAdded) -> Applied:
    lot = Lot(
        payload.lot,
        0,
        payload.section,
        payload.inches,
        payload.count,
        payload.price,
        payload.bad,
    )
    return replace(state, rack=state.rack.with_lot(lot))


def _boards_changed(state: MemoState, event: Event, payload: e.BoardsChanged) -> Applied:
    if any(board.board == payload.lot for board in state.rack.boards):
        return replace(state, rack=without_board(state.rack, payload.lot))
    rack = state.rack.changed(payload.lot, payload.count, payload.inches, payload.bad)
    return replace(state, rack=rack)


def _boards_printed(state: MemoState, event: Event, payload: e.BoardsPrinted) -> Applied:
    return replace(state, rack=with_printed(state.rack, payload.plans))


def _boards_released(state: MemoState, event: Event, payload: e.BoardsReleased) -> Applied:
    rack = state.rack
    for board in payload.released:
        rack = with_released(rack, board, _shortest(state))
    return replace(state, rack=rack)


def _shortest(state: MemoState) -> Fraction:
    """Return the shortest end that goes back on the rack."""
    return min(state.settings.shortest, state.settings.leftover)


def _sawn(state: MemoState, boards: tuple[e.BoardSawn, ...], sawn: tuple[Sawn, ...]) -> MemoState:
    """Return *state* after pieces came off boards: as *boards* tells it, or with plans that are
    kept.
    """
    rack = with_sawn(state.rack, sawn, _shortest(state))
    for board in boards:
        rack = rack.sawn(board.lot)
        for rest in board.rests:
            rack = rack.with_lot(Lot(rest.lot, 0, rest.section, rest.inches, 1, leftover=True))
    return replace(state, rack=rack)


Apply = Callable[[MemoState, Event, Any], Applied]
APPLY: dict[type[Payload], Apply] = {
    e.CutAdded: _cut_added,
    e.AssemblyAdded: _assembly_added,
    e.AssemblyConfirmed: _assembly_confirmed,
    e.QuestionAnswered: _question_answered,
    e.CutChanged: _cut_changed,
    e.PiecesCleared: _pieces_cleared,
    e.PiecesPutBack: _pieces_put_back,
    e.PieceSpoiled: _piece_spoiled,
    e.CutStruck: _cut_struck,
    e.CutRestored: _cut_restored,
    e.RowHeld: _row_held,
    e.RowReleased: _row_released,
    e.RowSkipped: _row_skipped,
    e.CallRefused: _call_refused,
    e.SettingsChanged: _settings_changed,
    e.OrderSet: _order_set,
    e.YardSet: _yard_set,
    e.OrderTermsSet: _order_terms_set,
    e.EventUndone: _undoing,
    e.EventRedone: _undoing,
    e.BoardsAdded: _boards_added,
    e.BoardsChanged: _boards_changed,
    e.BoardsPrinted: _boards_printed,
    e.BoardsReleased: _boards_released,
}
"""What each kind of event does to the state; ``loads`` adds those about loads."""

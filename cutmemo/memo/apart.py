"""Which row an event is about whose writer knew a row otherwise than all events together make it.

A correction of pieces that are cut ends their row and goes on in a new one; where none is cut it
changes the row itself. Two stations apart may see the same correction do either. A call that one
takes back may have been cut by another: its row asks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import msgspec

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, doubt
from cutmemo.memo import events as e
from cutmemo.memo.events import Event, Payload, Unreadable
from cutmemo.memo.rows import Row, Rows, asks_to_add


def as_meant(
    event: Event,
    rows: Rows,
    find: Callable[[str], Event | None],
    knows: Callable[[str], bool],
    seen: Callable[[Row], Row | None],
) -> tuple[Event, bool]:
    """Return *event* about the row that goes on with what its writer saw, and whether what that row
    has left then is to cut as it was corrected meanwhile.

    *find* returns the event with an id, *knows* says whether the writer of *event* knew one, *seen*
    returns a row as that writer saw it.
    """
    named, tried = getattr(event.payload, "row", ""), set[str]()
    while named not in tried:
        tried.add(named)
        row = rows.get(named)
        if row is None:
            origin = find(named)  # a correction that needs no row of its own here
            of = getattr(origin.payload, "row", None) if origin is not None else None
            if of is None:
                return event, False
            ended = rows.get(of)
            then = seen(ended) if ended is not None else None
            if ended is not None and ended.goes_on in rows and then and then.goes_on == named:
                # What was left there is what the row goes on in here.
                event, named = _about(event, ended.goes_on, None, None), ended.goes_on
            else:
                event, named = _about(event, of, ended, None), of
        elif row.goes_on not in rows:
            return event, False
        elif (then := seen(row)) is not None and then.goes_on:
            return event, False  # the writer knew that the row had ended
        elif isinstance(event.payload, e.PiecesCleared | e.Arrived):
            return event, False  # they are what they were cut as: ``pieces`` finds their row
        elif _not_cut_after_all(event.payload) and _knew_a_piece(row, knows):
            return event, True
        else:
            event, named = _about(event, row.goes_on, rows[row.goes_on], row), row.goes_on
    return event, False


def as_counted(event: Event, row: Row, seen: Row | None, said: int) -> Event:
    """Return *event*, a correction of *row* to the count *said* by one who had *seen* it otherwise.

    A count that was not corrected stays what it is, and whether to cut more than was called stays
    a question.
    """
    payload = event.payload
    if seen is None:
        return event
    asks = asks_to_add(row) and not asks_to_add(seen)
    if asks and isinstance(payload, e.QuestionAnswered):
        payload = e.CutChanged(row=payload.row, cut=payload.cut)
    if not isinstance(payload, e.CutChanged | e.QuestionAnswered):
        return event
    if not asks and said != seen.cut.count:
        return event
    more = row.cut.count - payload.cut.count
    cut, *readings = (
        replace(each, count=max(each.count + more, 1))
        for each in (payload.cut, *getattr(payload, "readings", ()))
    )
    payload = msgspec.structs.replace(payload, cut=cut)
    if isinstance(payload, e.CutChanged):
        before = [each for each in row.doubts if each.kind is DoubtKind.CUT_AS_BEFORE]
        doubts = (*before, *payload.doubts) if asks else payload.doubts
        readings = readings or ([cut] if asks else [])
        payload = msgspec.structs.replace(
            payload, readings=tuple(readings), doubts=tuple(dict.fromkeys(doubts))
        )
    return replace(event, payload=payload)


def _knew_a_piece(row: Row, knows: Callable[[str], bool]) -> bool:
    return any(knows(each.event) for each in row.cleared)


def _not_cut_after_all(payload: Payload | Unreadable) -> bool:
    return isinstance(payload, e.PiecesPutBack) or (
        isinstance(payload, e.PieceSpoiled) and payload.was_cut
    )


def about_taken_back(rows: Iterable[Row], payload: Payload | Unreadable) -> list[Row]:
    """Return those of *rows*, whose calls were taken back, that *payload* is about."""
    if isinstance(payload, e.AssemblyConfirmed):
        return [row for row in rows if row.assembly_id == payload.assembly]
    named = getattr(payload, "row", None)
    return [row for row in rows if row.id == named]


def asking_again(row: Row, event: Event) -> Row:
    """Return *row*, whose call was taken back, as it asks since *event* went on with it.

    It asks for itself, not with the set it was called with.
    """
    asks = (_went_on(event), *row.doubts)
    readings = row.readings or (row.cut,)
    return replace(row, state="doubtful", doubts=asks, readings=readings, assembly_id="")


def _went_on(event: Event) -> Doubt:
    return doubt(DoubtKind.WENT_ON_APART, person=event.who, station=event.station)


def went_on_apart(row: Row) -> list[Doubt]:
    """Return why *row* asks, as far as its call was taken back while another went on with it."""
    return [each for each in row.doubts if each.kind is DoubtKind.WENT_ON_APART]


def still_asking(event: Event, row: Row | None) -> Event:
    """Return *event*, whose writer did not know that the call of *row* was taken back, or of a row
    that is not there any more: whether to cut it stays a question.
    """
    payload = event.payload
    if isinstance(payload, e.QuestionAnswered):
        payload = e.CutChanged(row=payload.row, cut=payload.cut)
    if not isinstance(payload, e.CutChanged):
        return event
    asked = went_on_apart(row) if row is not None else []
    payload = msgspec.structs.replace(
        payload,
        readings=payload.readings or (payload.cut,),
        doubts=tuple(dict.fromkeys((*(asked or [_went_on(event)]), *payload.doubts))),
    )
    return replace(event, payload=payload)


def _about(event: Event, row_id: str, row: Row | None, ended: Row | None) -> Event:
    """Return *event* about *row*, whose count is less by what is cut in the row that *ended*, if
    any did: no piece is lost.
    """
    payload = event.payload
    if isinstance(payload, e.CutChanged | e.QuestionAnswered) and row is not None:

        def counted(cut: Cut) -> Cut:
            less = cut.count - ended.cut.count if ended is not None else 0
            return replace(cut, count=less if less > 0 else row.cut.count)

        payload = msgspec.structs.replace(payload, cut=counted(payload.cut))
        if isinstance(payload, e.CutChanged):
            readings = tuple(map(counted, payload.readings))
            payload = msgspec.structs.replace(payload, readings=readings)
    return replace(event, payload=msgspec.structs.replace(payload, row=row_id))

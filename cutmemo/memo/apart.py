"""Which row an event is about whose writer knew a row otherwise than all events together make it.

A correction of pieces that are cut ends their row and goes on in a new one; where none is cut it
changes the row itself. Two stations apart may see the same correction do either.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import msgspec

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.memo import events as e
from cutmemo.memo.events import Event
from cutmemo.memo.rows import Row, Rows


def as_meant(
    event: Event, rows: Rows, find: Callable[[str], Event | None], knows: Callable[[str], bool]
) -> Event:
    """Return *event* about the row that goes on with what its writer saw.

    *find* returns the event with an id, *knows* says whether the writer of *event* knew one.
    """
    named: str | None = getattr(event.payload, "row", None)
    while named is not None:
        row = rows.get(named)
        if row is None:
            origin = find(named)  # a correction that needs no row of its own here
            of = getattr(origin.payload, "row", None) if origin is not None else None
            if of is None or of == named:
                return event
            event, named = _about(event, of, rows.get(of), None), of
        elif row.goes_on and row.goes_on in rows and not any(map(knows, row.ended_by)):
            event, named = _about(event, row.goes_on, rows[row.goes_on], row), row.goes_on
        else:
            return event
    return event


def _about(event: Event, row_id: str, row: Row | None, ended: Row | None) -> Event:
    """Return *event* about *row*, whose count is less by what is cut in the row that *ended*, if
    any did: no piece is lost, and what has to be asked stays a question.
    """
    payload = event.payload
    if isinstance(payload, e.CutChanged | e.QuestionAnswered) and row is not None:

        def counted(cut: Cut) -> Cut:
            less = cut.count - ended.cut.count if ended is not None else cut.count
            return replace(cut, count=less if less > 0 and ended is not None else row.cut.count)

        before = [each for each in row.doubts if each.kind is DoubtKind.CUT_AS_BEFORE]
        if ended is not None and before and isinstance(payload, e.QuestionAnswered):
            payload = e.CutChanged(row=row_id, cut=payload.cut)
        payload = msgspec.structs.replace(payload, cut=counted(payload.cut))
        if isinstance(payload, e.CutChanged):
            readings = tuple(counted(each) for each in payload.readings)
            doubts = payload.doubts
            if ended is not None and before:
                doubts, readings = (*before, *doubts), readings or (payload.cut,)
            payload = msgspec.structs.replace(payload, readings=readings, doubts=doubts)
    return replace(event, payload=msgspec.structs.replace(payload, row=row_id))

"""The state of a memo as lines of the tally, and back: pure, and exact both ways."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from fractions import Fraction
from typing import Any, get_type_hints

import msgspec

from cutmemo.domain.cut import Section
from cutmemo.memo import events as e
from cutmemo.memo.codec import from_wire, to_wire
from cutmemo.memo.events import Event, moment_of
from cutmemo.memo.projection import Projection
from cutmemo.memo.rows import Row, Rows
from cutmemo.memo.state import MemoState
from cutmemo.planning.kept import BoardPlan
from cutmemo.planning.rack import Lot, Rack

_APART = ("rows", "refused", "waiting", "unreadable")
"""What of a state is not kept in one piece: rows have lines of their own; the others hold events,
which are read where they are."""
NO_DAY = date(1, 1, 1)
"""The day of a clock that no calendar here has."""


@dataclass(frozen=True, slots=True)
class RowLine:
    """One row of a site's list."""

    row: str
    number: int
    state: str
    pieces: int
    left: int
    """Still to cut."""
    cut: int
    """At this site; what came from another is counted there."""
    trouble: int
    """Pieces that had to be cut again."""
    held: bool
    inches: str
    """The exact length, as ``741/8``."""
    section: str
    place: str
    called_on: date
    line: str
    """All of it."""


@dataclass(slots=True)
class Day:
    """Pieces of one day, by the clocks of the stations."""

    called: int = 0
    cut: int = 0
    trouble: int = 0


class _Rack(msgspec.Struct, frozen=True):
    """A :class:`Rack` whose types are all known here."""

    lots: tuple[Lot, ...]
    given: int
    prices: tuple[tuple[Section | None, Fraction, Fraction], ...]
    boards: tuple[BoardPlan, ...]


def _to_wire(value: Any) -> Any:
    return sorted(value) if isinstance(value, frozenset) else to_wire(value)


_ENCODER = msgspec.json.Encoder(enc_hook=_to_wire, order="deterministic")
_ROW = msgspec.json.Decoder(Row, dec_hook=from_wire)


def line_of(row: Row) -> RowLine:
    """Return the line of *row*."""
    cut = row.cut
    return RowLine(
        row.id,
        row.number,
        row.state,
        cut.count,
        row.left,
        row.cut_here,
        len(row.spoiled),
        row.held,
        str(cut.length.inches),
        "" if cut.section is None else str(cut.section),
        cut.place or "",
        day_of(row.at),
        _ENCODER.encode(row).decode(),
    )


def row_of_line(line: str) -> Row:
    """Return the row that :func:`line_of` made *line* of."""
    return _ROW.decode(line)


def rest_of(state: MemoState) -> str:
    """Return all of *state* but its rows, and but the events it holds, as JSON."""
    return _ENCODER.encode({name: getattr(state, name) for name in _kept()}).decode()


def state_of(rest: str, lines: Iterable[str]) -> MemoState:
    """Return the state that :func:`rest_of` and :func:`line_of` took apart."""
    plain: Mapping[str, Any] = msgspec.json.decode(rest)
    hints = get_type_hints(MemoState)
    made: dict[str, Any] = {}
    for name in _kept():
        if name in plain:  # one that came with a newer program is at its beginning
            kind = _Rack if hints[name] is Rack else hints[name]
            value = msgspec.convert(plain[name], kind, dec_hook=from_wire)
            made[name] = (
                Rack(value.lots, value.given, value.prices, value.boards)
                if isinstance(value, _Rack)
                else value
            )
    rows = Rows()
    for line in lines:
        rows = rows.with_row(row_of_line(line))
    return MemoState(rows=rows, **made)


def _kept() -> list[str]:
    return [each.name for each in fields(MemoState) if each.name not in _APART]


def day_of(at: str) -> date:
    """Return the day on the clock of the station that wrote *at*."""
    try:
        return moment_of(at).date()
    except ValueError:
        return NO_DAY


def count_days(memo: Projection, events: Iterable[Event], days: dict[date, Day]) -> None:
    """Add to *days* what was called, cut and spoiled in *events* of *memo*.

    What was undone does not count, and a piece put back was not cut.
    """
    for event in events:
        if memo.counts(event):
            _count(event, days)


def _count(event: Event, days: dict[date, Day]) -> None:
    payload = event.payload
    called = cut = trouble = 0
    match payload:
        case e.CutAdded():
            called = payload.cut.count
        case e.AssemblyAdded():
            called = sum(each.cut.count for each in payload.rows)
        case e.PiecesCleared():
            cut = payload.pieces
        case e.PiecesPutBack():
            cut = -payload.pieces
        case e.PieceSpoiled():
            cut, trouble = (-1 if payload.was_cut else 0), 1
        case _:
            return
    day = days.setdefault(day_of(event.at), Day())
    day.called, day.cut, day.trouble = day.called + called, day.cut + cut, day.trouble + trouble


def short_of(state: MemoState) -> dict[tuple[str, str], int]:
    """Return the boards that the yard has to bring for what is open: how many, by section and
    exact inches.

    Pieces that no board is long enough for stand under no length. Raises :class:`BadBoards`
    where there are too many pieces to lay.
    """
    from cutmemo.memo.decide.rack import planning_job  # deferred: only the tally lays boards

    found: dict[tuple[str, str], int] = {}
    for plan in planning_job(state).solve():
        section = "" if plan.section is None else str(plan.section)
        for inches, count in plan.order.items():
            found[section, str(inches)] = count
        without = sum(each.count for each in (*plan.too_long, *plan.unplaced))
        if without:
            found[section, ""] = without
    return found

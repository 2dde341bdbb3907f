"""The memo as it stands: what its events leave open, doubtful, cut and struck, and in which order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import Any, Literal

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.memo.events import Event, cut_from_plain
from cutmemo.planning.rack import Rack

State = Literal["open", "doubtful", "cut", "struck"]
Order = Literal["called", "longest", "saw"]
ORDERS: tuple[Order, ...] = ("called", "longest", "saw")

STOP_BLOCK_AT = (1, 2)
"""Pieces of a row after which the stop block is checked; then every tenth (common practice)."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the memo."""

    id: str
    number: int
    """What a person calls the row: 1 for the first ever called."""
    cut: Cut
    state: State
    done: int = 0
    """Pieces cut so far."""
    said: str = ""
    by_voice: bool = False
    heard: tuple[tuple[str, float], ...] = ()
    """The recogniser's alternatives with their scores, the best first."""
    readings: tuple[Cut, ...] = ()
    """What the call may mean, where that is the question."""
    reasons: tuple[str, ...] = ()
    """Why it is doubtful."""
    warnings: tuple[str, ...] = ()
    settings: str = ""
    """The settings it was read under, in one line."""
    station: str = ""
    who: str = ""
    at: str = ""
    touched: int = 0
    """The place of the last event about this row."""
    of_set: str = ""
    """The set it was called with ("22 common rafters"), where it was."""
    set_id: str = ""
    """The event it was called with, where that was a set."""
    held: bool = False
    """True while it waits to be released; it is open, and not offered at the saw."""
    skipped: int = 0
    """The place of the event that put it behind the others at the saw; 0 for none."""
    spoiled: tuple[str, ...] = ()
    """Why pieces of it had to be cut again, one reason each."""
    cut_by: str = ""
    """Who cut the last piece, and at which station."""
    cut_at: str = ""

    @property
    def left(self) -> int:
        """Return how many pieces are still to cut."""
        return max(self.cut.count - self.done, 0)

    @property
    def stop_block_due(self) -> bool:
        """Return whether the stop block wants a check after the piece just cut."""
        due = self.done in STOP_BLOCK_AT or (self.done > 0 and self.done % 10 == 0)
        return self.cut.count > 1 and self.left > 0 and due


@dataclass(frozen=True, slots=True)
class Sums:
    """What the rows add up to; doubtful rows do not count."""

    open_pieces: int
    cut_pieces: int
    doubtful: int
    open_inches: Fraction
    open_board_feet: Fraction
    unsized: int
    """Open pieces with no nominal size, which the board feet leave out."""


class Queue:
    """All rows of one memo, kept up to date event by event.

    The same events give the same queue, however they are split into calls of :meth:`follow`.
    """

    def __init__(self, events: Iterable[Event] = ()) -> None:
        """Start with *events*."""
        self.events: list[Event] = []
        self.rows: dict[str, Row] = {}
        self.settings = Settings()
        self.order: Order = "called"
        self.refused: list[Event] = []
        self.rack = Rack()
        self._dead: set[str] = set()
        self._number = 0
        self.follow(events)

    @property
    def seq(self) -> int:
        """Return the place of the last event taken in."""
        return self.events[-1].seq if self.events else 0

    def follow(self, events: Iterable[Event]) -> None:
        """Take in what came after :attr:`seq`."""
        again = False
        fresh = list(events)
        for event in fresh:
            if event.kind in ("event undone", "event redone"):
                again = True
                target = str(event.payload.get("event"))
                (self._dead.add if event.kind == "event undone" else self._dead.discard)(target)
        self.events += fresh
        if again:
            self._start_over()
            fresh = self.events
        for event in fresh:
            self._apply(event)
        self.__dict__.pop("sums", None)

    def _start_over(self) -> None:
        self.rows, self.settings, self.order, self.refused, self._number = (
            {},
            Settings(),
            "called",
            [],
            0,
        )
        self.rack = Rack()

    def lives(self, event: Event) -> bool:
        """Return whether *event* counts: it was not undone, or was redone since."""
        return event.id not in self._dead

    def _apply(self, event: Event) -> None:
        payload = event.payload
        if not self.lives(event):
            self._number += _rows_given(
                event
            )  # an undone row keeps its number, so that no number ever means two rows
            for _ in range(_lots_given(event)):
                self.rack = self.rack.with_number_spent()
            return
        match event.kind:
            case "cut added":
                self._add(event)
            case "cuts added":
                self._add_set(event)
            case "manner set":
                self.settings = Settings.from_plain(payload["manner"])
            case "order set":
                self.order = payload["order"] if payload["order"] in ORDERS else "called"
            case "call refused":
                self.refused.append(event)
            case _:
                self.rack = _racked(self.rack, event)
                named = (
                    self.of_set(payload["set"])
                    if "set" in payload
                    else [self.rows.get(str(payload.get("row")))]
                )
                for row in named:
                    if row is not None:
                        self.rows[row.id] = replace(_changed(row, event), touched=event.seq)

    def _add(self, event: Event) -> None:
        payload = event.payload
        self._number += 1
        self.rows[payload["row"]] = self._row_of(
            event,
            payload["row"],
            payload["cut"],
            state=payload["state"],
            by_voice=payload["by_voice"],
            heard=tuple((text, log_likelihood) for text, log_likelihood in payload["heard"]),
            **_asked(payload),
            warnings=tuple(payload["warnings"]),
        )

    def _add_set(self, event: Event) -> None:
        payload = event.payload
        reasons = tuple(payload.get("reasons", ()))
        for each in payload["rows"]:
            self._number += 1
            cut = cut_from_plain(each["cut"])
            self.rows[each["row"]] = self._row_of(
                event,
                each["row"],
                each["cut"],
                of_set=payload["title"],
                set_id=event.id,
                state="doubtful" if reasons else "open",
                reasons=reasons,
                readings=(cut,) if reasons else (),
                warnings=tuple(each.get("warnings", ())),
                by_voice=payload["by_voice"],
            )

    def of_set(self, set_id: str) -> list[Row]:
        """Return the rows of one set that still ask."""
        return [
            row for row in self.rows.values() if row.set_id == set_id and row.state == "doubtful"
        ]

    def _row_of(self, event: Event, row_id: str, cut: dict[str, Any], **more: Any) -> Row:
        """Return a fresh row of *event*."""
        payload = event.payload
        return Row(
            row_id,
            self._number,
            cut_from_plain(cut),
            **{"state": "open"} | more,
            said=payload["said"],
            settings=payload["manner"],
            station=event.station,
            who=event.who,
            at=event.at,
            touched=event.seq,
        )

    def row(self, number: int) -> Row | None:
        """Return the row called *number*, or ``None``."""
        return next((row for row in self.rows.values() if row.number == number), None)

    def of_state(self, state: State) -> list[Row]:
        """Return the rows in *state*, as they were called."""
        return [row for row in self.rows.values() if row.state == state]

    def open_rows(self) -> list[Row]:
        """Return the rows still to cut, in the chosen order."""
        return ordered(self.of_state("open"), self.order)

    def to_cut(self) -> list[Row]:
        """Return the rows the saw is offered: those on hold left out, those skipped behind the others."""
        rows = [row for row in self.open_rows() if not row.held]
        return sorted(rows, key=lambda row: row.skipped)

    @cached_property
    def sums(self) -> Sums:
        """Return what the rows add up to."""
        rows = self.of_state("open")
        sized = [
            (row, row.cut.section.board_feet(row.cut.length.inches))
            for row in rows
            if row.cut.section is not None
        ]
        return Sums(
            sum(row.left for row in rows),
            sum(row.done for row in self.rows.values()),
            len(self.of_state("doubtful")),
            sum((row.cut.length.inches * row.left for row in rows), Fraction(0)),
            sum((feet * row.left for row, feet in sized), Fraction(0)),
            sum(row.left for row in rows) - sum(row.left for row, feet in sized if feet),
        )


def _racked(rack: Rack, event: Event) -> Rack:
    """Return *rack* after one event."""
    if event.kind == "boards added":
        return rack.with_lot(event.payload)
    if event.kind == "boards changed":
        return rack.changed(event.payload)
    for board in event.payload.get("boards", ()):
        rack = rack.sawn(board)
    return rack


def _lots_given(event: Event) -> int:
    """Return how many lots of the rack *event* would have numbered."""
    return (
        1
        if event.kind == "boards added"
        else sum(len(board["rests"]) for board in event.payload.get("boards", ()))
    )


def _rows_given(event: Event) -> int:
    """Return how many rows *event* would have numbered."""
    return (
        1
        if event.kind == "cut added"
        else len(event.payload["rows"])
        if event.kind == "cuts added"
        else 0
    )


def _asked(payload: dict[str, Any]) -> dict[str, Any]:
    return {
        "readings": tuple(cut_from_plain(plain) for plain in payload["readings"]),
        "reasons": tuple(payload["reasons"]),
    }


def _changed(row: Row, event: Event) -> Row:
    """Return *row* after one event about it."""
    payload = event.payload
    match event.kind:
        case "question answered":
            return _settled(
                replace(
                    row, cut=cut_from_plain(payload["cut"]), readings=(), reasons=(), state="open"
                )
            )
        case "cut changed":
            changed = replace(
                row, cut=cut_from_plain(payload["cut"]), state=payload["state"], **_asked(payload)
            )
            return changed if changed.state == "doubtful" else _settled(changed)
        case "pieces cleared":
            cut = replace(
                row, done=min(row.done + int(payload["pieces"]), row.cut.count), skipped=0
            )
            return _settled(replace(cut, cut_by=f"{event.who} at {event.station}", cut_at=event.at))
        case "set confirmed":
            return _settled(replace(row, readings=(), reasons=(), state="open"))
        case "pieces put back":
            return replace(row, done=max(row.done - int(payload["pieces"]), 0), state="open")
        case "cut struck":
            return replace(row, state="struck")
        case "cut restored":
            return replace(
                row, state="doubtful" if row.reasons or row.readings else _settled(row).state
            )
        case _:
            return _changed_at_saw(row, event)


def _changed_at_saw(row: Row, event: Event) -> Row:
    """Return *row* after one event at the saw that cut nothing."""
    payload = event.payload
    match event.kind:
        case "piece spoiled":
            again = replace(row, spoiled=(*row.spoiled, payload["reason"]))
            return (
                replace(again, done=max(row.done - 1, 0), state="open")
                if payload["was_cut"]
                else again
            )
        case "row held" | "row released":
            return replace(row, held=event.kind == "row held")
        case "row skipped":
            return replace(row, skipped=event.seq)
        case _:
            return row


def _settled(row: Row) -> Row:
    """Return *row* as cut when nothing of it is left, else as open."""
    return replace(row, state="cut" if row.left == 0 else "open")


def ordered(rows: list[Row], order: Order) -> list[Row]:
    """Return *rows* as called, longest first, or by saw setting: square first, then each angle, longest first."""
    if order == "longest":
        return sorted(rows, key=lambda row: (-row.cut.length.inches, row.number))
    if order == "saw":
        return sorted(
            rows,
            key=lambda row: (
                row.cut.angled(),
                row.cut.ends_shown(),
                -row.cut.length.inches,
                row.number,
            ),
        )
    return sorted(rows, key=lambda row: row.number)


def saw_settings(rows: list[Row]) -> int:
    """Return how often the saw is set anew when *rows* are cut in this order; the first setting counts."""
    settings = [row.cut.ends_shown() for row in rows]
    return sum(1 for before, now in zip([None, *settings], settings, strict=False) if before != now)

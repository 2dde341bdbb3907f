"""The one way from the screens into the memo: what they show is read here, and what is done goes
through here.

A screen tells where a command comes from (:class:`Place`); nothing of a screen is kept behind this
module.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from cutmemo import service
from cutmemo.asr import Recognition
from cutmemo.asr.decide import rejected_call
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt
from cutmemo.language import Trouble
from cutmemo.memo import commands as c
from cutmemo.memo.decide import find
from cutmemo.memo.decide.rack import PlanningJob, planning_job
from cutmemo.memo.decide.saw import Suspect, suspects
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.present import Heading, boards_as_html, labels_as_html, orders_of
from cutmemo.present.handoff import handoff_as_text
from cutmemo.service import Station
from cutmemo.wording import (
    Told,
    choices,
    describe,
    explain,
    ignored_call,
    marks,
    office_line,
    tell,
    totals,
)
from cutmemo.wording.boards import BOARDS_PAGE, LABELS_PAGE, page_title


@dataclass(frozen=True, slots=True)
class Place:
    """Where on the screens a command is given."""

    at_saw: bool = False
    """True while the saw view is up: then only orders are taken by voice."""
    shown: str | None = None
    """The row that stands large on the memo: an answer that names no row goes to it."""
    by_board: bool = False
    """True while the view by board is up, which does not follow the order of the rows."""
    in_hand: str | None = None
    """The row of the piece that the view by board offers; ``None`` while it is being planned."""


class Commands:
    """Everything the screens ask of a memo. What cannot be done raises :class:`CutmemoError`, and
    nothing is lost.
    """

    def __init__(self, station: Station, place: Callable[[], Place]) -> None:
        """Act at *station*; *place* tells where the person is when something is done."""
        self._station, self._place = station, place

    # --- reading ----------------------------------------------------------------------------------

    @property
    def state(self) -> MemoState:
        """Return the memo as it stands: rows, rack, settings and order."""
        return self._station.state

    def follow(self) -> bool:
        """Take in what other stations wrote; return whether there was anything."""
        return self._station.memo.follow()

    def keep_copy(self) -> str:
        """Copy the memo where that is due; return why it could not be copied. From any thread."""
        return self._station.memo.keep_copy(self._station.clock())

    def offered(self) -> list[Row]:
        """Return the rows the saw is offered now: none whose call may go on."""
        return self.state.to_cut(self._station.clock())

    def going_on(self) -> frozenset[str]:
        """Return the ids of the rows whose call may go on now."""
        return frozenset(row.id for row in self.state.going_on(self._station.clock()))

    def shown(self, cut: Cut) -> str:
        """Return *cut* in one line, in the crew's figures."""
        return describe(cut, self.state.settings)

    def choices(self, row: Row) -> list[str]:
        """Return what the question of *row* may mean, one line each."""
        return choices(row.readings, self.state.settings)

    def explain(self, doubt: Doubt) -> str:
        """Return the sentence that says *doubt*, in the crew's figures."""
        return explain(doubt, self.state.settings)

    def marks(self) -> list[str]:
        """Return what every screen says of entries that cannot be read or applied, and of the
        link to the office; mostly nothing.
        """
        return [*marks(self._station.memo.projection), *self.office()]

    def office(self) -> list[str]:
        """Return how the memo stands to its office, in a line; none for a memo without one."""
        linked = self._station.memo.office()
        return [] if linked is None else [office_line(*linked)]

    @property
    def path(self) -> Path:
        """Return where the memo is."""
        return self._station.memo.store.path

    def totals(self) -> str:
        """Return the sums in one line."""
        return totals(self.state)

    def handoff(self) -> str:
        """Return what the next one has to know."""
        day = self._station.clock().date().isoformat()
        return handoff_as_text(self._station.memo.projection, day)

    def planning_job(self) -> PlanningJob:
        """Return what a plan of the boards is made from."""
        return planning_job(self.state)

    def pages(self) -> tuple[str, str]:
        """Return the page of the boards and their labels, to print."""
        state, day = self.state, self._station.clock().date().isoformat()
        plans, job = planning_job(state).solve(), self.path.stem
        top, labels = (
            Heading(page_title(what, job), job, day, self._station.person)
            for what in (BOARDS_PAGE, LABELS_PAGE)
        )
        orders = orders_of(plans, state.settings, state.yard, state.rack.prices)
        budget = state.yard.budget
        return (
            boards_as_html(plans, state.settings, top, state.rack.lots, orders, budget),
            labels_as_html(plans, state.settings, labels),
        )

    def question(self) -> Row | None:
        """Return the row to which an answer goes that names none."""
        return find.question(self.state, self._station.context(place=self._here()))

    def suspects(self) -> list[Suspect]:
        """Return the pieces that may be in trouble, the likelier first."""
        context = self._station.context(place=self._here())
        return suspects(self._station.memo.projection, None, context)

    def ignored(self, heard: Recognition) -> str:
        """Return what to say of an utterance that was taken for noise; empty where nobody need
        know.
        """
        if self._place().at_saw:
            return ""
        return ignored_call(rejected_call(heard, self.state.settings))

    # --- calls ------------------------------------------------------------------------------------

    def say(self, words: str) -> Told:
        """Take a typed call."""
        return self._done(c.Say(words))

    def hear(self, heard: Recognition) -> Told | None:
        """Take an utterance; ``None`` where it was no speech for the memo."""
        return self._told(c.Hear(heard))

    # --- keys -------------------------------------------------------------------------------------

    def clear(self, row_id: str | None, all_left: bool = False) -> Told:
        """Mark one piece as cut, or all that are left."""
        return self._done(c.Order("clear all" if all_left else "clear", row_id))

    def answer(self, choice: int, row_id: str | None = None) -> Told:
        """Settle a question with one of its readings, counted from 1."""
        return self._done(c.Order("answer", row_id, choice))

    def refuse(self, row_id: str) -> Told:
        """Take a call back, a set as a whole."""
        return self._done(c.Order("no", row_id))

    def strike(self, row_id: str) -> Told:
        """Take a row off the list."""
        return self._done(c.Order("strike", row_id))

    def put_back(self) -> Told:
        """Put back what was cut or struck last."""
        return self._done(c.Order("put back"))

    def undo(self) -> Told:
        """Take back the last thing done here."""
        return self._done(c.Order("undo"))

    def redo(self) -> Told:
        """Do it again."""
        return self._done(c.Order("redo"))

    def order(self, verb: str, row_id: str | None) -> Told:
        """Carry out an order about a row, or about the one in hand."""
        return self._done(c.Order(verb, row_id))

    def hold(self, row_id: str | None) -> Told:
        """Keep a row back from the saw."""
        return self._done(c.Order("hold", row_id))

    def release(self, row_id: str | None) -> Told:
        """Offer a held row at the saw again."""
        return self._done(c.Order("release", row_id))

    def spoil(self, reason: Trouble, suspect: Suspect) -> Told:
        """Note that a piece is spoiled and has to be cut again."""
        return self._done(
            c.Order("trouble", suspect.row.id, reason=reason, was_cut=suspect.was_cut)
        )

    def next_order(self) -> Told:
        """Put the open rows in the next order."""
        return self._done(c.SetOrder())

    def print_boards(self, thorough: bool) -> Told:
        """Let all boards keep their plans, since a page of them is printed."""
        return self._done(c.PrintBoards(thorough))

    def _done(self, command: c.Command) -> Told:
        """Carry out a command that always comes to something."""
        told = self._told(command)
        if told is None:
            raise TypeError(f"{type(command).__name__} came to nothing")
        return told

    def _told(self, command: c.Command) -> Told | None:
        result = self._station.execute(command, self._here())
        return None if result is None else tell(result, self._station.memo.projection)

    def _here(self) -> service.Place:
        """Return where the person is, as the service takes it."""
        place = self._place()
        in_hand = (place.in_hand or "") if place.by_board else None
        return service.Place(place.at_saw, in_hand, place.shown)

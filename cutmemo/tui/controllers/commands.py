"""The one way from the screens into the memo: what they show is read here, and what is done goes through here.

A screen tells where a command comes from (:class:`Place`); nothing of a screen is kept behind this module.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutmemo.asr import Recognition
from cutmemo.domain.cut import Cut
from cutmemo.language import Trouble
from cutmemo.memo.decide.rack import ToLay
from cutmemo.memo.decide.saw import Suspect
from cutmemo.memo.outcome import Outcome
from cutmemo.memo.state import Queue, Row
from cutmemo.service import Session


@dataclass(frozen=True, slots=True)
class Place:
    """Where on the screens a command is given."""

    at_saw: bool = False
    """True while the saw view is up: then only orders are taken by voice."""
    shown: str | None = None
    """The row that stands large on the memo: an answer that names no row goes to it."""
    by_board: bool = False
    """True while the view by board is up, which does not follow the order of the queue."""
    in_hand: str | None = None
    """The row of the piece that the view by board offers; ``None`` while it is being planned."""


class Commands:
    """Everything the screens ask of a memo. What cannot be done raises :class:`CutmemoError`, and nothing is lost."""

    def __init__(self, session: Session, place: Callable[[], Place]) -> None:
        """Act on *session*; *place* tells where the person is when something is done."""
        self._session, self._place = session, place

    # --- reading ----------------------------------------------------------------------------------------

    @property
    def state(self) -> Queue:
        """Return the memo as it stands: rows, rack, settings and order."""
        return self._session.queue

    def follow(self) -> bool:
        """Take in what other stations wrote; return whether there was anything."""
        return self._session.follow()

    def shown(self, cut: Cut) -> str:
        """Return *cut* in one line, in the crew's figures."""
        return self._session.shown(cut)

    def totals(self) -> str:
        """Return the sums in one line."""
        return self._session.totals()

    def handoff(self) -> str:
        """Return what the next one has to know."""
        return self._session.handoff()

    def to_lay(self) -> ToLay:
        """Return what a plan of the boards is made from."""
        return self._session.to_lay()

    def question(self) -> Row | None:
        """Return the row to which an answer goes that names none."""
        return self._here().question()

    def suspects(self) -> list[Suspect]:
        """Return the pieces that may be in trouble, the likelier first."""
        return self._here().suspects()

    # --- calls ------------------------------------------------------------------------------------------

    def say(self, words: str) -> Outcome:
        """Take a typed call."""
        return self._here().call(words)

    def hear(self, heard: Recognition) -> Outcome | None:
        """Take an utterance; ``None`` where it was no speech for the memo."""
        return self._here().hear(heard)

    def ignored(self, heard: Recognition) -> str:
        """Return what to say of an utterance that was taken for noise; empty where nobody need know."""
        return self._here().not_taken(heard)

    # --- keys -------------------------------------------------------------------------------------------

    def clear(self, row_id: str | None, all_left: bool = False) -> Outcome:
        """Mark one piece as cut, or all that are left."""
        return self._here().clear(row_id, all_left=all_left)

    def answer(self, choice: int, row_id: str | None = None) -> Outcome:
        """Settle a question with one of its readings, counted from 1."""
        return self._here().answer(choice, row_id)

    def refuse(self, row_id: str) -> Outcome:
        """Take a call back, a set as a whole."""
        return self._here().refuse(row_id)

    def strike(self, row_id: str) -> Outcome:
        """Take a row off the list."""
        return self._here().strike(row_id)

    def put_back(self) -> Outcome:
        """Put back what was cut or struck last."""
        return self._here().put_back()

    def undo(self) -> Outcome:
        """Take back the last thing done here."""
        return self._here().undo()

    def redo(self) -> Outcome:
        """Do it again."""
        return self._here().redo()

    def skip(self, row_id: str | None) -> Outcome:
        """Put a row behind the others at the saw."""
        return self._here().skip(row_id)

    def hold(self, row_id: str | None) -> Outcome:
        """Keep a row back from the saw."""
        return self._here().hold(row_id)

    def release(self, row_id: str | None) -> Outcome:
        """Offer a held row at the saw again."""
        return self._here().release(row_id)

    def spoil(self, reason: Trouble, suspect: Suspect) -> Outcome:
        """Note that a piece is spoiled and has to be cut again."""
        return self._here().spoil(reason, suspect)

    def next_order(self) -> Outcome:
        """Put the open rows in the next order."""
        return self._here().set_order()

    def _here(self) -> Session:
        """Return the session, told where the person is."""
        place, session = self._place(), self._session
        session.at_saw, session.shown_question = place.at_saw, place.shown
        session.in_hand = (place.in_hand or "") if place.by_board else None
        return session

"""What a session does at the saw beside cutting: trouble, hold, skip, and what is next."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass

from cutmemo.errors import NothingToDo
from cutmemo.language import Trouble
from cutmemo.language.intent import TRIMMED
from cutmemo.memo import Draft
from cutmemo.memo.decide.undo import UndoWork
from cutmemo.memo.outcome import Outcome
from cutmemo.memo.state import Row


@dataclass(frozen=True, slots=True)
class Suspect:
    """A piece that may be in trouble."""

    row: Row
    was_cut: bool
    """True for the piece cleared last, false for the one in hand."""


class SawWork(UndoWork):
    """The part of a session that stands at the saw."""

    in_hand: str | None = None
    """The row that a view shows as the one to cut, where it does not follow the queue's order; empty while it looks for it."""

    @abstractmethod
    def find(self, name: str) -> Row:
        """Return the row with this number or id."""

    @abstractmethod
    def _one(self, decide: Callable[[Row], Draft], choose: Callable[[], Row]) -> Row:
        """Record what *decide* makes of the row that *choose* finds."""

    def _at_saw(self, row_id: str | None) -> Row:
        """Return the row named, or the one the saw is offered. Raises :class:`NothingToDo`."""
        if row_id is not None:
            return self.find(row_id)
        rows = self.queue.to_cut()
        if self.in_hand is not None:
            rows = [row for row in rows if row.id == self.in_hand]
        if not rows and self.in_hand is not None and self.queue.to_cut():
            raise NothingToDo("The boards are being laid: a moment.")
        if not rows:
            raise NothingToDo(
                "Nothing is open at the saw."
                + (" Rows are on hold." if self.queue.open_rows() else "")
            )
        return rows[0]

    def suspects(self, row_id: str | None = None) -> list[Suspect]:
        """Return the pieces that may be in trouble, the likelier first.

        That is the piece this station cleared last, if nothing was done since, and the one in
        hand; of *row_id* alone where it is given.
        """
        found = []
        mine = next(
            (
                event
                for event in reversed(self.queue.events)
                if self._is_mine(event) and self.queue.lives(event)
            ),
            None,
        )
        if (
            mine is not None
            and mine.kind == "pieces cleared"
            and row_id in (None, mine.payload["row"])
        ):
            cleared = self.queue.rows.get(mine.payload["row"])
            if cleared is not None and cleared.done:
                found.append(Suspect(cleared, was_cut=True))
        row = self.find(row_id) if row_id is not None else next(iter(self.queue.to_cut()), None)
        if row is not None and row.state == "open":
            found.append(Suspect(row, was_cut=False))
        elif row is not None and row.done and not found:
            found.append(Suspect(row, was_cut=True))
        return found

    def spoil(
        self, reason: Trouble, suspect: Suspect | None = None, row_id: str | None = None
    ) -> Outcome:
        """Note that a piece is spoiled and has to be cut again. Raises :class:`NothingToDo`."""
        chosen = suspect or next(iter(self.suspects(row_id)), None)
        if chosen is None:
            raise NothingToDo("No piece is in hand or was just cut.")
        was_cut = chosen.was_cut
        if not was_cut and reason != TRIMMED:
            self._sawn(
                chosen.row, 1
            )  # laid before the memo is locked for writing; the same plan serves then

        def decide(row: Row) -> Draft:
            if was_cut and not row.done:
                raise NothingToDo(f"Nothing of row {row.number} is cut.")
            if not was_cut and row.state != "open":
                raise NothingToDo(f"Row {row.number} is {row.state}.")
            boards = [] if was_cut or reason == TRIMMED else self._sawn(row, 1)
            payload = {"row": row.id, "reason": reason, "was_cut": was_cut}
            return Draft("piece spoiled", payload | ({"boards": boards} if boards else {}))

        row = self._one(decide, lambda: self.find(chosen.row.id))
        then = "trim it and clear it" if reason == TRIMMED else "cut it again"
        return Outcome(
            "spoiled",
            f"Row {row.number}: {self.shown(row.cut)}, {reason}: {then}. {row.left} to cut.",
            row,
        )

    def hold(self, row_id: str | None = None) -> Outcome:
        """Keep a row back from the saw until it is released: *row_id*, or the one in hand."""

        def decide(row: Row) -> Draft:
            if row.held or row.state not in ("open", "doubtful"):
                raise NothingToDo(
                    f"Row {row.number} is {'on hold' if row.held else row.state} already."
                )
            return Draft("row held", {"row": row.id})

        row = self._one(decide, lambda: self._at_saw(row_id))
        return Outcome("held", f"Row {row.number}: {self.shown(row.cut)} is on hold.", row)

    def release(self, row_id: str | None = None) -> Outcome:
        """Offer a held row at the saw again: *row_id*, or the one held last."""

        def choose() -> Row:
            if row_id is not None:
                return self.find(row_id)
            held = [row for row in self.queue.rows.values() if row.held]
            if not held:
                raise NothingToDo("Nothing is on hold.")
            return max(held, key=lambda row: row.touched)

        def decide(row: Row) -> Draft:
            if not row.held:
                raise NothingToDo(f"Row {row.number} is not on hold.")
            return Draft("row released", {"row": row.id})

        row = self._one(decide, choose)
        return Outcome("released", f"Row {row.number}: {self.shown(row.cut)} is off hold.", row)

    def skip(self, row_id: str | None = None) -> Outcome:
        """Put a row behind the others at the saw: *row_id*, or the one in hand."""

        def decide(row: Row) -> Draft:
            if row.state != "open":
                raise NothingToDo(f"Row {row.number} is {row.state}.")
            if len(self.queue.to_cut()) < 2:
                raise NothingToDo("It is the only row to cut: hold it, or strike it.")
            return Draft("row skipped", {"row": row.id})

        row = self._one(decide, lambda: self._at_saw(row_id))
        return Outcome("skipped", f"Row {row.number}: {self.shown(row.cut)} comes last now.", row)

    def how_many(self) -> Outcome:
        """Tell how many pieces are left: of the row in hand, and in all."""
        rows = self.queue.to_cut()
        if not rows:
            return Outcome("told", "Nothing is left to cut.")
        total = sum(row.left for row in rows)
        return Outcome(
            "told", f"{rows[0].left} left of row {rows[0].number}, {total} pieces in all."
        )

    def what_next(self) -> Outcome:
        """Read out the row that comes after the one in hand."""
        rows = self.queue.to_cut()[1:2]
        if not rows:
            return Outcome("told", "Nothing comes after this.")
        return Outcome(
            "read back", f"Next: row {rows[0].number}, {self.shown(rows[0].cut)}.", rows[0]
        )

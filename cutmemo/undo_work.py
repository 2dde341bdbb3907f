"""What a session takes back and does again: its own acts, one by one, and never from under another station."""

from __future__ import annotations

from abc import abstractmethod

from cutmemo.cut import Cut
from cutmemo.errors import NothingToDo
from cutmemo.journal import Draft, Event
from cutmemo.journal.events import cut_from_plain
from cutmemo.outcome import Outcome
from cutmemo.rack_work import RackWork, boards_told, lots_given, lots_used


def _rows_named(event: Event) -> set[str]:
    """Return the ids of the rows that *event* is about."""
    return {str(each["row"]) for each in (event.payload, *event.payload.get("rows", ())) if "row" in each}


class UndoWork(RackWork):
    """The part of a session that takes back."""

    station: str

    @abstractmethod
    def shown(self, cut: Cut) -> str:
        """Return *cut* in one line."""

    def undo(self) -> Outcome:
        """Take back the last thing this station did. Raises :class:`NothingToDo`."""
        undone: list[Event] = []

        def decide() -> list[Draft]:
            mine = [e for e in self.queue.events if self._is_mine(e) and self.queue.lives(e)]
            if not mine:
                raise NothingToDo("Nothing is left to undo.")
            event = mine[-1]
            self._refuse_if_built_upon(event)
            undone.append(event)
            return [Draft("event undone", {"event": event.id})]

        self._record(decide)
        return Outcome("undone", f"Undone: {self.told(undone[0])}.", self.queue.rows.get(str(undone[0].payload.get("row"))))

    def redo(self) -> Outcome:
        """Do again what was undone last, if nothing was done since. Raises :class:`NothingToDo`."""
        redone: list[Event] = []

        def decide() -> list[Draft]:
            stack: list[str] = []
            for event in self.queue.events:
                if event.station != self.station:
                    continue
                if event.kind == "event undone":
                    stack.append(event.payload["event"])
                elif event.kind == "event redone":
                    stack = stack[:-1]
                elif event.kind != "call refused":
                    stack = []
            if not stack:
                raise NothingToDo("Nothing was undone since.")
            redone.extend(event for event in self.queue.events if event.id == stack[-1])
            return [Draft("event redone", {"event": stack[-1]})]

        self._record(decide)
        return Outcome("redone", f"Done again: {self.told(redone[0])}.", self.queue.rows.get(str(redone[0].payload.get("row"))))

    def _is_mine(self, event: Event) -> bool:
        return event.station == self.station and event.kind not in ("event undone", "event redone", "call refused")

    def _refuse_if_built_upon(self, event: Event) -> None:
        """Do not pull a row from under what another station did with it since."""
        rows, lots = _rows_named(event), lots_given(event.payload)
        for later in self.queue.events:
            if later.seq <= event.seq or not self.queue.lives(later):
                continue
            if rows & _rows_named(later):
                raise NothingToDo(f"{later.who} at {later.station} went on with that row: strike it or put it back instead.")
            if lots & lots_used(later.payload):
                raise NothingToDo(f"{later.who} at {later.station} went on with those boards: change the rack instead.")

    def told(self, event: Event) -> str:
        """Return what an event did, in few words."""
        payload = event.payload
        row = self.queue.rows.get(str(payload.get("row")))
        cut = cut_from_plain(payload["cut"]) if "cut" in payload else row.cut if row is not None else None
        named = next((str(payload[name]) for name in ("title", "said", "order") if name in payload), boards_told(payload))
        what = self.shown(cut) if cut is not None else named
        number = f"row {row.number} " if row is not None else ""
        return f"{event.kind} {number}{what}".strip()

"""What a session takes back and does again: its own acts, the last first, and never from under another station."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterable, Sequence

from cutmemo.domain.cut import Cut
from cutmemo.errors import NothingToDo
from cutmemo.memo import Draft, Event
from cutmemo.memo.decide.rack import RackWork, boards_told, lots_given, lots_used
from cutmemo.memo.events import cut_from_plain
from cutmemo.memo.outcome import TOLD_ONE_BY_ONE, Happened, Outcome


def _with_its_list(event: Event, others: Iterable[Event]) -> list[Event]:
    """Return *event*, or all of *others* that stand in one list with it: what was called in one go is taken back in one go."""
    listed = event.payload.get("list")
    return [each for each in others if each.payload["list"] == listed] if listed else [event]


def _rows_named(event: Event) -> set[str]:
    """Return the ids of the rows that *event* is about."""
    return {
        str(each["row"])
        for each in (event.payload, *event.payload.get("rows", ()))
        if "row" in each
    }


class UndoWork(RackWork):
    """The part of a session that takes back."""

    station: str

    @abstractmethod
    def shown(self, cut: Cut) -> str:
        """Return *cut* in one line."""

    def undo(self) -> Outcome:
        """Take back the last thing this station did, a list as a whole. Raises :class:`NothingToDo`."""
        undone: list[Event] = []

        def decide() -> list[Draft]:
            mine = [e for e in self.queue.events if self._is_mine(e) and self.queue.lives(e)]
            if not mine:
                raise NothingToDo("Nothing is left to undo.")
            undone.extend(
                _with_its_list(mine[-1], [each for each in mine if "list" in each.payload])
            )
            for event in undone:
                self._refuse_if_built_upon(event)
            return [Draft("event undone", {"event": event.id}) for event in undone]

        self._record(decide)
        return self._outcome("undone", "Undone", undone)

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
            undone = [event for event in self.queue.events if event.id in stack]
            last = next(event for event in undone if event.id == stack[-1])
            redone.extend(_with_its_list(last, [each for each in undone if "list" in each.payload]))
            return [Draft("event redone", {"event": event.id}) for event in redone]

        self._record(decide)
        return self._outcome("redone", "Done again", redone)

    def _outcome(self, happened: Happened, how: str, events: Sequence[Event]) -> Outcome:
        few = len(events) <= TOLD_ONE_BY_ONE
        what = (
            "; ".join(self.told(event) for event in events)
            if few
            else f"a list of {len(events)} cuts"
        )
        return Outcome(
            happened, f"{how}: {what}.", self.queue.rows.get(str(events[0].payload.get("row")))
        )

    def _is_mine(self, event: Event) -> bool:
        return event.station == self.station and event.kind not in (
            "event undone",
            "event redone",
            "call refused",
        )

    def _refuse_if_built_upon(self, event: Event) -> None:
        """Do not pull a row from under what another station did with it since."""
        rows, lots = _rows_named(event), lots_given(event.payload)
        for later in self.queue.events:
            if later.seq <= event.seq or not self.queue.lives(later):
                continue
            if rows & _rows_named(later):
                raise NothingToDo(
                    f"{later.who} at {later.station} went on with that row: strike it or put it back instead."
                )
            if lots & lots_used(later.payload):
                raise NothingToDo(
                    f"{later.who} at {later.station} went on with those boards: change the rack instead."
                )

    def told(self, event: Event) -> str:
        """Return what an event did, in few words."""
        payload = event.payload
        if event.kind in ("event undone", "event redone"):
            meant = next((each for each in self.queue.events if each.id == payload["event"]), None)
            how = "undone" if event.kind == "event undone" else "done again"
            return f"{how}: {self.told(meant)}" if meant is not None else how
        row = self.queue.rows.get(str(payload.get("row")))
        cut = (
            cut_from_plain(payload["cut"])
            if "cut" in payload
            else row.cut
            if row is not None
            else None
        )
        named = next(
            (str(payload[name]) for name in ("title", "said", "order") if name in payload),
            boards_told(payload),
        )
        what = self.shown(cut) if cut is not None else named
        number = f"row {row.number} " if row is not None else ""
        return f"{event.kind} {number}{what}".strip()

"""What came of a command: codes, rows and facts. ``wording`` says it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from cutmemo.domain.cut import Section
from cutmemo.framing import Assembly
from cutmemo.memo.events import Draft, Event
from cutmemo.memo.moves import Move
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.planning.rack import Lot

Happened = str
"""What happened, as a code for scripts: "added", "asked", "cleared" … They stay as they are."""
Topic = Literal[
    "",
    "totals",
    "understood",
    "how many",
    "left of",
    "what next",
    "order",
    "settings",
    "new site",
]
"""What exactly was told or set."""
_MAY_ASK = ("added", "changed", "read back", "set added")


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of one piece of one size, or of one size by itself with the boards of it."""

    piece: str | None
    section: Section | None
    rows: tuple[Row, ...]
    """All rows of it but those struck."""
    lots: tuple[Lot, ...] = ()
    """The boards of the size on the rack, where no piece was named."""


@dataclass(frozen=True, slots=True)
class Result:
    """What came of a command."""

    happened: Happened
    rows: tuple[Row, ...] = ()
    """Every row it is about, as it is now; where it is about one that ended and one that took its
    place, the new one first."""
    verb: str = ""
    """The verb of the order, where it was one."""
    topic: Topic = ""
    setting: str = ""
    """Which setting was changed, where one was."""
    assembly: Assembly | None = None
    """The assembly that was added, where one was."""
    lots: tuple[Lot, ...] = ()
    """The boards that were put on the rack or changed; an emptied lot is left out."""
    loads: tuple[Move, ...] = ()
    """The loads that it is about."""
    events: tuple[Event, ...] = ()
    """What was undone or done again."""
    reason: str = ""
    """The trouble with a piece."""
    listed: bool = False
    """True where one line or breath called several rows."""
    marked: bool = False
    """True where commas stood between all of them."""
    left: tuple[Left, ...] = ()
    """What is left of what was asked about."""
    as_answer: bool = False
    """True where a bare number was taken for the answer to a question."""

    @property
    def row(self) -> Row | None:
        """Return the row it is about, where it is about one; of a list the one that asks last."""
        if self.listed:
            asking = [row for row in self.rows if row.state == "doubtful"]
            return asking[-1] if asking else self.rows[-1]
        return self.rows[0] if self.rows else None


@dataclass(frozen=True, slots=True)
class Decision:
    """What a command is to write, and what will have come of it."""

    result: Result
    drafts: tuple[Draft, ...] = ()
    row_ids: tuple[str, ...] = ()
    """The rows the result is about; one that is not there then is left out."""
    lot_ids: tuple[str, ...] = ()
    load_ids: tuple[str, ...] = ()

    def result_in(self, state: MemoState) -> Result:
        """Return the result with its rows and boards as *state* has them."""
        rows = tuple(state.rows[row_id] for row_id in self.row_ids if row_id in state.rows)
        lots = tuple(lot for lot in state.rack.lots if lot.id in self.lot_ids)
        loads = tuple(move for move in state.moves if move.id in self.load_ids)
        found = replace(self.result, rows=rows or self.result.rows, lots=lots, loads=loads)
        asks = found.row is not None and found.row.state == "doubtful"
        return replace(found, happened="asked") if found.happened in _MAY_ASK and asks else found

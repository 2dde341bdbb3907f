"""What came of a call or an action, for whoever shows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutmemo.framing import Assembly
from cutmemo.memo.state import Row

Happened = Literal[
    "added",
    "asked",
    "changed",
    "answered",
    "cleared",
    "struck",
    "put back",
    "undone",
    "redone",
    "set",
    "read back",
    "listen",
    "pause",
    "told",
    "racked",
    "set added",
    "spoiled",
    "held",
    "released",
    "skipped",
    "play",
]
TOLD_ONE_BY_ONE = 4
"""Of more cuts than this on one line only their number is told."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a call or an action."""

    happened: Happened
    text: str
    """One sentence to show."""
    row: Row | None = None
    frame: Assembly | None = None
    """The set that was added, where one was."""
    several: tuple[Row, ...] = ()
    """All rows, where one line or breath called several."""

    @property
    def rows(self) -> tuple[Row, ...]:
        """Return every row it is about."""
        return self.several or ((self.row,) if self.row is not None else ())

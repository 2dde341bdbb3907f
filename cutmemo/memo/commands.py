"""What a person can tell the memo to do, and from where it is said."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Literal

from cutmemo.asr.hypotheses import Recognition
from cutmemo.domain.cut import Section
from cutmemo.language.intent import Trouble
from cutmemo.memo.state import Order

Source = Literal["typed", "spoken", "key"]


def new_id() -> str:
    """Return a name that nothing else has."""
    return uuid.uuid4().hex


@dataclass(frozen=True, slots=True)
class Context:
    """From where, by whom and when a command comes, and what that person sees."""

    station: str
    person: str
    now: datetime
    source: Source = "key"
    at_saw: bool = False
    """True while the saw view is up: by voice only orders are taken then."""
    in_hand: str | None = None
    """The row that a view shows as the one to cut, where it does not follow the order.

    Empty while the view still looks for it.
    """
    shown_question: str | None = None
    """The row whose question is shown: an answer that names no row goes to it."""
    new_id: Callable[[], str] = new_id


@dataclass(frozen=True, slots=True)
class Say:
    """A typed call, or several."""

    text: str


@dataclass(frozen=True, slots=True)
class Hear:
    """A spoken call, or several."""

    recognition: Recognition


@dataclass(frozen=True, slots=True)
class Answer:
    """Choose a reading (from 1) of a row that asks; of the question shown or asked last."""

    choice: int
    row_id: str | None = None


@dataclass(frozen=True, slots=True)
class TakeBack:
    """Strike the row that asks; an assembly is taken back as a whole."""

    row_id: str | None = None


@dataclass(frozen=True, slots=True)
class Clear:
    """One piece is cut, or all that are left of the row."""

    row_id: str | None = None
    all_left: bool = False


@dataclass(frozen=True, slots=True)
class Strike:
    """Take a row off the list; it can be put back."""

    row_id: str


@dataclass(frozen=True, slots=True)
class PutBack:
    """Put a struck row, or the last piece cut, back on the list."""

    row_id: str | None = None


@dataclass(frozen=True, slots=True)
class Undo:
    """Take back the last thing this station did."""


@dataclass(frozen=True, slots=True)
class Redo:
    """Do again what was undone last."""


@dataclass(frozen=True, slots=True)
class Spoil:
    """A piece is in trouble: the one just cut, or the one in hand."""

    reason: Trouble
    row_id: str | None = None
    was_cut: bool | None = None
    """``None`` leaves it to the memo which of the two is meant."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Keep a row back from the saw."""

    row_id: str | None = None


@dataclass(frozen=True, slots=True)
class Release:
    """Offer a held row again."""

    row_id: str | None = None


@dataclass(frozen=True, slots=True)
class Skip:
    """Move a row to the end at the saw."""

    row_id: str | None = None


@dataclass(frozen=True, slots=True)
class ChangeSetting:
    """Change one setting of the crew."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class SetOrder:
    """Put the open rows in this order, or in the next one."""

    order: Order | None = None


@dataclass(frozen=True, slots=True)
class Boards:
    """Boards that are alike, for the rack; inches."""

    section: Section | None
    inches: Fraction
    count: int = 1
    price: Fraction | None = None
    bad: tuple[tuple[Fraction, Fraction], ...] = ()


@dataclass(frozen=True, slots=True)
class AddBoards:
    """Put boards on the rack, all of them or none."""

    boards: tuple[Boards, ...]


@dataclass(frozen=True, slots=True)
class ChangeBoards:
    """Change the lot with this number; ``None`` leaves what was."""

    number: str
    count: int | None = None
    inches: Fraction | None = None
    bad: tuple[tuple[Fraction, Fraction], ...] | None = None


Command = (
    Say
    | Hear
    | Answer
    | TakeBack
    | Clear
    | Strike
    | PutBack
    | Undo
    | Redo
    | Spoil
    | Hold
    | Release
    | Skip
    | ChangeSetting
    | SetOrder
    | AddBoards
    | ChangeBoards
)

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
from cutmemo.domain.length import Length
from cutmemo.language.intent import Trouble
from cutmemo.memo.rows import Order as RowOrder
from cutmemo.planning.yard import Terms

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
class Order:
    """A verb, and what it is about. Which verbs there are: the decisions marked ``@order``."""

    verb: str
    row_id: str | None = None
    """``None`` leaves it to the verb: the row in hand, the last one, the question shown."""
    number: int = 0
    """Which reading (from 1), or how many more."""
    length: Length | None = None
    """The length of the row that is meant, where it is named by that."""
    reason: Trouble | None = None
    """What is wrong with a piece."""
    was_cut: bool | None = None
    """Whether the piece in trouble was cut already; ``None`` leaves it to the memo."""
    to: str = ""
    """The site that something is sent to."""
    count: int = 0
    """How many are sent, 0 for all that are there of a row and for one board; how many are cut."""
    section: Section | None = None
    """The section of the board that is sent, or of what is asked about, where it was said."""
    piece: str | None = None
    """The piece that is asked about, where one is."""
    words: str = ""
    """The words of the rows that are asked about, where they are named by those."""


@dataclass(frozen=True, slots=True)
class ChangeSetting:
    """Change one setting of the crew."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class SetOrder:
    """Put the open rows in this order, or in the next one."""

    order: RowOrder | None = None


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


@dataclass(frozen=True, slots=True)
class PrintBoards:
    """Let all boards keep their plans, since a page of them is printed."""

    thorough: bool = False
    """True to print the better layouts that a longer search finds."""


@dataclass(frozen=True, slots=True)
class ReleaseBoards:
    """Lay out anew what is kept: of the begun board with this name, or, without one, of all boards
    of which nothing was cut.
    """

    name: str | None = None


@dataclass(frozen=True, slots=True)
class SetYard:
    """Say what the yard sells of one section."""

    terms: Terms


@dataclass(frozen=True, slots=True)
class SetOrderTerms:
    """Say how much more is ordered than is needed, and what it may cost; ``None`` leaves what
    was.
    """

    waste_allowance: Fraction | None = None
    budget: Fraction | None = None


Command = (
    Say
    | Hear
    | Order
    | ChangeSetting
    | SetOrder
    | AddBoards
    | ChangeBoards
    | PrintBoards
    | ReleaseBoards
    | SetYard
    | SetOrderTerms
)

"""The events of a memo: one frozen type a kind, and the envelope in which each travels.

An event is never edited. A kind whose fields change gets a new version, and ``upcast`` says how
the older one is read.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import UTC, datetime
from fractions import Fraction
from typing import ClassVar, Literal

import msgspec

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.doubts import Doubt
from cutmemo.memo.goods import Goods, SentBoards, SentPieces
from cutmemo.memo.limits import (
    check_boards,
    check_cut,
    check_inches,
    check_pieces,
    check_plans,
    check_sawn,
    check_section,
)
from cutmemo.planning.begun import Sawn
from cutmemo.planning.kept import BoardPlan


class Payload(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """What one kind of event says."""

    KIND: ClassVar[str] = ""
    VERSION: ClassVar[int] = 2


class CutAdded(Payload, frozen=True, kw_only=True):
    """A call put a row on the list."""

    KIND = "cut added"
    row: str
    cut: Cut
    readings: tuple[Cut, ...] = ()
    """What the call may mean, where that is the question."""
    doubts: tuple[Doubt, ...] = ()
    """Why it asks; empty where it stands."""
    cautions: tuple[Doubt, ...] = ()
    said: str
    by_voice: bool = False
    hypotheses: tuple[tuple[str, float], ...] = ()
    """What the recogniser heard, with log-likelihoods, the best first."""
    settings: str = ""
    """The settings it was read under, in one line."""
    list: str = ""
    """What the calls of one line or breath have in common; empty for a call by itself."""
    whole: bool = False
    """True where a key that was let go ended the call: no more of it comes."""

    def __post_init__(self) -> None:
        """Refuse cuts that cannot be."""
        check_cut(self.cut, *self.readings)


class AssemblyRow(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One row of an assembly."""

    row: str
    cut: Cut
    cautions: tuple[Doubt, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a cut that cannot be."""
        check_cut(self.cut)


class AssemblyAdded(Payload, frozen=True, kw_only=True):
    """A call put a whole assembly (rafters, a wall, stairs) on the list."""

    KIND = "cuts added"
    rows: tuple[AssemblyRow, ...]
    title: str
    doubts: tuple[Doubt, ...] = ()
    said: str
    by_voice: bool = False
    hypotheses: tuple[tuple[str, float], ...] = ()
    settings: str = ""

    def __post_init__(self) -> None:
        """Refuse an assembly of nothing, and one with the same row twice."""
        if not self.rows or len({each.row for each in self.rows}) < len(self.rows):
            raise ValueError("an assembly without rows, or with one of them twice, cannot be")


class AssemblyConfirmed(Payload, frozen=True):
    """All rows of an assembly are right; ``assembly`` is the id of the event that added it."""

    KIND = "set confirmed"
    assembly: str


class QuestionAnswered(Payload, frozen=True):
    """One reading of a row that asked was chosen."""

    KIND = "question answered"
    row: str
    cut: Cut

    def __post_init__(self) -> None:
        """Refuse a cut that cannot be."""
        check_cut(self.cut)


class CutChanged(Payload, frozen=True, kw_only=True):
    """A correction: what the row is from now on, or what it may be.

    Pieces that were cut before stay what they were cut as; see ``state``.
    """

    KIND = "cut changed"
    row: str
    cut: Cut
    readings: tuple[Cut, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    said: str = ""

    def __post_init__(self) -> None:
        """Refuse cuts that cannot be."""
        check_cut(self.cut, *self.readings)


class BoardRest(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A left-over of a board that was sawn: a new lot of one."""

    lot: str
    section: Section | None
    inches: Fraction

    def __post_init__(self) -> None:
        """Refuse a length or a section that cannot be."""
        check_inches(self.inches)
        check_section(self.section)


class BoardSawn(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A board that pieces came off, and what is left of it."""

    lot: str
    rests: tuple[BoardRest, ...] = ()


class PiecesCleared(Payload, frozen=True, kw_only=True):
    """Pieces were cut, as ``cut``; ``None`` stands for what the row was then (first format)."""

    KIND = "pieces cleared"
    row: str
    pieces: int
    cut: Cut | None = None
    boards: tuple[BoardSawn, ...] = ()
    """As memos kept it before boards kept their plan."""
    sawn: tuple[Sawn, ...] = ()
    """The boards the pieces came off, with what is still planned on them."""

    def __post_init__(self) -> None:
        """Refuse a number of pieces or a cut that cannot be."""
        check_pieces(self.pieces)
        check_cut(*([self.cut] if self.cut is not None else []))
        check_sawn(self.sawn)


class PiecesPutBack(Payload, frozen=True):
    """The last pieces cleared are on the list again."""

    KIND = "pieces put back"
    row: str
    pieces: int

    def __post_init__(self) -> None:
        """Refuse a number of pieces that cannot be."""
        check_pieces(self.pieces)


class PieceSpoiled(Payload, frozen=True, kw_only=True):
    """A piece is in trouble and has to be cut again, or trimmed."""

    KIND = "piece spoiled"
    row: str
    reason: str
    was_cut: bool
    """True for a piece that was cleared, false for the one in hand."""
    boards: tuple[BoardSawn, ...] = ()
    sawn: tuple[Sawn, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a plan that cannot be."""
        check_sawn(self.sawn)


class CutStruck(Payload, frozen=True):
    """A row was taken off the list."""

    KIND = "cut struck"
    row: str


class CutRestored(Payload, frozen=True):
    """A struck row is on the list again."""

    KIND = "cut restored"
    row: str


class RowHeld(Payload, frozen=True):
    """A row is kept back from the saw."""

    KIND = "row held"
    row: str


class RowReleased(Payload, frozen=True):
    """A held row is offered at the saw again."""

    KIND = "row released"
    row: str


class RowSkipped(Payload, frozen=True):
    """A row was moved to the end at the saw."""

    KIND = "row skipped"
    row: str


class CallRefused(Payload, frozen=True):
    """A spoken call that was refused, and why, as the person was told."""

    KIND = "call refused"
    said: str
    why: str


class SettingsChanged(Payload, frozen=True):
    """The crew's settings from now on, name to value as text."""

    KIND = "manner set"
    settings: dict[str, str | int | None]


class OrderSet(Payload, frozen=True):
    """The order in which rows are offered."""

    KIND = "order set"
    order: Literal["called", "longest", "saw"]


class YardSet(Payload, frozen=True, kw_only=True):
    """What the yard sells of one section."""

    KIND = "yard set"
    section: Section | None
    lengths: tuple[Fraction, ...] = ()
    precuts: tuple[Fraction, ...] = ()
    prices: tuple[tuple[Fraction, Fraction], ...] = ()
    minimum: int = 1

    def __post_init__(self) -> None:
        """Refuse lengths, prices and a least number that cannot be."""
        for inches in (*self.lengths, *self.precuts, *(each for each, _ in self.prices)):
            check_inches(inches)
        check_pieces(self.minimum)
        if self.minimum < 1 or any(price < 0 for _, price in self.prices):
            raise ValueError("terms that no yard has")


class OrderTermsSet(Payload, frozen=True, kw_only=True):
    """How much more is ordered than the layout takes, and what the order may cost."""

    KIND = "order terms set"
    waste_allowance: Fraction = Fraction(0)
    budget: Fraction | None = None

    def __post_init__(self) -> None:
        """Refuse less than nothing."""
        if not 0 <= self.waste_allowance <= 1 or (self.budget is not None and self.budget < 0):
            raise ValueError("an order that cannot be")


class EventUndone(Payload, frozen=True):
    """An event does not count any more."""

    KIND = "event undone"
    event: str


class EventRedone(Payload, frozen=True):
    """An event that was undone counts again."""

    KIND = "event redone"
    event: str


class BoardsAdded(Payload, frozen=True, kw_only=True):
    """Boards were put on the rack."""

    KIND = "boards added"
    lot: str
    section: Section | None
    inches: Fraction
    count: int
    price: Fraction | None = None
    bad: tuple[tuple[Fraction, Fraction], ...] = ()
    list: str = ""
    """What the lots of one load have in common."""

    def __post_init__(self) -> None:
        """Refuse boards that no rack holds."""
        check_boards(self.section, self.inches, self.count, self.price, self.bad)


class BoardsChanged(Payload, frozen=True, kw_only=True):
    """A lot has another count, length or other bad parts; ``None`` leaves what was."""

    KIND = "boards changed"
    lot: str
    count: int | None = None
    inches: Fraction | None = None
    bad: tuple[tuple[Fraction, Fraction], ...] | None = None

    def __post_init__(self) -> None:
        """Refuse boards that no rack holds."""
        check_pieces(self.count or 0)
        if self.inches is not None:
            check_inches(self.inches)


class _OfALoad(Payload, frozen=True, kw_only=True):
    """What the events about one load have in common."""

    sender: str
    """The site it comes from, as that site calls itself."""
    to: str
    """The site it is meant for, as the sender calls that."""
    goods: Goods

    def __post_init__(self) -> None:
        """Refuse a load from nowhere or to nowhere."""
        if not self.sender.strip() or not self.to.strip():
            raise ValueError("a load has to come from a site and go to one")


class Sent(_OfALoad, frozen=True, kw_only=True):
    """Pieces or boards left this site for another; a copy of it tells that site so."""

    KIND = "sent"

    @property
    def row(self) -> str | None:
        """Return the row that the pieces were cut for, at the site they left."""
        return self.goods.row if isinstance(self.goods, SentPieces) else None

    @property
    def lot(self) -> str:
        """Return the lot that the boards are of, at the site they left; empty for pieces."""
        return self.goods.lot if isinstance(self.goods, SentBoards) else ""


class Arrived(_OfALoad, frozen=True, kw_only=True):
    """A load is here; a copy of it tells the sender so. It says all that was sent once more: the
    sending may be taken back, or not be known here.
    """

    KIND = "arrived"
    sent: str
    """The id of the event that sent it."""
    row: str | None = None
    """The row that the pieces stand in here: one of that cut, or a new one."""
    lot: str = ""
    """The lot that the boards are here."""


class LoadRefused(_OfALoad, frozen=True, kw_only=True):
    """A load is not taken here: it belongs to the sender again."""

    KIND = "load refused"
    sent: str


class BoardsPrinted(Payload, frozen=True, kw_only=True):
    """A page to work from was printed: its boards keep their plans from then on."""

    KIND = "boards printed"
    page: str
    plans: tuple[BoardPlan, ...]
    """In the order of the page."""
    names: tuple[str, ...] = ()
    """The ids of boards and plans that are new with it; others kept their plans before."""

    def __post_init__(self) -> None:
        """Refuse a plan that cannot be, or is not of this page."""
        check_plans(self.plans)
        if any(plan.page != self.page for plan in self.plans):
            raise ValueError("a plan that is not of its page cannot be")


class BoardsReleased(Payload, frozen=True, kw_only=True):
    """Boards keep their plans no longer: what is left of them is laid out anew."""

    KIND = "boards released"
    released: tuple[str, ...]
    """The boards, by their ids."""


PAYLOADS: tuple[type[Payload], ...] = (
    CutAdded,
    AssemblyAdded,
    AssemblyConfirmed,
    QuestionAnswered,
    CutChanged,
    PiecesCleared,
    PiecesPutBack,
    PieceSpoiled,
    CutStruck,
    CutRestored,
    RowHeld,
    RowReleased,
    RowSkipped,
    CallRefused,
    SettingsChanged,
    OrderSet,
    YardSet,
    OrderTermsSet,
    EventUndone,
    EventRedone,
    BoardsAdded,
    BoardsChanged,
    BoardsPrinted,
    BoardsReleased,
    Sent,
    Arrived,
    LoadRefused,
)
BY_KIND: dict[str, type[Payload]] = {each.KIND: each for each in PAYLOADS}
Undoing = EventUndone | EventRedone


class Unreadable(msgspec.Struct, frozen=True):
    """Stands where an event cannot be read; its bytes are kept and exported unchanged."""

    newer: bool
    """True where a newer program wrote it, false where it is damaged."""
    why: str


def moment_of(at: str) -> datetime:
    """Return the moment that ISO 8601 text says; a time without an offset is taken for UTC."""
    moment = datetime.fromisoformat(at)
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened."""

    id: str
    """Its name in every memo it is copied to."""
    at: str
    """When, as ISO 8601 with the offset."""
    station: str
    who: str
    kind: str
    version: int
    """Of the bytes in ``raw``; ``payload`` is always of the newest version."""
    payload: Payload | Unreadable
    raw: str = field(repr=False, default="")
    """The payload as it was written."""
    replica: str = ""
    """The copy of the memo that it was written in."""
    number: int = 0
    """Its number among what that copy wrote."""
    after: tuple[str, ...] = ()
    """The ids of the events it was built on: the last ones its writer knew."""
    seq: int = field(default=0, compare=False)
    """Its place in this file, by arrival."""

    @property
    def moment(self) -> datetime:
        """Return when it happened."""
        return moment_of(self.at)

    @property
    def damaged(self) -> bool:
        """Return whether what it says was lost."""
        return isinstance(self.payload, Unreadable) and not self.payload.newer

    @property
    def list(self) -> str:
        """Return what it has in common with the other events of one act; empty for an act by
        itself.
        """
        return str(getattr(self.payload, "list", ""))


@dataclass(frozen=True, slots=True)
class Draft:
    """An event about to be written."""

    payload: Payload
    id: str = field(default_factory=lambda: uuid.uuid4().hex)

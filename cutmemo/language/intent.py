"""What words can say: a cut, a change to one, a command, boards for the rack, or a set of cuts."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from cutmemo.domain.cut import Change as Change
from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.doubts import Doubt
from cutmemo.domain.length import Length
from cutmemo.language.sets import AssemblyCall

Verb = str
"""An order to the memo; the lexicon says which words give it, ``memo.decide`` what comes of it."""


Trouble = Literal["short", "long", "wrong angle", "bad stock"]
"""Why a piece has to be cut again."""
TRIMMED: Trouble = "long"
"""A piece that is too long is trimmed: it is no scrap."""


@dataclass(frozen=True, slots=True)
class Command:
    """An order to the memo."""

    verb: Verb
    number: int = 0
    """Which reading to answer with (from 1), or how many more."""
    length: Length | None = None
    """The length of the row it names, where it names one."""
    reason: Trouble | None = None
    """What is wrong with the piece, where it says so."""
    to: str = ""
    """The site that something is sent to."""
    count: int = 0
    """How many are sent or cut; 0 where it was not said."""
    section: Section | None = None
    """The section of the board that is sent, or of what is asked about, where it was said."""
    piece: str | None = None
    """The piece that is asked about, where one is."""
    words: str = ""
    """The words of the rows that are asked about, where they are named by those."""


@dataclass(frozen=True, slots=True)
class OnRow:
    """A change or an order for one row: by its number, its length or its piece, or the last one."""

    row: int | None
    """0 where the row is named by its length or its piece; ``None`` is the row called last, at the
    saw the one in hand.
    """
    intent: Change | Command
    length: Length | None = None
    piece: str | None = None
    latest: bool = False
    """True where it is the one of that piece that was called last."""
    words: str = ""
    """The words that its call has, where it is named by those: "newel backing"."""
    was: Change = field(default_factory=Change)
    """What the row has to be now: "not 2x6, 2x4"."""


@dataclass(frozen=True, slots=True)
class FromRow:
    """A cut worked out from a row: its length times *factor*, and *more* inches."""

    row: int | None
    """``None`` is the row called last."""
    factor: Fraction = Fraction(1)
    more: Fraction = Fraction(0)
    same: bool = False
    """True where all else is as in that row: "same as the last less a half"."""
    itself: bool = False
    """True where that row itself is changed, and none is called: "make it a quarter shorter"."""
    change: Change = field(default_factory=Change)
    """What else was said."""
    pieces: int = 0
    """So many pieces more or fewer, where the row itself is changed."""
    times: int = 1
    """So many times as many pieces, where the row itself is changed."""
    piece: str | None = None
    """The piece that the row is named by: "off the header"."""
    latest: bool = False
    """True where it is the one of that piece that was called last."""
    of_one: bool = False
    """True where that piece was named as one: the row has to be one piece."""

    def changed(self, source: Cut) -> Change:
        """Return what becomes of *source*, where that itself is changed."""
        if self.pieces or self.times > 1:
            return Change(count=source.count * self.times + self.pieces)
        return Change(length=self.cut(source).length)

    def cut(self, source: Cut) -> Cut:
        """Return the cut, made from *source*."""
        length = Length(source.length.inches * self.factor + self.more)
        cut = Change(length=length).applied(source) if self.same else Cut(length)
        if length == source.length and self.change.piece == source.piece:
            cut = replace(cut, section=source.section)  # another stud of the same length
        return self.change.applied(cut)


@dataclass(frozen=True, slots=True)
class BoardsCall:
    """Boards for the rack ("ten two by four sixteen footers"): no cut."""

    length: Length
    count: int = 1
    section: Section | None = None
    price: Fraction | None = None
    """What one board costs."""
    bad: tuple[tuple[Fraction, Fraction], ...] = ()
    """Bad parts, from and to, in inches."""
    more: tuple[BoardsCall, ...] = ()
    """Boards of other kinds that came on the same line."""


Intent = Cut | Change | Command | OnRow | FromRow | BoardsCall | AssemblyCall


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing the words can mean."""

    intent: Intent
    doubts: tuple[Doubt, ...] = ()
    """Why this needs an answer even if it is the only reading."""
    warnings: tuple[Doubt, ...] = ()
    """What to show beside it although it counts."""
    lead: Literal["", "cut", "another"] = ""
    """What leads in: "cut 36" may be said of a row that waits, "another 36" is of the piece called
    last."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A length on its way to a reading, with what was noticed underway."""

    inches: Fraction
    doubts: tuple[Doubt, ...] = ()
    warnings: tuple[Doubt, ...] = ()
    refusals: tuple[Doubt, ...] = ()

    def carrying(self, other: Amount, inches: Fraction) -> Amount:
        """Return *inches* with what was noticed on both."""
        return Amount(
            inches,
            self.doubts + other.doubts,
            self.warnings + other.warnings,
            self.refusals + other.refusals,
        )

"""The rows of a memo: what is to cut, how much of it is cut and as what, and in which order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, ValuesView
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from operator import itemgetter
from typing import Any, Literal

from immutables import Map

from cutmemo.audio.turns import REST_SECONDS
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt
from cutmemo.language import may_go_on
from cutmemo.memo.events import moment_of

RowState = Literal["open", "doubtful", "cut", "struck"]
Order = Literal["called", "longest", "saw"]
ORDERS: tuple[Order, ...] = ("called", "longest", "saw")
STOP_BLOCK_AT = (1, 2)
"""Pieces of a row after which the stop block is checked; then every tenth (common practice)."""
GOES_ON_SECONDS = REST_SECONDS
"""So long after a spoken call that does not end as one does, the rest of it may come."""


@dataclass(frozen=True, slots=True)
class Cleared:
    """Pieces that were cut in one go."""

    event: str
    pieces: int
    cut: Cut
    """As what they were cut: a correction afterwards does not change it."""
    station: str
    who: str
    at: str
    came: str = ""
    """The site they came from, where they were not cut here."""


@dataclass(frozen=True, slots=True)
class SentAway:
    """Pieces that left for another site."""

    load: str
    """The id of the event that sent them."""
    to: str
    pieces: int


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the memo."""

    id: str
    number: int
    """What a person calls the row: 1 for the first ever called."""
    cut: Cut
    state: RowState = "open"
    cleared: tuple[Cleared, ...] = ()
    """The pieces cut so far, the first first."""
    said: str = ""
    by_voice: bool = False
    hypotheses: tuple[tuple[str, float], ...] = ()
    """What the recogniser heard, with log-likelihoods, the best first."""
    readings: tuple[Cut, ...] = ()
    """What the call may mean, where that is the question."""
    doubts: tuple[Doubt, ...] = ()
    """Why it asks."""
    cautions: tuple[Doubt, ...] = ()
    settings: str = ""
    """The settings it was read under, in one line."""
    station: str = ""
    who: str = ""
    at: str = ""
    touched: int = 0
    """The place, in order of cause, of the last event about this row."""
    touched_at: str = ""
    """When that was."""
    called: int = 0
    """The place of the last event in which it was called, corrected or answered."""
    assembly: str = ""
    """The title of the assembly it was called with, where it was."""
    assembly_id: str = ""
    """The event that added that assembly."""
    held: bool = False
    """True while it waits to be released; it is open, and not offered at the saw."""
    skipped: int = 0
    """The place of the event that moved it to the end at the saw; 0 for none."""
    spoiled: tuple[str, ...] = ()
    """Why pieces of it had to be cut again, one reason each."""
    sent: tuple[SentAway, ...] = ()
    """Which of the cut pieces are at another site, or on their way there."""
    goes_on: str = ""
    """The row that a correction made of what was left of this one; empty for none."""
    ended_by: tuple[str, ...] = ()
    """The events that cut what this row ended with then."""
    whole: bool = False
    """True where a key that was let go ended its call."""

    @property
    def done(self) -> int:
        """Return how many pieces are cut, those that came from another site among them."""
        return sum(each.pieces for each in self.cleared)

    @property
    def cut_here(self) -> int:
        """Return how many pieces were cut at this site."""
        return sum(each.pieces for each in self.cleared if not each.came)

    @property
    def away(self) -> int:
        """Return how many pieces left for another site."""
        return sum(each.pieces for each in self.sent)

    @property
    def at_hand(self) -> int:
        """Return how many cut pieces are at this site."""
        return max(self.done - self.away, 0)

    @property
    def left(self) -> int:
        """Return how many pieces are still to cut."""
        return max(self.cut.count - self.done, 0)

    @property
    def over(self) -> int:
        """Return how many pieces were cut beyond the count: two stations apart cut the same one."""
        return max(self.done - self.cut.count, 0)

    @property
    def cut_by(self) -> str:
        """Return who cut the last piece and at which station; empty where none was cut here."""
        last = self._last_cut
        return "" if last is None else f"{last.who} at {last.station}"

    @property
    def cut_at(self) -> str:
        """Return when the last piece was cut; empty where none was cut here."""
        last = self._last_cut
        return "" if last is None else last.at

    @property
    def _last_cut(self) -> Cleared | None:
        return next((each for each in reversed(self.cleared) if not each.came), None)

    def may_go_on(self, now: datetime) -> bool:
        """Return whether more of its call may come at *now*: spoken moments ago, open-ended, and
        nothing done with it since.

        *now* has an offset. A clock set back is no reason to wait.
        """
        if not self.by_voice or self.whole or self.state != "open" or self.touched_at != self.at:
            return False
        since = (now - moment_of(self.at)).total_seconds()
        return 0 <= since < GOES_ON_SECONDS and may_go_on(self.said)

    @property
    def stop_block_due(self) -> bool:
        """Return whether the stop block wants a check after the piece just cut."""
        due = self.done in STOP_BLOCK_AT or (self.done > 0 and self.done % 10 == 0)
        return self.cut.count > 1 and self.left > 0 and due


class Rows(Mapping[str, Row]):
    """All rows by id, in the order of their numbers; changing it gives a new one."""

    __slots__ = ("_by_number", "_listed", "_number_of")

    def __init__(
        self, by_number: Map[int, Row] | None = None, number_of: Map[str, int] | None = None
    ) -> None:
        """Hold rows by number, and numbers by id."""
        self._by_number: Map[int, Row] = Map() if by_number is None else by_number
        self._number_of: Map[str, int] = Map() if number_of is None else number_of
        self._listed: tuple[Row, ...] | None = None

    def __getitem__(self, row_id: str) -> Row:
        """Return the row with this id."""
        return self._by_number[self._number_of[row_id]]

    def __iter__(self) -> Iterator[str]:
        """Yield the ids in order of number."""
        return (row.id for row in self.in_order())

    def __contains__(self, row_id: object) -> bool:
        """Return whether there is a row with this id."""
        return row_id in self._number_of

    def in_order(self) -> tuple[Row, ...]:
        """Return the rows in order of number; sorted once."""
        if self._listed is None:
            pairs = sorted(self._by_number.items(), key=itemgetter(0))
            self._listed = tuple(row for _, row in pairs)
        return self._listed

    def values(self) -> ValuesView[Row]:
        """Return the rows in order of number."""
        return _Listed(self)

    def __len__(self) -> int:
        """Return how many rows there are."""
        return len(self._by_number)

    def __eq__(self, other: object) -> bool:
        """Return whether both hold equal rows."""
        return isinstance(other, Rows) and self._by_number == other._by_number

    __hash__ = None  # type: ignore[assignment]  # equal maps need no hash here

    def __repr__(self) -> str:
        """Return the rows."""
        return f"Rows({list(self.values())!r})"

    def numbered(self, number: int) -> Row | None:
        """Return the row called *number*, or ``None``."""
        return self._by_number.get(number)

    def with_row(self, row: Row) -> Rows:
        """Return the rows with *row* in place of the one of its number."""
        return Rows(self._by_number.set(row.number, row), self._number_of.set(row.id, row.number))


class _Listed(ValuesView[Row]):
    """The rows in order of number."""

    _mapping: Rows

    def __iter__(self) -> Iterator[Row]:
        """Yield the rows."""
        return iter(self._mapping.in_order())


def without_last(
    cleared: tuple[Cleared, ...], pieces: int, cut_here: bool = False
) -> tuple[Cleared, ...]:
    """Return *cleared* less the last *pieces*; with *cut_here* of those that were cut here."""
    kept: list[Cleared] = []
    for each in reversed(cleared):
        less = 0 if cut_here and each.came else min(each.pieces, pieces)
        pieces -= less
        if each.pieces > less:
            kept.append(replace(each, pieces=each.pieces - less) if less else each)
    return tuple(reversed(kept))


def as_sawn(cut: Cut) -> tuple[Any, ...]:
    """Return what of *cut* the saw makes: two cuts with the same are the same piece of wood."""
    return cut.length, cut.allowance, cut.section, cut.ends


def ordered(rows: list[Row], order: Order) -> list[Row]:
    """Return *rows* as called, longest first, or by saw setting.

    By saw setting: square first, then each angle, longest first.
    """
    if order == "longest":
        return sorted(rows, key=lambda row: (-row.cut.length.inches, row.number))
    if order == "saw":
        return sorted(
            rows,
            key=lambda row: (
                row.cut.angled(),
                row.cut.ends_shown(),
                -row.cut.length.inches,
                row.number,
            ),
        )
    return sorted(rows, key=lambda row: row.number)


def saw_settings(rows: list[Row]) -> int:
    """Return how often the saw is set anew when *rows* are cut in this order, the first
    included.
    """
    settings = [row.cut.ends_shown() for row in rows]
    return sum(1 for before, now in zip([None, *settings], settings, strict=False) if before != now)


@dataclass(frozen=True, slots=True)
class Sums:
    """What the rows add up to; doubtful rows do not count."""

    open_pieces: int
    cut_pieces: int
    doubtful: int
    open_inches: Fraction
    open_board_feet: Fraction
    unsized: int
    """Open pieces with no nominal size, which the board feet leave out."""


def sums_of(rows: Rows) -> Sums:
    """Return what all *rows* add up to."""
    still = [row for row in rows.values() if row.state == "open"]
    sized = [
        (row, row.cut.section.board_feet(row.cut.length.inches))
        for row in still
        if row.cut.section is not None
    ]
    return Sums(
        sum(row.left for row in still),
        sum(row.done for row in rows.values()),
        sum(row.state == "doubtful" for row in rows.values()),
        sum((row.cut.length.inches * row.left for row in still), Fraction(0)),
        sum((feet * row.left for row, feet in sized), Fraction(0)),
        sum(row.left for row in still) - sum(row.left for row, feet in sized if feet),
    )

"""What has been read of a call so far, the reading that it ends in, and how likely that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from cutmemo.domain.checks import MAX_USUAL_COUNT
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.length import Length
from cutmemo.language.grammar.ends import EndSaid, both_ends
from cutmemo.language.grammar.numbers import MAX_PLACE_NUMBER
from cutmemo.language.intent import Amount, Change, Reading
from cutmemo.language.lexicon.en import COUNTING, OPENINGS, PLIES_IN_WORDS, SHEETS, SHORT_PIECES

MANY_PIECES = 24
"""More pieces than this are seldom called at once, but lengths begin here (common practice)."""
MIN_OF_MANY = 12
"""Shorter pieces, in inches, are not called by the dozens, but for :data:`SHORT_PIECES` (common
practice).
"""
MIN_CUT = 4
"""Nobody cuts a piece off a board that is shorter, in inches (common practice)."""
MIN_LENGTH_BEFORE_BOARD = 12
"""From here on a number right before a board may as well be a length: "thirty six stud forty"."""


@dataclass(frozen=True, slots=True)
class Partial:
    """What has been read of a call so far."""

    change: Change = field(default_factory=Change)
    amount: Amount | None = None
    ends: tuple[EndSaid, ...] = ()
    exact: bool = False
    plural: str = ""
    """The piece as it was said, where that was more than one."""
    treated: bool = False
    """True where that was said apart from the size."""
    room: str = ""
    """The room said before the piece: "closet stud"."""
    kept: bool = False
    """True where words of no table say which piece it is."""
    room_ends: int = -1
    """Where a room was named that may take the number behind it."""
    room_kept: bool = False
    """True where it is of words of no table."""
    room_number: int = 0
    """The bare number right behind it that was taken for the length."""
    hand: str = ""
    """The side said right beside the piece: "king left"."""
    panel: bool = False
    """True where two sides were said: only a sheet has them."""
    doubts: tuple[Doubt, ...] = ()

    def with_field(self, name: str, value: Any) -> Partial:
        """Return this with the field called *name* said."""
        return replace(self, change=replace(self.change, **{name: value}))

    def with_note(self, said: str) -> Partial:
        """Return this with *said* behind what is noted."""
        note = self.change.note
        return self.with_field("note", f"{note}, {said}" if note else said)


@dataclass(frozen=True, slots=True)
class Parsed:
    """A reading with what cannot be right about it."""

    reading: Reading
    refusals: tuple[Doubt, ...] = ()


def finished(partial: Partial, cut: bool) -> Parsed:
    """Return the reading of a finished *partial*: a cut, or a change to one."""
    amount = partial.amount or Amount(Fraction(0))
    change = replace(
        _with_room(_treated(partial), partial.hand, partial.room),
        length=None if partial.amount is None else Length(amount.inches),
        ends=both_ends(partial.ends),
    )
    doubts = amount.doubts + partial.doubts
    if cut and _may_be_of_the_place(partial):
        number, said = partial.room_number, change.place or ""
        about = (Field.LENGTH, Field.PLACE)
        doubts += (doubt(DoubtKind.PLACE_OR_LENGTH, *about, number=number, said=said),)
    several = partial.plural or _plies(change.note or "") or _counting(change.place or "")
    if cut and several and change.count is None:
        doubts += (doubt(DoubtKind.UNCOUNTED, Field.COUNT, Field.PIECE, said=several),)
    intent = change.cut() if cut else change
    return Parsed(Reading(intent, doubts, amount.warnings), amount.refusals)


def likeliest(found: Sequence[Partial]) -> list[Partial]:
    """Return those of *found*, each with a length, that stand: what is sure before what asks of a
    word, what is likely, and what is of known words.
    """
    left = [
        each for each in found if not _may_count_words(each) and not _is_the_other_jack(each, found)
    ]
    for likely in (_is_sure, _asks_of_no_word, _is_likely, _is_known):
        if any(likely(each) for each in left):
            return _kept_once([each for each in left if likely(each)])
    return _kept_once(left)


def _kept_once(found: Sequence[Partial]) -> list[Partial]:
    """Return *found*, of those that differ in nothing but the order of the words of a place the
    first, and of those that keep words and differ in nothing but where a place ends and a piece
    begins: bath niche sides.
    """
    once: dict[object, Partial] = {}
    for each in found:
        bare = replace(each.change, piece=None, place=None, note=None)
        where = frozenset(" ".join((each.change.place or "", each.room)).replace(",", "").split())
        same = replace(each, change=replace(each.change, place=None), room="", room_ends=-1)
        key = (bare, each.amount, each.ends, each.doubts) if each.kept else (same, where)
        once.setdefault(key, each)
    return list(once.values())


def _may_count_words(partial: Partial) -> bool:
    """Return whether a whole number and words of no table are all that was said: twelve dwangs."""
    kept = any(each.kind is DoubtKind.UNKNOWN_WORDS for each in partial.doubts)
    amount = partial.amount
    whole = amount is not None and amount.inches.denominator == 1
    alone = partial.change.named() == {Field.NOTE} and not partial.ends and not partial.treated
    return kept and whole and alone


def _is_the_other_jack(partial: Partial, found: Sequence[Partial]) -> bool:
    """Return whether *partial* is of the rafter that a jack may be, where it is square and stands
    at a door or a window: side door jack; or of the stud, where an end is cut to a pitch. W5 may
    be a wall.
    """
    change = partial.change
    pitched = any(each.end is not None and each.end.rise is not None for each in partial.ends)
    pitched = pitched or "/12" in (change.note or "")
    if change.piece == "trimmer" and pitched:
        return any(each == partial.with_field("piece", "jack rafter") for each in found)
    if change.piece != "jack rafter" or partial.ends:
        return False
    where = " ".join((change.place or "", partial.room)).lower().split()
    of_opening = any(word in OPENINGS for word in where)
    twin = partial.with_field("piece", "trimmer")
    return of_opening and any(each == twin for each in found)


def _counting(place: str) -> str:
    """Return what of *place* says that it is more than one: "both windows", "each bath"."""
    return next((word for word in place.lower().split() if word in COUNTING), "")


def _may_be_of_the_place(partial: Partial) -> bool:
    """Return whether a number may be the place's own: nothing else was said, "window 36", it is of
    words of no table, or of an opening that a piece is for, "door 36 header".
    """
    if not partial.room_number:
        return False
    alone = partial.change.named() == {Field.PLACE} and not partial.ends
    few = partial.room_number <= MAX_PLACE_NUMBER
    *_, room = ["", *(partial.change.place or "").lower().split()]
    of_opening = room in OPENINGS and partial.change.piece is not None and not few
    return alone or of_opening or (partial.room_kept and few)


def _plies(note: str) -> str:
    """Return what of *note* says that one piece is made of several: "double", "2 ply"."""
    plies = (each for each in note.split(", ") if each in PLIES_IN_WORDS or each.endswith(" ply"))
    return next((each for each in plies if each != "1 ply"), "")


def is_sheet(partial: Partial) -> bool:
    """Return whether *partial* is of something that comes in sheets."""
    size = partial.change.section
    return partial.change.piece == "sheet" or (size is not None and size.material in SHEETS)


def is_short(piece: str | None) -> bool:
    """Return whether *piece* may be a few inches long: a block."""
    return piece is not None and piece.split()[-1] in SHORT_PIECES


def _is_sure(partial: Partial) -> bool:
    """Return whether *partial* is likely, and of known words: any other only stands where none of
    these does.
    """
    return _is_likely(partial) and _is_known(partial)


def _asks_of_no_word(partial: Partial) -> bool:
    """Return whether *partial* is likely, and no word of it is asked about."""
    kinds = [each.kind for each in partial.doubts]
    return _is_likely(partial) and DoubtKind.UNKNOWN_WORDS not in kinds


def _is_known(partial: Partial) -> bool:
    """Return whether no words were kept as they are."""
    asked = any(each.kind is DoubtKind.UNKNOWN_WORDS for each in partial.doubts)
    return not asked and not partial.kept


def _is_likely(partial: Partial) -> bool:
    """Return whether *partial* is what a crew may well mean.

    It is not where a bare number that is no usual angle was taken for one, a count before a board
    for a piece of a few inches, or a length for a count: header 39 x 2 is no 39 of 2 in.
    """
    amount = partial.amount or Amount(Fraction(0))
    counted = any(each.kind is DoubtKind.COUNT_OR_LENGTH for each in partial.doubts)
    piece = partial.change.piece
    short = is_short(piece)
    long = piece is not None and not short
    few = counted and amount.inches < (MIN_CUT if short else MIN_LENGTH_BEFORE_BOARD)
    count = partial.change.count or 1
    chips = long and (
        (count > MANY_PIECES and amount.inches < MIN_OF_MANY)
        or (count > MAX_USUAL_COUNT and amount.inches <= MANY_PIECES)
    )
    bare = any(each.bare for each in partial.ends)
    return not (amount.refusals or few or chips or bare)


def _with_room(change: Change, *more: str) -> Change:
    """Return the change with the side and the room said of its piece behind the place that was
    said.
    """
    said = " ".join(part for part in (change.place, *more) if part)
    return replace(change, place=said) if said else change


def _treated(partial: Partial) -> Change:
    """Return the change with "treated" said of its size, or kept as a note where no size was
    said.
    """
    change = partial.change
    if not partial.treated:
        return change
    if change.section is not None:
        return replace(change, section=replace(change.section, treated=True))
    return replace(change, note=f"{change.note}, treated" if change.note else "treated")

"""A cut like the one called last, but for what is said of it: same for W5 and, typed, 18 same east
side, same but 33-3/4, 31 more for the rear wall, 12 more studs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.language.grammar.cuts import all_fields
from cutmemo.language.grammar.fields import amount_words
from cutmemo.language.grammar.partial import (
    MANY_PIECES,
    MIN_LENGTH_BEFORE_BOARD,
    Parsed,
    Partial,
    finished,
)
from cutmemo.language.grammar.pieces import piece
from cutmemo.language.grammar.places import place
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import Token
from cutmemo.language.grammar.unknown import MARK
from cutmemo.language.intent import Change, FromRow, Reading
from cutmemo.language.lexicon.en import (
    ALIKE,
    EITHER_PIECES,
    MEANS_MORE,
    ONES,
    PIECES,
    PLURAL_PIECES,
    ROOMS,
    SAME_FOR,
    SIDES,
    SPOTS,
    TENS,
    WHERE,
)

MAX_WORDS = 8
"""So many words say where it goes at most."""
_GOES_ON = ("but", ",", "only", "just", "and", "again", "too", "also", "except")
_LEADS = ("for", "at", "on", "in", "by", "the", "over", "to")


@dataclass(frozen=True, slots=True)
class _Alike:
    """What says that a cut is like another: its tokens, and how many are called."""

    said: FromRow
    begin: int
    end: int
    count: int | None
    words: str
    place_only: bool = False


def alike(scan: Scan) -> Iterator[Parsed]:
    """alike = [amount] same fields | fields [amount] same | amount "more" [piece] place, to the
    end: the cut called last with these fields
    """
    for found in (*_same(scan), *_more(scan)):
        after = found.end
        while scan.word(after) in _GOES_ON:
            after += 1
        rest = _bare(scan.tokens[: found.begin] + scan.tokens[after:])
        if rest:
            yield from _changed(scan, rest, found)
        elif found.said.piece is not None:
            change = Change(count=found.count)
            yield Parsed(Reading(replace(found.said, change=change)))


def spoken_alike(scan: Scan) -> Iterator[Parsed]:
    """spoken_alike = ( "same" | "same again" | amount "more" [piece] ) place, to the end: "same
    for the west wall", "two more for w five"
    """
    heads: list[tuple[int | None, str | None, int]] = [*_so_many_more(scan)]
    heads += [(None, None, end) for _, end in scan.find(SAME_FOR, 0)]
    for count, name, end in heads:
        for said, after in scan.every(place, end):
            if after == len(scan.tokens):
                like = FromRow(None, same=True, piece=name)
                yield Parsed(Reading(replace(like, change=Change(count=count, place=said))))


def _so_many_more(scan: Scan) -> Iterator[tuple[int, str | None, int]]:
    """so_many_more = amount "more" [piece], at the head of the line"""
    for amount, after in scan.every(amount_words, 0):
        if scan.word(after) == "more":
            yield amount, None, after + 1
            for name, end in scan.every(piece, after + 1):
                if scan.word(end - 1) in PLURAL_PIECES or amount == 1:
                    yield amount, name, end


def _bare(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return *tokens* without commas at their ends."""
    kept = list(tokens)
    while kept and kept[0].word == ",":
        del kept[0]
    while kept and kept[-1].word == ",":
        del kept[-1]
    return tuple(kept)


def _same(scan: Scan) -> Iterator[_Alike]:
    """same = [amount ["more"]] ( "same" | "same length" … ), anywhere in the line"""
    for at in range(len(scan.tokens)):
        found = scan.find(ALIKE, at)
        if not found:
            continue
        what, end = max(found, key=lambda each: each[1])
        if what == "cut" and not _may_stand_behind(scan, end):
            return
        words = [token.word for token in scan.tokens[at:end]]
        begin, count = _how_many(scan, at, words[0])
        said = FromRow(None, same=what == "cut")
        yield _Alike(said, begin, end, count, " ".join(words))
        return


def _how_many(scan: Scan, at: int, word: str) -> tuple[int, int | None]:
    """Return where what says that a cut is alike begins, with how many of it right before *at*: 18
    same, 2 more same; in "4 at 36 same" 36 is none.
    """
    for start in range(max(at - 2, 0), at):
        before = scan.token(start - 1) if start else None
        if before is not None and (before.kind != "word" or before.word in _COUNTING):
            continue
        for amount, after in scan.every(amount_words, start):
            if at - after in (0, 1) and scan.word(after) in ("more", word):
                return start, amount
    return at, None


_COUNTING = ("at", "of", "times", "pieces", "inch", "inches", "foot", "feet")


def _may_stand_behind(scan: Scan, at: int) -> bool:
    """Return whether what stands at *at* may be said of a cut that is like another: no "same spot
    as yesterday".
    """
    token = scan.token(at)
    if token is None or token.kind != "word":
        return True
    known = (*_GOES_ON, *_LEADS, *ONES, *TENS, "with", "treated", "pt")
    named = any(token.word in table for table in (ROOMS, SPOTS, SIDES)) or bool(
        MARK.fullmatch(token.word)
    )
    return (
        named
        or token.word in known
        or scan.stands(PIECES, at)
        or scan.stands(EITHER_PIECES, at)
        or scan.stands(WHERE, at)
    )


def _more(scan: Scan) -> Iterator[_Alike]:
    """So many more of the cut called last, or of a piece."""
    for amount, name, end in _so_many_more(scan):
        said = FromRow(None, same=True, piece=name)
        yield _Alike(said, 0, end, amount, "more", place_only=True)


def _changed(scan: Scan, rest: tuple[Token, ...], like: _Alike) -> Iterator[Parsed]:
    """Yield the cut that is like another with what *rest* says of it. It asks where it has a length
    of its own, unless that follows right behind: same kitchen 36 may be in the same kitchen.
    """
    apart = Scan(rest, scan.settings, by_voice=False, keeps_words=True)
    found: dict[object, Parsed] = {}
    for partial in all_fields(apart, 0, Partial()):
        done = finished(partial, cut=False)
        change = done.reading.intent
        if not isinstance(change, Change) or not _fits(change, partial, like):
            continue
        doubts = done.reading.doubts
        if change.length is not None and not (like.begin == 0 and _goes_on(scan, like.end)):
            asked = doubt(DoubtKind.UNKNOWN_WORDS, Field.PIECE, Field.PLACE, said=like.words)
            doubts = (asked, *doubts)
        if change.length is not None and change.count is None and like.count is None:
            doubts = (*_perhaps_how_many(change.length.inches), *doubts)
        if like.count is not None:
            change = replace(change, count=like.count)
        key = (change.count, change.length, change.section, change.ends)
        kept = found.get(key)
        if kept is None or len(doubts) < len(kept.reading.doubts):
            reading = Reading(replace(like.said, change=change), doubts, done.reading.warnings)
            found[key] = Parsed(reading, done.refusals)
    yield from found.values() if found else _with_all_kept(rest, like)


def _goes_on(scan: Scan, at: int) -> bool:
    """Return whether what is other follows at *at*: a figure, or "but"."""
    token = scan.token(at)
    return token is not None and (token.kind != "word" or token.word in (*_GOES_ON, *ONES, *TENS))


def _perhaps_how_many(inches: Fraction) -> tuple[Doubt, ...]:
    """Return that a few whole inches may be how many: same, 4; and that less than a foot may be
    more or less: same but half.
    """
    if inches >= MIN_LENGTH_BEFORE_BOARD and not (
        inches.denominator == 1 and inches <= MANY_PIECES
    ):
        return ()
    count = int(inches)
    return (doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=count),)


def _fits(change: Change, partial: Partial, like: _Alike) -> bool:
    """Return whether *change* may be said of *like*: how many only once, treated only with a size,
    behind "more" nothing but a place, and no cut that is whole without it.
    """
    counted = like.count is not None and change.count is not None
    sizeless = partial.treated and change.section is None
    whole = like.begin > 0 and change.length is not None and change.section is not None
    return not (counted or sizeless or whole) and (
        not like.place_only or change.named() == {Field.PLACE}
    )


def _with_all_kept(rest: tuple[Token, ...], like: _Alike) -> Iterator[Parsed]:
    """Yield the cut that is like another with all words of *rest* as where it goes; it asks."""
    words = list(rest)
    while words and words[0].word in _LEADS:
        del words[0]
    plain = all(token.kind == "word" and not _says_more(token) for token in words)
    if words and plain and len(words) <= MAX_WORDS:
        place = " ".join(token.text for token in words)
        asked = doubt(DoubtKind.UNKNOWN_WORDS, Field.PIECE, Field.PLACE, said=place)
        change = Change(count=like.count, place=place)
        yield Parsed(Reading(replace(like.said, change=change), (asked,)))


def _says_more(token: Token) -> bool:
    word = token.word
    return word in MEANS_MORE and not (word in ROOMS or word in SPOTS or word in SIDES)

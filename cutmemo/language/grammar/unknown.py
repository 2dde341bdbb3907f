"""Typed words that mean no more than what a piece is, or where it goes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from functools import lru_cache

from cutmemo.language.grammar.lengths import is_the_lower_end
from cutmemo.language.grammar.numbers import MAX_PLACE_NUMBER
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.lexicon.en import (
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    MATERIALS,
    MAY_CHANGE,
    MEANS_MORE,
    ONES,
    PIECES,
    PLACE_NAMES,
    PLATES_IN_SHORT,
    QUALIFYING,
    ROOMS,
    SENTENCE_WORDS,
    SIDES,
    SPOTS,
    TENS,
    UNITS,
    WHERE,
)
from cutmemo.language.lexicon.ordinary import ORDINARY


def unknown_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_of_piece = up to three typed words that mean no more, before a piece: flitch beam"""
    if _begins_a_piece(scan, at):
        return  # knee brace
    end = _past_unknown(scan, at)
    if end > at and scan.stands(PIECES, end):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def unknown_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_piece = such words between a size and figures, or before a size: 2x4 dwang 36"""
    end = _past_unknown(scan, at)
    if end == at or scan.word(at) in PLATES_IN_SHORT:
        return
    before = scan.token(at - 1) if at else None
    behind = scan.token(end + 1 if scan.word(end) in ("at", ",") else end)
    figures = behind is not None and behind.kind in ("number", "decimal")
    sized = before is not None and before.kind == "section" and figures
    counted = before is not None and before.kind == "number" and figures
    sized = sized or (counted and is_plural(scan.word(end - 1)))
    if sized or (behind is not None and behind.kind == "section"):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def unknown_several(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_several = such words behind a count and right before a size or figures, the last in
    the plural: 5 bench legs 2x4
    """
    end = _past_unknown(scan, at)
    behind = scan.token(end + 1 if scan.word(end) in ("at", ",") else end)
    measured = behind is not None and behind.kind in ("section", "number", "decimal")
    several = end > at and is_plural(scan.word(end - 1)) and scan.word(at) not in PLATES_IN_SHORT
    if several and measured:
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def is_plural(word: str) -> bool:
    """Return whether *word* of no table names more than one: dwangs; no truss does."""
    return word.endswith("s") and not word.endswith("ss")


def unknown_room(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_room = such words with a room among them: tack room, stair hole"""
    end = _past_unknown(scan, at)
    if any(token.word in ROOMS for token in scan.tokens[at:end]):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def kept_place(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """kept_place = where noun { noun }, before a piece or any other field: at the chimney, under
    the sill; at, by, in and on are left off
    """
    yield from _kept_place(scan, at, past_pieces=False)


def kept_place_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """kept_place_of_piece = the same, where the piece was named before: at the corner post"""
    yield from _kept_place(scan, at, past_pieces=True)


def _kept_place(scan: Scan, at: int, past_pieces: bool) -> Iterator[tuple[str, int]]:
    if scan.word(at) == "foot" and not is_the_lower_end(scan, at):
        return  # 12 foot of decking
    for where, start in scan.find(WHERE, at)[:1]:
        begin = start + 1 if scan.word(start) in _ARTICLES else start
        end = _past_nouns(scan, begin, past_pieces)
        inches_of = scan.word(at) == "in" and begin == start and scan.stands(PIECES, begin)
        if end > begin and not inches_of:
            yield _as_typed(scan, begin if not where else at, end), end


def kept_spot(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """kept_spot = { spot | side | room } with a spot or a side alone among them: left side, corner
    W1
    """
    end = at
    before = scan.token(at - 1) if at else None
    if scan.word(at) in DENOMINATORS and before is not None and before.kind == "number":
        return  # 36 third
    of_side = (scan.word(at + 1), scan.word(at + 2)) == ("side", "of")
    long_wall = scan.word(at) in ("long", "short") and (scan.word(at + 1) in ROOMS or of_side)
    while not _begins_a_piece(scan, end):
        end_wall = scan.word(end) == "end" and scan.word(end + 1) in ROOMS
        goes_on = (end > at and scan.word(end) == "end") or end_wall
        if not (goes_on or _is_spot(scan.word(end)) or (long_wall and end == at)):
            break
        end += 1
    if end > at:
        end = end + 1 if MARK.fullmatch(scan.word(end)) else end
    elif MARK.fullmatch(scan.word(at)) and scan.word(at + 1) == "/":
        end = at + 3 if MARK.fullmatch(scan.word(at + 2)) else at
    if end > at:
        yield _as_typed(scan, at, end), end


def numbered_noun(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """numbered_noun = ["for" | where] noun number: unit 4, for grid 12"""
    start = scan.take(at, "for")
    if start is None:
        start = next((end for _, end in scan.find(WHERE, at)[:1]), at)
    begin = start + 1 if scan.word(start) in _ARTICLES else start
    end = _past_nouns(scan, begin, past_pieces=True)
    number = scan.token(end)
    behind = scan.token(end + 1)
    whole = behind is None or (behind.kind != "fraction" and not scan.stands(UNITS, end + 1))
    sided = scan.word(end - 1) in SIDES
    if end == begin or sided or number is None or number.kind != "number" or not whole:
        return
    if 0 < number.value <= MAX_PLACE_NUMBER:
        yield _as_typed(scan, begin, end + 1), end + 1


def number_before_board(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """number_before_board = typed number, up to two dozen, right before a size or a piece: it may
    be how many, or belong to the place before it
    """
    number = scan.token(at)
    behind = scan.token(at + 1)
    if number is None or behind is None or number.kind != "number":
        return
    if 0 < number.value <= MAX_PLACE_NUMBER and (
        behind.kind == "section" or scan.stands(PIECES, at + 1)
    ):
        yield int(number.value), at + 1


def kept_words(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """kept_words = up to three words that mean no more: white, wide"""
    end = _past_unknown(scan, at)
    if end > at:
        yield _as_typed(scan, at, end), end


_ARTICLES = ("the", "a", "an", "this", "that", "my", "our", "his", "her", "their", "your")
_BETWEEN_NOUNS = ("of", "to", "and")
MAX_NOUNS = 6
MARK = re.compile(
    r"(?!(?:ft|in|mm|cm|no|lp|sp|ll|oc|ea|pc|pcs|pt|ply)\d)(?:[a-z]{1,2}\d{1,2}|u\d{3})"
)
"""What walls, windows, headers and rooms are marked with: W3, PW1, BR2, U103."""


def _past_nouns(scan: Scan, at: int, past_pieces: bool) -> int:
    """Return the position after the nouns of a place at *at*: the first may be a piece, the others
    only where *past_pieces*.
    """
    pieces = scan.find(PIECES, at)
    end = pieces[0][1] if pieces else at
    while end < at + MAX_NOUNS:
        if end > at and scan.stands(PIECES, end) and not past_pieces:
            break
        if end > at and scan.word(end) in _BETWEEN_NOUNS:
            behind = end + 2 if scan.word(end + 1) in _ARTICLES else end + 1
            if _is_noun(scan, behind):
                end = behind + 1
                continue
        if not _is_noun(scan, end) and not (end > at and scan.word(end) == "end"):
            break
        marks = MARK.fullmatch(scan.word(end)) and MARK.fullmatch(scan.word(end + 2))
        end += 3 if marks and scan.word(end + 1) == "/" else 1
    return end


def _begins_a_piece(scan: Scan, at: int) -> bool:
    """Return whether a piece of several words stands at *at*: top plate."""
    return any(end > at + 1 for _, end in scan.find(PIECES, at))


def _is_spot(word: str) -> bool:
    return word in SPOTS or word in SIDES or word in ROOMS


def _is_noun(scan: Scan, at: int) -> bool:
    """Return whether a word that may name a place stands at *at*, and none that counts or
    measures.
    """
    token = scan.token(at)
    if token is None or token.kind != "word":
        return False
    word = token.word
    if _is_spot(word) or word in PIECES or word in MATERIALS or MARK.fullmatch(word):
        return True
    if word == "end":
        return scan.word(at + 1) == "of" or scan.word(at + 1) in ROOMS
    if word in ("long", "short"):  # "the long side" may be a point
        return not scan.word(at + 1).startswith("side") and _is_noun(scan, at + 1)
    known = word in MEANS_MORE or word in SENTENCE_WORDS
    return not known and len(word) > 2 and _is_plain(word) and not may_change(word)


def may_change(words: str) -> bool:
    """Return whether one of *words* may say how long, how many or of which size, is like a word
    that does, or is so short that it may stand for a unit: lf.
    """
    return not is_plainly_a_place(words) and any(map(_may_say_more, words.lower().split()))


def says_nothing_of_a_measure(words: Iterable[str]) -> bool:
    """Return whether none of *words* may say anything of the length before it, how many there are
    or what is to become of them, nor is one slip of the fingers away from a word that does. Words
    that name places, a corner or a pump, say nothing else.
    """
    return not any(
        len(word) < SHORTEST_WORD
        or word in QUALIFYING
        or word.endswith(_VAGUE_ENDINGS)
        or _runs_together(word)
        or _is_a_slip_of_one(word)
        for word in words
        if not (_is_spot(word) or word in PLACE_NAMES)
    )


_VAGUE_ENDINGS = ("ish", "fold")


def _runs_together(word: str) -> bool:
    """Return whether *word* is two that measure: fiftyfive, twofoot."""
    return any(
        word[:k] in _MEASURING and (word[k:] in _MEASURING or word[k:] in MEANS_MORE)
        for k in range(3, len(word) - 1)
    )


@lru_cache(maxsize=1024)
def _is_a_slip_of_one(word: str) -> bool:
    return word not in ORDINARY and any(within_one_slip(word, known) for known in _SAYING_ANYTHING)


def within_one_slip(word: str, known: str) -> bool:
    """Return whether *word* is *known* with at most one letter changed, left out, put in, or
    exchanged for the next one.
    """
    if abs(len(word) - len(known)) > 1:
        return False
    begins = next((k for k, (a, b) in enumerate(zip(word, known, strict=False)) if a != b), None)
    if begins is None:
        return True
    one, other = word[begins:], known[begins:]
    return (
        one[1:] == other[1:]
        or one[1:] == other
        or one == other[1:]
        or (one[2:] == other[2:] and one[:2] == other[1::-1])
    )


def _may_say_more(word: str) -> bool:
    return len(word) < SHORTEST_WORD or word in MAY_CHANGE or _is_like_one(word)


def is_plainly_a_place(words: str) -> bool:
    """Return whether *words* name a room, and each of them says which one: knee wall west, side
    door. Words of no table may, before the room, unless they may say more.
    """
    said = _without_sizes_of_rooms(words.lower().split())
    if not MAY_CHANGE.isdisjoint(said) or all(word not in ROOMS for word in said):
        return False
    which = [word for word in said if not (word in ROOMS or word in SIDES or word in PLACE_NAMES)]
    return not which or (said[-1] in ROOMS and says_nothing_of_a_measure(which))


def _without_sizes_of_rooms(words: list[str]) -> list[str]:
    """Return *words* without what tells one room from another right before it: big door."""
    pairs = zip(words, [*words[1:], ""], strict=True)
    return [word for word, behind in pairs if not is_size_of_a_room(word, behind)]


def is_size_of_a_room(word: str, behind: str) -> bool:
    """Return whether *word* only tells which room *behind* is: big door, man door."""
    return word in SIZES_OF_ROOMS and behind in ROOMS


SIZES_OF_ROOMS = frozenset(
    "big small tall low high main man other temp temporary first last next mid end old new".split()
)
SHORTEST_WORD = 3


@lru_cache(maxsize=1024)
def _is_like_one(word: str) -> bool:
    """Return whether *word* may be meant for one that says more: shrot, duoble."""
    known = len(word) < 4 or word in ("board", "boards") or word in PIECES or _is_spot(word)
    known = known or word in ORDINARY
    return not known and bool(get_close_matches(word, _SAYING_MORE, n=1, cutoff=0.82))


_SAYING_ANYTHING = frozenset(
    word
    for word in {*MEANS_MORE, *MAY_CHANGE, *QUALIFYING}
    if len(word) >= SHORTEST_WORD and not (word in PIECES or word in MATERIALS or _is_spot(word))
)
_SAYING_MORE = sorted(word for word in {*MEANS_MORE, *MAY_CHANGE} if len(word) > 3)


def _is_plain(word: str) -> bool:
    """Return whether *word* is of letters and like no number and no unit."""
    return len(word) > 1 and word.isalpha() and not is_like_a_measure(word)


def _as_typed(scan: Scan, begin: int, end: int) -> str:
    texts = [
        token.text.upper() if MARK.fullmatch(token.word) else token.text
        for token in scan.tokens[begin:end]
    ]
    return " ".join(texts)


MAX_UNKNOWN = 3


@lru_cache(maxsize=1024)
def is_like_a_measure(word: str) -> bool:
    """Return whether *word* may be meant for a number or a unit: fourty, twlve, inchs."""
    return bool(get_close_matches(word, _MEASURING, n=1, cutoff=0.75))


_MEASURING = sorted(
    {*ONES, *TENS, *UNITS.words(), *DENOMINATORS.words(), *DENOMINATOR_PLURALS.words(), "hundred"}
)


def _past_unknown(scan: Scan, at: int) -> int:
    """Return the position after the typed words at *at* that mean nothing more than what it is."""
    end = at
    while not scan.by_voice and end < at + MAX_UNKNOWN:
        token = scan.token(end)
        if end > at and scan.keeps_words and scan.word(end) in ("board", "boards"):
            end += 1
            continue
        if scan.keeps_words and scan.word(end) == "last" and scan.stands(PIECES, end + 1):
            end += 1
            continue
        if token is None or token.kind != "word" or token.word in MEANS_MORE:
            break
        if token.word in SENTENCE_WORDS or scan.stands(WHERE, end) or not _is_plain(token.word):
            break
        end += 1
    return end

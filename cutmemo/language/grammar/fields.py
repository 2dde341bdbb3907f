"""The parts of a call beside its length and its ends: how many, of what, and where."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from difflib import get_close_matches
from functools import lru_cache
from typing import Any

from cutmemo.domain.cut import Allowance
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.language.grammar.numbers import below_hundred
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.tokens import HYPHEN, MINUS, PLUS, SIGNS, Token
from cutmemo.language.lexicon.en import (
    ALLOWANCES,
    AMOUNTS,
    ANGLED,
    COUNT_ENDS,
    COUNT_FIRST,
    COUNT_LEADS,
    COUNT_MARKS,
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    EITHER_PIECES,
    EXACT,
    HANDS,
    LETTERS,
    MATERIALS,
    MEANS_MORE,
    NEEDS_A_PIECE,
    NOTES,
    ONES,
    PIECES,
    PITCHED,
    PLACE_LEADS,
    PLURAL_PIECES,
    PLUS_MINUS,
    POINTS,
    ROOMS,
    SETS,
    SIDES,
    SLIGHT,
    SLIGHT_SIDES,
    TENS,
    TREATED,
    UNITS,
    WORD_FIELDS,
)
from cutmemo.language.lexicon.table import Table

MAX_PLACE_NUMBER = 24
"""No house has more walls, windows or doors of one kind; a number past it is a length."""


# --- how many ------------------------------------------------------------------------------------


def count_before(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """count_before = ["need"] amount mark | "need" amount | "a dozen" | "both" ["at"]"""
    needed = next((end for _, end in scan.find(COUNT_FIRST, at)), None)
    start = at if needed is None else needed
    yield from scan.find(AMOUNTS, start)
    yield from scan.every(_in_brackets, start)
    for amount, after in scan.every(amount_words, start):
        for _, end in scan.find(COUNT_MARKS, after):
            if not leans_on(scan, after, end):  # 33 x5 is five of them
                yield amount, end
        if needed is not None:
            yield amount, after
    if scan.word(start) == "both":
        yield 2, scan.take(start + 1, "at", "of") or start + 1


def count_of_board(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """count_of_board = amount, right before a section or a piece: "six studs", "4 2x6" """
    for amount, after in scan.every(amount_words, at):
        board = after + 1 if scan.word(after) in (HYPHEN, MINUS) else after
        token = scan.token(board)
        if token is None or token.kind == "fraction":
            continue  # 1-3/4x11-7/8
        if any(scan.every(rule, board) for rule in (*_BOARD, *_DESCRIBED)):
            yield amount, board


def described_board(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """described_board = a word that is kept, right before a size or a piece: "solid blocks", "cedar
    2x4"
    """
    for name, after in scan.find(NOTES, at):
        if any(scan.every(rule, after) for rule in (*_BOARD, room_of_piece, described_board)):
            yield name, after


def leans_on(scan: Scan, at: int, other: int) -> bool:
    """Return whether a typed x at *at* stands close to the number on the side of *other*, and apart
    from the other one.
    """
    if scan.by_voice or scan.word(at) != "times" or not 0 < at < len(scan.tokens) - 1:
        return False
    count = scan.tokens[at + 1 if other > at else at - 1]
    if count.kind != "number" or count.value > MOST_LEANT_ON:
        return False
    before = scan.tokens[at - 1].span[1] >= scan.tokens[at].span[0]
    behind = scan.tokens[at].span[1] >= scan.tokens[at + 1].span[0]
    return behind and not before if other > at else before and not behind


MOST_LEANT_ON = 24
"""A number past it is as well a length: 5 x33."""


def _in_brackets(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """in_brackets = "(" number ")" """
    token = scan.token(at + 1)
    bracketed = scan.word(at) == "(" and scan.word(at + 2) == ")"
    if bracketed and token is not None and token.kind == "number":
        yield int(token.value), at + 3


def amount_words(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """amount_words = number | ["a"] "pair" | ["a"] "couple" | ["half" ["a"]] "dozen" """
    yield from scan.every(any_number, at)
    yield from scan.find(AMOUNTS, at)


def count_after(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """count_after = "times" n | "make it" n | "need" n | n "pieces" | n "of them" | "a pair" |
    "both"
    """
    for _, after in scan.find(COUNT_LEADS, at):
        if not leans_on(scan, at, at - 1):  # 5x 33 is five of 33
            yield from scan.every(amount_words, after)
        scan.missed(after, "a count")
    for amount, after in scan.every(amount_words, at):
        for _, end in scan.find(COUNT_ENDS, after):
            yield amount, end
    yield from scan.find(AMOUNTS, at)
    yield from scan.every(_in_brackets, at)
    if scan.word(at) == "both":
        yield 2, at + 1


# --- a touch more or less ------------------------------------------------------------------------


def allowance(scan: Scan, at: int) -> Iterator[tuple[Allowance, int]]:
    """allowance = "strong" | "shy" … | ["plus" | "minus"] "a" ( "hair" | "skosh" | "tad" ) [ "over"
    | "strong" … ]
    """
    for side, after in scan.find(ALLOWANCES, at):
        yield Allowance(scan.word(at), side), after
    for table in (ALLOWANCES, SLIGHT_SIDES) if scan.word(at) == "just" else ():
        for side, after in scan.find(table, at + 1):
            yield Allowance(f"a hair {side}", side, slight=True), after
    signs = [(sign, after) for sign, after in scan.find(PLUS_MINUS, at) if scan.word(at) != "less"]
    joined = scan.take(at, "and")
    signs += [(1, joined)] if joined is not None else []
    signs += [(sign, at + 1) for sign, word in SIGNS if scan.word(at) == word]
    for sign, start in [(0, at), *signs]:
        slight = scan.find(SLIGHT, start + 1) if scan.word(start) == "a" else []
        for _, after in slight:
            said = " ".join(_SIGN_WORDS.get(each.word, each.word) for each in scan.tokens[at:after])
            if sign:
                yield Allowance(said, "over" if sign > 0 else "under", slight=True), after
                continue
            for side, end in (*scan.find(ALLOWANCES, after), *scan.find(SLIGHT_SIDES, after)):
                word = " ".join(token.word for token in scan.tokens[after:end])
                yield Allowance(f"{said} {word}", side, slight=True), end
            yield Allowance(said, "over", slight=True), after


_SIGN_WORDS = {PLUS: "plus", MINUS: "minus"}


def exact(scan: Scan, at: int) -> int | None:
    """exact = "even" | "flat" | "exactly" | "on the money"; returns the position after"""
    found = scan.find(EXACT, at)
    return found[0][1] if found else None


def kept_in_words(scan: Scan, at: int) -> Iterator[tuple[tuple[str, str], int]]:
    """kept_in_words = a word of a field that is kept in words | number "ply", which is a note"""
    for field, table in WORD_FIELDS.items():
        for name, after in scan.find(table, at):
            if name not in NEEDS_A_PIECE or _names_a_piece(scan, after):
                yield (field, name), after
    for plies, after in scan.every(any_number, at):
        end = scan.take(after, "ply", fits="ply")
        if end is not None:
            yield ("note", f"{plies} ply"), end


def _names_a_piece(scan: Scan, at: int) -> bool:
    """Return whether a piece stands at *at*, or behind the size there."""
    behind = [end for _, end in scan.every(section, at)]
    return any(scan.every(piece, start) for start in (at, *behind))


# --- of what -------------------------------------------------------------------------------------


def piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """piece = "stud" | "king stud" | "trimmer" …"""
    yield from scan.find(PIECES, at)
    for names, after in scan.find(EITHER_PIECES, at):
        yield from ((name, after) for name in names)


_BOARD: tuple[Callable[[Scan, int], Iterator[tuple[Any, int]]], ...] = (section, piece)
"""What names a board, so that a bare number before it counts."""


# --- where ---------------------------------------------------------------------------------------


def place(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """place = "for" { side | room [number] | letter [number] }; typed, any words but no length
    behind them

    Without "for", only what names a wall, a window or a room by itself: "north wall", W3, king L.
    """
    start = scan.take(at, "for", fits="for a place")
    if start is None:
        yield from _unannounced_place(scan, at)
        return
    start = scan.take(start, "the") or start
    named = _spoken_place if scan.by_voice else _typed_place
    found = False
    for parts, end in named(scan, start):
        found = True
        yield " ".join(parts), end
    if not found:
        scan.missed(start, "a place")


_Name = tuple[tuple[str, ...], int]
_MARK = re.compile(r"[a-z]\d{1,2}")


def _unannounced_place(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unannounced_place = ["the" | "on the" | "in the"] a place that a room or a mark is part of"""
    if any(end > at + 1 for _, end in scan.find(PIECES, at)) or scan.every(hand_of_piece, at):
        return  # gable stud, deck board; king left
    start = scan.find(PLACE_LEADS, at)
    begin = start[0][1] if start else at
    token = scan.token(begin)
    if token is None:
        return
    if not scan.by_voice:
        for parts, end in _marked_place(scan, begin):
            if not _begins_a_piece(scan, end - 1):
                yield " ".join(parts), end
        if token.text in ("L", "R") and not start:
            yield token.text, begin + 1
    for parts, end in _spoken_place(scan, begin):
        named = any(part in ROOMS or _MARK.fullmatch(part.lower()) for part in parts)
        if _begins_a_piece(scan, end - 1):
            continue
        if named or (not start and len(parts) == 1 and parts[0] in HANDS):
            yield " ".join(parts), end


def place_before(scan: Scan, at: int) -> Iterator[tuple[tuple[str, tuple[Doubt, ...]], int]]:
    """place_before = a place without "for" before a length, with what is doubtful about it: W3
    north, bedroom 2, north wall; of letters apart from
    their number only W

    What a set is called by needs a number or a side beside it, and a number of feet asks: wall 12.
    """
    if any(end > at + 1 for _, end in scan.find(PIECES, at)) or scan.every(hand_of_piece, at):
        return
    start = scan.find(PLACE_LEADS, at)
    begin = start[0][1] if start else at
    named = [] if scan.by_voice else list(_marked_place(scan, begin))
    named += [each for each in _spoken_place(scan, begin) if _names_a_place(each[0])]
    for parts, end in named:
        if _begins_a_piece(scan, end - 1):
            continue  # W1 top plate
        if scan.stands(UNITS, end) or _goes_past_a_number(parts):
            continue  # wall twelve foot; north wall 13 south wall 72
        if len(parts) == 1 and parts[0] in SETS and scan.word(end) != ",":
            continue
        feet = _MAY_BE_FEET.fullmatch(" ".join(parts))
        perhaps_a_set = feet is not None and int(feet[1]) >= MIN_WALL_FEET
        asked = (doubt(DoubtKind.PLACE_OR_SET, Field.PLACE, said=" ".join(parts)),)
        yield (" ".join(parts), asked if perhaps_a_set else ()), end


MIN_WALL_FEET = 8
"""From here on "wall 12" may be how long a wall is, in feet; walls are numbered below it (common
practice).
"""
_MAY_BE_FEET = re.compile(r"(?:wall|deck|stairs?) (\d+)")


def _begins_a_piece(scan: Scan, at: int) -> bool:
    """Return whether a piece of several words stands at *at*: top plate."""
    return any(end > at + 1 for _, end in scan.find(PIECES, at))


def _goes_past_a_number(parts: tuple[str, ...]) -> bool:
    """Return whether a room or a mark follows a number: the number may be a length."""
    numbers = [at for at, part in enumerate(parts) if part.isdecimal()]
    behind = parts[numbers[0] + 1 :] if numbers else ()
    return any(part not in SIDES for part in behind)


def _names_a_place(parts: tuple[str, ...]) -> bool:
    """Return whether *parts* name a place by themselves: a room is among them, or a mark with W; "a
    thirty" is none.
    """
    marks = [part for part in parts if _MARK.fullmatch(part.lower())]
    if any(not mark.startswith("W") for mark in marks):
        return False
    return bool(marks) or any(part in ROOMS for part in parts)


def _marked_place(scan: Scan, at: int) -> Iterator[_Name]:
    """marked_place = typed W3 [ side | room … ]"""
    if _MARK.fullmatch(scan.word(at)):
        mark = scan.tokens[at].text.upper()
        yield (mark,), at + 1
        for more, after in _spoken_place(scan, at + 1):
            yield (mark, *more), after


def hand_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """hand_of_piece = L | R | side, of the piece right before or behind it and of no room: king L,
    left king
    """
    hand = HANDS.get(scan.word(at))
    after = scan.word(at + 1)
    if hand is None or after in ROOMS or after in SIDES:
        return
    if scan.every(piece, at + 1) or any(
        end == at
        for begin in range(max(0, at - MAX_PIECE_WORDS), at)
        for _, end in scan.every(piece, begin)
    ):
        yield hand, at + 1


MAX_PIECE_WORDS = max(len(words) for words in PIECES)


def room_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """room_of_piece = { side | room } without a number, right before a piece: closet stud"""
    if scan.every(piece, at):
        return
    for parts, end in _spoken_place(scan, at):
        rooms = any(part in ROOMS for part in parts)
        if rooms and not any(part.isdecimal() for part in parts) and scan.every(piece, end):
            yield " ".join(parts), end


def unknown_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_of_piece = up to three typed words that mean no more, before a piece: flitch beam"""
    end = _past_unknown(scan, at)
    if end > at and scan.stands(PIECES, end):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def piece_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """piece_of_piece = a typed piece, one of it, right before another one: soffit nailer"""
    if scan.by_voice or any(end > at + 1 for _, end in scan.find(PIECES, at)):
        return
    for name, end in scan.find(PIECES, at):
        if scan.word(at) not in PLURAL_PIECES and scan.stands(PIECES, end):
            yield name, end


def unknown_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_piece = such words between a size and figures, or before a size: 2x4 dwang 36"""
    end = _past_unknown(scan, at)
    if end == at:
        return
    before = scan.token(at - 1) if at else None
    behind = scan.token(end + 1 if scan.word(end) in ("at", ",") else end)
    figures = behind is not None and behind.kind in ("number", "decimal")
    sized = before is not None and before.kind == "section" and figures
    if sized or (behind is not None and behind.kind == "section"):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def unknown_room(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_room = such words with a room among them: tack room, stair hole"""
    end = _past_unknown(scan, at)
    if any(token.word in ROOMS for token in scan.tokens[at:end]):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


MAX_UNKNOWN = 3


@lru_cache(maxsize=1024)
def _is_misspelt(word: str) -> bool:
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
        if token is None or token.kind != "word" or token.word in MEANS_MORE:
            break
        if len(token.word) < 3 or not token.word.isalpha() or _is_misspelt(token.word):
            break
        end += 1
    return end


_DESCRIBED: tuple[Callable[[Scan, int], Iterator[tuple[str, int]]], ...] = (
    room_of_piece,
    described_board,
    unknown_of_piece,
    piece_of_piece,
)
"""What may stand between a count and its board."""


def _spoken_place(scan: Scan, at: int, parts: tuple[str, ...] = ()) -> Iterator[_Name]:
    """A place by voice is made of a few known words; every beginning of it may be all of it."""
    word = scan.word(at)
    named: list[_Name] = []
    if word in ROOMS or word in SIDES:
        numbers = list(scan.every(below_hundred, at + 1)) if word in ROOMS else []
        named = [((*parts, word), at + 1)]
        named += [
            ((*parts, word, str(number.value)), end)
            for number, end in numbers
            if 0 < number.value <= MAX_PLACE_NUMBER
        ]
    elif word in LETTERS:
        letter = word.upper()
        numbers = list(scan.every(below_hundred, at + 1))
        named = [((*parts, f"{letter}{number.value}"), end) for number, end in numbers]
        named = named or [((*parts, letter), at + 1)]
    for so_far, end in named:
        yield so_far, end
        yield from _spoken_place(scan, end, so_far)


def _hand_of_a_piece(scan: Scan, at: int) -> int:
    """Return the end of a piece with its hand, which is a place and no piece of its own: king L; 0
    where there is none.
    """
    return next(
        (
            end + 1
            for _, end in scan.find(PIECES, at)
            if end == at + 1 and scan.word(end) in ("l", "r")
        ),
        0,
    )


def place_words(scan: Scan, at: int, others: Table[str]) -> Iterator[tuple[str, int]]:
    """place_words = words of a place, of *others* and numbers among them: every beginning"""
    parts: tuple[str, ...] = ()
    while scan.token(at) is not None:
        word = scan.word(at)
        if word in others or word in ROOMS or word in SIDES:
            parts, at = (*parts, word), at + 1
        elif parts and (numbers := list(scan.every(below_hundred, at))):
            number, at = max(numbers, key=lambda each: each[1])
            parts = (*parts, str(number.value))
        else:
            return
        yield " ".join(parts), at


def _typed_place(scan: Scan, at: int) -> Iterator[_Name]:
    """A typed place may use any word, as it was typed; a number only behind what rooms are
    called.
    """
    parts: tuple[str, ...] = ()
    token = scan.token(at)
    while token is not None:
        comma = "," if parts and scan.word(at) == "," else ""
        if parts and (end := _hand_of_a_piece(scan, at + len(comma))):
            piece = scan.tokens[at + len(comma)].text
            hand = "L" if scan.word(end - 1) == "l" else "R"
            parts, at = (*parts[:-1], f"{parts[-1]}{comma}", piece, hand), end
            token = scan.token(at)
            continue
        if comma and scan.word(at + 1) in SIDES:
            parts, at = (*parts[:-1], f"{parts[-1]},"), at + 1
            token = scan.token(at)
            continue
        if not _may_name(token, parts):
            break
        if parts and any(scan.find(table, at) for table in _BEHIND_A_PLACE):
            break
        numbered = [(n.value, end) for n, end in scan.every(below_hundred, at)]
        if numbered:
            number, end = max(numbered, key=lambda each: each[1])
            measured = bool(scan.find(UNITS, end))
            if number > MAX_PLACE_NUMBER or measured or scan.find(COUNT_ENDS, end):
                break
            parts, at = (*parts, str(number)), end
            token = scan.token(at)
            continue
        text = token.text.upper() if len(token.text) == 1 else token.text
        parts, at = (*parts, text), at + 1
        token = scan.token(at)
    if parts:
        yield parts, at


_BEHIND_A_PLACE: tuple[Table[Any], ...] = (
    PIECES,
    *WORD_FIELDS.values(),
    POINTS,
    COUNT_LEADS,
    MATERIALS,
    TREATED,
    EXACT,
    ANGLED,
    PITCHED,
)
"""What ends the words of a typed place."""
_NO_NAMES = frozenset({"at", "times", "foot", "inch", "rack", MINUS, PLUS, HYPHEN})


def _may_name(token: Token, before: tuple[str, ...]) -> bool:
    """Return whether *token* may stand in a typed place behind the words *before*."""
    is_number = token.kind == "number" or token.word in ONES or token.word in TENS
    if not is_number:
        return token.kind == "word" and token.word not in (*_NO_NAMES, ",")
    last = before[-1].lower() if before else ""
    return last in ROOMS or (len(last) == 1 and last.isalpha())

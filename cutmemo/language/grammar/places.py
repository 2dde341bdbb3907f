"""Where a piece goes, said with or without "for", before or behind its length."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.language.grammar.numbers import MAX_PLACE_NUMBER, below_hundred, whole
from cutmemo.language.grammar.pieces import piece
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import HYPHEN, MINUS, PLUS, Token
from cutmemo.language.grammar.unknown import MARK, number_before_board
from cutmemo.language.lexicon.en import (
    ANGLED,
    COUNT_ENDS,
    COUNT_LEADS,
    EXACT,
    HALF_ROOMS,
    HANDS,
    LETTERS,
    MATERIALS,
    NUMBERED_ROOMS,
    ONES,
    PIECES,
    PITCHED,
    PLACE_LEADS,
    POINTS,
    ROOMS,
    ROOMS_OF_TWO_WORDS,
    SETS,
    SIDES,
    SINGLE_ROOMS,
    SPOTS,
    SPOTS_OF_ROOMS,
    TENS,
    TREATED,
    UNITS,
    WALL_KINDS,
    WHERE,
    WORD_FIELDS,
)
from cutmemo.language.lexicon.table import Table


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
        if not (scan.by_voice and _begins_a_piece(scan, end - 1)):  # for floor joists
            yield " ".join(parts), end
    if not found:
        scan.missed(start, "a place")


_Name = tuple[tuple[str, ...], int]


def _unannounced_place(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unannounced_place = ["the" | "on the" | "in the"] a place that a room or a mark is part of"""
    if any(end > at + 1 for _, end in scan.find(PIECES, at)) or scan.every(hand_of_piece, at):
        return  # gable stud, deck board; king left
    start = scan.find(PLACE_LEADS, at)
    begin = start[0][1] if start else at
    token = scan.token(begin)
    if token is None:
        return
    yield from _by_a_piece(scan, at)
    if not scan.by_voice:
        for parts, end in _marked_place(scan, begin):
            if not _begins_a_piece(scan, end - 1):
                yield " ".join(parts), end
        if token.text in ("L", "R") and not start:
            yield token.text, begin + 1
    for parts, end in _spoken_place(scan, begin):
        named = any(
            part in ROOMS or part in SPOTS or MARK.fullmatch(part.lower()) for part in parts
        )
        named = named or (len(parts) > 1 and parts[-1] == "end")
        if _begins_a_piece(scan, end - 1):
            continue
        if (
            named
            or parts[-1] in ("half", "to")
            or (len(parts) < 3 and all(p in HANDS for p in parts))
        ):
            yield " ".join(parts), end


def place_before(scan: Scan, at: int) -> Iterator[tuple[tuple[str, tuple[Doubt, ...]], int]]:
    """place_before = a place without "for" before a length, with what is doubtful about it: W3
    north, bedroom 2, north wall; of letters with a number only W

    What a set is called by needs a number or a side beside it, and a number of feet asks: wall 12.
    """
    if any(end > at + 1 for _, end in scan.find(PIECES, at)) or scan.every(hand_of_piece, at):
        return
    for spot, end in _by_a_piece(scan, at):
        yield (spot, ()), end
        for number, after in scan.every(number_before_board, end):  # at the post 4 2x6: four?
            yield (f"{spot} {number}", ()), after
    start = scan.find(PLACE_LEADS, at)
    begin = start[0][1] if start else at
    named = [] if scan.by_voice else list(_marked_place(scan, begin))
    named += [each for each in _spoken_place(scan, begin) if _names_a_place(each[0])]
    for parts, end in named:
        token = scan.token(end)
        numbered = parts[-1][-1:].isdecimal()
        in_a_length = token is not None and token.kind == "fraction" and numbered
        if in_a_length or _begins_a_piece(scan, end - 1):
            continue  # kitchen 14-1/2; w 96-9/16; W1 top plate
        if scan.stands(UNITS, end) or _goes_past_a_number(parts):
            continue  # wall twelve foot; north wall 13 south wall 72
        if numbers_one_of_its_kind(" ".join(parts)):
            continue  # north wall one twenty one
        if len(parts) == 1 and parts[0] in SETS and scan.word(end) != "," and not start:
            continue
        if number_may_count(scan, end):
            yield (" ".join(parts), (_perhaps_how_many(" ".join(parts)),)), end
            continue
        feet = _MAY_BE_FEET.fullmatch(" ".join(parts))
        perhaps_a_set = feet is not None and int(feet[1]) >= MIN_WALL_FEET
        asked = (doubt(DoubtKind.PLACE_OR_SET, Field.PLACE, said=" ".join(parts)),)
        yield (" ".join(parts), asked if perhaps_a_set else ()), end


def number_may_count(scan: Scan, at: int) -> bool:
    """Return whether a small typed number right before *at* stands behind a room that has no
    numbers, and may be how many: porch 8 92-5/8.
    """
    token = scan.token(at - 1) if at > 1 else None
    room = scan.word(at - 2) if at > 1 else ""
    side = scan.word(at - 3) if at > 2 else ""
    of_its_own = room in NUMBERED_ROOMS and not numbers_one_of_its_kind(f"{side} {room} 1")
    numbered = of_its_own or room in SETS or room not in ROOMS
    small = token is not None and token.kind == "number" and 0 < token.value <= MAX_PLACE_NUMBER
    return small and not scan.by_voice and not numbered


def _perhaps_how_many(place: str) -> Doubt:
    return doubt(DoubtKind.UNKNOWN_WORDS, Field.PLACE, Field.COUNT, said=place)


def _by_a_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """by_a_piece = ( "at" | "under" … ) "the" ( spot | piece ): under the sill, at the corner"""
    for where, start in scan.find(WHERE, at)[:1]:
        begin = scan.take(start, "the")
        if begin is None:
            continue
        for _, end in (*scan.find(SPOTS, begin)[:1], *scan.find(PIECES, begin)[:1]):
            words = (token.word for token in scan.tokens[at if where else begin : end])
            yield " ".join(words), end


MIN_WALL_FEET = 8
"""From here on "wall 12" may be how long a wall is, in feet; walls are numbered below it (common
practice).
"""


_MAY_BE_FEET = re.compile(r"(?:wall|deck|stairs?) (\d+)")


def is_number_of_a_room(scan: Scan, at: int, end: int) -> bool:
    """Return whether nothing but the number of the room right before *at* stands from there to
    *end*: "room 12" is no 12 in. for the room, "for grid 4" no 4 in.
    """
    named = scan.word(at - 1) if at else ""
    if scan.word(end) == "times":
        return False  # hall 13 x 16 is 16 of 13 as well
    called = len(named) > 1 and named.isalpha() and named not in ONES and named not in TENS
    if named not in ROOMS and not called:
        return False
    numbers = scan.every(below_hundred, at)
    return any(number.value <= MAX_PLACE_NUMBER and after == end for number, after in numbers)


def number_behind_a_room(scan: Scan, at: int, end: int, kept: bool) -> int:
    """Return the whole number from *at* to *end* right behind what has numbers or a size, or words
    that were *kept*: window 36; 0 where it is none.
    """
    number = next((number.value for number, after in scan.every(whole, at) if after == end), 0)
    perhaps_any = kept and number <= MAX_PLACE_NUMBER
    of_a_side = at > 1 and scan.word(at - 2) in _COMPASS
    numbered = scan.word(at - 1) in NUMBERED_ROOMS and not of_a_side
    return number if perhaps_any or numbered else 0


def numbered_before_board(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """numbered_before_board = place number, where the place takes none by itself and a board
    follows, so that the number may count it: "for north 2 2x8 stringer"
    """
    for said, after in scan.every(place, at):
        last = said.split()[-1].lower()
        numbers = [] if scan.by_voice or last in ROOMS else scan.every(below_hundred, after)
        for number, end in numbers if last.isalpha() and len(last) > 1 else ():
            if 0 < number.value <= MAX_PLACE_NUMBER:
                yield f"{said} {number.value}", end


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
    marks = [part for part in parts if MARK.fullmatch(part.lower())]
    if any(not mark.startswith("W") for mark in marks):
        return False
    of_a_side = len(parts) > 1 and parts[-1] in ("side", "end")
    return bool(marks) or of_a_side or any(p in ROOMS or p in _SPOKEN_SPOTS for p in parts)


def _marked_place(scan: Scan, at: int) -> Iterator[_Name]:
    """marked_place = typed W3 [ side | room … ]"""
    if MARK.fullmatch(scan.word(at)):
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
    if hand is None or (len(hand) > 1 and (after in ROOMS or after in SIDES)):
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
        rooms = any(part in ROOMS or (part in SPOTS and scan.by_voice) for part in parts)
        numbered = any(part.isdecimal() for part in parts)
        if rooms and not numbered and scan.every(piece, end) and not _begins_a_piece(scan, end - 1):
            yield " ".join(parts), end


def _spoken_place(scan: Scan, at: int, parts: tuple[str, ...] = ()) -> Iterator[_Name]:
    """A place by voice is made of a few known words; every beginning of it may be all of it."""
    word = scan.word(at)
    named: list[_Name] = []
    if not scan.by_voice and (scan.stands(HALF_ROOMS, at) or scan.stands(ROOMS_OF_TWO_WORDS, at)):
        named = [((*parts, word, scan.word(at + 1)), at + 2)]
    elif scan.by_voice and _tells_rooms_apart(scan, at, parts):
        named = [((*parts, word), at + 1)]
    elif word in ROOMS or word in SIDES:
        numbers = list(scan.every(below_hundred, at + 1)) if word in ROOMS else []
        named = [((*parts, word), at + 1)]
        named += [
            ((*parts, word, str(number.value)), end)
            for number, end in numbers
            if 0 < number.value <= MAX_PLACE_NUMBER
        ]
    elif word in LETTERS and parts[-1:] not in (("end",), ("side",)):
        letter = word.upper()
        numbers = list(scan.every(below_hundred, at + 1))
        named = [((*parts, f"{letter}{number.value}"), end) for number, end in numbers]
        named = named or [((*parts, letter), at + 1)]
    for so_far, end in named:
        yield so_far, end
        yield from _spoken_place(scan, end, so_far)


def _tells_rooms_apart(scan: Scan, at: int, parts: tuple[str, ...]) -> bool:
    """Return whether the spoken word at *at* is a spot by itself, chimney, or of the room before or
    behind it: gable end, left side, side wall, knee wall.
    """
    word, behind = scan.word(at), scan.word(at + 1)
    if word in ("side", "end") and parts and (parts[-1] in SIDES or parts[-1] in ROOMS):
        return True
    if (word == "side" or word in WALL_KINDS) and behind in ROOMS:
        return True
    return word in _SPOKEN_SPOTS and not scan.find(PIECES, at)


_SPOKEN_SPOTS = SPOTS.words() - SPOTS_OF_ROOMS


def numbers_one_of_its_kind(place: str) -> bool:
    """Return whether *place* has a number that is none of its own, where a length may follow:
    there is one north wall, and one garage.
    """
    words = ["", "", *place.split()]
    for before, room, number in zip(words, words[1:], words[2:], strict=False):
        of_a_side = room == "wall" and before in _COMPASS
        if number.isdecimal() and (room in SINGLE_ROOMS or of_a_side):
            return True
    return False


_COMPASS = ("north", "south", "east", "west")


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
            yield parts, at  # for the porch, 4 of them
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

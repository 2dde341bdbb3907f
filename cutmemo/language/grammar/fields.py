"""How many pieces, a touch more or less, and what is kept in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from cutmemo.domain.cut import Allowance
from cutmemo.language.grammar.pieces import piece, piece_of_piece
from cutmemo.language.grammar.places import room_of_piece
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.tokens import HYPHEN, MINUS, PLUS, SIGNS
from cutmemo.language.grammar.unknown import unknown_of_piece, unknown_several
from cutmemo.language.lexicon.en import (
    ALLOWANCES,
    AMOUNTS,
    ANGLED,
    COUNT_ENDS,
    COUNT_FIRST,
    COUNT_LEADS,
    COUNT_MARKS,
    EXACT,
    LAST_WORDS,
    NEEDS_A_PIECE,
    NOTES,
    ONES,
    PLATES_IN_SHORT,
    PLUS_MINUS,
    QUALITIES,
    SLIGHT,
    SLIGHT_SIDES,
    TENS,
    TREATED,
    WORD_FIELDS,
)

# --- how many ------------------------------------------------------------------------------------


def count_before(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """count_before = ["need"] amount mark | "need" amount | dozens | "both" ["at"] | "twice"

    Behind "make", "both" is of rows that there are; "twice" may be twice as long as well.
    """
    needed = next((end for _, end in scan.find(COUNT_FIRST, at)), None)
    start = at if needed is None else needed
    yield from scan.find(AMOUNTS, start)
    yield from scan.every(_dozens, start)
    yield from scan.every(_in_brackets, start)
    for amount, after in scan.every(amount_words, start):
        for _, end in scan.find(COUNT_MARKS, after):
            if not leans_on(scan, after, end):  # 33 x5 is five of them
                yield amount, end
        if needed is not None and not inside_a_number(scan, after):
            yield amount, after
    if scan.word(start) == "both" and scan.word(at) != "make":
        yield 2, scan.take(start + 1, "at", "of") or start + 1
    if scan.word(start) == "twice":
        yield 2, start + 1


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
    yield from quality(scan, at)


def quality(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """quality = "short" | "long" | "flat", right before a piece or its size; "flat" right behind a
    piece
    """
    for name, after in scan.find(QUALITIES, at):
        sized = name != "flat" and scan.every(section, after)
        if sized or _names_a_piece(scan, after) or (name == "flat" and _ends_a_piece(scan, at)):
            yield name, after


def _ends_a_piece(scan: Scan, at: int) -> bool:
    """Return whether a piece or a size stands right before *at*."""
    return at > 0 and (scan.word(at - 1) in LAST_WORDS or scan.tokens[at - 1].kind == "section")


def inside_a_number(scan: Scan, at: int) -> bool:
    """Return whether *at* is inside one number: "twenty six of them" is no 20, 31-1/2 no 31."""
    before, token = scan.token(at - 1) if at else None, scan.token(at)
    if before is None or token is None:
        return False
    parted = before.word in TENS and 0 < ONES.get(token.word, 0) < 10
    if at > 1 and scan.word(at - 2) in ANGLED:
        return False  # "bevel thirty seven pieces"
    return parted or (before.kind == "number" and token.kind == "fraction")


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
    """amount_words = number | dozens | ["a"] "pair" | ["a"] "couple" | ["half" ["a"]] "dozen" """
    yield from scan.every(any_number, at)
    yield from scan.every(_dozens, at)
    yield from scan.every(_pairs, at)
    yield from scan.find(AMOUNTS, at)


def _pairs(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """pairs = typed 1 … 24 "pairs": seven pairs are fourteen"""
    for number, after in scan.every(any_number, at) if not scan.by_voice else ():
        end = scan.take(after, "pairs", "pair", "prs", "pr")
        if end is not None and 0 < number <= MOST_PAIRS:
            yield 2 * number, end


MOST_PAIRS = 24
"""More pairs than these are no count that anybody calls (common practice)."""


def _dozens(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """dozens = 2 … 9 "dozen" """
    for number, after in scan.every(any_number, at):
        if scan.word(after) == "dozen" and 1 < number <= MOST_DOZENS:
            yield 12 * number, after + 1


MOST_DOZENS = 9
"""More dozens than these are no count that anybody calls (common practice)."""


def count_after(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """count_after = "times" n ["pieces"] | "make it" n | "need" n | n "pieces" | n "of them" |
    typed n "of", to the end | pairs | "a pair" | "both"
    """
    for _, after in scan.find(COUNT_LEADS, at):
        pieces = scan.word(at) in ("pcs", "pc") and at and scan.tokens[at - 1].kind == "number"
        if not pieces and not leans_on(scan, at, at - 1):  # 5x 33 and 5 pcs 33 are five of 33
            for amount, end in scan.every(amount_words, after):
                yield amount, end
                yield from ((amount, last) for _, last in scan.find(COUNT_ENDS, end))
        scan.missed(after, "a count")
    for amount, after in scan.every(amount_words, at) if not inside_a_number(scan, at) else ():
        for _, end in scan.find(COUNT_ENDS, after):
            yield amount, end
        if scan.word(after) == "of" and after + 1 == len(scan.tokens) and not scan.by_voice:
            yield amount, after + 1
    yield from scan.every(_pairs, at)
    yield from scan.find(AMOUNTS, at)
    yield from scan.every(_in_brackets, at)
    if scan.word(at) in ("both", "twice"):
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
            in_short = scan.keeps_words and scan.stands(PLATES_IN_SHORT, after)
            if name not in NEEDS_A_PIECE or in_short or _names_a_piece(scan, after):
                yield (field, name), after
    for plies, after in scan.every(any_number, at):
        end = scan.take(after, "ply", fits="ply")
        if end is not None:
            yield ("note", f"{plies} ply"), end


def _names_a_piece(scan: Scan, at: int) -> bool:
    """Return whether a piece stands at *at*, or behind the size there."""
    behind = [end for _, end in scan.every(section, at)]
    return any(scan.every(piece, start) for start in (at, *behind))


_BOARD: tuple[Callable[[Scan, int], Iterator[tuple[Any, int]]], ...] = (section, piece)
"""What names a board, so that a bare number before it counts."""


def treated_board(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """treated_board = typed "treated", right before a piece or its size: 4 pt sills"""
    for _, after in scan.find(TREATED, at) if not scan.by_voice else ():
        if _names_a_piece(scan, after):
            yield scan.word(at), after


_DESCRIBED: tuple[Callable[[Scan, int], Iterator[tuple[str, int]]], ...] = (
    room_of_piece,
    described_board,
    treated_board,
    unknown_of_piece,
    unknown_several,
    piece_of_piece,
)
"""What may stand between a count and its board."""

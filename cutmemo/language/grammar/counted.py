"""How many of a piece: every way to say it, beside its length or apart from it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.checks import MAX_USUAL_COUNT
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.language.grammar.columns import (
    MIN_LENGTH_BEFORE_SIZE,
    bare_number,
    counts_in_columns,
    is_in_a_table,
    may_be_a_length,
)
from cutmemo.language.grammar.fields import count_after, count_before, count_of_board, leans_on
from cutmemo.language.grammar.lengths import denominator, feet, parts, thousands_apart
from cutmemo.language.grammar.numbers import (
    below_hundred,
    digit,
    plural_whole,
    spoken_below_hundred,
    whole,
)
from cutmemo.language.grammar.partial import (
    MANY_PIECES,
    MIN_CUT,
    MIN_LENGTH_BEFORE_BOARD,
    MIN_OF_MANY,
    Partial,
    is_short,
)
from cutmemo.language.grammar.pieces import piece
from cutmemo.language.grammar.places import place, place_before
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.grammar.tokens import MINUS
from cutmemo.language.grammar.unknown import unknown_several
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import (
    AMOUNTS,
    COUNT_ENDS,
    COUNT_LEADS,
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    LAST_WORDS,
    NUMBERED_ROOMS,
    ONES,
    PIECES,
    PLURAL_PIECES,
    PLURALS,
    ROOMS,
    SIDES,
    TENS,
    UNITS,
    WHERE,
)


def counted_plural(scan: Scan, at: int) -> Iterator[tuple[tuple[int, Amount], int]]:
    """counted_plural = amount ["of"] plural length: "two forty twos", "a pair of sixty ones",
    "four fourteen and a halfs"
    """
    for count, after in _few(scan, at):
        for value, end in plural_whole(scan, scan.take(after, "of") or after):
            yield (count, Amount(Fraction(value))), end
    for count, after in scan.every(spoken_below_hundred, at):
        yield from (((count, amount), end) for amount, end in scan.every(several_lengths, after))
    yield from _count_or_run(scan, at)


def several_lengths(scan: Scan, at: int) -> Iterator[tuple[Amount, int]]:
    """several_lengths = whole ["and"] ( "a" | "one" ) plural: "twenty two and a halfs", behind how
    many
    """
    for number, middle in scan.every(whole, at):
        joined = scan.take(middle, "and") or middle
        if scan.word(joined) not in ("a", "an", "one"):
            continue
        for (under, plural), end in scan.every(denominator, joined + 1):
            if plural:
                part = parts(1, under)
                yield replace(part, inches=number.value + part.inches), end


def _few(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """few = 1 … 99 | "a pair" | "a dozen" """
    yield from ((number.value, after) for number, after in scan.every(below_hundred, at))
    yield from scan.find(AMOUNTS, at)


def _count_or_run(scan: Scan, at: int) -> Iterator[tuple[tuple[int, Amount], int]]:
    """digit length: "four fourteen and a half" may be four of 14-1/2, once 414 is past most
    boards
    """
    count = digit(scan, at)
    if count is None or count < 3:
        return
    if any(
        number.value > 11
        for number, _ in scan.every(below_hundred, at + 1)
        if number.style != "typed"
    ):
        for amount, end in scan.every(length, at + 1):
            yield (count, amount), end


STOCK_FEET = range(6, 25)
"""Behind a size these may be feet as well as inches: a 2x6x14 is one of 14 ft (common practice)."""


def may_be_how_many(sofar: Partial) -> bool:
    """Return whether the length is a bare small number and nothing else counts: 12 2x4 plate."""
    inches = Fraction(0) if sofar.amount is None else sofar.amount.inches
    return sofar.change.count is None and inches.denominator == 1 and inches <= MANY_PIECES


def counted(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """count_before | count_of_board | counted_plural | counted_stock | counted_lengths"""
    yield from _count_in_columns(scan, at, sofar)
    for (count, amount), after in scan.every(counted_plural, at):
        yield replace(sofar.with_field("count", count), amount=amount), after
    if sofar.change.section is None:
        yield from _counted_stock(scan, at, sofar)
    yield from _counted_lengths(scan, at, sofar)
    if scan.every(thousands_apart, at):  # 2 440 mm may be two of 440
        yield sofar.with_field("count", int(scan.tokens[at].value)), at + 1
    numbers = re.findall(r"\b\d+\b", sofar.change.place or "")
    of_a_room = bool(numbers) and at > 0 and scan.word(at - 1) in NUMBERED_ROOMS
    for number, after in scan.every(count_before, at):
        counted = sofar.with_field("count", number)
        if of_a_room:  # porch 7 blocks bedroom 2 @ 36: seven?
            asked = counted_twice(int(numbers[-1]), number)
            counted = replace(counted, doubts=(*counted.doubts, asked))
        yield counted, after
    for number, after in scan.every(count_of_board, at):
        counted = sofar.with_field("count", number)
        if _may_be_a_length(scan, number, after):
            asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=number)
            counted = replace(counted, doubts=(*counted.doubts, asked))
        yield counted, after
    yield from _count_of_place(scan, at, sofar)
    if sofar.change.piece is not None:
        yield from ((sofar.with_field("count", n), after) for n, after in _of_the_piece(scan, at))


def _of_the_piece(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """of_the_piece = number "of them" | "x" number, behind a piece and before its length:
    "trimmers two of them eighty", kings x4 88-3/8
    """
    for number, middle in scan.every(any_number, at):
        yield from ((number, after) for _, after in scan.find(COUNT_ENDS, middle))
    for _, start in scan.find(COUNT_LEADS, at) if leans_on(scan, at, at + 1) else ():
        yield from scan.every(any_number, start)


def _count_of_place(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """count_of_place = number right before a place and a length: "4 W3 92-5/8", "four for the hall
    seventeen". It may be a length by itself.
    """
    for number, after in scan.every(any_number, at) if sofar.change.place is None else ():
        rule = place if scan.word(after) == "for" else place_before
        if not 0 < number <= MANY_PIECES or not any(
            scan.every(length, end) for _, end in scan.every(rule, after)
        ):
            continue
        asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=number)
        counted = sofar.with_field("count", number)
        yield replace(counted, doubts=(*sofar.doubts, asked)), after


def _counted_stock(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """counted_stock = amount feet sections: "ten sixteen foot two by fours", cuts or boards for the
    rack
    """
    for count, middle in scan.every(any_number, at):
        for amount, after in scan.every(feet, middle):
            whole_feet = amount.inches % 12 == 0 and scan.find(UNITS, after - 1)
            if amount.doubts or not whole_feet or scan.find(UNITS, middle):
                continue
            for size, end in scan.every(section, after):
                if scan.by_voice and scan.word(end - 1) not in PLURALS:
                    continue
                if not scan.by_voice and scan.every(piece, end):
                    continue  # 4 16' 2x10 rim: no boards for the rack
                asked = doubt(DoubtKind.BOARDS_OR_CUTS, Field.COUNT, Field.LENGTH)
                said = sofar.with_field("count", count).with_field("section", size)
                yield replace(said, amount=amount, doubts=(*sofar.doubts, asked)), end


def _counted_lengths(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """counted_lengths = number length, typed, where a plural follows: 10 92-5/8 studs; or a number
    in words and a length in figures: three 92-5/8; or a number ["-"] and a length with a fraction,
    beside a piece or a size: that asks
    """
    if scan.by_voice:
        return
    yield from _counted_in_words(scan, at, sofar)
    yield from _counted_apart(scan, at, sofar)
    token = scan.token(at)
    if token is None or token.kind != "number" or not 1 < token.value <= MAX_USUAL_COUNT:
        return
    for amount, after in scan.every(length, at + 1):
        behind = [after, *(end for _, end in scan.every(section, after))]
        named = (end for spot in behind for _, end in scan.every(piece, spot))
        several = any(scan.word(end - 1) in (*PLURAL_PIECES, "s") for end in (*behind, *named))
        if scan.find(UNITS, after - 1) and amount.inches % 12 == 0:
            continue  # ten 16' 2x4s: perhaps boards for the rack
        if several and not amount.doubts and amount.inches >= MIN_LENGTH_BEFORE_BOARD:
            yield replace(sofar.with_field("count", int(token.value)), amount=amount), after


def _counted_apart(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """counted_apart = number ["-"] length, beside a piece or a size: sleeper 2x6 2 89-1/4, plates 3
    - 50-1/4, and ahead of all 2 40 2x10 header; but post 3 37-7/8 may be the third
    """
    token, before = scan.token(at), scan.word(at - 1) if at else ""
    if before in ROOMS or (before in LAST_WORDS and before not in PLURAL_PIECES):
        return
    named = _names_a_piece(scan) or any(each.kind == "section" for each in scan.tokens)
    dashed = scan.word(at + 1) == MINUS
    most = MAX_PIECES_AHEAD if at == 0 else MANY_PIECES
    few = token is not None and token.kind == "number" and 0 < token.value <= most
    if token is None or not few or not (named or dashed):
        return
    for amount, after in scan.every(length, at + 2 if dashed else at + 1):
        count = int(token.value)
        ahead = at == 0 and not dashed
        longer = ahead or dashed or amount.inches > count
        if amount.doubts or not (longer and _is_of_so_many(scan, count, (amount, after), ahead)):
            continue
        counted = replace(sofar.with_field("count", count), amount=amount)
        asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=count)
        several = at == 0 and any(each.word in PLURAL_PIECES for each in scan.tokens)
        one = count == 1 and amount.inches >= MIN_LENGTH_BEHIND_ONE
        few_of_it = (one or 1 < count <= MANY_PIECES) and amount.inches >= MIN_LENGTH_BEFORE_BOARD
        if not (several if dashed else ahead and few_of_it):  # 11 - 92-5/8 studs
            counted = replace(counted, doubts=(*sofar.doubts, asked))
        yield counted, after


MIN_LENGTH_BEHIND_ONE = 100
"""Shorter, a one ahead of a length may be its hundred: 1 40 is 140 as well."""
MAX_PIECES_AHEAD = 200
"""So many of a piece may be called by a bare number ahead of all."""


def _is_of_so_many(scan: Scan, count: int, found: tuple[Amount, int], ahead: bool) -> bool:
    """Return whether a length, and where it ends, right behind the number *count* may be that of so
    many: it has a part of an inch or, *ahead* of all, a unit or more inches than a number of
    pieces. Under a foot the number may be feet as well, 6 10-3/8, so that both are asked about.
    """
    amount, after = found
    if count == 1 and not ahead:
        return False
    if scan.find(UNITS, after - 1) and amount.inches % 12 == 0:
        return ahead and _names_a_piece(scan)  # 4 16' 2x10: boards for the rack?
    if amount.inches.denominator == 1 and not (ahead and amount.inches > MANY_PIECES):
        return False
    if ahead and amount.inches < MIN_LENGTH_BEFORE_BOARD:
        return amount.inches >= MIN_CUT and count < MIN_LENGTH_BEFORE_BOARD
    return amount.inches >= MIN_LENGTH_BEFORE_BOARD


def _names_a_piece(scan: Scan) -> bool:
    return any(scan.find(PIECES, at) for at in range(len(scan.tokens)))


def _counted_in_words(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """counted_in_words = 2 … 19 in words, length in figures ["s"]: three 57-3/4s"""
    count, figure = ONES.get(scan.word(at), 0), scan.token(at + 1)
    if count < 2 or figure is None or figure.kind != "number":
        return
    for amount, after in scan.every(length, at + 1):
        if amount.inches >= MIN_LENGTH_BEFORE_BOARD and not amount.doubts:
            counted = replace(sofar.with_field("count", count), amount=amount)
            yield counted, scan.take(after, "s") or after


def _may_be_a_length(scan: Scan, number: int, at: int) -> bool:
    """Return whether *number*, right before the board at *at*, may be a length by itself; a plural
    says that it counts.
    """
    sections = scan.every(section, at)
    if any(scan.word(end - 1) in PLURALS or scan.word(end - 1) == "s" for _, end in sections):
        return False
    named = [at, *(end for _, end in sections)]
    ends = [end for spot in named for _, end in scan.every(piece, spot)]
    ends += [end for spot in ends for _, end in scan.every(piece, spot)]  # girt blocks
    if any(scan.word(end - 1) in PLURAL_PIECES for end in ends):
        return False
    if any(scan.tokens[end].kind == "section" for _, end in scan.every(unknown_several, at)):
        return False
    typed_size = bool(sections) and not scan.by_voice
    return number >= (MIN_LENGTH_BEFORE_SIZE if typed_size else MIN_LENGTH_BEFORE_BOARD)


def count_behind(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """count_after | bare_count"""
    yield from _bare_count(scan, at, sofar)
    yield from _dashed_count(scan, at, sofar)
    for number, after in scan.every(count_after, at):
        counted = sofar.with_field("count", number)
        if _counts_its_piece(scan, sofar):
            asked = counted_twice(int(sofar.amount.inches if sofar.amount else 0), number)
            counted = replace(counted, doubts=(*sofar.doubts, asked))
        elif _may_be_thick(scan, at, sofar.amount):
            asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=number)
            counted = replace(counted, doubts=(*sofar.doubts, asked))
        yield counted, after


def counted_twice(number: int, count: int) -> Doubt:
    """Return that *number* and *count* may each be how many."""
    return doubt(DoubtKind.COUNTED_TWICE, Field.COUNT, number=number, count=count)


def _counts_its_piece(scan: Scan, sofar: Partial) -> bool:
    """Return whether the length is a bare small number, typed right before several pieces: of "8
    plates, 157 times" either may be how many.
    """
    inches = Fraction(0) if sofar.amount is None else sofar.amount.inches
    return may_be_how_many(sofar) and any(
        token.kind == "number" and token.value == inches and scan.word(end - 1) in PLURAL_PIECES
        for at, token in enumerate(scan.tokens)
        for _, end in scan.find(PIECES, at + 1)
    )


def _bare_count(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """bare_count = typed number by itself behind a piece or a size and a length: studs 104-5/8 24.
    It asks, unless the piece is said as several and never so short.
    """
    token, before, behind = scan.token(at), scan.token(at - 1), scan.token(at + 1)
    change, amount = sofar.change, sofar.amount
    if scan.by_voice or amount is None or token is None or before is None:
        return
    if counts_in_columns(scan, at):
        yield from _count_in_columns(scan, at, sofar)
        return
    named = sofar.plural or change.piece is not None or change.section is not None
    few = token.value if token.kind == "number" else ONES.get(token.word, 0)
    most = MAX_USUAL_COUNT if sofar.plural else MIN_LENGTH_BEFORE_BOARD - 1
    of_stock = _is_stock(amount) and before.word in UNITS and before.span[1] < token.span[0]
    most = MANY_PIECES if of_stock else most
    if not named or not 0 < few <= most:
        return
    followed = behind is not None and (behind.word in _GOES_ON or scan.stands(PIECES, at + 1))
    alone = behind is None or (behind.kind == "word" and not followed)
    in_a_number = before.kind == "mark" or before.word in {*ONES, *TENS, "hundred", ","}
    whole = before.kind == "number"  # rim 2x10 192 1
    if in_a_number or not alone or scan.find(UNITS, at + 1) or (whole and not _is_long(amount)):
        return
    goes_on = UNITS.get(before.word) not in (None, "inch") and not of_stock
    if goes_on or may_be_how_many(sofar):
        return  # 13' 7; 14 loft joists 2x10 166
    if scan.word(at - 1) in NUMBERED_ROOMS or (scan.word(at - 1) in ROOMS and not sofar.plural):
        return
    counted = sofar.with_field("count", int(few))
    short = change.piece is None or is_short(change.piece)
    unsure = of_stock or few >= MIN_LENGTH_BEFORE_BOARD or amount.inches < MIN_OF_MANY
    placed = behind is None or behind.word in {*ROOMS, *SIDES} or scan.stands(WHERE, at + 1)
    long = not short and placed and amount.inches > MANY_PIECES
    least = MIN_LENGTH_BEFORE_BOARD if long else MIN_CUT
    no_length = few < least and change.piece is not None  # block 2x8 21-5/8 1
    of_a_side = scan.word(at + 2) in ("side", "end") or scan.word(at + 2) in ROOMS
    perhaps_left = scan.word(at + 1) == "left" and not of_a_side  # studs 92-5/8 2 left
    if whole or unsure or perhaps_left or not (no_length or (sofar.plural and not short)):
        asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=int(few))
        counted = replace(counted, doubts=(*counted.doubts, asked))
    yield counted, at + 1


def _is_long(amount: Amount) -> bool:
    """Return whether a whole number of inches is too many for a count or for feet."""
    return amount.inches.denominator == 1 and amount.inches > MANY_PIECES


def _count_in_columns(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """count_in_columns = a number that is a column by itself beside the one of the length: girt,
    2x6, 90-1/2, 4. It asks where that may be a length as well: from a foot on, of short
    pieces from 4 in., past two dozen where the piece is said as several, and outside a table behind
    a length that is short itself.
    """
    if not counts_in_columns(scan, at):
        return
    count = bare_number(scan, at)
    counted = sofar.with_field("count", count)
    short = is_short(sofar.change.piece)
    row = is_in_a_table(scan) and _is_of_many(sofar, count)
    many = sofar.plural or row
    sure = MIN_CUT if short else MANY_PIECES + 1 if many else MIN_LENGTH_BEFORE_BOARD
    short_pieces = sofar.amount is not None and sofar.amount.inches < MIN_LENGTH_BEFORE_SIZE
    short_pieces = short_pieces and not is_in_a_table(scan)
    if count >= sure or short_pieces or may_be_a_length(scan, at):
        asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=count)
        counted = replace(counted, doubts=(*counted.doubts, asked))
    yield counted, at + 1


def _is_of_many(sofar: Partial, count: int) -> bool:
    """Return whether a line names piece, size and a length, and *count* is no other length of it:
    girt, 2x6, 90-1/2, 15; but purlin, 2x4, 16', 18 may be two in feet.
    """
    change, amount = sofar.change, sofar.amount
    if change.section is None or change.piece is None or amount is None:
        return False
    perhaps_feet = _is_stock(amount) and count in STOCK_FEET
    return not perhaps_feet and amount.inches >= TIMES_AS_LONG * count


TIMES_AS_LONG = 2
"""Two lengths of one kind of piece seldom differ by so much: behind a piece, its size and a length
in columns of their own, a number that is that much smaller is how many (common practice).
"""


def _dashed_count(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """dashed_count = typed "-" between spaces and a few whole pieces, behind a length of a piece or
    a size: rail 93 - 4. It may be taken off as well.
    """
    token, change = scan.token(at + 1), sofar.change
    named = change.piece is not None or change.section is not None
    if scan.by_voice or not named or scan.word(at) != MINUS or token is None:
        return
    few = token.kind == "number" and 0 < token.value <= MANY_PIECES
    alone = scan.token(at + 2) is None or scan.word(at + 2) == ","
    if few and alone and sofar.amount is not None and sofar.amount.inches > token.value:
        yield sofar.with_field("count", int(token.value)), at + 2


def _is_stock(amount: Amount) -> bool:
    """Return whether *amount* is an even number of feet that lumber is sold in: four behind "16'"
    may be how many, or inches (common practice).
    """
    feet_long, rest = divmod(amount.inches, 12)
    return not rest and feet_long % 2 == 0 and feet_long in STOCK_FEET


_GOES_ON = frozenset(
    "at times by of and in on degrees hundred ply plies / point".split()
) | frozenset(
    (MINUS, *(words[0] for table in (DENOMINATORS, DENOMINATOR_PLURALS) for words in table))
)
"""Behind these a number is no count by itself."""


def _may_be_thick(scan: Scan, at: int, amount: Amount | None) -> bool:
    """Return whether a typed x follows less than an inch: a shim 1/4 x 14 may be so thick."""
    thin = amount is not None and amount.inches < 1
    return thin and not scan.by_voice and scan.word(at) == "times"

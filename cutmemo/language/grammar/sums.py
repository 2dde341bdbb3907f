"""Lengths that are worked out from others: sums, shares, the middle of two, a burned inch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.language.grammar.lengths import (
    FRACTION_ENDS,
    Found,
    fraction,
    fraction_of_inch,
    inches,
    one_inch,
    plain,
)
from cutmemo.language.grammar.numbers import below_hundred, spoken_below_hundred
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import MINUS, SIGNS, Token
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import BURNING, OFF_A_LENGTH, PIECES, PLUS_MINUS, SAW_CUTS, UNITS

_HALF = Fraction(1, 2)
_TWO = Token("2", "number", value=Fraction(2))
MAX_SUMS = 3
"""So often one length is added to or taken from in one call."""


def share(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """share = fraction "of" | "half" | "twice": "a third of", "half of" """
    twice = scan.take(at, "twice", fits="half of")
    if twice is not None:
        yield Fraction(2), twice
    for part, after in scan.every(fraction, at):
        of = scan.take(after, "of")
        if of is not None and 0 < part.inches < 1:
            yield part.inches, of


def _shared(scan: Scan, at: int) -> Found:
    """shared = share plain"""
    for factor, start in scan.every(share, at):
        for amount, end in scan.every(plain, start):
            yield amount.carrying(Amount(Fraction(0)), amount.inches * factor), end


def length(scan: Scan, at: int) -> Found:
    """length = plain [ burning ] { sign plain } | plain "and" fraction | small "under" plain |
    "between" …
    """
    for amount, after in (*scan.every(plain, at), *scan.every(_shared, at)):
        yield from with_sums(scan, amount, after, MAX_SUMS)
        yield from _burning(scan, amount, after)
        if scan.word(after) == "/" and scan.token(after + 1) == _TWO:  # 75-1/2 / 2
            yield amount.carrying(Amount(Fraction(0)), amount.inches * _HALF), after + 2
        if scan.word(after - 1) in FRACTION_ENDS:
            joined = scan.take(after, "and")
            if joined is not None:
                for small, end in scan.every(fraction_of_inch, joined):
                    yield amount.carrying(small, amount.inches + small.inches), end
    for small, after in (*scan.every(fraction_of_inch, at), *scan.every(one_inch, at)):
        yield from _off_a_length(scan, small, after)
    yield from _between(scan, at)


def with_sums(scan: Scan, amount: Amount, at: int, left: int) -> Found:
    """{ ( "plus" | "minus" | "less" | "+" | "-" ) plain }, *left* times at most"""
    yield amount, at
    if not left:
        return
    signs = scan.find(PLUS_MINUS, at)
    signs += [(sign, at + 1) for sign, word in SIGNS if scan.word(at) == word]
    for sign, joined in signs:
        for operand, end in scan.every(_operand, joined):
            if operand.inches.denominator == 1 and scan.find(PIECES, end):
                operand = replace(operand, doubts=(*operand.doubts, _of_pieces(operand)))
            if scan.word(at) == MINUS and _is_a_number_of_a_named_piece(scan, at + 1):
                operand = replace(operand, doubts=(*operand.doubts, _of_pieces(operand)))
            summed = amount.carrying(operand, amount.inches + sign * operand.inches)
            if summed.inches <= 0 < amount.inches:
                nothing = doubt(DoubtKind.NO_LENGTH, Field.LENGTH)
                summed = replace(summed, refusals=(*summed.refusals, nothing))
            yield from with_sums(scan, summed, end, left - 1)
    if scan.word(at) == MINUS:
        yield from _joined_by_dash(scan, amount, at)


def _is_a_number_of_a_named_piece(scan: Scan, at: int) -> bool:
    """Return whether a bare whole number stands alone at *at* in a typed call that names its piece
    or its size and how many: of "4 braces 48 - 45" it may be degrees.
    """
    token, behind = scan.token(at), scan.token(at + 1)
    whole = token is not None and token.kind == "number"
    alone = behind is None or behind.word == ","
    first = scan.tokens[0]
    named = any(
        each.kind == "section" or scan.stands(PIECES, k) for k, each in enumerate(scan.tokens)
    )
    return whole and alone and named and first.kind == "number" and at > 2


def _operand(scan: Scan, at: int) -> Found:
    """operand = fraction | plain | "kerf"; what may be a fraction is no mixed number"""
    small = scan.every(fraction_of_inch, at)
    yield from small
    ends = {end for _, end in small}
    yield from ((amount, end) for amount, end in scan.every(plain, at) if end not in ends)
    yield from scan.every(_kerf, at)
    yield from scan.every(_thicknesses, at)


def _thicknesses(scan: Scan, at: int) -> Found:
    """( "a" | number ) ( "plates" | "studs" ): so many thicknesses of a two-by"""
    heads = [(1, at + 1)] if scan.word(at) in ("a", "one") else []
    heads += [(number.value, after) for number, after in scan.every(below_hundred, at)]
    for count, after in heads:
        end = scan.take(after, *_TWO_BYS)
        if end is not None and count:
            yield Amount(count * _TWO_BY), end


_TWO_BYS = ("plate", "plates", "stud", "studs")
_TWO_BY = Fraction(3, 2)
"""How thick a two-by is, dressed, in inches (American Softwood Lumber Standard PS 20)."""


def _of_pieces(operand: Amount) -> Doubt:
    """Return the doubt about "12' less 2 plates": two inches, or two of them."""
    count = operand.inches
    return doubt(DoubtKind.COUNT_OR_LENGTH, Field.LENGTH, count=count)


def _kerf(scan: Scan, at: int) -> Found:
    """["a" | "one" | "the"] "kerf", as the crew set it"""
    start = scan.take(at, "a", "one", "the")
    for _, end in scan.find(SAW_CUTS, at if start is None else start):
        yield Amount(scan.settings.kerf), end


def _joined_by_dash(scan: Scan, amount: Amount, at: int) -> Found:
    """A dash between two spaces before what it may as well join: 92 - 5/8, 7' - 8 1/2" """
    before = scan.tokens[at - 1]
    if before.kind in ("number", "word") and before.word not in FRACTION_ENDS:
        for part, end in scan.every(fraction_of_inch, at + 1):
            yield amount.carrying(part, amount.inches + part.inches), end
    if before.word in _FEET:
        for rest, end in scan.every(inches, at + 1):
            if rest.inches < 12:
                yield amount.carrying(rest, amount.inches + rest.inches), end


_FEET = frozenset(words[0] for words, name in UNITS.meanings.items() if name == "foot")


def _off_a_length(scan: Scan, small: Amount, at: int) -> Found:
    """small ( "under" | "over" | "shy of" | "short of" | "less than" | "more than" ) plain"""
    for sign, joined in scan.find(OFF_A_LENGTH, at):
        for amount, end in scan.every(plain, joined):
            yield amount.carrying(small, amount.inches + sign * small.inches), end


def _between(scan: Scan, at: int) -> Found:
    """ "between" plain "and" plain: the middle of two marks up to an inch apart"""
    start = scan.take(at, "between", fits="a length")
    if start is None:
        return
    for low, middle in scan.every(plain, start):
        joined = scan.take(middle, "and")
        if joined is not None:
            for high, end in scan.every(plain, joined):
                if abs(high.inches - low.inches) > 1:
                    continue  # 12 and 36 are no two marks
                yield low.carrying(high, (low.inches + high.inches) * _HALF), end


def _burning(scan: Scan, amount: Amount, at: int) -> Found:
    """ "burning" ( "an inch" | "one" | "ten" ): taken off already, or still to take off"""
    for _, start in scan.find(BURNING, at):
        an_inch = scan.phrase(start, ("an", "inch"))
        burned = (
            [(1, an_inch)] if an_inch is not None else list(scan.every(spoken_below_hundred, start))
        )
        for off, end in burned:
            asked = Amount(Fraction(0), (doubt(DoubtKind.BURNED_MARK, Field.LENGTH, off=off),))
            yield amount.carrying(asked, amount.inches), end
            yield amount.carrying(asked, amount.inches - off), end

"""Boards for the rack."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import Section
from cutmemo.domain.length import Length
from cutmemo.language.grammar.fields import amount_words, count_after
from cutmemo.language.grammar.lengths import feet, figures
from cutmemo.language.grammar.numbers import below_hundred
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import BoardsCall
from cutmemo.language.lexicon.en import (
    BAD_PARTS,
    BOARD_LEADS,
    BOARD_TRAILS,
    FOOTERS,
    MONEY,
    PRICE_ENDS,
    PRICE_LEADS,
)

MAX_BOARD_FEET = 60
"""No board is longer: "three sixteen footers" is three of 16 ft."""


_RACK_WORDS = frozenset({*(words[-1] for words in FOOTERS), "rack"})
"""One of these says that boards are meant, and no cut."""


@dataclass(frozen=True, slots=True)
class _Said:
    """What has been read of boards so far."""

    for_rack: bool = False
    """True where "footers" or the rack itself was named: anything else is a cut."""
    count: int | None = None
    section: Section | None = None
    inches: Fraction | None = None
    price: Fraction | None = None
    bad: tuple[tuple[Fraction, Fraction], ...] = ()


def boards(scan: Scan) -> Iterator[tuple[BoardsCall, int]]:
    """boards = ["put" | "add" …] { count | section | footers | feet | price | bad part | "," } ["on
    the rack"], in any order, to the end
    """
    if not any(token.word in _RACK_WORDS for token in scan.tokens):
        return
    starts = [(_Said(), 0), *((_Said(for_rack=True), end) for _, end in scan.find(BOARD_LEADS, 0))]
    for said, at in starts:
        begin = at + 1 if scan.word(at) in ("a", "an") else at
        for found in _all(scan, begin, said):
            if found.inches is not None and found.for_rack:
                count = 1 if found.count is None else found.count
                board = BoardsCall(
                    Length(found.inches), count, found.section, found.price, found.bad
                )
                yield board, len(scan.tokens)


def _all(scan: Scan, at: int, sofar: _Said) -> Iterator[_Said]:
    scan.step()
    if at == len(scan.tokens):
        yield sofar
        return
    for said, after in _part(scan, at, sofar):
        yield from _all(scan, after, said)


def _part(scan: Scan, at: int, sofar: _Said) -> Iterator[tuple[_Said, int]]:
    """Yield *sofar* with one more part read at *at*."""
    if scan.word(at) == "," and at and scan.word(at - 1) != ",":
        yield sofar, at + 1
        return
    for name, rule in _PARTS.items():
        if getattr(sofar, name) is None:
            for value, after in scan.every(rule, at):
                yield _with(sofar, name, value), after
    if sofar.inches is None:
        for inches, after in scan.every(_footers, at):
            yield replace(sofar, inches=inches, for_rack=True), after
    for span, after in scan.every(_bad, at):
        yield replace(sofar, bad=(*sofar.bad, span)), after
    for _, after in scan.find(BOARD_TRAILS, at):
        yield replace(sofar, for_rack=True), after


def _with(said: _Said, name: str, value: Any) -> _Said:
    return replace(said, **{name: value})


def _count(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """amount ["of" | "pieces" | "boards"] | count_after"""
    for amount, after in scan.every(amount_words, at):
        yield amount, scan.take(after, "of", "pieces", "pcs", "boards", "ea", "x", "times") or after
    yield from scan.every(count_after, at)


def _whole_feet(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """feet, ["long"], behind an "x" as well: 2x4 x 16'"""
    start = scan.take(at, "times", "by", "at") or at
    for amount, after in scan.every(feet, start):
        if amount.inches <= 12 * MAX_BOARD_FEET and not amount.doubts and not amount.refusals:
            yield amount.inches, scan.take(after, "long", "boards") or after


def _footers(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """footers = number "footer" """
    for number, after in scan.every(any_number, at):
        if 0 < number <= MAX_BOARD_FEET:
            for _, end in scan.find(FOOTERS, after):
                yield Fraction(number * 12), end


def _price(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """price = ( "at" | "for" | "$" ) money ["each"]"""
    for _, start in scan.find(PRICE_LEADS, at):
        for price, after in scan.every(_money, start):
            for _, end in scan.find(PRICE_ENDS, after):
                yield price, end
            yield price, after


def _money(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """money = figures | number ["dollars"] [["and"] 10 … 99 ["cents"]] | number "cents" """
    for value, after in scan.every(figures, at):
        yield value, _past_money(scan, after, "dollars")
    for number, after in scan.every(below_hundred, at):
        whole = _past_money(scan, after, "dollars")
        yield Fraction(number.value), whole
        for cents, end in scan.every(below_hundred, scan.take(whole, "and") or whole):
            if cents.value > 9 and (number.style != "tens" or whole > after):
                yield number.value + Fraction(cents.value, 100), _past_money(scan, end, "cents")
        only_cents = _past_money(scan, after, "cents")
        if only_cents > after:
            yield Fraction(number.value, 100), only_cents


def _past_money(scan: Scan, at: int, unit: str) -> int:
    return next((end for name, end in scan.find(MONEY, at) if name == unit), at)


def _bad(scan: Scan, at: int) -> Iterator[tuple[tuple[Fraction, Fraction], int]]:
    """bad = "bad" ["from"] length "to" length"""
    for _, start in scan.find(BAD_PARTS, at):
        for begin, middle in scan.every(length, start):
            to = scan.take(middle, "to")
            for end, after in scan.every(length, to) if to is not None else ():
                if not begin.doubts and not end.doubts:
                    yield (begin.inches, end.inches), after


_PARTS = {"count": _count, "section": section, "inches": _whole_feet, "price": _price}

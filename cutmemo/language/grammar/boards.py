"""Boards for the rack."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

from cutmemo.domain.cut import Section
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.length import Length
from cutmemo.domain.units import to_inches
from cutmemo.language.grammar.fields import amount_words, count_after
from cutmemo.language.grammar.lengths import feet, figures, metric
from cutmemo.language.grammar.numbers import below_hundred, four_figures, plural_whole
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import BoardsCall, Reading
from cutmemo.language.lexicon.en import (
    BAD_PARTS,
    BOARD_LEADS,
    BOARD_TRAILS,
    BOARDS_CAME,
    BOARDS_PERHAPS,
    FOOTERS,
    MONEY,
    PRICE_ENDS,
    PRICE_LEADS,
    TREATED,
)

MAX_BOARD_FEET = 60
"""No board is longer: "three sixteen footers" is three of 16 ft."""


MAX_BARE_FEET = 24
"""Up to here the length of a board that has no unit may be feet."""
LEAST_MILLIMETRES = 300
"""A shorter board is no stock: a number without a unit is no length in millimetres below it."""
MOST_METRES = 18
"""Figures up to here are metres where a crew says millimetres: "four point eight"."""


_RACK_WORDS = frozenset({*(words[-1] for words in FOOTERS), "rack"})
"""One of these says that boards are meant, and no cut."""


@dataclass(frozen=True, slots=True)
class _Said:
    """What has been read of boards so far."""

    for_rack: bool = False
    """True where "footers", the rack itself or that they came was said: anything else is a cut."""
    count: int | None = None
    section: Section | None = None
    inches: Fraction | None = None
    price: Fraction | None = None
    bad: tuple[tuple[Fraction, Fraction], ...] = ()
    doubts: tuple[Doubt, ...] = ()


def boards(scan: Scan) -> Iterator[tuple[Reading, int]]:
    """boards = ["put" | "add" | ["also"] "got" …] { count | section | footers | board_length |
    price | bad part | "," } ["on the rack"], in any order, to the end | by_name_alone |
    several_kinds

    Of two ways to read it, one shorter than any stock is none: "ten foot" is no ten of a foot.
    """
    found = list(dict.fromkeys((*_boards(scan), *_by_name_alone(scan))))
    stock = [each for each in found if each[0].length.inches >= 12 * LEAST_FEET]
    for board, doubts in stock or found or list(_several_kinds(scan)):
        yield Reading(board, doubts), len(scan.tokens)


def _boards(scan: Scan) -> Iterator[tuple[BoardsCall, tuple[Doubt, ...]]]:
    got = _got(scan)
    if not got and not any(token.word in _RACK_WORDS for token in scan.tokens):
        return
    put = [end for _, end in scan.find(BOARD_LEADS, 0)]
    for at in dict.fromkeys((0, *put, *got)):
        begin = at + 1 if scan.word(at) in ("a", "an", "another") else at
        for found in _all(scan, begin, _Said(for_rack=at > 0)):
            if found.inches is not None and found.for_rack:
                count = 1 if found.count is None else found.count
                board = BoardsCall(
                    Length(found.inches), count, found.section, found.price, found.bad
                )
                yield board, found.doubts


def _several_kinds(scan: Scan) -> Iterator[tuple[BoardsCall, tuple[Doubt, ...]]]:
    """Typed boards of several kinds, "and" or a comma between them, each with its count, its size
    and its length: got 12 2x10 16' and 10 2x12 16'
    """
    joints = [at for at, token in enumerate(scan.tokens) if token.word in (",", "and")]
    got = _got(scan)
    named = bool(got) or any(token.word in _RACK_WORDS for token in scan.tokens)
    if scan.by_voice or not joints or not named:
        return
    begins = [*got, *(end for _, end in scan.find(BOARD_LEADS, 0)), 0]
    kinds: list[BoardsCall] = []
    for begin, end in pairwise([begins[0] - 1, *joints, len(scan.tokens)]):
        part = Scan(scan.tokens[begin + 1 : end], scan.settings, by_voice=False)
        sized = any(token.kind == "section" for token in part.tokens)
        found = set(_all(part, 0, _Said(for_rack=True))) if sized else set()
        said = [each for each in found if each.section and each.inches is not None]
        if len(said) != 1 or said[0].count is None or said[0].doubts:
            return
        (each,) = said
        kinds.append(
            BoardsCall(
                Length(each.inches or Fraction(0)),
                each.count or 1,
                each.section,
                each.price,
                each.bad,
            )
        )
    yield replace(kinds[0], more=tuple(kinds[1:])), ()


def _by_name_alone(scan: Scan) -> Iterator[tuple[BoardsCall, tuple[Doubt, ...]]]:
    """["also" | "and"] amount section by_name, to the end: it asks whether they came"""
    start = scan.take(0, "also", "and") or 0
    asked = doubt(DoubtKind.CAME_OR_TO_CUT, Field.LENGTH)
    for count, size_at in scan.every(amount_words, start):
        for size, after in scan.every(section, size_at):
            for inches, end in scan.every(_by_name, after):
                if end == len(scan.tokens) and count:
                    yield BoardsCall(Length(inches), count, size), (asked,)


def _got(scan: Scan) -> list[int]:
    """["also" | "and"] "got": where it ends that boards came; "i got" as well where lumber follows
    by its name, "two by six sixteens", since "i got thirty six" is a cut
    """
    start = scan.take(0, "also", "and") or 0
    ends = [end for _, end in scan.find(BOARDS_CAME, start)]
    by_name = [end for _, end in scan.find(BOARDS_PERHAPS, start)]
    if by_name and any(_is_called_lumber(scan, at) for at in range(by_name[0], len(scan.tokens))):
        ends += by_name
    return ends


def _is_called_lumber(scan: Scan, at: int) -> bool:
    """Return whether a section and a plural number of feet stand at *at*, and nothing more."""
    size = len(scan.tokens)
    ends = [end for _, after in scan.every(section, at) for _, end in scan.every(_by_name, after)]
    return size in ends


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
    yield from _counted(scan, at, sofar)
    yield from _long(scan, at, sofar)
    for span, after in scan.every(_bad, at):
        yield replace(sofar, bad=(*sofar.bad, span)), after
    for _, after in scan.find(BOARD_TRAILS, at):
        yield replace(sofar, for_rack=True), after
    if sofar.section is not None and not sofar.section.treated:
        for _, after in scan.find(TREATED, at):
            yield replace(sofar, section=replace(sofar.section, treated=True)), after


def _with(said: _Said, name: str, value: Any) -> _Said:
    return replace(said, **{name: value})


def _counted(scan: Scan, at: int, sofar: _Said) -> Iterator[tuple[_Said, int]]:
    """count_first | count_after: a bare number counts before all else, or behind a comma"""
    first = sofar.section is None and sofar.inches is None and sofar.price is None
    rules = [_count_first, count_after] if first or scan.word(at - 1) == "," else [count_after]
    if sofar.section is not None and sofar.inches is not None and not scan.by_voice:
        rules = [*rules, _count_last]
    for rule in rules if sofar.count is None else ():
        for count, after in scan.every(rule, at):
            yield replace(sofar, count=count), after


def _long(scan: Scan, at: int, sofar: _Said) -> Iterator[tuple[_Said, int]]:
    """footers | by_name | bare, behind a section"""
    if sofar.inches is not None:
        return
    for inches, after in scan.every(_footers, at):
        yield replace(sofar, inches=inches, for_rack=True), after
    for inches, after in scan.every(_by_name, at):
        yield replace(sofar, inches=inches), after
    for (inches, doubts), after in scan.every(_bare, at) if sofar.section is not None else ():
        yield replace(sofar, inches=inches, doubts=doubts), after


def _count_first(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """amount ["more"] ["of" | "pieces" | "boards" ["of"]]"""
    for amount, after in scan.every(amount_words, at):
        named = scan.take(after, "more") or after
        counted = scan.take(named, "of", "pieces", "pcs", "boards", "lengths", "ea", "x", "times")
        yield amount, scan.take(counted, "of") or counted if counted is not None else named


def _count_last(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """A number behind size and length that ends the line: stock 2x10 16' 40"""
    yield from (
        (amount, end) for amount, end in scan.every(any_number, at) if end == len(scan.tokens)
    )


def _board_length(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """feet or metres, ["long"], behind an "x" as well: 2x4 x 16'"""
    start = scan.take(at, "times", "by", "at") or at
    for amount, after in (*scan.every(feet, start), *scan.every(metric, start)):
        if amount.inches <= 12 * MAX_BOARD_FEET and not amount.doubts and not amount.refusals:
            yield amount.inches, scan.take(after, "long", "boards") or after


def _footers(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """footers = number "footer" """
    for number, after in scan.every(any_number, at):
        if 0 < number <= MAX_BOARD_FEET:
            for _, end in scan.find(FOOTERS, after):
                yield Fraction(number * 12), end


def _by_name(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """by_name = a plural number of feet, as lumber is called: "two by six sixteens" """
    if scan.settings.figures == "mm":
        return
    for number, end in plural_whole(scan, at):
        if LEAST_FEET <= number <= MAX_BARE_FEET:
            yield Fraction(number * 12), end


LEAST_FEET = 6
"""Stock is no shorter (common practice)."""


def _bare(scan: Scan, at: int) -> Iterator[tuple[tuple[Fraction, tuple[Doubt, ...]], int]]:
    """bare = ["x" | "by" | "at"] number, behind a section: inches, or feet where the crew set so

    Up to 24 it asks where they did not. Where figures are millimetres it is those, or metres: 4.8.
    """
    start = scan.take(at, "times", "by", "at") or at
    if scan.settings.figures == "mm":
        numbers = [*scan.every(any_number, start), *scan.every(four_figures_value, start)]
        for number, end in numbers:
            if number >= LEAST_MILLIMETRES:
                yield (to_inches(Fraction(number), "millimetre"), ()), end
        for value, end in scan.every(figures, start):
            if 0 < value <= MOST_METRES:
                yield (to_inches(value, "metre"), ()), end
        return
    for number, end in scan.every(any_number, start):
        if number > MAX_BARE_FEET or scan.settings.bare_boards == "inches":
            yield (Fraction(number), ()), end
        elif number and scan.settings.bare_boards == "feet":
            yield (Fraction(12 * number), ()), end
        elif number:
            asked = doubt(DoubtKind.BOARD_FEET_OR_INCHES, Field.LENGTH, number=number)
            yield (Fraction(12 * number), (asked,)), end


def four_figures_value(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """four_figures: "forty eight hundred", "twenty four thirty five" """
    yield from ((number.value, end) for number, end in scan.every(four_figures, at))


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


_PARTS = {"section": section, "inches": _board_length, "price": _price}

"""What a board is across: sawn sizes, engineered ones, sheets and millimetres."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.cut import Section
from cutmemo.language.grammar.lengths import fraction
from cutmemo.language.grammar.numbers import below_hundred, plural_whole, whole
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.lexicon.en import MATERIALS, NOMINAL, PLURALS, SHEETS, TREATED, UNITS


def any_number(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """any_number = whole, spoken or typed"""
    for number, after in scan.every(whole, at):
        yield number.value, after


def section(scan: Scan, at: int) -> Iterator[tuple[Section, int]]:
    """section = ["treated"] size ["treated"]"""
    lead = scan.find(TREATED, at)
    if not lead:
        scan.missed(at, "two by six")
    for found, after in scan.every(_size, lead[0][1] if lead else at):
        for _, end in scan.find(TREATED, after) if not lead else ():
            yield replace(found, treated=True), end
        yield (replace(found, treated=True) if lead else found), after


def _size(scan: Scan, at: int) -> Iterator[tuple[Section, int]]:
    """size = sawn | engineered | sheet | metric_size"""
    yield from _sawn(scan, at)
    yield from _engineered(scan, at)
    for part, after in scan.every(fraction, at):
        middle = _past_inch(scan, after)
        for material, end in scan.find(MATERIALS, middle):
            if material in SHEETS:
                yield Section(part.inches, None, material), end
        ply = scan.take(middle, "ply")
        if ply is not None:
            yield Section(part.inches, None, "plywood"), ply
    ply = scan.take(at, "ply") if at == 0 and not scan.by_voice else None  # ply 48 x 88-3/8
    if ply is not None:
        yield Section(material="plywood"), ply
    metric = scan.settings.figures == "mm" or scan.settings.display == "mm"
    if metric or any(UNITS.get(token.word) == "millimetre" for token in scan.tokens):
        yield from _metric_size(scan, at)


def _sawn(scan: Scan, at: int) -> Iterator[tuple[Section, int]]:
    """sawn = thick "by" wide | "five quarter by" wide | typed 2x6, 2x6s"""
    token = scan.token(at)
    if token is not None and token.kind == "section" and token.over in NOMINAL:
        several = at + 2 if scan.word(at + 1) == "s" else at + 1
        yield Section(token.value, Fraction(token.over)), several
    for thickness, middle in _thick(scan, at):
        by = _by(scan, middle)
        if by is None:
            continue
        for width, end in scan.every(any_number, by):
            if width in NOMINAL:
                yield Section(thickness, Fraction(width)), end
        width_of_several = PLURALS.get(scan.word(by), 0)
        if width_of_several in NOMINAL:
            yield Section(thickness, Fraction(width_of_several)), by + 1


def _engineered(scan: Scan, at: int) -> Iterator[tuple[Section, int]]:
    """engineered = material [both_sides] | both_sides material | depth material, the depth a usual
    one; typed, it may stand behind

    By voice a depth stands first: "one forty nine and a half LVL" is a length.
    """
    for material, after in scan.find(MATERIALS, at):
        yield Section(material=material), after
        if material not in SHEETS:
            yield from _size_behind(scan, after, material)
    for (thick, wide), after in scan.every(both_sides, at):
        for material, end in scan.find(MATERIALS, after):
            yield Section(thick, wide, material), end
    for deep, after in scan.every(_mixed, at) if at == 0 or not scan.by_voice else ():
        if deep not in USUAL_DEPTHS:
            continue
        for material, end in scan.find(MATERIALS, _past_inch(scan, after)):
            if material not in SHEETS:
                yield Section(None, deep, material), end


def _size_behind(scan: Scan, at: int, material: str) -> Iterator[tuple[Section, int]]:
    """size_behind = both_sides | typed usual depth: "LVL 1-3/4 by 9-1/2" """
    for (thick, wide), end in scan.every(both_sides, at):
        yield Section(thick, wide, material), end
    for deep, end in scan.every(_mixed, at) if not scan.by_voice else ():
        if deep in USUAL_DEPTHS:
            yield Section(None, deep, material), end


USUAL_DEPTHS = frozenset(Fraction(text) for text in "7/2 11/2 29/4 37/4 19/2 45/4 95/8".split())
"""How deep engineered lumber is made that is no whole number of inches (common practice)."""


def _past_inch(scan: Scan, at: int) -> int:
    """Return the position after "inch", or *at* where it is not said."""
    return scan.take(at, "inch", "in") or at


def both_sides(scan: Scan, at: int) -> Iterator[tuple[tuple[Fraction, Fraction], int]]:
    """both_sides = mixed "by" mixed"""
    for thick, middle in scan.every(_mixed, at):
        by = _by(scan, middle)
        for wide, after in scan.every(_mixed, by) if by is not None else ():
            yield (thick, wide), after


def _metric_size(scan: Scan, at: int) -> Iterator[tuple[Section, int]]:
    """metric_size = number ( "by" | "x" ) number or its plural, in millimetres; some crews say the
    wide side first
    """
    for thick, middle in scan.every(any_number, at):
        by = _by(scan, middle)
        wides = (
            [*scan.every(any_number, by), *scan.every(plural_whole, by)] if by is not None else ()
        )
        for wide, end in wides:
            thin, broad = sorted((thick, wide))
            if thin >= MIN_MILLIMETRES and broad <= MAX_MILLIMETRES:
                yield Section(Fraction(thin), Fraction(broad), metric=True), end


MIN_MILLIMETRES, MAX_MILLIMETRES = 12, 300
"""Boards sold by the millimetre are no thinner and no wider (common practice)."""


def _by(scan: Scan, at: int) -> int | None:
    """ "by", typed "x" as well"""
    return scan.take(at, "by") if scan.by_voice else scan.take(at, "by", "times")


def _mixed(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """mixed = whole [ ["and"] fraction ] | fraction: one side of an engineered board, in inches"""
    before = scan.token(at - 1) if at else None
    if before is None or before.kind != "number":
        for part, end in scan.every(fraction, at):
            yield part.inches, end
    for number, after in scan.every(below_hundred, at):
        yield Fraction(number.value), after
        joined = scan.take(after, "and")
        for part, end in scan.every(fraction, after if joined is None else joined):
            yield number.value + part.inches, end


def _thick(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """1 … 14, or "five quarter" """
    for value, after in scan.every(any_number, at):
        if value in NOMINAL:
            yield Fraction(value), after
    token = scan.token(at)
    if token is not None and token.kind == "fraction" and (token.over, token.under) in QUARTERS:
        yield Fraction(token.over, token.under), at + 1
    if scan.word(at) == "five" and scan.word(at + 1) in ("quarter", "quarters"):
        yield Fraction(5, 4), at + 2


QUARTERS = ((5, 4), (6, 4))
"""Boards that are called by quarters of an inch."""

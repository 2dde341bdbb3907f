"""Sets of cuts called by what they are for: roofs, walls, floors, stairs, with the measures that
were named.

Every set reads the names of all measures, so that one it has no use for can be refused by name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Any, TypeVar

from cutmemo.language.grammar.ends import rise
from cutmemo.language.grammar.fields import amount_words
from cutmemo.language.grammar.lengths import figures, fraction
from cutmemo.language.grammar.numbers import below_hundred
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.grammar.tokens import HYPHEN
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import (
    BEAM,
    CENTERS,
    COMMONS,
    DEGREES,
    HEADER,
    LENGTH_MEASURES,
    MEETING_SIDES,
    MEETINGS,
    NUMBER_MEASURES,
    OPENING_SIDES,
    OPENINGS,
    PARTITION,
    PITCHES,
    PLIES,
    PLY,
    SETS,
    STOPS,
    UNITS,
)
from cutmemo.language.sets import (
    AssemblyCall,
    FloorOpening,
    Framing,
    HeaderSaid,
    Opening,
    PitchSaid,
)

MAX_OPENINGS = 24
"""So many openings one wall or floor has at most."""
MAX_SPACING = 48
"""Inches; nothing is framed farther apart (common practice)."""
_BEGIN_WITH_LENGTH: tuple[Framing, ...] = ("wall", "rake wall", "floor", "deck")
_UNIT_WORDS = UNITS.words()

T = TypeVar("T", AssemblyCall, Opening)


def _with(said: T, name: str, value: Any) -> T:
    """Return *said* with its field *name* changed."""
    return replace(said, **{name: value})


Said = Iterator[tuple[AssemblyCall, int]]


def measure(scan: Scan, at: int) -> Iterator[tuple[Amount, int]]:
    """measure = a length that leaves nothing to ask and that a tape has"""
    for amount, after in scan.every(length, at):
        if not amount.doubts and not amount.refusals:
            yield amount, after


def framing(scan: Scan, at: int) -> Said:
    """framing = [count] set [length of a wall or floor] { measure }"""
    starts: list[tuple[int | None, int]] = [(None, at), *scan.every(amount_words, at)]
    for count, start in starts:
        for what, after in scan.find(SETS, start):
            called = AssemblyCall(what, count)
            if what not in _BEGIN_WITH_LENGTH:
                yield from _measures(scan, after, called)
                continue
            for more, end in _length(scan, after, called, "length"):
                yield from _measures(scan, end, more)
                by = scan.take(end, "by") if what in ("floor", "deck") else None
                for both, last in _length(scan, by, more, "span") if by is not None else ():
                    yield from _measures(scan, last, _longer_along(both))


def _measures(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """Read measures to the end; at least one has to follow what the set is called."""
    scan.step()
    if at == len(scan.tokens):
        if any(name != "spacing" for name, _ in called.inches):  # 11 rafters at 34 is a cut
            yield called, at
        return
    for more, after in _measure(scan, at, called):
        yield from _measures(scan, after, more)


def _measure(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """measure = named | of_roof | of_wall | of_floor | section | "," """
    if scan.word(at) == ",":
        if scan.word(at - 1) != ",":
            yield called, at + 1
        return
    yield from _named(scan, at, called)
    yield from _of_roof(scan, at, called)
    if called.what == "deck":
        yield from _of_deck(scan, at, called)
    yield from (_of_floor if called.what == "floor" else _of_wall)(scan, at, called)
    if called.section is None:
        for size, end in scan.every(section, at):
            yield replace(called, section=size), end


def _named(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """named = name length | centers | name number, each once"""
    for name, after in scan.find(LENGTH_MEASURES, at):
        if called.named(name) is None:
            for more, end in _length(scan, after, called, name):
                yield more, end
                if name == "spacing":
                    yield from ((more, last) for _, last in scan.find(CENTERS, end))
    yield from _centers(scan, at, called)
    for name, after in scan.find(NUMBER_MEASURES, at):
        for number, end in scan.every(any_number, after):
            sized = name == "posts" and scan.every(section, end)  # it is theirs: of_deck
            if name not in dict(called.numbers) and not sized:
                yield replace(called, numbers=(*called.numbers, (name, number))), end


def _centers(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """centers = ["at"] length "on center" | "at" length"""
    after_at = scan.take(at, "at")
    start = at if after_at is None else after_at
    if called.named("spacing") is not None or scan.word(start) in _UNIT_WORDS:
        return
    for more, end in _length(scan, start, called, "spacing"):
        if (more.named("spacing") or 0) > MAX_SPACING:
            continue
        if after_at is not None:
            yield more, end
        yield from ((more, last) for _, last in scan.find(CENTERS, end))


def _length(scan: Scan, at: int, called: AssemblyCall, name: str) -> Said:
    """A length for the measure *name*, kept as bare where no unit was said."""
    for amount, end in scan.every(measure, at):
        yield (
            replace(
                called,
                inches=(*called.inches, (name, amount.inches)),
                bare=(*called.bare, *_bare(scan, at, end, name, amount.inches)),
            ),
            end,
        )


def _bare(
    scan: Scan, at: int, end: int, name: str, inches: Fraction
) -> tuple[tuple[str, Fraction], ...]:
    """Return the measure where no unit was said with it, else nothing."""
    unit = any(token.word in _UNIT_WORDS for token in scan.tokens[at:end])
    return () if unit else ((name, inches),)


def _of_roof(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """of_roof = ["end"] "pitch" pitch | "commons" section | "between commons" [section]"""
    for name, start in scan.find(PITCHES, at):
        for said, end in scan.every(pitch, start) if getattr(called, name) is None else ():
            yield _with(called, name, said), end
    for between, start in scan.find(COMMONS, at):
        if between and called.between_commons:
            continue
        sizes = scan.every(section, start) if called.commons is None else []
        framed = called.between_commons or between
        for size, end in sizes:
            yield replace(called, commons=size, between_commons=framed), end
        if between and not sizes:  # a size right behind it is that of the commons
            yield replace(called, between_commons=True), start


def pitch(scan: Scan, at: int) -> Iterator[tuple[PitchSaid, int]]:
    """pitch = rise | mixed "degrees" """
    for number, end in scan.every(rise, at):
        yield PitchSaid(number), end
    for value, after in _mixed(scan, at):
        scan.missed(after, "/12")
        for _, end in scan.find(DEGREES, after):
            yield PitchSaid(value, in_degrees=True), end


def _mixed(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """mixed = number [["and"] fraction] | number with a point"""
    yield from scan.every(figures, at)
    for number, after in scan.every(below_hundred, at):
        yield Fraction(number.value), after
        joined = scan.take(after, "and")
        for start in (after, joined) if joined is not None else (after,):
            for part, end in scan.every(fraction, start):
                if not part.doubts and not part.refusals:
                    yield number.value + part.inches, end


def _of_wall(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """of_wall = header | opening | of_opening | along"""
    if called.openings:
        *before, last = called.openings
        for more, end in _of_opening(scan, at, last):
            yield replace(called, openings=(*before, more)), end
    elif called.header is None:
        for header, end in scan.every(_header, at):
            yield replace(called, header=header), end
    for _, start in scan.find(OPENINGS, at) if len(called.openings) < MAX_OPENINGS else ():
        for (opening, bare), end in scan.every(_opening, start):
            yield (
                replace(called, openings=(*called.openings, opening), bare=(*called.bare, *bare)),
                end,
            )
    yield from _along(scan, at, called)


def _along(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """along = meeting side | ("tee" | "backing") "at" length | "partition" section"""
    for _, start in scan.find(PARTITION, at) if called.partition is None else ():
        for size, end in scan.every(section, start):
            yield replace(called, partition=size), end
    for name, start in scan.find(MEETINGS, at):
        for sides, end in scan.find(MEETING_SIDES, start) if not getattr(called, name) else ():
            yield _with(called, name, sides), end
    for stop, start in scan.find(STOPS, at):
        for amount, end in scan.every(measure, start):
            yield _with(called, stop, (*getattr(called, stop), amount.inches)), end


def _header(scan: Scan, at: int) -> Iterator[tuple[HeaderSaid, int]]:
    """header = "header" [plies] section ["deep" length]"""
    for _, start in scan.find(HEADER, at):
        yield from _plied(scan, start)


def _plied(scan: Scan, at: int) -> Iterator[tuple[HeaderSaid, int]]:
    """plied = [plies] section ["deep" length]"""
    for plies, after in [(None, at), *_plies(scan, at)]:
        for size, end in scan.every(section, after):
            yield HeaderSaid(size, plies), end
            deep = scan.take(end, "deep")
            for amount, last in scan.every(measure, deep) if deep is not None else ():
                yield HeaderSaid(size, plies, amount.inches), last


def _plies(scan: Scan, at: int) -> Iterator[tuple[int | None, int]]:
    """plies = "single" | "double" | "triple" | number "ply" | typed 2-2x10 | typed (2)"""
    yield from scan.find(PLIES, at)
    start = scan.take(at, "(") or at
    for number, after in scan.every(any_number, start) if not scan.by_voice else ():
        end = scan.take(after, ")") if start > at else scan.take(after, HYPHEN)
        if end is not None and number:
            yield number, end
    for number, after in scan.every(any_number, at):
        for _, end in scan.find(PLY, after) if number else ():
            yield number, end


Bare = tuple[tuple[str, Fraction], ...]


def _opening(scan: Scan, at: int) -> Iterator[tuple[tuple[Opening, Bare], int]]:
    """opening = length "wide" length "high" ["sill" length] "at" length"""
    for width, after, wide in _followed(scan, at, "wide"):
        for height, middle, high in _followed(scan, after, "high"):
            bare = (
                *_bare(scan, at, wide, "wide", width),
                *_bare(scan, after, high, "high", height),
            )
            for sill, rest in _sill(scan, middle):
                place = scan.take(rest, "at")
                for far, end in scan.every(measure, place) if place is not None else ():
                    yield (Opening(width, height, far.inches, sill), bare), end


def _of_opening(scan: Scan, at: int, opening: Opening) -> Iterator[tuple[Opening, int]]:
    """of_opening = header | ("trimmers" | "kings") number, each once: what belongs to the last
    opening
    """
    for header, end in scan.every(_header, at) if opening.header is None else ():
        yield replace(opening, header=header), end
    for name, start in scan.find(OPENING_SIDES, at):
        for number, end in scan.every(any_number, start) if getattr(opening, name) is None else ():
            if number:
                yield _with(opening, name, number), end


def _longer_along(called: AssemblyCall) -> AssemblyCall:
    """Return *called* with the longer of its two sides along, and the mark that nobody said so."""
    length, span = called.named("length"), called.named("span")
    names = {"length": "span", "span": "length"} if (span or 0) > (length or 0) else {}
    return replace(
        called,
        inches=tuple((names.get(name, name), value) for name, value in called.inches),
        bare=tuple((names.get(name, name), value) for name, value in called.bare),
        sides_by=True,
    )


def _of_deck(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """of_deck = "beam" [plies] section ["deep" length] | "posts" number section"""
    for beam, end in scan.every(_beam, at) if called.beam is None else ():
        yield replace(called, beam=beam), end
    for name, start in scan.find(NUMBER_MEASURES, at) if called.post is None else ():
        for number, after in scan.every(any_number, start) if name == "posts" else ():
            for size, end in scan.every(section, after):
                counted = (*called.numbers, (name, number))
                yield replace(called, numbers=counted, post=size), end


def _beam(scan: Scan, at: int) -> Iterator[tuple[HeaderSaid, int]]:
    """beam = "beam" [plies] section ["deep" length]"""
    for _, start in scan.find(BEAM, at):
        yield from _plied(scan, start)


def _of_floor(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """of_floor = opening in a floor"""
    for _, start in scan.find(OPENINGS, at) if len(called.holes) < MAX_OPENINGS else ():
        for (hole, bare), end in scan.every(_hole, start):
            yield replace(called, holes=(*called.holes, hole), bare=(*called.bare, *bare)), end


def _hole(scan: Scan, at: int) -> Iterator[tuple[tuple[FloorOpening, Bare], int]]:
    """hole = length "wide" length "long" "at" length "from" length"""
    for width, after, wide in _followed(scan, at, "wide"):
        for long, middle, far in _followed(scan, after, "long"):
            bare = (*_bare(scan, at, wide, "wide", width), *_bare(scan, after, far, "long", long))
            place = scan.take(middle, "at")
            for near, spot in scan.every(measure, place) if place is not None else ():
                side = scan.take(spot, "from")
                for across, end in scan.every(measure, side) if side is not None else ():
                    yield (FloorOpening(width, long, near.inches, across.inches), bare), end


def _followed(scan: Scan, at: int, word: str) -> Iterator[tuple[Fraction, int, int]]:
    """A length with *word* behind it: its inches, where it goes on, and where the length ends."""
    for amount, after in scan.every(measure, at):
        end = scan.take(after, word)
        if end is not None:
            yield amount.inches, end, after


def _sill(scan: Scan, at: int) -> Iterator[tuple[Fraction | None, int]]:
    """["sill" length]"""
    after = scan.take(at, "sill")
    if after is None:
        yield None, at
        return
    for amount, end in scan.every(measure, after):
        yield amount.inches, end

"""Sets of cuts called by what they are for: roofs, walls, floors, stairs, with the measures that were named.

Every set reads the names of all measures, so that one it has no use for can be refused by name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.language.grammar.fields import amount_words, any_number, rise, section
from cutmemo.language.grammar.lengths import figures, fraction, length
from cutmemo.language.grammar.numbers import below_hundred
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import UNITS
from cutmemo.language.sets import (
    AssemblyCall,
    FloorOpening,
    Framing,
    HeaderSaid,
    Opening,
    PitchSaid,
)

LEADS: dict[tuple[str, ...], Framing] = {
    ("rafters",): "rafters",
    ("rafter",): "rafters",
    ("common", "rafters"): "rafters",
    ("hips",): "hips",
    ("hip",): "hips",
    ("hip", "rafters"): "hips",
    ("valleys",): "valleys",
    ("valley",): "valleys",
    ("valley", "rafters"): "valleys",
    ("jacks",): "jacks",
    ("hip", "jacks"): "jacks",
    ("valley", "jacks"): "valley jacks",
    ("cripple", "jacks"): "cripple jacks",
    ("gable", "studs"): "gable studs",
    ("rake", "wall"): "rake wall",
    ("wall",): "wall",
    ("floor",): "floor",
    ("stairs",): "stairs",
    ("stair",): "stairs",
}
LENGTHS = (
    *("span", "run", "overhang", "fascia", "ridge", "plate", "spacing", "length", "rake", "hip"),
    *("high", "rise", "width", "thick", "drop", "well", "deck"),
)
"""Names of measures that are lengths, each once in a call."""
NUMBERS = ("stringers", "blocking")
"""Names of what is counted, each once in a call."""
_BEGIN_WITH_LENGTH: tuple[Framing, ...] = ("wall", "rake wall", "floor")
_UNIT_WORDS = frozenset(word for words in UNITS.values() for word in words)
_SIDES = {"left": ("left",), "right": ("right",), "both": ("left", "right")}
_PLIES = {"single": 1, "double": 2, "triple": 3}
_OVER = ("on", "in", "over", "/", ":")

Said = Iterator[tuple[AssemblyCall, int]]


def measure(scan: Scan, at: int) -> Iterator[tuple[Amount, int]]:
    """measure = a length that leaves nothing to ask and that a tape has"""
    for amount, after in scan.every(length, at):
        if not amount.doubts and not amount.refusals:
            yield amount, after


def framing(scan: Scan, at: int) -> Said:
    """framing = [count] lead [length of a wall or floor] { measure }"""
    starts: list[tuple[int | None, int]] = [(None, at), *scan.every(amount_words, at)]
    for count, start in starts:
        for words, what in LEADS.items():
            after = scan.phrase(start, words)
            if after is None:
                continue
            called = AssemblyCall(what, count)
            if what not in _BEGIN_WITH_LENGTH:
                yield from _measures(scan, after, called)
                continue
            for more, end in _length(scan, after, called, "length"):
                yield from _measures(scan, end, more)


def _measures(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """Read measures to the end; at least one has to follow what the set is called."""
    if at == len(scan.tokens):
        if called.inches:
            yield called, at
        return
    for more, after in _measure(scan, at, called):
        yield from _measures(scan, after, more)


def _measure(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """measure = name length | name number | pitch | section | of_roof | of_wall | of_floor | "," """
    if scan.word(at) == ",":
        yield called, at + 1
        return
    for name in LENGTHS:
        after = scan.take(at, name) if called.named(name) is None else None
        if after is not None:
            yield from _length(scan, after, called, name)
    for name in NUMBERS:
        after = scan.take(at, name) if name not in dict(called.numbers) else None
        for number, end in scan.every(any_number, after) if after is not None else ():
            yield replace(called, numbers=(*called.numbers, (name, number))), end
    yield from _of_roof(scan, at, called)
    if called.what == "floor":
        yield from _of_floor(scan, at, called)
    else:
        yield from _of_wall(scan, at, called)
    if called.section is None:
        for size, end in scan.every(section, at):
            yield replace(called, section=size), end


def _length(scan: Scan, at: int, called: AssemblyCall, name: str) -> Said:
    """A length for the measure *name*, kept as bare where no unit was said."""
    for amount, end in scan.every(measure, at):
        yield replace(
            called,
            inches=(*called.inches, (name, amount.inches)),
            bare=(*called.bare, *_bare(scan, at, end, name, amount.inches)),
        ), end


def _bare(
    scan: Scan, at: int, end: int, name: str, inches: Fraction
) -> tuple[tuple[str, Fraction], ...]:
    """Return the measure where no unit was said with it, else nothing."""
    unit = any(token.word in _UNIT_WORDS for token in scan.tokens[at:end])
    return () if unit else ((name, inches),)


def _of_roof(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """of_roof = ["end"] "pitch" pitch | ["between"] "commons" [section]"""
    start = scan.take(at, "pitch") if called.pitch is None else None
    for said, end in scan.every(pitch, start) if start is not None else ():
        yield replace(called, pitch=said), end
    start = scan.phrase(at, ("end", "pitch")) if called.end_pitch is None else None
    for said, end in scan.every(pitch, start) if start is not None else ():
        yield replace(called, end_pitch=said), end
    between = scan.phrase(at, ("between", "commons")) if not called.between_commons else None
    if between is not None:
        yield replace(called, between_commons=True), between
    start = between if between is not None else scan.take(at, "commons")
    for size, end in (
        scan.every(section, start) if start is not None and called.commons is None else ()
    ):
        yield replace(
            called, commons=size, between_commons=called.between_commons or between is not None
        ), end


def pitch(scan: Scan, at: int) -> Iterator[tuple[PitchSaid, int]]:
    """pitch = rise | number fraction ["on" | "in" | "over"] "twelve" | degrees"""
    for number, end in scan.every(rise, at):
        yield PitchSaid(Fraction(number)), end
    for value, after in _mixed(scan, at):
        degrees = scan.take(after, "degree", "degrees")
        if degrees is not None:
            yield PitchSaid(value, in_degrees=True), degrees
        joined = after + 1 if scan.word(after) in _OVER else after
        for run, end in scan.every(any_number, joined):
            if run == 12 and (value.denominator > 1 or scan.word(after) in ("/", ":")):
                yield PitchSaid(value), end


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
    """of_wall = header | opening | of_opening | ("corner" | "butt") side | ("tee" | "backing") "at" length"""
    if called.openings:
        *before, last = called.openings
        for more, end in _of_opening(scan, at, last):
            yield replace(called, openings=(*before, more)), end
    elif called.header is None:
        for header, end in scan.every(_header, at):
            yield replace(called, header=header), end
    start = scan.take(at, "opening", "door", "window")
    if start is not None:
        yield from _opening(scan, start, called)
    for name, words in (("corners", ("corner", "corners")), ("butts", ("butt", "butts"))):
        after = scan.take(at, *words) if not getattr(called, name) else None
        sides = _SIDES.get(scan.word(after)) if after is not None else None
        if after is not None and sides is not None:
            yield replace(called, **{name: sides}), after + 1
        elif after is not None:
            scan.missed(after, "left")
            scan.missed(after, "right")
            scan.missed(after, "both")
    for name, word in (("tees", "tee"), ("backing", "backing")):
        start = scan.phrase(at, (word, "at"))
        for amount, end in scan.every(measure, start) if start is not None else ():
            yield replace(called, **{name: (*getattr(called, name), amount.inches)}), end


def _header(scan: Scan, at: int) -> Iterator[tuple[HeaderSaid, int]]:
    """header = "header" [plies] section ["deep" length]"""
    start = scan.take(at, "header")
    if start is None:
        return
    for plies, after in [(None, start), *_plies(scan, start)]:
        for size, end in scan.every(section, after):
            yield HeaderSaid(size, plies), end
            deep = scan.take(end, "deep")
            for amount, last in scan.every(measure, deep) if deep is not None else ():
                yield HeaderSaid(size, plies, amount.inches), last


def _plies(scan: Scan, at: int) -> Iterator[tuple[int | None, int]]:
    """plies = "single" | "double" | "triple" | number "ply" """
    plies = _PLIES.get(scan.word(at))
    if plies is not None:
        yield plies, at + 1
    for number, after in scan.every(any_number, at):
        end = scan.take(after, "ply", "plies")
        if end is not None and number:
            yield number, end


def _opening(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """opening = length "wide" length "high" ["sill" length] "at" length"""
    for width, after, wide in _followed(scan, at, "wide"):
        for height, middle, high in _followed(scan, after, "high"):
            bare = (*_bare(scan, at, wide, "wide", width), *_bare(scan, after, high, "high", height))
            for sill, rest in _sill(scan, middle):
                place = scan.take(rest, "at")
                for far, end in scan.every(measure, place) if place is not None else ():
                    opening = Opening(width, height, far.inches, sill)
                    yield replace(
                        called,
                        openings=(*called.openings, opening),
                        bare=(*called.bare, *bare),
                    ), end


def _of_opening(scan: Scan, at: int, opening: Opening) -> Iterator[tuple[Opening, int]]:
    """of_opening = header | ("trimmers" | "kings") number, each once: what belongs to the last opening"""
    for header, end in scan.every(_header, at) if opening.header is None else ():
        yield replace(opening, header=header), end
    for name in ("trimmers", "kings"):
        after = scan.take(at, name) if getattr(opening, name) is None else None
        for number, end in scan.every(any_number, after) if after is not None else ():
            if number:
                yield replace(opening, **{name: number}), end


def _of_floor(scan: Scan, at: int, called: AssemblyCall) -> Said:
    """of_floor = "opening" length "wide" length "long" "at" length "from" length"""
    start = scan.take(at, "opening")
    if start is None:
        return
    for width, after, wide in _followed(scan, start, "wide"):
        for long, middle, far in _followed(scan, after, "long"):
            bare = (*_bare(scan, start, wide, "wide", width), *_bare(scan, after, far, "long", long))
            place = scan.take(middle, "at")
            for near, spot in scan.every(measure, place) if place is not None else ():
                side = scan.take(spot, "from")
                for across, end in scan.every(measure, side) if side is not None else ():
                    hole = FloorOpening(width, long, near.inches, across.inches)
                    yield replace(
                        called, holes=(*called.holes, hole), bare=(*called.bare, *bare)
                    ), end


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

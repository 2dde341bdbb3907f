"""Sets of cuts called by what they are for: rafters, a wall, stairs, with the measures each needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.language.grammar.ends import rise
from cutmemo.language.grammar.fields import amount_words, section
from cutmemo.language.grammar.lengths import length
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.intent import Amount, AssemblyCall, Framing, Opening
from cutmemo.language.lexicon.en import OPENINGS, SETS

_ROOF = ("span", "run", "overhang", "ridge", "plate", "spacing")
_MEASURES: dict[Framing, tuple[str, ...]] = {
    "rafters": _ROOF,
    "hips": _ROOF,
    "valleys": _ROOF,
    "jacks": _ROOF,
    "wall": ("high", "spacing"),
    "stairs": ("rise", "run", "width", "thick", "drop"),
}
"""The measures each set may name, each once."""


MAX_OPENINGS = 24
"""So many openings one wall has at most."""


def measure(scan: Scan, at: int) -> Iterator[tuple[Amount, int]]:
    """measure = a length that leaves nothing to ask and that a tape has"""
    for amount, after in scan.every(length, at):
        if not amount.doubts and not amount.refusals:
            yield amount, after


def framing(scan: Scan, at: int) -> Iterator[tuple[AssemblyCall, int]]:
    """framing = [count] ("rafters" | "hips" | "valleys" | "jacks" | "wall" length | "stairs") { measure }"""
    starts = [(1, at), *scan.every(amount_words, at)]
    for count, start in starts:
        what = SETS.get(scan.word(start))
        if what is None or (what == "wall" and count != 1):
            continue
        called = AssemblyCall(what, count)
        if what != "wall":
            yield from _measures(scan, start + 1, called)
        for amount, after in scan.every(measure, start + 1) if what == "wall" else ():
            yield from _measures(scan, after, replace(called, inches=(("length", amount.inches),)))


def _measures(scan: Scan, at: int, called: AssemblyCall) -> Iterator[tuple[AssemblyCall, int]]:
    """Read measures to the end; at least one has to follow what the set is called."""
    scan.step()
    if at == len(scan.tokens):
        if called.inches:
            yield called, at
        return
    for more, after in _measure(scan, at, called):
        yield from _measures(scan, after, more)


def _measure(scan: Scan, at: int, called: AssemblyCall) -> Iterator[tuple[AssemblyCall, int]]:
    """measure = name length | "pitch" rise | "header" section | section | opening | "," """
    if scan.word(at) == ",":
        if scan.word(at - 1) != ",":
            yield called, at + 1
        return
    for name in _MEASURES[called.what]:
        after = scan.take(at, name) if called.named(name) is None else None
        for amount, end in scan.every(measure, after) if after is not None else ():
            yield replace(called, inches=(*called.inches, (name, amount.inches))), end
    if called.rise is None and called.what not in ("wall", "stairs"):
        pitch = scan.take(at, "pitch")
        for number, end in scan.every(rise, pitch) if pitch is not None else ():
            yield replace(called, rise=number), end
    if called.what == "wall":
        yield from _of_wall(scan, at, called)
    if called.section is None:
        for size, end in scan.every(section, at):
            yield replace(called, section=size), end


def _of_wall(scan: Scan, at: int, called: AssemblyCall) -> Iterator[tuple[AssemblyCall, int]]:
    """of_wall = "header" section | ("door" | "window" | "opening") length "wide" length "high" ["sill" length] "at" length"""
    header = scan.take(at, "header")
    for size, end in (
        scan.every(section, header) if header is not None and called.header is None else ()
    ):
        yield replace(called, header=size), end
    room = len(called.openings) < MAX_OPENINGS
    for _, start in scan.find(OPENINGS, at) if room else ():
        for opening, end in scan.every(_opening, start):
            yield replace(called, openings=(*called.openings, opening)), end


def _opening(scan: Scan, at: int) -> Iterator[tuple[Opening, int]]:
    """opening = length "wide" length "high" ["sill" length] "at" length"""
    for width, after in _followed(scan, at, "wide"):
        for height, middle in _followed(scan, after, "high"):
            for sill, rest in _sill(scan, middle):
                place = scan.take(rest, "at")
                for far, end in scan.every(measure, place) if place is not None else ():
                    yield Opening(width, height, far.inches, sill), end


def _followed(scan: Scan, at: int, word: str) -> Iterator[tuple[Fraction, int]]:
    """A length with *word* behind it."""
    for amount, after in scan.every(measure, at):
        end = scan.take(after, word)
        if end is not None:
            yield amount.inches, end


def _sill(scan: Scan, at: int) -> Iterator[tuple[Fraction | None, int]]:
    """["sill" length]"""
    after = scan.take(at, "sill")
    if after is None:
        yield None, at
        return
    for amount, end in scan.every(measure, after):
        yield amount.inches, end

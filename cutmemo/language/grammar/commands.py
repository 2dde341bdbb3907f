"""Orders to the memo."""

from __future__ import annotations

from collections.abc import Iterator

from cutmemo.domain.length import Length
from cutmemo.language.grammar.corrections import lead_ends
from cutmemo.language.grammar.fields import amount_words
from cutmemo.language.grammar.loads import load, send_boards
from cutmemo.language.grammar.pieces import piece
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import Command
from cutmemo.language.lexicon.en import (
    COMMANDS,
    LEFT_LEADS,
    LEFT_OF_LEADS,
    LEFT_TRAILS,
    MORE_ALIKE,
    OF_THOSE,
    STRIKE_LEADS,
)


def command(scan: Scan) -> Iterator[tuple[Command, int]]:
    """command = one of the fixed phrases | [lead | "add"] number "more" | another_few |
    so_many_alike | ("cancel" | "scratch" | "strike") "the" length | how_many_left
    """
    yield from scan.find(COMMANDS, 0)
    add = scan.take(0, "add")
    for start in (0, *lead_ends(scan, 0), *([add] if add else [])):
        for number, after in scan.every(any_number, start):
            end = scan.take(after, "more", fits="more")
            if end is not None and number:
                yield Command("more", number), end
    for _, start in scan.find(STRIKE_LEADS, 0):
        for amount, end in scan.every(length, start):
            yield Command("strike", length=Length(amount.inches)), end
    yield from _another_few(scan)
    yield from _so_many_alike(scan) if not scan.by_voice else ()
    yield from how_many_left(scan)
    yield from load(scan)
    yield from send_boards(scan)


def _another_few(scan: Scan) -> Iterator[tuple[Command, int]]:
    """another_few = "another" number "of those": more of the row called last"""
    another = scan.take(0, "another")
    for number, after in scan.every(amount_words, another) if another is not None else ():
        yield from (
            (Command("more", number), end) for _, end in scan.find(OF_THOSE, after) if number
        )


def _so_many_alike(scan: Scan) -> Iterator[tuple[Command, int]]:
    """so_many_alike = typed ["another"] number ["more"] alike | number "more" "of those" | same
    [","] ( number "more" | "x" number ): more of the row called last
    """
    for number, after in scan.every(amount_words, scan.take(0, "another") or 0):
        more = scan.take(after, "more")
        of_those = scan.find(OF_THOSE, more) if more is not None else []
        for _, end in (*scan.find(MORE_ALIKE, after if more is None else more), *of_those):
            if number:
                yield Command("more", number), end
    for asked, end in scan.find(COMMANDS, 0):
        begin = end + 1 if scan.word(end) == "," else end
        times = scan.take(begin, "times")
        for number, after in scan.every(amount_words, begin if times is None else times):
            last = after if times is not None else scan.take(after, "more", "times")
            if number and last is not None and asked.verb == "same":
                yield Command("more", number), last


def how_many_left(scan: Scan) -> Iterator[tuple[Command, int]]:
    """how_many_left = "how many" ( of_what | "pieces" | "cuts" | "rows" ) ["left"] | "what's left
    of" ["the"] of_what
    """
    for _, start in scan.find(LEFT_LEADS, 0):
        of_all = scan.take(start, "pieces", "cuts", "rows")
        all_of_it = [(Command("how many"), of_all)] if of_all is not None else []
        for asked, after in (*all_of_it, *scan.every(_of_what, start)):
            yield asked, after
            yield from ((asked, end) for _, end in scan.find(LEFT_TRAILS, after))
    for _, start in scan.find(LEFT_OF_LEADS, 0):
        yield from scan.every(_of_what, scan.take(start, "the") or start)


def _of_what(scan: Scan, at: int) -> Iterator[tuple[Command, int]]:
    """of_what = section [piece] | piece [section]"""
    for size, after in scan.every(section, at):
        yield Command("how many", section=size), after
        for name, end in scan.every(piece, after):
            yield Command("how many", section=size, piece=name), end
    for name, after in scan.every(piece, at):
        yield Command("how many", piece=name), after
        for size, end in scan.every(section, after):
            yield Command("how many", section=size, piece=name), end

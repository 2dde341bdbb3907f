"""Which row is meant, and orders for it: by its number, its length, its piece, or the last one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from cutmemo.domain.length import Length
from cutmemo.language.grammar.fields import amount_words
from cutmemo.language.grammar.partial import Parsed
from cutmemo.language.grammar.pieces import piece
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import Change, Command, OnRow, Reading
from cutmemo.language.lexicon.en import (
    AROUND_ROWS,
    BEHIND_ROWS,
    LAST_CALLED,
    ORDERS_ON_ROWS,
    PLURAL_PIECES,
    ROW_ORDERS,
)

WITHOUT_A_NUMBER = ("hold", "release", "skip")
"""Orders that the row called last may follow; what else is said of it is an order of its own."""


BY_BARE_NUMBER = ("hold", "release")
"""Orders that a typed number without "row" may stand beside, as "hold 3"."""


def order_on_row(scan: Scan) -> Iterator[Parsed]:
    """order_on_row = order ( row | typed other_row | "the" piece | last_called ) | order "row" n |
    ( "row" n | by_name ) order | around | typed "cut" "the" … | ["cut"] n "of" ( "row" n |
    by_name ), then ["for now"], to the end
    """
    ends = {len(scan.tokens)}
    if tuple(token.word for token in scan.tokens[-2:]) == ("for", "now"):
        ends.add(len(scan.tokens) - 2)
    for said, end in (*_by_order(scan), *_near_row(scan), *_around(scan), *_some_of_row(scan)):
        if end in ends:
            yield Parsed(Reading(said))


def _by_order(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    """order ( row | typed other_row | "the" piece | last_called )"""
    for verb, named in scan.find(ROW_ORDERS, 0):
        order = Command(verb)
        for number, end in scan.every(row_number, named):
            yield OnRow(number, order), end
        struck_by_length = verb == "strike" and scan.word(named) == "the"  # an order of its own
        for row, end in scan.every(other_row, named) if not scan.by_voice else ():
            if not struck_by_length:
                yield replace(row, intent=order), end
        the = scan.take(named, "the")
        for name, end in scan.every(piece, the) if the is not None else ():
            yield OnRow(0, order, piece=name), end
        for _, end in scan.find(LAST_CALLED, named) if verb in WITHOUT_A_NUMBER else ():
            yield OnRow(None, order), end


def _near_row(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    """order "row" n | "row" n order"""
    for order, named in scan.find(ORDERS_ON_ROWS, 0):
        yield from ((OnRow(row, order), end) for row, end in scan.every(row_number, named))
        if order.verb in BY_BARE_NUMBER and not scan.by_voice:
            yield from (
                (replace(row, intent=order), end) for row, end in scan.every(other_row, named)
            )
        if not scan.by_voice:
            by_length = order in CUT and scan.word(named) == "the"
            yield from (
                (replace(row, intent=order), end)
                for row, end in scan.every(by_name, named)
                if by_length or (row.piece is not None and order != Command("clear"))
            )
    for row, after in scan.every(row_number, 0):
        yield from ((OnRow(row, order), end) for order, end in scan.find(BEHIND_ROWS, after))
    start = (None if scan.by_voice else scan.take(0, "all")) or 0
    for named_row, after in scan.every(by_name, start):
        yield from (
            (replace(named_row, intent=order), end) for order, end in scan.find(BEHIND_ROWS, after)
        )


def _around(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    """around = "put" row "on hold" | "take" row "off" …; row = "row" n | last_called | "it" """
    for (before, behind), verb in AROUND_ROWS.items():
        start = scan.take(0, before)
        if start is None:
            continue
        numbers: list[tuple[int | None, int]] = list(scan.every(row_number, start))
        if verb != "put back":  # "put it back" is an order of its own
            it = scan.take(start, "it")
            last = [*(end for _, end in scan.find(LAST_CALLED, start)), *([it] if it else [])]
            numbers += [(None, end) for end in last]
        if verb in BY_BARE_NUMBER and not scan.by_voice:
            numbers += scan.every(any_number, start)
        rows = [(OnRow(number, Change()), after) for number, after in numbers]
        rows += scan.every(by_name, start) if scan.word(start) == "the" else []
        for row, after in rows:
            end = scan.phrase(after, tuple(behind.split()))
            if end is not None:
                yield replace(row, intent=Command(verb)), end


def _some_of_row(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    """["cut"] n ["pieces"] "of" ( "row" n | by_name ) ["done" | "cut"] | typed n pieces ( "done" |
    "cut" ): so many of it are cut
    """
    yield from _so_many_done(scan) if not scan.by_voice else ()
    cut = scan.take(0, "cut", "clear")
    for count, middle in scan.every(amount_words, cut or 0):
        counted = scan.take(middle, "pieces") or middle
        of = scan.take(counted, "of", "off", "on", "from")
        if of is None or not count:
            continue
        numbered = [(OnRow(row, Change()), after) for row, after in scan.every(row_number, of)]
        for row, after in (*numbered, *scan.every(by_name, of)):
            done = replace(row, intent=Command("clear", count=count))
            if cut is not None:
                yield done, after
            for order, end in scan.find(BEHIND_ROWS, after):
                if order == Command("clear all"):
                    yield done, end


def _so_many_done(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    """n, a piece in the plural, ( "done" | "cut" ): 15 studs cut"""
    for count, named in scan.every(amount_words, 0):
        for name, after in scan.every(piece, named):
            if count < 2 or scan.word(after - 1) not in PLURAL_PIECES:
                continue
            for order, end in scan.find(BEHIND_ROWS, after):
                if order == Command("clear all"):
                    yield OnRow(0, Command("clear", count=count), piece=name), end


CUT = (Command("clear"), Command("clear all"))
"""Orders that say that pieces are cut."""


def by_name(scan: Scan, at: int) -> Iterator[tuple[OnRow, int]]:
    """by_name = "the" ( piece | length ) | typed ( piece | length ): which row, by what it is"""
    the = scan.take(at, "the")
    if the is None and scan.by_voice:
        return
    start = at if the is None else the
    for name, end in scan.every(piece, start):
        yield OnRow(0, Change(), piece=name), end
    yield from _by_length(scan, start)


def _by_length(scan: Scan, at: int) -> Iterator[tuple[OnRow, int]]:
    """A length that leaves no doubt: the row of it"""
    for amount, end in scan.every(length, at):
        if not amount.doubts and not amount.refusals:
            yield OnRow(0, Change(), Length(amount.inches)), end


def row_number(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """row_number = "row" ["number"] n | typed #4; #1 to #3 are grades of lumber where nothing else
    says that they are rows
    """
    sign = _BY_SIGN.fullmatch(scan.word(at))
    if sign and (at or int(sign[1]) > MAX_GRADE):
        yield int(sign[1]), at + 1
    row = scan.take(at, "row")
    if row is not None:
        yield from scan.every(any_number, scan.take(row, "number") or row)


_BY_SIGN = re.compile(r"#(\d{1,3})")
MAX_GRADE = 3
"""Boards are graded #1 to #3 (common practice)."""


def other_row(scan: Scan, at: int) -> Iterator[tuple[OnRow, int]]:
    """other_row = "the" length | typed number or length: which row, told by its number or its
    length
    """
    the = scan.take(at, "the")
    if the is None and scan.by_voice:
        return
    for number, end in scan.every(any_number, at) if the is None else ():
        yield OnRow(number, Change()), end
    yield from _by_length(scan, at if the is None else the)

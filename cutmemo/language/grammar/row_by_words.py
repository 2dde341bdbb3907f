"""A typed order for a row, or a change to it, that names it by words of its call: hold the newel
backing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from cutmemo.language.grammar.corrections import should_be
from cutmemo.language.grammar.cuts import all_fields
from cutmemo.language.grammar.partial import Parsed, Partial, finished
from cutmemo.language.grammar.row_orders import CUT
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.intent import Change, Command, OnRow, Reading
from cutmemo.language.lexicon.en import (
    AROUND_ROWS,
    BEHIND_ROWS,
    NUMBERED_ROOMS,
    OPEN_LEADS,
    ORDERS_ON_ROWS,
    ROW_CHANGES,
    ROW_ORDERS,
    SENTENCE_WORDS,
)

MAX_WORDS = 5
"""So many words name a row at most."""
_ARTICLES = ("the", "those", "that", "these", "all", "my", "our")
_UNTIL = ("til", "till", "until")
"""What an order to wait may go on with: until when, which the memo does not keep."""


def row_by_words(scan: Scan) -> Iterator[Parsed]:
    """row_by_words = order row | row order | "put" row "on hold" … | ["no"] row ( "is" fields
    without a length | "should be" fields ) | "change" row "to" fields | "what's left" words; an
    order to wait may go on with "till" and what for
    """
    for row, after in (*_by_order(scan), *_behind(scan), *_around(scan)):
        waits = isinstance(row.intent, Command) and row.intent.verb == "hold"
        if after == len(scan.tokens) or (waits and scan.word(after) in _UNTIL):
            yield Parsed(Reading(row))
    yield from _changes(scan)
    yield from _asked(scan)


def _asked(scan: Scan) -> Iterator[Parsed]:
    """ "what's left" ["for" | "on" | "in"] words: what is open of the rows that have them"""
    for _, start in scan.find(OPEN_LEADS, 0):
        of = scan.take(start, "for", "on", "in", "at")
        for row, end in _named(scan, start if of is None else of):
            if end == len(scan.tokens):
                yield Parsed(Reading(Command("how many", words=row.words)))


def _by_order(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    orders = [(Command(verb), end) for verb, end in scan.find(ROW_ORDERS, 0)]
    orders += [each for each in scan.find(ORDERS_ON_ROWS, 0) if each[0] not in CUT[:1]]
    for order, named in orders:
        yield from ((replace(row, intent=order), end) for row, end in _named(scan, named))


def _behind(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    for row, after in _named(scan, 0):
        for order, end in scan.find(BEHIND_ROWS, after):
            yield replace(row, intent=order), end


def _around(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    for (before, behind), verb in AROUND_ROWS.items():
        start = scan.take(0, before)
        for row, after in _named(scan, start) if start is not None else ():
            end = scan.phrase(after, tuple(behind.split()))
            if end is not None:
                yield replace(row, intent=Command(verb)), end


def _changes(scan: Scan) -> Iterator[Parsed]:
    """["no" [","]] row ( "is" fields without a length | "should be" fields ) | "change" row "to"
    fields
    """
    no = scan.take(0, "no", "sorry")
    begin = 0 if no is None else no + 1 if scan.word(no) == "," else no
    for row, after in _named(scan, begin):
        says = scan.take(after, "is", "are", "was", "were")
        for at in dict.fromkeys((*should_be(scan, after), *([says] if says is not None else []))):
            yield from _changed(scan, at, row, measured=at != says or no is not None)
    for _, start in scan.find(ROW_CHANGES, 0):
        for row, after in _named(scan, start):
            to = scan.take(after, "to")
            yield from _changed(scan, to, row, measured=True) if to is not None else ()


def _changed(scan: Scan, at: int, row: OnRow, measured: bool) -> Iterator[Parsed]:
    """Yield *row* with the change from *at* to the end; one of length or count where it may be
    *measured*.
    """
    for partial in all_fields(scan, at, Partial()) if at < len(scan.tokens) else ():
        done = finished(partial, cut=False)
        change = done.reading.intent
        if not isinstance(change, Change) or change == Change():
            continue
        if measured or (change.length is None and change.count is None):
            yield replace(done, reading=replace(done.reading, intent=replace(row, intent=change)))


def _named(scan: Scan, at: int) -> Iterator[tuple[OnRow, int]]:
    """named = ["the" | "those" …] up to five words of a row, a number only behind a room"""
    start = at
    while scan.word(start) in _ARTICLES:
        start += 1
    end = start
    while end < min(len(scan.tokens), start + MAX_WORDS) and _may_name(scan, start, end):
        end += 1
        words = " ".join(token.word or token.text for token in scan.tokens[start:end])
        yield OnRow(0, Change(), words=words), end


def _may_name(scan: Scan, start: int, at: int) -> bool:
    token = scan.tokens[at]
    if token.kind == "number":
        return at > start and scan.word(at - 1) in NUMBERED_ROOMS
    plain = token.word.isalnum() and not token.word.isdecimal()
    return token.kind == "word" and plain and token.word not in SENTENCE_WORDS

"""Corrections and orders for a row that is named by its number."""

from __future__ import annotations

from collections.abc import Iterator

from cutmemo.language.grammar.corrections import lead_ends
from cutmemo.language.grammar.cuts import Parsed, Partial, all_fields, finished
from cutmemo.language.grammar.fields import amount_words, any_number, count_after
from cutmemo.language.grammar.loads import send_row
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.intent import Change, Command, OnRow, Reading
from cutmemo.language.lexicon.en import ROW_CHANGES, ROW_ORDERS


def on_row(scan: Scan) -> Iterator[Parsed]:
    """on_row = order "row" n | send_row | ["change" | "make"] "row" n ["to" | lead] fields, to the
    end
    """
    for sent, _ in send_row(scan):
        yield Parsed(Reading(sent))
    for verb, named in scan.find(ROW_ORDERS, 0):
        for number, end in scan.every(_row_number, named):
            if end == len(scan.tokens):
                yield Parsed(Reading(OnRow(number, Command(verb))))
    changes = [end for _, end in scan.find(ROW_CHANGES, 0)]
    for named in (0, *changes):
        for number, after in scan.every(_row_number, named):
            for start in dict.fromkeys((after, *_leads(scan, after))):
                for partial in _changes(scan, start):
                    said = finished(partial, cut=False)
                    change, doubts = said.reading.intent, said.reading.doubts
                    if isinstance(change, Change):
                        reading = Reading(OnRow(number, change), doubts, said.reading.warnings)
                        yield Parsed(reading, said.refusals)


def _row_number(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """row_number = "row" ["number"] n"""
    row = scan.take(at, "row")
    if row is not None:
        yield from scan.every(any_number, scan.take(row, "number") or row)


def _leads(scan: Scan, at: int) -> list[int]:
    """Return where "to", a comma, or what a correction begins with may end."""
    to = scan.take(at, "to", "is", ",")
    start = at if to is None else to
    return [start, *lead_ends(scan, start)]


def _changes(scan: Scan, at: int) -> Iterator[Partial]:
    """fields | count_after | "make it" count"""
    if at >= len(scan.tokens):
        return
    for partial in all_fields(scan, at, Partial()):
        if partial != Partial():
            yield partial
    counts = scan.every(count_after, at)
    make_it = scan.phrase(at, ("make", "it"))
    counts = [*counts, *(scan.every(amount_words, make_it) if make_it is not None else [])]
    for count, end in dict.fromkeys(counts):
        if end == len(scan.tokens):
            yield Partial(Change(count=count))

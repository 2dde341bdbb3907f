"""Corrections and orders for a row that is named by its number, and cuts worked out from one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.language.grammar.corrections import lead_ends
from cutmemo.language.grammar.cuts import Parsed, Partial, all_fields, finished
from cutmemo.language.grammar.fields import amount_words, count_after
from cutmemo.language.grammar.loads import send_row
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number
from cutmemo.language.grammar.sums import MAX_SUMS, length, share, with_sums
from cutmemo.language.intent import Amount, Change, Command, FromRow, OnRow, Reading
from cutmemo.language.lexicon.en import CHANGED_BY, LAST_ROW, ROW_CHANGES, ROW_ORDERS, SAME_AS


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


def from_row(scan: Scan) -> Iterator[Parsed]:
    """from_row = share ref sums | ref sums | "same as" ref sums | "same but" length "longer", then
    fields, to the end
    """
    for said, after in _derived(scan):
        if said == FromRow(said.row) and after == len(scan.tokens):
            continue
        for partial in all_fields(scan, after, Partial()):
            if partial.amount is None:
                done = finished(partial, cut=False).reading
                change = done.intent
                if isinstance(change, Change):
                    yield Parsed(Reading(replace(said, change=change), done.doubts))


def _derived(scan: Scan) -> Iterator[tuple[FromRow, int]]:
    """What is worked out from which row, and how."""
    for row, after in scan.every(_reference, 0):
        yield from ((FromRow(row, more=more), end) for more, end in _sums(scan, after) if more)
    for factor, start in scan.every(share, 0):
        for row, after in scan.every(_reference, start):
            yield from ((FromRow(row, factor, more), end) for more, end in _sums(scan, after))
    for _, start in scan.find(SAME_AS, 0):
        for row, after in (*scan.every(_reference, start), (None, start)):
            for more, end in (*_sums(scan, after), *_longer(scan, after)):
                if more or row is not None:
                    yield FromRow(row, more=more, same=True), end


def _longer(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """["but" | ","] length ( "longer" | "shorter" )"""
    gap = at + 1 if scan.word(at) in (",", "but") else at
    for amount, middle in scan.every(length, gap):
        for sign, end in scan.find(CHANGED_BY, middle):
            if not amount.doubts and not amount.refusals:
                yield sign * amount.inches, end


def _reference(scan: Scan, at: int) -> Iterator[tuple[int | None, int]]:
    """reference = "row" n | "the last one" """
    yield from scan.every(_row_number, at)
    yield from ((None, end) for _, end in scan.find(LAST_ROW, at))


def _sums(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """{ ["but" | ","] sign operand }"""
    zero = Amount(Fraction(0))
    start = at + 1 if scan.word(at) in (",", "but") else at
    yield Fraction(0), at
    for amount, end in with_sums(scan, zero, start, MAX_SUMS):
        if end > start and not amount.doubts:
            yield amount.inches, end


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

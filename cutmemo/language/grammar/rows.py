"""Corrections and orders for a row that is named by its number, and cuts worked out from one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.length import Length
from cutmemo.language.grammar.corrections import lead_ends, make_it
from cutmemo.language.grammar.cuts import Parsed, Partial, all_fields, finished
from cutmemo.language.grammar.fields import count_after
from cutmemo.language.grammar.loads import send_row
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number
from cutmemo.language.grammar.sums import MAX_SUMS, length, share, with_sums
from cutmemo.language.intent import Amount, Change, Command, FromRow, OnRow, Reading
from cutmemo.language.lexicon.en import (
    AROUND_ROWS,
    CHANGED_BY,
    LAST_ROW,
    ROW_CHANGES,
    ROW_ORDERS,
    SAME_AS,
)


def on_row(scan: Scan) -> Iterator[Parsed]:
    """on_row = send_row | order_on_row | order_around | change_of_row | instead, to the end"""
    for sent, _ in send_row(scan):
        yield Parsed(Reading(sent))
    yield from _order_on_row(scan)
    yield from _order_around(scan)
    yield from _change_of_row(scan)
    yield from _instead(scan)


def _instead(scan: Scan) -> Iterator[Parsed]:
    """instead = [lead] ( "not" length [","] length | length [","] ("not" | "instead of") length ) |
    length ( "should be" | s/b ) length: the row of the one is the other
    """
    for first, middle in scan.every(length, 0):
        for words in _SHOULD_BE:
            start = scan.phrase(middle, words)
            for second, end in scan.every(length, start) if start is not None else ():
                if end == len(scan.tokens):
                    yield from _row_of_length(first, second)
    make = scan.phrase(0, ("make", "it"))
    for start in dict.fromkeys((0, make or 0, *lead_ends(scan, 0))):
        negated = scan.take(start, "not")
        for first, middle in scan.every(length, start if negated is None else negated):
            gap = middle + 1 if scan.word(middle) == "," else middle
            behind = gap if negated is not None else _not(scan, gap)
            for second, end in scan.every(length, behind) if behind is not None else ():
                wrong, right = (first, second) if negated is not None else (second, first)
                if end == len(scan.tokens):
                    yield from _row_of_length(wrong, right)


_SHOULD_BE = (
    ("should", "be"),
    ("should", "have", "been"),
    ("should've", "been"),
    ("s", "/", "b"),
)


def _not(scan: Scan, at: int) -> int | None:
    """ "not" | "instead of" """
    denied = scan.take(at, "not")
    return scan.phrase(at, ("instead", "of")) if denied is None else denied


def _row_of_length(wrong: Amount, right: Amount) -> Iterator[Parsed]:
    """Yield that the row of the one length is to have the other."""
    if not wrong.doubts and not wrong.refusals:
        row = OnRow(0, Change(length=Length(right.inches)), Length(wrong.inches))
        yield Parsed(Reading(row, right.doubts, right.warnings), right.refusals)


def _order_on_row(scan: Scan) -> Iterator[Parsed]:
    """order_on_row = order ( "row" n | typed other_row )"""
    for verb, named in scan.find(ROW_ORDERS, 0):
        for number, end in scan.every(_row_number, named):
            if end == len(scan.tokens):
                yield Parsed(Reading(OnRow(number, Command(verb))))
        struck_by_length = verb == "strike" and scan.word(named) == "the"  # an order of its own
        for row, end in scan.every(_other_row, named) if not scan.by_voice else ():
            if end == len(scan.tokens) and not struck_by_length:
                yield Parsed(Reading(replace(row, intent=Command(verb))))


def _change_of_row(scan: Scan) -> Iterator[Parsed]:
    """change_of_row = ["change" | "make"] "row" n ["to" | lead] fields | "change" other_row "to"
    fields
    """
    changes = [end for _, end in scan.find(ROW_CHANGES, 0)]
    for named in (0, *changes):
        for number, after in scan.every(_row_number, named):
            for start in dict.fromkeys((after, *_leads(scan, after))):
                yield from _changed(scan, start, OnRow(number, Change()))
        for row, after in (
            scan.every(_other_row, named) if scan.word(0) in ("change", "fix") else ()
        ):
            to = scan.take(after, "to")
            if to is not None and named:
                yield from _changed(scan, to, row)


def _changed(scan: Scan, at: int, row: OnRow) -> Iterator[Parsed]:
    """Yield *row* with every change that is read from *at* to the end."""
    for partial in _changes(scan, at):
        said = finished(partial, cut=False)
        if isinstance(said.reading.intent, Change):
            yield replace(
                said, reading=replace(said.reading, intent=replace(row, intent=said.reading.intent))
            )


def _order_around(scan: Scan) -> Iterator[Parsed]:
    """order_around = ["put"] "row" n "on hold" | "take" "row" n "off" """
    for (before, behind), verb in AROUND_ROWS.items():
        start = scan.take(0, before) if before else 0
        for number, after in scan.every(_row_number, start) if start is not None else ():
            if scan.phrase(after, tuple(behind.split())) == len(scan.tokens):
                yield Parsed(Reading(OnRow(number, Command(verb))))


def _other_row(scan: Scan, at: int) -> Iterator[tuple[OnRow, int]]:
    """other_row = "the" length | typed number or length: which row, told by its number or its
    length
    """
    the = scan.take(at, "the")
    if the is None and scan.by_voice:
        return
    for number, end in scan.every(any_number, at) if the is None else ():
        yield OnRow(number, Change()), end
    for amount, end in scan.every(length, at if the is None else the):
        if not amount.doubts and not amount.refusals:
            yield OnRow(0, Change(), Length(amount.inches)), end


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
    for count, end in scan.every(count_after, at):
        if end == len(scan.tokens):
            yield Partial(Change(count=count))
    begin = scan.phrase(at, ("make", "it"))
    if begin is not None:
        yield from make_it(scan, begin)

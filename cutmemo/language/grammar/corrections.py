"""Corrections: what was named is replaced, the rest stays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, Field, doubt
from cutmemo.language.grammar.columns import MIN_LENGTH_BEFORE_SIZE
from cutmemo.language.grammar.cuts import all_fields, cut
from cutmemo.language.grammar.fields import amount_words
from cutmemo.language.grammar.partial import MIN_LENGTH_BEFORE_BOARD, Parsed, Partial, finished
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import Amount, Change
from cutmemo.language.lexicon.en import CHANGE_LEADS, COUNT_ENDS

OF_A_ROW = ("should", "should've", "shd")
"""What begins so speaks of a row on the list: "93 should be 94"."""
MANY = 12
"""From here on "make it n" may as well be a length."""
MOST_NEEDED = 24
"""More than this may as well be a length: "need ninety six"."""
MAX_CHANGES = 8
"""So often a call is changed underway at most."""


def correction(scan: Scan) -> Iterator[Partial]:
    """correction = lead [","] fields | "make it" count | "need" count, to the end

    What ends with "of" or "at" is not over, and "two more" is no count by itself.
    """
    for after in lead_ends(scan, 0) if is_over(scan) else ():
        if after < len(scan.tokens):
            for partial in all_fields(scan, after, Partial()):
                if partial != Partial() and is_said_of_a_row(scan, partial):
                    yield partial
                    yield from _length_instead(partial)
    start = _after_no(scan)
    begin = scan.phrase(start, ("make", "it"))
    if begin is not None:
        yield from make_it(scan, begin)
    yield from _make_pieces(scan, start)
    needed = scan.take(0, "need")
    for count, end in scan.every(amount_words, needed) if needed is not None else ():
        if end == len(scan.tokens):
            asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=count)
            yield Partial(Change(count=count), doubts=(asked,) if count > MOST_NEEDED else ())


def is_over(scan: Scan) -> bool:
    """Return whether a change may end as it does: what ends with "of" or "at" goes on."""
    return bool(scan.tokens) and scan.tokens[-1].word not in ("of", "at", "more", "times")


def _length_instead(partial: Partial) -> Iterator[Partial]:
    """Yield the length that a count by itself may be: "no, make 22" """
    count = partial.change.count
    if count is not None and count >= MANY and partial == Partial(Change(count=count)):
        yield Partial(amount=Amount(Fraction(count)))


def lead_ends(scan: Scan, at: int) -> list[int]:
    """Return where what leads a correction may end: lead [","] [ lead [","] ]"""
    ends = [_past_comma(scan, end) for _, end in scan.find(CHANGE_LEADS, at)]
    ends += [_past_comma(scan, end) for first in ends for _, end in scan.find(CHANGE_LEADS, first)]
    return list(dict.fromkeys(ends))


def should_be(scan: Scan, at: int) -> list[int]:
    """Return where "should be" and its like at *at* may end: they speak of a row on the list."""
    return lead_ends(scan, at) if scan.word(at) in OF_A_ROW else []


def _past_comma(scan: Scan, at: int) -> int:
    """Return the position after a comma, or *at* where there is none."""
    return at + 1 if scan.word(at) == "," else at


def _after_no(scan: Scan) -> int:
    """["no" [","]]"""
    start = scan.take(0, "no")
    if start is None:
        return 0
    return _past_comma(scan, start)


def _make_pieces(scan: Scan, at: int) -> Iterator[Partial]:
    """( "make it" | "make that" ) count ( "pieces" | "of them" )"""
    for words in (("make", "it"), ("make", "that")):
        begin = scan.phrase(at, words)
        for count, after in scan.every(amount_words, begin) if begin is not None else ():
            for _, end in scan.find(COUNT_ENDS, after):
                if end == len(scan.tokens):
                    yield Partial(Change(count=count))


def is_said_of_a_row(scan: Scan, partial: Partial) -> bool:
    """Return whether *partial* corrects a row: a room by itself needs "for", since "no room" is no
    place.
    """
    place = partial.change.place if partial.amount is None else None
    announced = any(token.word == "for" for token in scan.tokens)
    marks = [part for part in (place or "").split() if part[:1].isupper() and part[1:].isdecimal()]
    if place is not None and not announced and not marks:
        return False
    return not _counts_a_board(partial) and _has_its_size(partial)


def _has_its_size(partial: Partial) -> bool:
    """Return whether "treated" says it of a size that was said as well."""
    return not partial.treated or partial.change.section is not None


def _counts_a_board(partial: Partial) -> bool:
    """Return whether a number was taken for a count only because a board follows: "no, thirty six
    header" is a length; "no, twenty six studs", "no, one header" and "no, twelve two by six" may
    be either
    """
    change = partial.change
    if partial.amount is not None or change.count is None or partial.plural:
        return False
    if change.piece is not None:
        return change.count >= MIN_LENGTH_BEFORE_BOARD
    return change.section is not None and change.count >= MIN_LENGTH_BEFORE_SIZE


def make_it(scan: Scan, at: int) -> Iterator[Partial]:
    """ "make it" count | "make it" fields without a number

    From a dozen on a count may as well be a length, and with a fraction it is one.
    """
    for count, end in scan.every(amount_words, at):
        if end == len(scan.tokens):
            yield Partial(Change(count=count))
    for amount, end in scan.every(length, at):
        is_length = amount.inches.denominator != 1 or amount.inches >= MANY or end > at + 1
        if is_length and end == len(scan.tokens):
            yield Partial(amount=amount)
    for partial in all_fields(scan, at, Partial()):
        if partial != Partial() and partial.amount is None and partial.change.count is None:
            yield partial


def changed_underway(scan: Scan) -> Iterator[Parsed]:
    """changed_underway = cut { [","] lead fields }, each of which replaces what it names"""
    spots = _change_spots(scan)
    if not spots or len(spots) > MAX_CHANGES:
        return
    ends = [*spots[1:], len(scan.tokens)]
    found = [each for each in cut(_part(scan, 0, spots[0])) if not each.refusals]
    for begin, end in zip(spots, ends, strict=True):
        part = _part(scan, begin, end)
        changes = [finished(partial, cut=False) for partial in correction(part)] if found else []
        found = [_changed(each, change) for each in found for change in changes]
    yield from found


def _change_spots(scan: Scan) -> list[int]:
    """Return where a change begins, never at the start."""
    scan = Scan(scan.tokens, scan.settings, scan.by_voice)  # what is sought here is not missed
    spots: list[int] = []
    free = 1
    for at in range(1, len(scan.tokens)):
        ends = lead_ends(scan, at) if at >= free else []
        if ends and scan.word(at) not in OF_A_ROW:
            spots.append(at)
            free = max(ends)
    return spots


def _part(scan: Scan, begin: int, end: int) -> Scan:
    """Return the tokens from *begin* to *end*, without a comma at their end."""
    if scan.word(end - 1) == ",":
        end -= 1
    return Scan(scan.tokens[begin:end], scan.settings, scan.by_voice)


def _changed(before: Parsed, after: Parsed) -> Parsed:
    """Return *before* with what *after* names replaced; a doubt about that is settled."""
    was, change = before.reading.intent, after.reading.intent
    if not isinstance(was, Cut) or not isinstance(change, Change):
        raise TypeError("a cut is changed by a change")
    left = tuple(each for each in before.reading.doubts if not each.about & change.named())
    doubts = left + after.reading.doubts
    return Parsed(replace(after.reading, intent=change.applied(was), doubts=doubts), after.refusals)

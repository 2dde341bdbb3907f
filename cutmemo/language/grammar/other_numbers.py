"""Numbers that read as a count or a length and may be something else: a width, a spacing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.checks import MAX_USUAL_COUNT
from cutmemo.domain.cut import mixed
from cutmemo.domain.doubts import DoubtKind, Field, doubt
from cutmemo.language.grammar.counted import STOCK_FEET
from cutmemo.language.grammar.partial import MANY_PIECES, MIN_LENGTH_BEFORE_BOARD, Partial, is_short
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import (
    AMOUNTS,
    CENTERS,
    COUNT_ENDS,
    LAST_WORDS,
    PIECES,
    UNITS,
)

WIDEST_RIP = 12
"""Up to it a number behind "rip" may be how wide, in inches: no board is wider."""
SPACINGS = (12, 16, 24)
"""What studs, joists and rafters stand apart, in inches (common practice)."""
SPACED = ("stud", "joist", "rafter")
"""Last word of the pieces that stand so far apart all along a wall, a floor or a roof."""


def with_other_number(scan: Scan, partial: Partial) -> Iterator[Partial]:
    """Yield *partial*, doubtful where a number of it may be something else, and what it is then."""
    for rule in (_ripped, _spaced, _centered, _pair_of_several, _of_boards, _of_lumber):
        found = list(rule(scan, partial))
        if found:
            yield from found
            return
    yield partial


def _ripped(scan: Scan, partial: Partial) -> Iterator[Partial]:
    """ "rip three stud ninety six": three of them, or one that is three wide"""
    change = partial.change
    if "rip" not in (change.note or "").split(", ") or scan.settings.figures != "inches":
        return
    behind = {
        number
        for at, token in enumerate(scan.tokens)
        if token.word == "rip"
        for number, _ in scan.every(any_number, at + 1)
        if 0 < number <= WIDEST_RIP
    }
    if change.count in behind:
        asked = doubt(DoubtKind.COUNT_OR_WIDTH, Field.COUNT, Field.NOTE, width=change.count or 0)
        doubtful = replace(partial, doubts=(*partial.doubts, asked))
        yield doubtful
        one = replace(doubtful, plural="")  # that nobody said how many there are was asked
        yield one.with_field("count", None).with_note(f'{change.count}" wide')
    elif partial.amount is not None and partial.amount.inches in behind:
        width = int(partial.amount.inches)
        asked = doubt(DoubtKind.LENGTH_OR_WIDTH, Field.LENGTH, width=width)
        yield replace(partial, doubts=(*partial.doubts, asked))


def _spaced(scan: Scan, partial: Partial) -> Iterator[Partial]:
    """ "thirty six stud at sixteen", typed 20 studs 16: so many so long, or one so long, or so far
    apart
    """
    change, amount = partial.change, partial.amount
    words = (change.piece or "").split()
    if amount is None or not words or change.count is None or is_short(change.piece):
        return
    apart = {
        number
        for at in range(1, len(scan.tokens))
        if scan.word(at) == "at" and scan.word(at - 1) in LAST_WORDS
        for number, _ in scan.every(any_number, at + 1)
    }
    last = scan.tokens[-1]
    if scan.word(len(scan.tokens) - 2) == partial.plural and words[-1] in SPACED:
        apart |= {int(last.value)} if last.kind == "number" and not scan.by_voice else set()
    if amount.inches not in SPACINGS or amount.inches not in apart:
        return
    spacing = int(amount.inches)
    asked = doubt(DoubtKind.LENGTH_OR_SPACING, Field.COUNT, Field.LENGTH, number=spacing)
    doubtful = replace(partial, doubts=(*partial.doubts, asked))
    yield doubtful
    if change.count >= MIN_LENGTH_BEFORE_BOARD and not partial.plural:
        one = doubtful.with_field("count", None).with_note(f'{mixed(amount.inches)}" on center')
        yield replace(one, amount=Amount(Fraction(change.count)))


def _centered(scan: Scan, partial: Partial) -> Iterator[Partial]:
    """Typed "36 center to center": a length, or how far apart"""
    if scan.by_voice or partial.amount is None:
        return
    size = range(len(scan.tokens))
    if any(end > at + 1 for at in size for _, end in scan.find(CENTERS, at)):
        number = mixed(partial.amount.inches)
        asked = doubt(DoubtKind.LENGTH_OR_SPACING, Field.LENGTH, number=number)
        yield replace(partial, doubts=(*partial.doubts, asked))


def _pair_of_several(scan: Scan, partial: Partial) -> Iterator[Partial]:
    """ "thirty six studs a pair": two that long, or so many pairs"""
    amount = partial.amount
    if amount is None or not partial.plural or partial.change.count != 2:
        return
    paired = any(
        scan.find(AMOUNTS, at) and scan.word(at - 1) == partial.plural
        for at in range(1, len(scan.tokens))
    )
    number = amount.inches
    if not paired or number.denominator != 1 or number > MAX_USUAL_COUNT:
        return
    asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=int(number))
    yield replace(partial, doubts=(*partial.doubts, asked))


def _of_boards(scan: Scan, partial: Partial) -> Iterator[Partial]:
    """Typed "12 2x4 plate" and "12 plate": 12 in. long, or so many and the length was forgotten"""
    first, second = scan.token(0), scan.token(1)
    if scan.by_voice or first is None or second is None or scan.settings.figures != "inches":
        return
    board = second.kind == "section" or scan.stands(PIECES, 1)
    if first.kind != "number" or not board or partial.change.count is not None:
        return
    inches = None if partial.amount is None else partial.amount.inches
    if inches == first.value and 1 < first.value <= MANY_PIECES:
        asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=int(first.value))
        yield replace(partial, doubts=(*partial.doubts, asked))


_OF_WHOLE_BOARDS = frozenset("joist rafter beam girder ridge rim purlin girt".split())
"""Last words of pieces that are called by the feet of their boards without a size as well."""


def _of_lumber(scan: Scan, partial: Partial) -> Iterator[Partial]:
    """ "two by ten joist fourteen", joist 14: inches, or feet, since lumber is called so (common
    practice)
    """
    amount, words = partial.amount, (partial.change.piece or "").split()
    if amount is None or not words or is_short(partial.change.piece):
        return
    lumber = amount.inches in STOCK_FEET and amount.inches % 2 == 0
    if not lumber or amount.doubts or scan.settings.figures != "inches":
        return
    sized = [at for at in range(len(scan.tokens)) if scan.every(section, at)]
    first = 0 if words[-1] in _OF_WHOLE_BOARDS else min(sized, default=len(scan.tokens))
    alone = any(
        number == amount.inches and not scan.find(UNITS, end) and not scan.find(COUNT_ENDS, end)
        for at in range(first + 1, len(scan.tokens))
        for number, end in scan.every(any_number, at)
    )
    if alone:
        yield partial
        yield replace(partial, amount=replace(amount, inches=12 * amount.inches))

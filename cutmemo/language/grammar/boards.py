"""Boards for the rack."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cutmemo.domain.length import Length
from cutmemo.language.grammar.fields import amount_words, any_number, section
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.intent import BoardsCall
from cutmemo.language.lexicon.en import FOOTERS

MAX_BOARD_FEET = 60
"""No board is longer: "three sixteen footers" is three of 16 ft."""


def boards(scan: Scan) -> Iterator[tuple[BoardsCall, int]]:
    """boards = ["a" | amount ["of"]] ( [section] footers | footers section )"""
    starts = [(1, 0), *([(1, 1)] if scan.word(0) in ("a", "an") else [])]
    for amount, after in scan.every(amount_words, 0):
        starts.append((amount, scan.take(after, "of", "pieces") or after))
    for count, start in starts:
        for inches, after in scan.every(_footers, start):
            yield BoardsCall(Length(inches), count), after
            for size, end in scan.every(section, after):
                yield BoardsCall(Length(inches), count, size), end
        for size, after in scan.every(section, start):
            for inches, end in scan.every(_footers, after):
                yield BoardsCall(Length(inches), count, size), end


def _footers(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """footers = number "footer" """
    for number, after in scan.every(any_number, at):
        if 0 < number <= MAX_BOARD_FEET:
            for _, end in scan.find(FOOTERS, after):
                yield Fraction(number * 12), end

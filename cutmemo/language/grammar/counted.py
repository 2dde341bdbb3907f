"""Counts that only the plural of a length tells, or a digit before it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.language.grammar.lengths import denominator, parts
from cutmemo.language.grammar.numbers import (
    below_hundred,
    digit,
    plural_whole,
    spoken_below_hundred,
    whole,
)
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import AMOUNTS


def counted_plural(scan: Scan, at: int) -> Iterator[tuple[tuple[int, Amount], int]]:
    """counted_plural = amount ["of"] plural length: "two forty twos", "a pair of sixty ones",
    "four fourteen and a halfs"
    """
    for count, after in _few(scan, at):
        for value, end in plural_whole(scan, scan.take(after, "of") or after):
            yield (count, Amount(Fraction(value))), end
    for count, after in scan.every(spoken_below_hundred, at):
        for number, middle in scan.every(whole, after):
            joined = scan.take(middle, "and") or middle
            if scan.word(joined) not in ("a", "an", "one"):
                continue
            for (under, plural), end in scan.every(denominator, joined + 1):
                if plural:
                    part = parts(1, under)
                    yield (count, replace(part, inches=number.value + part.inches)), end
    yield from _count_or_run(scan, at)


def _few(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """few = 1 … 99 | "a pair" | "a dozen" """
    yield from ((number.value, after) for number, after in scan.every(below_hundred, at))
    yield from scan.find(AMOUNTS, at)


def _count_or_run(scan: Scan, at: int) -> Iterator[tuple[tuple[int, Amount], int]]:
    """digit length: "four fourteen and a half" may be four of 14-1/2, once 414 is past most
    boards
    """
    count = digit(scan, at)
    if count is None or count < 3:
        return
    if any(
        number.value > 11
        for number, _ in scan.every(below_hundred, at + 1)
        if number.style != "typed"
    ):
        for amount, end in scan.every(length, at + 1):
            yield (count, amount), end

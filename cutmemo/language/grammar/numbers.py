"""Whole numbers the way crews say them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from cutmemo.language.grammar.scan import Scan
from cutmemo.language.lexicon.en import ONES, PLURALS, TENS

Style = Literal["plain", "tens", "hundred", "oh", "run", "digits", "typed"]
"""How a number was said: "nine", "forty", "a hundred and two", "one oh two", "two eleven", "one
four four", 144.
"""

MAX_PLACE_NUMBER = 24
"""No house has more walls, windows or doors of one kind; a number past it is a length."""


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number and how it was said."""

    value: int
    style: Style


def digit(scan: Scan, at: int) -> int | None:
    """digit = "one" … "nine" """
    value = ONES.get(scan.word(at), 0)
    return value if 0 < value < 10 else None


def below_hundred(scan: Scan, at: int) -> Iterator[tuple[Whole, int]]:
    """below_hundred = 0 … 19 | tens | tens digit | typed number"""
    token = scan.token(at)
    if token is None:
        return
    if token.kind == "number":
        yield Whole(int(token.value), "typed"), at + 1
    elif token.word in ONES:
        yield Whole(ONES[token.word], "plain"), at + 1
    elif token.word in TENS:
        yield Whole(TENS[token.word], "tens"), at + 1
        one = digit(scan, at + 1)
        if one is not None:
            yield Whole(TENS[token.word] + one, "plain"), at + 2


def spoken_below_hundred(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """The same by words alone, from 1."""
    for number, after in scan.every(below_hundred, at):
        if number.style != "typed" and number.value:
            yield number.value, after


def oh_digit(scan: Scan, at: int) -> int | None:
    """oh_digit = ("oh" | "zero") digit; returns the digit"""
    return digit(scan, at + 1) if scan.word(at) in ("oh", "zero") else None


def whole(scan: Scan, at: int) -> Iterator[tuple[Whole, int]]:
    """whole = below_hundred | hundreds | oh form | run | digits | buck form | thousands"""
    yield from scan.every(below_hundred, at)
    yield from _hundreds(scan, at)
    yield from _thousands(scan, at)
    first = digit(scan, at)
    if first is not None:
        yield from _run(scan, at, first)
    if scan.word(at) == "a" and scan.word(at + 1) == "buck":
        scan.missed(at + 2, "oh")
        one = oh_digit(scan, at + 2)
        if one is not None:
            yield Whole(100 + one, "oh"), at + 4
        for rest, after in scan.every(spoken_below_hundred, at + 2):
            if rest > 9:
                yield Whole(100 + rest, "hundred"), after


def _hundreds(scan: Scan, at: int) -> Iterator[tuple[Whole, int]]:
    """hundreds = [ "a" | below_hundred ] "hundred" [ ["and"] below_hundred ]"""
    heads = [(1, at)]
    if scan.word(at) == "a":
        heads = [(1, at + 1)]
    heads += scan.every(spoken_below_hundred, at)
    for head, after in heads:
        if scan.word(after) != "hundred":
            continue
        yield Whole(head * 100, "hundred"), after + 1
        tail = after + 2 if scan.word(after + 1) == "and" else after + 1
        for rest, end in scan.every(spoken_below_hundred, tail):
            yield Whole(head * 100 + rest, "hundred"), end
        one = oh_digit(scan, after + 1)
        if one is not None:
            yield Whole(head * 100 + one, "hundred"), after + 3


def _thousands(scan: Scan, at: int) -> Iterator[tuple[Whole, int]]:
    """thousands = digit "thousand" [ hundreds | ["and"] below_hundred ]"""
    head = 1 if scan.word(at) == "a" else digit(scan, at)
    if head is None or scan.word(at + 1) != "thousand":
        return
    yield Whole(head * 1000, "hundred"), at + 2
    tail = at + 3 if scan.word(at + 2) == "and" else at + 2
    for rest, end in scan.every(spoken_below_hundred, tail):
        yield Whole(head * 1000 + rest, "hundred"), end
    for more, end in _hundreds(scan, at + 2):
        if more.value < 1000:
            yield Whole(head * 1000 + more.value, "hundred"), end
    first = digit(scan, at + 2)
    if first is not None:
        for more, end in _run(scan, at + 2, first):
            yield Whole(head * 1000 + more.value, "hundred"), end


def _run(scan: Scan, at: int, first: int) -> Iterator[tuple[Whole, int]]:
    """run = digit ( oh_digit | 10 … 99 | digit digit | ("oh"|"zero") ("oh"|"zero") )"""
    one = oh_digit(scan, at + 1)
    if one is not None:
        yield Whole(first * 100 + one, "oh"), at + 3
    for rest, after in scan.every(spoken_below_hundred, at + 1):
        if rest > 9:
            yield Whole(first * 100 + rest, "run"), after
    second = 0 if scan.word(at + 1) in ("oh", "zero") else digit(scan, at + 1)
    third = 0 if scan.word(at + 2) in ("oh", "zero") else digit(scan, at + 2)
    if second is not None and third is not None and (second or not third):
        yield Whole(first * 100 + second * 10 + third, "digits"), at + 3


def _figure(scan: Scan, at: int) -> int | None:
    """A digit in words, or a nought."""
    return 0 if scan.word(at) in ("oh", "zero") else digit(scan, at)


def four_figures(scan: Scan, at: int) -> Iterator[tuple[Whole, int]]:
    """four_figures = 10 … 99 ( 10 … 99 | oh_digit ) | four digits; only before a metric unit"""
    digits = [_figure(scan, at + n) for n in range(4)]
    if digits[0] and all(each is not None for each in digits):
        yield Whole(int("".join(map(str, digits))), "digits"), at + 4
    for head, after in scan.every(spoken_below_hundred, at):
        if head < 10:
            continue
        one = oh_digit(scan, after)
        if one is not None:
            yield Whole(head * 100 + one, "run"), after + 2
        for rest, end in scan.every(spoken_below_hundred, after):
            if rest > 9:
                yield Whole(head * 100 + rest, "run"), end


def plural_whole(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """[tens] plural: "fourteens", "forty twos", "nineties", typed 14s"""
    word = scan.word(at)
    if word[-1:] == "s" and word[:-1].isdecimal():
        yield int(word[:-1]), at + 1
    if word in PLURALS:
        yield PLURALS[word], at + 1
    follow = PLURALS.get(scan.word(at + 1), 0)
    if word in TENS and 0 < follow < 10:
        yield TENS[word] + follow, at + 2

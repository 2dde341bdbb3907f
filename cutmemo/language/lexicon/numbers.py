"""Numbers and parts of an inch in words."""

from __future__ import annotations

from fractions import Fraction

from cutmemo.language.lexicon.en import DENOMINATOR_PLURALS, DENOMINATORS, ONES, TENS

NAMES_BELOW_20 = tuple(ONES)
NAMES_OF_TENS = {n: word for word, n in TENS.items()}


def below_hundred(n: int) -> str:
    """Return *n* from 0 to 99 in words."""
    if n < 20:
        return NAMES_BELOW_20[n]
    tens, one = divmod(n, 10)
    return NAMES_OF_TENS[tens * 10] + (f" {NAMES_BELOW_20[one]}" if one else "")


def number(n: int) -> str:
    """Return *n* from 0 to 9,999 in words, with "hundred" said, so that nothing runs together."""
    if n >= 1000:
        thousands, rest = divmod(n, 1000)
        return f"{NAMES_BELOW_20[thousands]} thousand" + (f" {number(rest)}" if rest else "")
    hundreds, rest = divmod(n, 100)
    if not hundreds:
        return below_hundred(rest)
    return f"{NAMES_BELOW_20[hundreds]} hundred" + (f" {below_hundred(rest)}" if rest else "")


def part_name(over: int, under: int) -> str:
    """Return the name of 1/*under* of an inch, in the plural where *over* is more than one."""
    return (DENOMINATOR_PLURALS if over > 1 else DENOMINATORS).name(under)


def fraction(part: Fraction) -> str:
    """Return a fraction of an inch in words: "a half", "five eighths", "one thirty second"."""
    if part.denominator == 2:
        return "a half"
    return f"{below_hundred(part.numerator)} {part_name(part.numerator, part.denominator)}"

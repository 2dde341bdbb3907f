"""A cut back into words: unmistakable ones for the grammar, digits one by one for the ear."""

from __future__ import annotations

import re
from fractions import Fraction

from cutmemo.domain.confusable import ALIKE_BY_EAR
from cutmemo.domain.cut import SQUARE, Cut, End, Section
from cutmemo.domain.length import Display, to_tape
from cutmemo.language.lexicon.en import MATERIALS, READ_BACK_AS, WORD_FIELDS
from cutmemo.language.lexicon.numbers import NAMES_BELOW_20, below_hundred, fraction, number


def inches_in_words(value: Fraction) -> str:
    """Return a length in words that have one reading only; halves to sixty-fourths of an inch.

    "inches" is said where the numerator could run into the whole number.
    """
    whole, part = divmod(value, 1)
    if not part:
        return number(whole) + " inches"
    if not whole and part.numerator < 20:
        return fraction(part)
    return f"{number(whole)} inches and {fraction(part)}"


def speak(cut: Cut) -> str:
    """Return the words for *cut*; the grammar reads them back as exactly this cut.

    The length must be a whole number of 64ths of an inch below 10,000 inches.
    """
    parts = [
        f"{number(cut.count)} at" if cut.count != 1 else "",
        inches_in_words(cut.length.inches),
    ]
    parts.append(cut.allowance.word if cut.allowance else "")
    parts += [section(cut.section) if cut.section else "", cut.piece or "", ends(cut.ends)]
    parts += [_in_words(name, getattr(cut, name) or "") for name in WORD_FIELDS]
    parts.append(f"for {place(cut.place)}" if cut.place else "")
    return " ".join(part for part in parts if part)


def place(written: str) -> str:
    """Return a place in words: ``W3 north`` is "w three north"."""
    parts = re.findall(r"[^\W\d_]+|\d+", written)
    return " ".join(
        number(int(part)) if part.isdecimal() else part.lower() if len(part) == 1 else part
        for part in parts
    )


def _in_words(name: str, written: str) -> str:
    """Return a field that is kept in words as it is said."""
    table = WORD_FIELDS[name]
    known = table.meanings.values()
    return " ".join(table.name(each) if each in known else each for each in written.split(", "))


def section(size: Section) -> str:
    """Return a board size in words."""
    treated = "treated " if size.treated else ""
    if size.thickness is None or size.width is None:
        return treated + MATERIALS.name(size.material)
    if size.material:
        sides = f"{_angle(size.thickness)} by {_angle(size.width)}"
        return f"{treated}{sides} {MATERIALS.name(size.material)}"
    thickness = "five quarter" if size.thickness == Fraction(5, 4) else number(int(size.thickness))
    return ("treated " if size.treated else "") + f"{thickness} by {number(int(size.width))}"


def ends(pair: tuple[End, End]) -> str:
    """Return both ends in words; nothing for two square ones."""
    first, second = pair
    if pair == (SQUARE, SQUARE):
        return ""
    if first == second:
        return f"both ends {end(first)}"
    return f"{end(first)} {end(second)}"


def end(one: End) -> str:
    """Return one end in words."""
    parts = [f"{one.kind} {_angle(one.rise)} twelve" if one.rise is not None else _unpitched(one)]
    parts.append(f"{one.cheek} cheek" if one.cheek else "")
    parts.append(f"{one.point} point" if one.point else "")
    return " ".join(part for part in parts if part)


def _unpitched(one: End) -> str:
    """Return an end without a rise: square, a named cut, or angles."""
    if one.kind == "angled":
        said = [(one.miter, "miter"), (one.bevel, "bevel")]
        return (
            " and ".join(
                f"{_angle(angle)} degree {name}" for angle, name in said if angle is not None
            )
            or "miter"
        )
    return "square" if one.kind == "square" else f"{one.kind} cut"


def _angle(angle: Fraction) -> str:
    """Return degrees in words."""
    whole, part = divmod(angle, 1)
    return number(whole) + (f" and {fraction(part)}" if part else "")


def digits_of(cut: Cut, display: Display = "inches") -> tuple[str, ...]:
    """Return the words to read *cut* back with: a hundred and more digit by digit, teens and tens
    too.

    The count comes first, then "at"; so nobody hears thirteen for thirty. A length that no tape
    has is read to the nearest sixteenth, as the screen shows it; in feet and inches where those are
    its *display*, else in inches.
    """
    said: list[str] = []
    if cut.count != 1:
        said += [*_by_ear(cut.count), "at"]
    exact = cut.length.inches
    marked = exact if 64 % exact.denominator == 0 else to_tape(exact)
    feet, rest = divmod(marked, 12) if display == "feet" else (0, marked)
    said += [*_by_ear(feet), "foot" if feet == 1 else "feet"] if feet else []
    whole, part = divmod(rest, 1)
    whole_is_said = bool(whole or (feet and part) or not (feet or part))
    if whole_is_said:
        said += _by_ear(whole)
    if part:
        said += ["and"] if whole_is_said else []
        said += ["one", "half"] if part == Fraction(1, 2) else fraction(part).split()
    words = cut.allowance.word.split() if cut.allowance else []
    return (*said, *(READ_BACK_AS.get(word, word) for word in words))


def _by_ear(n: int) -> list[str]:
    """Return *n* digit by digit from a hundred on, and where a teen may pass for a ten."""
    if n > 99 or n in ALIKE_BY_EAR or n in ALIKE_BY_EAR.values():
        return [NAMES_BELOW_20[int(figure)] for figure in str(n)]
    return below_hundred(n).split()

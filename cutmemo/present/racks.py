"""Reads boards for the rack as people write them.

A section, a length, a price, a bad part, or a CSV of them all.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import suppress
from fractions import Fraction
from typing import Literal

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.settings import Settings
from cutmemo.domain.units import exact_number
from cutmemo.errors import BadBoards, CutmemoError
from cutmemo.language import read
from cutmemo.planning import Lot
from cutmemo.wording import boards as words
from cutmemo.wording import explain_error

Span = tuple[Fraction, Fraction]
Bare = Literal["ask", "feet", "inches"]
"""What a board's length without a unit is."""
Line = tuple[Section | None, Fraction, int, Fraction | None, tuple[Span, ...]]
NEEDED = ("section", "length", "count")
OPTIONAL = ("price", "bad", "grade", "species")
"""Grade and species are read over: boards of one section are taken for alike."""
MAX_LINES = 2_000
MAX_BARE_FEET = 24
"""A bare whole number up to this may be feet.

No board of so few inches is sold, none of more feet is usual.
"""
GRADES = (
    "#1",
    "#2",
    "#3",
    "no. 1",
    "no. 2",
    "no. 3",
    "select",
    "structural",
    "standard",
    "stud",
    "construction",
    "utility",
    "btr",
    "& btr",
    "and btr",
    "better",
    "kd",
    "s4s",
    "kd-ht",
    "s-dry",
    "s-grn",
)
SPECIES = (
    "spf",
    "s-p-f",
    "df",
    "dfl",
    "df-l",
    "hf",
    "hem-fir",
    "doug fir",
    "douglas fir",
    "fir",
    "syp",
    "southern pine",
    "pine",
    "spruce",
    "cedar",
    "redwood",
)
_READ_OVER = re.compile(
    "|".join(
        rf"(?<!\S){re.escape(each)}(?!\S)" for each in sorted((*GRADES, *SPECIES), key=len)[::-1]
    ),
    re.IGNORECASE,
)


def section_of(text: str) -> Section:
    """Return the section of ``2x6``, ``5/4x6 treated``, ``2x6 #2 SPF`` or ``45x95`` (millimetres).

    A grade and a species are read over.

    Raises :class:`BadBoards`, also where the wide side stands first.
    """
    plain = " ".join(_READ_OVER.sub(" ", text).split())
    intent = None
    for crew in (Settings(), Settings(figures="mm", display="mm")):
        with suppress(CutmemoError):
            intent = intent or read(f"12 in {plain}", crew)[0].intent
    if not isinstance(intent, Cut) or intent.section is None or intent.piece or intent.place:
        raise BadBoards(words.not_a_section(text))
    section = intent.section
    thickness, width = section.thickness, section.width
    if thickness is not None and width is not None and thickness > width:
        usual = Section(width, thickness, section.material, section.treated)
        raise BadBoards(words.wide_side_first(text, usual))
    return section


def inches_of(text: str) -> Fraction:
    """Return the inches of ``16'``, ``92-5/8`` or ``2438mm``. Raises :class:`BadBoards`."""
    try:
        readings = read(text)
    except CutmemoError as error:
        raise BadBoards(words.not_a_length(text)) from error
    intent = readings[0].intent
    if len(readings) > 1 or not isinstance(intent, Cut) or intent != Cut(intent.length):
        raise BadBoards(words.not_a_length(text))
    return intent.length.inches


def board_inches_of(text: str, bare: Bare = "ask") -> Fraction:
    """Return the inches of a board.

    A bare whole number that may be feet is what the crew set.

    Raises :class:`BadBoards` with a question where it did not.
    """
    plain = text.strip()
    if bare != "inches" and plain.isdecimal() and 0 < int(plain) <= MAX_BARE_FEET:
        if bare == "ask":
            raise BadBoards(words.feet_or_inches(plain))
        return Fraction(12 * int(plain))
    return inches_of(text)


def count_of(text: str, least: int = 0) -> int:
    """Return how many, *least* or more. Raises :class:`BadBoards`."""
    plain = text.strip()
    if not (plain.isdecimal() and plain.isascii()) or int(plain) < least:
        raise BadBoards(words.not_a_count(text))
    return int(plain)


def price_of(text: str) -> Fraction | None:
    """Return a price as ``12.50``, ``$12.50`` or ``$1,200``.

    ``None`` for none. Raises :class:`BadBoards`.
    """
    plain = text.strip().removeprefix("$").strip()
    if not plain:
        if text.strip():
            raise BadBoards(words.not_a_price(text))
        return None
    if not re.fullmatch(r"(\d+|\d{1,3}(,\d{3})+)(\.\d+)?|\.\d+", plain, re.ASCII):
        raise BadBoards(words.not_a_price(text))
    try:
        return exact_number(plain.replace(",", ""))
    except (ValueError, ZeroDivisionError) as error:
        raise BadBoards(words.not_a_price(text)) from error


def lengths_of(text: str, bare: Bare = "ask") -> tuple[Fraction, ...]:
    """Return the lengths of ``8', 10', 92-5/8``. Raises :class:`BadBoards`."""
    return tuple(board_inches_of(part, bare) for part in text.split(",") if part.strip())


def prices_of(text: str, bare: Bare = "ask") -> tuple[tuple[Fraction, Fraction], ...]:
    """Return lengths and prices of ``8' = 3.50, 16' = 9.00``. Raises :class:`BadBoards`."""
    out = []
    for part in filter(None, (part.strip() for part in text.split(","))):
        length, _, amount = part.partition("=")
        price = price_of(amount)
        if price is None:
            raise BadBoards(words.not_a_price(part))
        out.append((board_inches_of(length, bare), price))
    return tuple(out)


def bad_of(text: str) -> tuple[Span, ...]:
    """Return bad parts of ``40 to 52; 90 to 96``. Raises :class:`BadBoards`."""
    spans = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        begin, to, end = part.partition(" to ")
        if not to:
            raise BadBoards(words.not_a_bad_part(part))
        spans.append((Fraction(0) if begin.strip() == "0" else inches_of(begin), inches_of(end)))
    return tuple(spans)


def _why(error: Exception) -> str:
    return explain_error(error) if isinstance(error, BadBoards) else str(error)


def boards_from_csv(text: str, bare: Bare = "ask") -> list[Line]:
    """Return the boards of a CSV with the columns section, length, count and, where wanted, price, bad, grade and species.

    Raises :class:`BadBoards` naming the line; nothing is taken then.
    """  # noqa: E501 - one sentence
    rows = csv.DictReader(io.StringIO(text, newline=""))
    names = [name.strip().lower() for name in rows.fieldnames or ()]
    missing = [name for name in NEEDED if name not in names]
    unknown = [name for name in names if name not in (*NEEDED, *OPTIONAL)]
    if missing or unknown:
        raise BadBoards(words.wrong_head_line(NEEDED, OPTIONAL, names))
    rows.fieldnames = names
    out: list[Line] = []
    try:
        for row in rows:
            if len(out) == MAX_LINES:
                raise BadBoards(words.TOO_MANY_LINES.format(most=MAX_LINES))
            if None in row or None in row.values():
                raise BadBoards(words.OTHER_COLUMNS)
            price, bad = price_of(row.get("price") or ""), bad_of(row.get("bad") or "")
            out.append(
                (
                    section_of(row["section"]),
                    board_inches_of(row["length"], bare),
                    count_of(row["count"], least=1),
                    price,
                    bad,
                )
            )
    except (BadBoards, csv.Error) as error:
        raise BadBoards(words.wrong_line(rows.line_num, _why(error))) from error
    return out


def all_there(lines: Sequence[Line], lots: Iterable[Lot]) -> bool:
    """Return whether every line stands on the rack already, word for word.

    The same list may have come twice.
    """
    there = Counter(
        (lot.section, lot.inches, lot.count, lot.price, lot.bad) for lot in lots if not lot.leftover
    )
    asked = Counter(
        (section, inches, count, price, tuple(bad)) for section, inches, count, price, bad in lines
    )
    return bool(lines) and not asked - there

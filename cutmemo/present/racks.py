"""Reads boards for the rack as people write them: a section, a length, a price, a bad part, or a CSV of them all."""

from __future__ import annotations

import csv
import io
from fractions import Fraction

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.units import exact_number
from cutmemo.errors import BadBoards, CutmemoError
from cutmemo.language import read
from cutmemo.wording import explain_error

Span = tuple[Fraction, Fraction]
Line = tuple[Section | None, Fraction, int, Fraction | None, tuple[Span, ...]]
NEEDED = ("section", "length", "count")
KNOWN = (*NEEDED, "price", "bad")
MAX_LINES = 2_000


def section_of(text: str) -> Section:
    """Return the section of ``2x6`` or ``5/4x6 treated``. Raises :class:`BadBoards`."""
    try:
        intent = read(f"12 in {text}")[0].intent
    except CutmemoError:
        intent = None
    if not isinstance(intent, Cut) or intent.section is None or intent.piece or intent.place:
        raise BadBoards(f"“{text}” is no section. Write it as 2x6, 5/4x6, 4x4 treated or LVL.")
    return intent.section


def inches_of(text: str) -> Fraction:
    """Return the inches of ``16'``, ``92-5/8`` or ``2438mm``. Raises :class:`BadBoards`."""
    try:
        readings = read(text)
    except CutmemoError as error:
        raise BadBoards(f"“{text}” is no length. Write it as 16', 92-5/8 or 2438mm.") from error
    intent = readings[0].intent
    if len(readings) > 1 or not isinstance(intent, Cut) or intent != Cut(intent.length):
        raise BadBoards(f"“{text}” is no plain length. Write it as 16', 92-5/8 or 2438mm.")
    return intent.length.inches


def count_of(text: str) -> int:
    """Return how many. Raises :class:`BadBoards`."""
    if not text.strip().isdecimal():
        raise BadBoards(f"“{text}” is no count. Write a whole number.")
    return int(text)


def price_of(text: str) -> Fraction | None:
    """Return a price, or ``None`` for none. Raises :class:`BadBoards`."""
    if not text.strip():
        return None
    try:
        price = exact_number(text.strip())
    except (ValueError, ZeroDivisionError) as error:
        raise BadBoards(f"“{text}” is no price. Write it as 12.50.") from error
    if price < 0:
        raise BadBoards(f"“{text}” is no price.")
    return price


def bad_of(text: str) -> tuple[Span, ...]:
    """Return bad parts of ``40 to 52; 90 to 96``. Raises :class:`BadBoards`."""
    spans = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        begin, to, end = part.partition(" to ")
        if not to:
            raise BadBoards(f"“{part}” is no bad part. Write it as 40 to 52.")
        spans.append((Fraction(0) if begin.strip() == "0" else inches_of(begin), inches_of(end)))
    return tuple(spans)


def _why(error: Exception) -> str:
    return explain_error(error) if isinstance(error, BadBoards) else str(error)


def boards_from_csv(text: str) -> list[Line]:
    """Return the boards of a CSV with the columns section, length, count and, where wanted, price and bad.

    Raises :class:`BadBoards` naming the line; nothing is taken then.
    """
    rows = csv.DictReader(io.StringIO(text, newline=""))
    names = [name.strip().lower() for name in rows.fieldnames or ()]
    missing = [name for name in NEEDED if name not in names]
    unknown = [name for name in names if name not in KNOWN]
    if missing or unknown:
        has = ", ".join(names) or "nothing"
        raise BadBoards(
            f"The head line needs {', '.join(NEEDED)}, and may have price and bad; it has {has}."
        )
    rows.fieldnames = names
    out: list[Line] = []
    try:
        for row in rows:
            if len(out) == MAX_LINES:
                raise BadBoards(f"more than {MAX_LINES} lines")
            if None in row or None in row.values():
                raise BadBoards("it has another number of columns than the head line")
            price, bad = price_of(row.get("price") or ""), bad_of(row.get("bad") or "")
            out.append(
                (
                    section_of(row["section"]),
                    inches_of(row["length"]),
                    count_of(row["count"]),
                    price,
                    bad,
                )
            )
    except (BadBoards, csv.Error) as error:
        raise BadBoards(
            f"Line {rows.line_num} cannot be read: {_why(error)} Nothing was put on the rack."
        ) from error
    return out

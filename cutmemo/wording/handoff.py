"""The hand-off in words: the heads of its parts, its lines, and what each person did."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

ANSWER_FIRST = "TO ANSWER first"
IN_TROUBLE = "IN TROUBLE, to cut again"
ON_HOLD = "ON HOLD"
OPEN = "OPEN"
CUT_TODAY = "CUT TODAY"
TODAY = "TODAY"
NOTHING_TODAY = "TODAY nothing was called or cut"
EMPTY_MEMO = "The memo is empty."


def person_at(who: str, station: str) -> str:
    """Return who did it, and at which station. Scripts read it as a key: it stays as it is."""
    return f"{who} at {station}"


def called_by(who: str, station: str, time: str) -> str:
    """Return who called it, where and at what *time*."""
    return f"called by {person_at(who, station)}, {time}"


def asked_row(cut: str, called: str) -> str:
    """Return a row that asks a question."""
    return f"{cut}?  {called}"


def open_row(cut: str, called: str) -> str:
    """Return a row that is open or on hold."""
    return f"{cut}  {called}"


def trouble_row(cut: str, reasons: Sequence[str], left: int) -> str:
    """Return a row of which pieces were spoiled for these *reasons*."""
    return f"{cut}: {', '.join(reasons)}, {left} to cut"


def cut_row(done: int, cut: str, over: int, time: str, who: str) -> str:
    """Return a row of which pieces were cut; *over* of them more than were called, where two
    stations apart cut the same piece.
    """
    too_many = f" ({over} too many)" if over else ""
    return f"{done} of {cut}{too_many}  {time} {who}"


def day_head(day: str) -> str:
    """Return the head of what was done on *day*."""
    return f"{day}, in pieces"


def did(who: str, called: int, cut: int, again: int, scrapped: int, scrap_inches: Fraction) -> str:  # noqa: PLR0913 - each is a fact of its own
    """Return what one person did, in pieces; scrap in feet too."""
    feet = f" ({float(scrap_inches / 12):.1f} ft)" if scrapped else ""
    return f"{who}: {called} called, {cut} cut, {again} recut, {scrapped} scrapped{feet}"

"""Cells of CSV that no spreadsheet runs."""

from __future__ import annotations

from cutmemo.domain.signs import visible

RUN = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins with one of these is a formula to a spreadsheet (common practice)."""


def csv_cell(text: str) -> str:
    """Return *text* so that a spreadsheet shows it: behind an apostrophe where it would run it,
    hidden signs written out.
    """
    plain = visible(text)
    return f"'{plain}" if text.startswith(RUN) else plain

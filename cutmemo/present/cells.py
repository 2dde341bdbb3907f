"""Cells of CSV that no spreadsheet runs."""

from __future__ import annotations

from cutmemo.domain.signs import visible

RUN = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""A cell that begins with one of these is a formula to a spreadsheet (common practice; some take
the wide signs for the narrow ones).
"""


def csv_cell(value: object) -> str:
    """Return the text of *value* so that a spreadsheet shows it: behind an apostrophe where it
    would run it, hidden signs written out.
    """
    text = str(value)
    plain = visible(text)
    return f"'{plain}" if text.startswith(RUN) else plain

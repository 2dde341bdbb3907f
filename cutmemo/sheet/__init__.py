"""The memo on paper: a list, CSV and plain values; boards drawn to scale; the rack and the yard's order."""

from cutmemo.sheet.boards import (
    boards_as_csv,
    boards_as_html,
    boards_as_plain,
    boards_as_text,
    order_as_text,
    rack_as_plain,
    rack_as_text,
)
from cutmemo.sheet.frames import frame_as_text
from cutmemo.sheet.racks import boards_from_csv
from cutmemo.sheet.sheets import as_csv, as_plain, as_text

__all__ = [
    "as_csv", "as_plain", "as_text", "boards_as_csv", "boards_as_html", "boards_as_plain", "boards_as_text",
    "boards_from_csv", "frame_as_text", "order_as_text", "rack_as_plain", "rack_as_text",
]  # fmt: skip

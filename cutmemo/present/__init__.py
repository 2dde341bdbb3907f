"""The memo on paper: a list, CSV and plain values; boards drawn to scale; the rack and the yard's
order.
"""

from cutmemo.present.assemblies import assembly_as_text, assembly_title
from cutmemo.present.board_data import (
    boards_as_csv,
    boards_as_plain,
    order_as_csv,
    rack_as_plain,
)
from cutmemo.present.board_page import Heading, boards_as_html, labels_as_html, order_as_html
from cutmemo.present.boards import boards_as_text, order_as_text, orders_of, rack_as_text
from cutmemo.present.lists import as_csv, as_plain, as_text
from cutmemo.present.racks import boards_from_csv

__all__ = [
    "Heading",
    "as_csv",
    "as_plain",
    "as_text",
    "assembly_as_text",
    "assembly_title",
    "boards_as_csv",
    "boards_as_html",
    "boards_as_plain",
    "boards_as_text",
    "boards_from_csv",
    "labels_as_html",
    "order_as_csv",
    "order_as_html",
    "order_as_text",
    "orders_of",
    "rack_as_plain",
    "rack_as_text",
]

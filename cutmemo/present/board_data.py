"""Boards, the rack and the order for other programs.

CSV with a line a piece, and plain values for JSON.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

from cutmemo.domain.settings import Settings
from cutmemo.planning import Rack, SectionPlan, Yard, called
from cutmemo.planning.yard import Price
from cutmemo.present.boards import orders_of
from cutmemo.present.cells import csv_cell
from cutmemo.wording.boards import (
    board_shown,
    cautions_of,
    money,
    notes_of,
    section_shown,
    standing_shown,
)
from cutmemo.wording.lengths import inches_shown

COLUMNS = (
    "section",
    "board",
    "board length",
    "from",
    "piece",
    "row",
    "length",
    "first mark",
    "cut at",
    "left over",
    "for",
)
ORDER_COLUMNS = ("section", "length", "count", "needed", "price", "cost")


def boards_as_csv(plans: Iterable[SectionPlan], settings: Settings) -> str:
    """Return one line a piece."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for plan in plans:
        for board in plan.boards:
            for count, piece in enumerate(board.pieces, start=1):
                last = count == len(board.pieces)
                marks = (piece.inches, piece.start, piece.end)
                cells = (
                    section_shown(plan.section),
                    board.number,
                    inches_shown(board.inches, settings),
                    board_shown(board, settings),
                    count,
                    piece.row,
                    *(inches_shown(each, settings) for each in marks),
                    inches_shown(board.left, settings) if last else "",
                    piece.label,
                )
                writer.writerow(map(csv_cell, cells))
    return out.getvalue().rstrip("\n")


def order_as_csv(
    plans: Sequence[SectionPlan], rack: Rack, settings: Settings, yard: Yard | None = None
) -> str:
    """Return one line a length to buy."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(ORDER_COLUMNS)
    for _, order in orders_of(plans, settings, yard, rack.prices):
        for line in order.lines:
            cells = (
                section_shown(order.section),
                inches_shown(line.inches, settings),
                line.count,
                line.needed,
                "" if line.price is None else money(line.price),
                "" if line.cost is None else money(line.cost),
            )
            writer.writerow(map(csv_cell, cells))
    return out.getvalue().rstrip("\n")


def rack_as_plain(rack: Rack) -> list[dict[str, Any]]:
    """Return the rack as JSON values.

    Lengths exact as text, in inches. Of a begun board, what is free.
    """
    names = called(rack)
    return [
        {
            "number": lot.number,
            "section": section_shown(lot.section),
            "inches": str(lot.inches),
            "count": lot.count,
            "price": None if lot.price is None else str(lot.price),
            "bad": [[str(begin), str(end)] for begin, end in lot.bad],
            "leftover": lot.leftover,
            "begun": "",
        }
        for lot in rack.lots
    ] + [
        {
            "number": board.number,
            "section": section_shown(board.section),
            "inches": str(board.rest),
            "count": 1,
            "price": None,
            "bad": [],
            "leftover": True,
            "begun": names[board.board],
        }
        for board in rack.boards
        if board.begun
    ]


def boards_as_plain(
    plans: Iterable[SectionPlan],
    settings: Settings,
    yard: Yard | None = None,
    prices: Iterable[Price] = (),
) -> list[dict[str, Any]]:
    """Return the boards as JSON values; lengths exact as text, in inches."""
    paid = list(prices)
    return [_section_as_plain(plan, settings, yard, paid) for plan in plans]


def _section_as_plain(
    plan: SectionPlan, settings: Settings, yard: Yard | None, prices: list[Price]
) -> dict[str, Any]:
    order = next((order for _, order in orders_of([plan], settings, yard, prices)), None)
    return {
        "section": section_shown(plan.section),
        "proven": plan.proven,
        "standing": standing_shown(plan),
        "by_price": plan.by_price,
        "settings": plan.settings,
        "order": {str(inches): count for inches, count in plan.order.items()},
        "order_cost": None if order is None or order.cost is None else str(order.cost),
        "ordered": {} if order is None else {str(each.inches): each.count for each in order.lines},
        "waiting": {str(row): count for row, count in plan.waiting.items()},
        "too_long": [wanted.row for wanted in plan.too_long],
        "unplaced": {str(wanted.row): wanted.count for wanted in plan.unplaced},
        "notes": notes_of(plan, settings),
        "leftovers": str(plan.kept(settings.leftover)),
        "waste": str(plan.waste(settings.leftover)),
        "boards": [
            {
                "board": board.number,
                "printed": bool(board.place),
                "rack": None if board.lot is None else board.lot.number,
                "start": str(board.start),
                "inches": str(board.inches),
                "left": str(board.left),
                "begun": board.begun,
                "fetch": board.fetch,
                "cautions": cautions_of(board, settings),
                "pieces": [
                    {
                        "row": piece.row,
                        "inches": str(piece.inches),
                        "start": str(piece.start),
                        "cut_at": str(piece.end),
                        "for": piece.label,
                        "shares": piece.shares,
                    }
                    for piece in board.pieces
                ],
            }
            for board in plan.boards
        ],
    }

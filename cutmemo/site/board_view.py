"""What the pages of the site show of the boards, as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from cutmemo.domain.length import Length
from cutmemo.memo.state import MemoState
from cutmemo.planning import Board, Piece, SectionPlan
from cutmemo.present.boards import equal_boards, orders_of, rack_as_text, title_of
from cutmemo.site.taking import seen
from cutmemo.site.view import length_as_plain
from cutmemo.wording import boards as board_words
from cutmemo.wording import screens as words
from cutmemo.wording.lengths import inches_shown

NO_BOARDS: dict[str, Any] = {
    "sections": [],
    "next": None,
    "yard": [],
    "yard_total": "",
    "rack": [],
}


def boards_shown(plans: Sequence[SectionPlan], state: MemoState) -> dict[str, Any]:
    """Return all that the page of the boards shows of *plans*."""
    settings, rack = state.settings, state.rack
    orders = orders_of(plans, settings, state.yard, rack.prices)
    total = board_words.order_total([order for _, order in orders], state.yard.budget)
    return {
        "sections": [_section(plan, state) for plan in plans],
        "next": _next(plans, state),
        "yard": [
            {
                "head": board_words.order_head(order, plan),
                "lines": [board_words.order_line(line, settings).strip() for line in order.lines],
                "waits": board_words.waiting_shown(plan),
            }
            for plan, order in orders
        ],
        "yard_total": total if orders else "",
        "rack": [line.strip() for line in rack_as_text(rack, settings).splitlines()],
    }


def _section(plan: SectionPlan, state: MemoState) -> dict[str, Any]:
    settings = state.settings
    longest = max((board.inches for board in plan.boards), default=Fraction(1))
    return {
        "head": board_words.head(plan, settings),
        "notes": board_words.notes_of(plan, settings),
        "boards": [
            {
                "title": title_of(plan, equal, settings),
                "share": float(board.inches / longest),
                "cautions": board_words.cautions_of(board, settings),
                "pieces": [_piece(piece, longest, state) for piece in board.pieces],
            }
            for equal in equal_boards(plan)
            for board in equal[:1]
        ],
    }


def _piece(piece: Piece, longest: Fraction, state: MemoState) -> dict[str, Any]:
    settings, row = state.settings, state.rows[piece.row_id]
    return {
        "row": piece.row_id,
        "n": piece.row,
        "length": length_as_plain(Length(piece.inches), settings),
        "start": float(piece.start / longest),
        "end": float(piece.end / longest),
        "mark": inches_shown(piece.end, settings),
        "text": board_words.piece_shown(piece, settings),
        "label": piece.label,
        "held": row.held,
        "seen": seen(row),
    }


def _next(plans: Sequence[SectionPlan], state: MemoState) -> dict[str, Any] | None:
    """Return the piece to cut next, the first that is not on hold, and where its board stands."""
    for k, plan in enumerate(plans):
        for number, (board, *_) in enumerate(equal_boards(plan)):
            for place, piece in enumerate(board.pieces):
                if not state.rows[piece.row_id].held:
                    where = {"section": k, "board": number, "piece": place}
                    return _next_piece(board, piece, state) | where
    return None


def _next_piece(board: Board, piece: Piece, state: MemoState) -> dict[str, Any]:
    settings = state.settings
    mark = inches_shown(piece.end, settings) if piece is board.pieces[0] else ""
    name = board_words.board_shown(board, settings)
    return {
        "row": piece.row_id,
        "length": length_as_plain(Length(piece.inches), settings),
        "text": words.next_piece(name, board.lot is not None, mark, piece.row, piece.label),
        "cautions": [words.caution(each) for each in board_words.cautions_of(board, settings)],
        "seen": seen(state.rows[piece.row_id]),
    }

"""Plans the boards beside everything else, once pages look at them and the memo has changed."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any

from cutmemo.domain.length import Length
from cutmemo.errors import CutmemoError
from cutmemo.memo.decide.rack import planning_job
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.planning import Board, Piece, SectionPlan
from cutmemo.planning.stock import trim_of
from cutmemo.present.boards import orders_of, rack_as_text, same_board
from cutmemo.site.protocol import message_text
from cutmemo.site.taking import seen
from cutmemo.site.view import length_as_plain
from cutmemo.wording import boards as board_words
from cutmemo.wording import explain_error
from cutmemo.wording import screens as words
from cutmemo.wording.lengths import inches_shown

_log = logging.getLogger(__name__)
_NOTHING: dict[str, Any] = {"sections": [], "next": None, "yard": [], "yard_total": "", "rack": []}


class Planner:
    """The boards of one memo. A plan that is under way when the memo changes is followed by one of
    the memo as it is then.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        """Call *changed*, on any thread, when there are new boards."""
        self._changed = changed
        self._wanted: MemoState | None = None
        self._planned_at = -1
        self._plans: list[SectionPlan] = []
        self._wake = threading.Event()
        self._closed = False
        self._thread: threading.Thread | None = None
        self.message = message_text(
            "boards", rev=0, state="planning", sentence=words.PLANNING, **_NOTHING
        )

    def plan(self, state: MemoState) -> None:
        """Plan the boards of the memo as it stands in *state*, unless that is done."""
        if self._wanted is not None and self._wanted.position == state.position:
            return
        self._wanted = state
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="planner", daemon=True)
            self._thread.start()
        self._wake.set()

    def close(self) -> None:
        """Plan nothing more."""
        self._closed = True
        self._wake.set()

    def board_of(self, row: Row, state: MemoState) -> str:
        """Return which board the next piece of *row* comes off; empty where nobody planned it."""
        if not any(lot.section == row.cut.section for lot in state.rack.lots):
            return ""
        if self._planned_at != state.position:
            return words.PLANNING if self._wanted is not None else ""
        boards = [board for plan in self._plans for board in plan.boards]
        found = next((b for b in boards if any(p.row_id == row.id for p in b.pieces)), None)
        if found is None:
            return ""
        trim = trim_of(found.lot, state.settings)
        shown = inches_shown(trim, state.settings) if trim else ""
        name = board_words.board_shown(found, state.settings)
        return words.from_board(name, found.lot is not None, shown)

    def _run(self) -> None:
        """Plan whenever there is something new to plan."""
        while not self._closed:
            self._wake.wait()
            self._wake.clear()
            state = self._wanted
            if state is None or state.position == self._planned_at or self._closed:
                continue
            try:
                facts = self._solve(state)
            except CutmemoError as error:
                facts = {"state": "cannot", "sentence": explain_error(error), **_NOTHING}
            except Exception as error:  # the end of a worker: whatever it was is shown
                _log.exception("planning failed")
                facts = {"state": "cannot", "sentence": str(error), **_NOTHING}
            self._planned_at = state.position
            self.message = message_text("boards", rev=state.position, **facts)
            self._changed()

    def _solve(self, state: MemoState) -> dict[str, Any]:
        plans = planning_job(state).solve()
        self._plans = plans
        return {
            "state": "planned",
            "sentence": words.PLANNED if plans else words.NOTHING_OPEN,
            **boards_as_plain(plans, state),
        }


def boards_as_plain(plans: Sequence[SectionPlan], state: MemoState) -> dict[str, Any]:
    """Return all that the page of the boards shows of *plans*."""
    settings, rack = state.settings, state.rack
    orders = orders_of(plans, settings, None, rack.prices)
    total = board_words.order_total([order for _, order in orders], None)
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
                "n": board.number,
                "name": board_words.board_shown(board, settings),
                "same": same_board(plan, board).strip(),
                "inches": float(board.inches),
                "share": float(board.inches / longest),
                "left": words.left_over(inches_shown(board.left, settings)) if board.left else "",
                "cautions": board_words.cautions_of(board, settings),
                "pieces": [_piece(piece, longest, state) for piece in board.pieces],
            }
            for board in plan.boards
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
    """Return the piece to cut next, the first that is not on hold, and its board."""
    for k, plan in enumerate(plans):
        for number, board in enumerate(plan.boards):
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

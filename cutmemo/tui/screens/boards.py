"""The view by board: which board is in hand, where to cut it, and what comes next."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from cutmemo.domain.length import Length, format_length
from cutmemo.errors import CutmemoError
from cutmemo.memo.decide.rack import ToLay
from cutmemo.memo.state import Row
from cutmemo.planning import Board, Piece, SectionPlan
from cutmemo.present import boards_as_text, order_as_text, rack_as_text
from cutmemo.present.boards import board_shown, cautions_of, inches_shown
from cutmemo.service import Session
from cutmemo.tui.widgets.numerals import largest

EMPTY = "Nothing is open."
EMPTY_RACK = "Nothing. Say “ten two by four sixteen footers”, or type 10 2x4 16 footers."


class BoardScreen(Screen[None]):
    """Every open cut on its board, left-overs first; the plan is laid on a thread and follows the memo."""

    def __init__(self, session: Session) -> None:
        """Show the boards of *session*."""
        super().__init__()
        self._session = session
        self._plans: list[SectionPlan] = []
        self._laid_at: int | None = None
        self._laying: int | None = None

    def compose(self) -> ComposeResult:
        """Lay out the boards, and a line of keys."""
        yield Static(id="piecenow", markup=False)
        yield Static(id="piecefacts", markup=False)
        with VerticalScroll(id="boards"):
            yield Static(id="plan", markup=False)
        yield Static(id="boardstold", markup=False)
        yield Static(
            " [c] cut the next piece  [u] undo  [p] back   Eyes on the blade.",
            id="boardkeys",
            markup=False,
        )

    def on_mount(self) -> None:
        """Begin to lay."""
        self.draw()

    def draw(self) -> None:
        """Lay the memo as it stands, unless that is under way."""
        try:
            todo = self._session.to_lay()
        except CutmemoError as error:
            self.query_one("#plan", Static).update(str(error))
            return
        if self._laying == todo.seq:
            return
        self._laying = todo.seq
        self._session.in_hand = ""
        self.query_one("#boardstold", Static).update("… laying the boards")
        self.run_worker(lambda: self._lay(todo), thread=True, group="laying")

    def on_unmount(self) -> None:
        """Let the queue's own order count again."""
        self._session.in_hand = None

    def _lay(self, todo: ToLay) -> None:
        plans = todo.laid()
        self.app.call_from_thread(self._laid, todo.seq, plans)

    def _laid(self, seq: int, plans: list[SectionPlan]) -> None:
        """Show a plan, unless the memo has moved on since."""
        if seq != self._session.queue.seq or not self.is_attached:
            return
        self._plans, self._laid_at = plans, seq
        row = self.current()
        self._session.in_hand = row.id if row is not None else ""
        settings = self._session.queue.settings
        self._draw_piece()
        parts = [boards_as_text(plans, settings) or EMPTY]
        order = order_as_text(plans, self._session.queue.rack, settings)
        parts += ["TO BUY", order] if order else []
        rack = rack_as_text(self._session.queue.rack, settings)
        parts += ["ON THE RACK", rack or EMPTY_RACK]
        self.query_one("#plan", Static).update("\n\n".join(parts))
        self.query_one("#boardstold", Static).update("Best for what is called so far.")

    def on_resize(self) -> None:
        """Draw the numerals to the new size."""
        self.call_after_refresh(self._draw_piece)

    def _next(self) -> tuple[Board, Piece] | None:
        """Return the piece to cut next, the first that is not on hold, and its board."""
        rows = self._session.queue.rows
        pieces = (
            (board, piece)
            for plan in self._plans
            for board in plan.boards
            for piece in board.pieces
        )
        return next(
            (
                (board, piece)
                for board, piece in pieces
                if piece.row_id not in rows or not rows[piece.row_id].held
            ),
            None,
        )

    def _draw_piece(self) -> None:
        """Show the next piece as large as its place allows, its board and its mark."""
        now, facts, found = (
            self.query_one("#piecenow", Static),
            self.query_one("#piecefacts", Static),
            self._next(),
        )
        if found is None:
            now.update("")
            facts.update("")
            return
        (board, piece), settings = found, self._session.queue.settings
        shown = format_length(Length(piece.inches), settings.display, settings.fineness)
        cautions = "".join(f"\n! {caution}" for caution in cautions_of(board, settings))
        place = f"from {board_shown(board, settings)} · cut at {inches_shown(piece.end, settings)}"
        facts.update(f"{place} · row {piece.row} {piece.label}{cautions}")
        # The facts take their lines first; what is left is the numerals'.
        self.call_after_refresh(
            lambda: now.update(largest(shown, max(now.size.width, 20), max(now.size.height, 4)))
        )

    def tell(self, text: str) -> None:
        """Show what happened."""
        self.query_one("#boardstold", Static).update(text)

    def current(self) -> Row | None:
        """Return the row of the piece to cut next, the first of the first board; ``None`` while the boards are being laid."""
        if self._laid_at != self._session.queue.seq:
            return None
        found = self._next()
        return self._session.queue.rows.get(found[1].row_id) if found is not None else None

"""The view by board: which board is in hand, where to cut it, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from cutmemo.domain.length import Length, format_length
from cutmemo.errors import CutmemoError
from cutmemo.memo.rows import Row
from cutmemo.planning import Board, Piece, SectionPlan
from cutmemo.present import boards_as_text, order_as_text, rack_as_text
from cutmemo.present.boards import board_shown, cautions_of
from cutmemo.tui.controllers.commands import Commands, Place
from cutmemo.tui.controllers.paper import opened, written
from cutmemo.tui.controllers.planner import Planner, Plans
from cutmemo.tui.screens.working import Do, WorkingScreen
from cutmemo.tui.widgets.key_bar import KeyBar, labels
from cutmemo.tui.widgets.large_length import LargeLength
from cutmemo.tui.widgets.marks import Marks
from cutmemo.wording import explain_error
from cutmemo.wording import screens as words
from cutmemo.wording.boards import better_found, page_written
from cutmemo.wording.lengths import inches_shown


class BoardScreen(WorkingScreen):
    """Every open cut on its board, left-overs first; the plan is made in the background and follows
    the memo.
    """

    def __init__(self, memo: Commands, do: Do, planner: Planner) -> None:
        """Show the boards of *memo* as *planner* plans them."""
        super().__init__(memo, do, planner)
        self._plans: list[SectionPlan] = []
        self._planned_at: int | None = None
        self._asked_at: int | None = None
        self._printed = (-1, "")
        """The last event that a page takes in, and where it was written."""

    def compose(self) -> ComposeResult:
        """Lay out the boards, and a line of keys."""
        yield LargeLength("piecenow")
        yield Static(id="piecefacts", markup=False)
        with VerticalScroll(id="boards"):
            yield Static(id="plan", markup=False)
        yield Marks()
        yield Static(id="boardstold", markup=False)
        yield KeyBar(labels(words.BOARD_KEYS))

    def on_mount(self) -> None:
        """Begin to plan."""
        self.draw()

    def draw(self) -> None:
        """Plan for the memo as it stands, unless that is under way."""
        self.query_one(Marks).show(self.memo.marks())
        if self._asked_at == self.memo.state.position:
            return
        try:
            self._asked_at = self.planner.plan(self._show)
        except CutmemoError as error:
            self.query_one("#plan", Static).update(explain_error(error))
            return
        self.tell(words.PLANNING)

    def _show(self, plans: Plans) -> None:
        """Show the boards, and look for a proof where they stand without one."""
        self._draw_boards(plans)
        proving = self.is_attached and self.planner.prove(plans, self._draw_boards)
        if proving:
            self.tell(words.PROVING)

    def _draw_boards(self, plans: Plans) -> None:
        if not self.is_attached:
            return
        state = self.memo.state
        self._plans, self._planned_at = plans, state.position
        self._show_piece()
        self._write(plans)
        better = [better_found(plan) for plan in plans if plan.better is not None]
        printed_at, where = self._printed
        if better:
            self.tell(" ".join([*better, words.PRINTS_BETTER]))
        else:
            self.tell(where if printed_at == state.position else words.PLANNED)

    def on_resize(self) -> None:
        """Draw the boards as wide as there is room."""
        if self._plans:
            self.call_after_refresh(lambda: self._write(self._plans))

    def _write(self, plans: Sequence[SectionPlan]) -> None:
        """Write the boards, what is to be bought, and the rack."""
        state, shown = self.memo.state, self.query_one("#plan", Static)
        columns = shown.content_size.width
        parts = [boards_as_text(plans, state.settings, columns) or words.NOTHING_OPEN]
        order = order_as_text(plans, state.rack, state.settings, state.yard, state.rows.values())
        parts += [words.TO_BUY, order] if order else []
        rack = rack_as_text(state.rack, state.settings)
        parts += [words.ON_THE_RACK, rack or words.EMPTY_RACK]
        shown.update("\n\n".join(parts))

    def _show_piece(self) -> None:
        """Show the next piece large, its board, and its mark unless that counts pieces before
        it.
        """
        now, facts = self.query_one(LargeLength), self.query_one("#piecefacts", Static)
        found = self._next()
        if found is None:
            now.show(None)
            facts.update("")
            return
        (board, piece), settings = found, self.memo.state.settings
        mark = inches_shown(piece.end, settings) if piece is board.pieces[0] else ""
        name, on_rack = board_shown(board, settings), board.lot is not None
        line = words.next_piece(name, on_rack, mark, piece.row, piece.label)
        cautions = [words.caution(caution) for caution in cautions_of(board, settings)]
        facts.update("\n".join([line, *cautions]))
        now.show(format_length(Length(piece.inches), settings.display, settings.fineness))

    def _next(self) -> tuple[Board, Piece] | None:
        """Return the piece to cut next, the first that is not on hold, and its board."""
        rows = self.memo.state.rows
        boards = [board for plan in self._plans for board in plan.boards]
        for board in boards:
            for piece in board.pieces:
                if piece.row_id not in rows or not rows[piece.row_id].held:
                    return board, piece
        return None

    def tell(self, text: str, wrong: bool = False) -> None:  # noqa: ARG002 - one line for both
        """Show what happened."""
        self.query_one("#boardstold", Static).update(text)

    def current(self) -> Row | None:
        """Return the row of the piece to cut next, the first of the first board; ``None`` while the
        boards are being planned.
        """
        if self._planned_at != self.memo.state.position:
            return None
        found = self._next()
        return self.memo.state.rows.get(found[1].row_id) if found is not None else None

    def place(self, shown: str | None) -> Place:
        """Return that commands come from the view by board, and for which piece."""
        return Place(shown=shown, by_board=True, in_hand=self._row_id())

    def action_clear(self) -> None:
        """The next piece is cut."""
        if self.current() is None:
            self.tell(words.NOT_PLANNED)
        else:
            super().action_clear()

    def action_print(self) -> None:
        """Write the page and the labels; its boards keep their plans from then on."""
        if not self._plans or self._planned_at != self.memo.state.position:
            self.tell(words.NOT_PLANNED)
            return
        thorough = any(plan.better is not None for plan in self._plans)
        if self._do(lambda: self.memo.print_boards(thorough)) is not None:
            self._write_pages()

    def _write_pages(self) -> None:
        try:
            boards, labels = self.memo.pages()
            paths = written(self.memo.path, {"boards": boards, "labels": labels})
            page = paths["boards"]
            where = page_written(str(page), paths["labels"].name, opened(page))
        except CutmemoError as error:
            where = explain_error(error)
        self._printed = self.memo.state.position, where
        self.tell(where)

    def action_clear_all(self) -> None:
        """By board the pieces are cut one by one."""
        self.tell(words.ONE_BY_ONE)

"""The view at the saw: one length as large as the screen, a picture of the piece, its board, and the next two."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from cutmemo.domain.checks import sawn
from cutmemo.domain.length import format_length
from cutmemo.errors import CutmemoError
from cutmemo.memo.decide.rack import ToLay
from cutmemo.memo.state import Row, saw_settings
from cutmemo.planning import SectionPlan
from cutmemo.present.boards import board_shown, inches_shown
from cutmemo.service import Session
from cutmemo.tui.widgets.numerals import largest
from cutmemo.tui.widgets.piece import picture

KEYS = " c cut  u undo  t trouble  k skip  w hold  l listen  s back  Eyes on the blade."
ROOM_FOR_PICTURE = 26
"""Rows of screen from which on square pieces are drawn too."""


def _wood(row: Row) -> tuple[object, ...]:
    """Return what two rows have to share to be cut at one setting of saw and stop."""
    return row.cut.length, row.cut.ends, row.cut.section


class SawScreen(Screen[None]):
    """What to cut now. Listening is off here unless it is switched on, and then only orders are taken."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "app.clear", "Cut one", show=False),
        Binding("t", "app.trouble", "Trouble", show=False),
        Binding("k", "app.skip", "Skip", show=False),
        Binding("w", "app.hold", "Hold", show=False),
        Binding("y", "app.say_again", "Say again", show=False),
    ]

    def __init__(self, session: Session) -> None:
        """Show the open rows of *session*."""
        super().__init__()
        self._session = session
        self._board = ""

    def compose(self) -> ComposeResult:
        """Lay out the numerals, what they are, and what comes next."""
        yield Static(id="now", markup=False)
        yield Static(id="facts", markup=False)
        yield Static(id="piece", markup=False)
        yield Static(id="board", markup=False)
        yield Static(id="next", markup=False)
        yield Static(id="sawtold", markup=False)
        yield Static(KEYS, id="sawkeys", markup=False)

    def on_mount(self) -> None:
        """Draw once the size is known."""
        self._session.at_saw = True
        self.call_after_refresh(self.draw)

    def on_unmount(self) -> None:
        """Take calls by voice again."""
        self._session.at_saw = False

    def on_resize(self) -> None:
        """Draw to the new size."""
        self.call_after_refresh(self.draw)

    def tell(self, text: str) -> None:
        """Show what happened."""
        self.query_one("#sawtold", Static).update(text)

    def show_listening(self, listening: str) -> None:
        """Show whether the microphone is open."""
        mark = {"off": "", "opening": "◌ opening  ", "on": "● LISTENING for orders  "}[listening]
        self.query_one("#sawkeys", Static).update(mark + KEYS.lstrip() if mark else KEYS)

    def draw(self) -> None:
        """Show the first row large, the next two below it."""
        queue = self._session.queue
        rows = queue.to_cut()
        now, facts, piece, after = (
            self.query_one(f"#{name}", Static) for name in ("now", "facts", "piece", "next")
        )
        if not rows:
            now.update("")
            facts.update("Nothing open to cut.")
            piece.display = False
            self.query_one("#board", Static).display = False
            after.update(self._waiting(rows))
            return
        settings = queue.settings
        row = rows[0]
        shown = format_length(row.cut.length, settings.display, settings.fineness)
        piece.display = row.cut.angled() or self.size.height >= ROOM_FOR_PICTURE
        piece.update(picture(row.cut, str(shown), self.size.width - 4))
        facts.update(self._facts(row, rows))
        lines = [f"then  {self._session.shown(each.cut)}" for each in rows[1:3]]
        after.update("\n".join([*lines, self._waiting(rows)]).strip())
        self._find_board(row)
        self.call_after_refresh(
            lambda: now.update(largest(shown, max(now.size.width, 20), max(now.size.height, 4)))
        )

    def _waiting(self, rows: list[Row]) -> str:
        """Return what is open and not offered here, and how many saw settings are to come."""
        queue = self._session.queue
        asked, held = len(queue.of_state("doubtful")), len(queue.open_rows()) - len(rows)
        parts = [
            f"? {asked} asked: answer before cutting those" if asked else "",
            f"‖ {held} on hold" if held else "",
        ]
        settings = saw_settings(rows)
        parts.append(
            f"{settings} saw settings to go" if queue.order == "saw" and settings > 1 else ""
        )
        return " · ".join(part for part in parts if part)

    def _facts(self, row: Row, rows: list[Row]) -> str:
        """Return how many are left and what the piece is."""
        cut, settings = row.cut, self._session.queue.settings
        parts = [f"{row.left} of {cut.count} left" if cut.count > 1 else "1 piece"]
        parts += [str(part) for part in (cut.shade, cut.section, cut.piece) if part]
        parts += [part for part in (cut.note, f"for {cut.place}" if cut.place else "") if part]
        if cut.shade is not None and settings.shade is not None:
            parts.append(f"saw {format_length(sawn(cut, settings), settings.display, 64)}")
        same = [each for each in rows[1:] if _wood(each) == _wood(row)]
        if same:
            numbers = ", ".join(str(each.number) for each in same)
            parts.append(f"{sum(each.left for each in same)} more of this length in row {numbers}")
        block = ["CHECK THE STOP BLOCK"] if row.stop_block_due else []
        again = [f"AGAIN: {', '.join(row.spoiled)}"] if row.spoiled else []
        return "\n".join(
            [" · ".join(parts), *block, *again, *(f"! {warning}" for warning in row.warnings)]
        )

    # --- the board in hand -------------------------------------------------------------------------------

    def _find_board(self, row: Row) -> None:
        """Find on a thread which board the piece comes off, where there are boards of its section."""
        line = self.query_one("#board", Static)
        line.display = any(lot.section == row.cut.section for lot in self._session.queue.rack.lots)
        if not line.display:
            return
        try:
            todo = self._session.to_lay().of(row.cut.section)
        except CutmemoError:
            line.display = False
            return
        self.run_worker(
            lambda: self._found(todo, row.id), thread=True, group="board", exclusive=True
        )

    def _found(self, todo: ToLay, row_id: str) -> None:
        plans = todo.laid()
        self.app.call_from_thread(self._show_board, todo.seq, plans, row_id)

    def _show_board(self, seq: int, plans: list[SectionPlan], row_id: str) -> None:
        """Show the board, unless the memo has moved on since."""
        if seq != self._session.queue.seq or not self.is_attached:
            return
        settings = self._session.queue.settings
        found = next(
            ((b, p) for plan in plans for b in plan.boards for p in b.pieces if p.row_id == row_id),
            None,
        )
        text = ""
        if found is not None:
            board, piece = found
            where = "from" if board.lot is not None else "not on the rack:"
            text = f"{where} {board_shown(board, settings)} · cut at {inches_shown(piece.end, settings)}"
        self.query_one("#board", Static).update(text)

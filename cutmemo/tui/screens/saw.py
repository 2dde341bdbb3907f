"""The view at the saw: one length as large as the screen, a picture of the piece, its board, and the next two."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from cutmemo.domain.checks import sawn
from cutmemo.domain.length import format_length
from cutmemo.errors import CutmemoError
from cutmemo.memo.state import Row, saw_settings
from cutmemo.present.boards import board_shown
from cutmemo.tui.controllers.commands import Place
from cutmemo.tui.controllers.planner import Plans
from cutmemo.tui.screens.working import WorkingScreen
from cutmemo.tui.widgets.large_length import LargeLength
from cutmemo.tui.widgets.piece import picture
from cutmemo.wording import screens as words
from cutmemo.wording.lengths import inches_shown

ROOM_FOR_PICTURE = 26
"""Rows of screen from which on square pieces are drawn too."""


def _wood(row: Row) -> tuple[object, ...]:
    """Return what two rows have to share to be cut at one setting of saw and stop."""
    return row.cut.length, row.cut.ends, row.cut.section


class SawScreen(WorkingScreen):
    """What to cut now. Listening is off here unless it is switched on, and then only orders are taken."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "clear", words.CUT_ONE, show=False),
        Binding("t", "trouble", words.TROUBLE, show=False),
        Binding("k", "skip", words.SKIP, show=False),
        Binding("w", "hold", words.HOLD, show=False),
        Binding("y", "app.say_again", words.SAY_AGAIN, show=False),
    ]

    def compose(self) -> ComposeResult:
        """Lay out the numerals, what they are, and what comes next."""
        yield LargeLength("now")
        yield Static(id="facts", markup=False)
        yield Static(id="piece", markup=False)
        yield Static(id="board", markup=False)
        yield Static(id="next", markup=False)
        yield Static(id="sawtold", markup=False)
        yield Static(words.SAW_KEYS, id="sawkeys", markup=False)

    def on_mount(self) -> None:
        """Draw once the size is known."""
        self.call_after_refresh(self.draw)

    def on_resize(self) -> None:
        """Draw to the new size."""
        self.call_after_refresh(self.draw)

    def tell(self, text: str, wrong: bool = False) -> None:  # noqa: ARG002 - one line for both
        """Show what happened."""
        self.query_one("#sawtold", Static).update(text)

    def show_listening(self, listening: words.Listening) -> None:
        """Show whether the microphone is open."""
        self.query_one("#sawkeys", Static).update(words.saw_keys(listening))

    def current(self) -> Row | None:
        """Return the first row that the saw is offered."""
        return next(iter(self.memo.state.to_cut()), None)

    def place(self, shown: str | None) -> Place:
        """Return that commands come from the saw."""
        return Place(at_saw=True, shown=shown)

    def draw(self) -> None:
        """Show the first row large, the next two below it."""
        state = self.memo.state
        rows = state.to_cut()
        facts, piece, after = (
            self.query_one(f"#{name}", Static) for name in ("facts", "piece", "next")
        )
        now = self.query_one(LargeLength)
        if not rows:
            now.show(None)
            facts.update(words.NOTHING_TO_CUT)
            piece.display = False
            self.query_one("#board", Static).display = False
            after.update(self._waiting(rows))
            return
        row, settings = rows[0], state.settings
        shown = format_length(row.cut.length, settings.display, settings.fineness)
        piece.display = row.cut.angled() or self.size.height >= ROOM_FOR_PICTURE
        piece.update(picture(row.cut, str(shown), self.size.width - 4))
        facts.update(self._facts(row, rows))
        lines = [words.then(self.memo.shown(each.cut)) for each in rows[1:3]]
        after.update("\n".join([*lines, self._waiting(rows)]).strip())
        self._find_board(row)
        now.show(shown)

    def _waiting(self, rows: list[Row]) -> str:
        """Return what is open and not offered here, and how many saw settings are to come."""
        state, settings = self.memo.state, saw_settings(rows)
        return words.waiting(
            len(state.of_state("doubtful")),
            len(state.open_rows()) - len(rows),
            settings if state.order == "saw" and settings > 1 else 0,
        )

    def _facts(self, row: Row, rows: list[Row]) -> str:
        """Return how many are left and what the piece is."""
        cut, settings = row.cut, self.memo.state.settings
        parts = [words.left_of(row.left, cut.count)]
        parts += [str(part) for part in (cut.allowance, cut.section, cut.piece) if part]
        parts += [part for part in (cut.note, words.for_place(cut)) if part]
        if cut.allowance is not None and settings.shade is not None:
            saw = format_length(sawn(cut, settings), settings.display, 64)
            parts.append(words.sawn_at(str(saw)))
        same = [each for each in rows[1:] if _wood(each) == _wood(row)]
        if same:
            left = sum(each.left for each in same)
            parts.append(words.same_length(left, [each.number for each in same]))
        block = [words.STOP_BLOCK] if row.stop_block_due else []
        again = [words.again(row.spoiled)] if row.spoiled else []
        cautions = [words.caution(self.memo.explain(each)) for each in row.cautions]
        return "\n".join([" · ".join(parts), *block, *again, *cautions])

    # --- the board in hand -------------------------------------------------------------------------------

    def _find_board(self, row: Row) -> None:
        """Find which board the piece comes off, where there are boards of its section."""
        section, line = row.cut.section, self.query_one("#board", Static)
        line.display = any(lot.section == section for lot in self.memo.state.rack.lots)
        if not line.display:
            return
        try:
            self.planner.plan(lambda plans: self._show_board(plans, row.id), section)
        except CutmemoError:
            line.display = False

    def _show_board(self, plans: Plans, row_id: str) -> None:
        if not self.is_attached:
            return
        boards = [board for plan in plans for board in plan.boards]
        found = next(((b, p) for b in boards for p in b.pieces if p.row_id == row_id), None)
        text = ""
        if found is not None:
            (board, piece), settings = found, self.memo.state.settings
            shown, mark = board_shown(board, settings), inches_shown(piece.end, settings)
            text = words.from_board(shown, board.lot is not None, mark)
        self.query_one("#board", Static).update(text)

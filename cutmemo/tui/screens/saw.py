"""The view at the saw: one length as large as the screen, what the piece is, and what comes
next.
"""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from cutmemo.domain.length import format_length
from cutmemo.errors import CutmemoError
from cutmemo.memo.rows import Row
from cutmemo.present.saw import NEXT_SHOWN, alerts, board_it_comes_off, not_offered, piece_facts
from cutmemo.tui.controllers.commands import Place
from cutmemo.tui.controllers.planner import Plans
from cutmemo.tui.screens.working import WorkingScreen
from cutmemo.tui.widgets.key_bar import KeyBar, labels
from cutmemo.tui.widgets.saw_sheet import AtSaw, SawSheet
from cutmemo.wording import screens as words

SHORT = 16
"""A screen with fewer rows has one for the keys."""


class SawScreen(WorkingScreen):
    """What to cut now. Listening is off here unless it is switched on, and then only orders are
    taken.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "clear", words.CUT_ONE, show=False),
        Binding("t", "trouble", words.TROUBLE, show=False),
    ]

    def compose(self) -> ComposeResult:
        """Lay out the sheet and the bar of keys."""
        yield SawSheet()
        yield KeyBar(labels(words.SAW_KEYS))

    _listening: words.Listening = "off"

    def on_mount(self) -> None:
        """Draw at once."""
        self.draw()

    @property
    def _sheet(self) -> SawSheet:
        return self.query_one(SawSheet)

    def tell(self, text: str, wrong: bool = False) -> None:
        """Show what happened."""
        self._sheet.show(replace(self._sheet.shown, told=text, refused=wrong))

    def show_listening(self, listening: words.Listening) -> None:
        """Show whether the microphone is open."""
        self._listening = listening
        self._draw_keys()

    def on_resize(self) -> None:
        """Leave keys off the bar where they would take a row from the length."""
        self._draw_keys()

    def _draw_keys(self) -> None:
        width = self.size.width if self.size.height < SHORT else None
        self.query_one(KeyBar).show(labels(words.saw_keys(self._listening, width)))

    def current(self) -> Row | None:
        """Return the first row that the saw is offered."""
        return next(iter(self.memo.offered()), None)

    def place(self, shown: str | None) -> Place:
        """Return that commands come from the saw."""
        return Place(at_saw=True, shown=shown)

    # --- what is shown ----------------------------------------------------------------------------

    def draw(self) -> None:
        """Show the first row large, and what comes after it."""
        rows, before = self.memo.offered(), self._sheet.shown
        now = (
            self.at_saw(rows)
            if rows
            else AtSaw(facts=words.NOTHING_TO_CUT, marks=tuple(self.memo.marks()))
        )
        waiting = not_offered(self.memo.state, rows, self.memo.going_on())
        self._sheet.show(replace(now, waiting=waiting, told=before.told, refused=before.refused))
        if rows:
            self._find_board(rows[0])

    def at_saw(self, rows: list[Row]) -> AtSaw:
        """Return what to show of the first of *rows*, the others to come after it."""
        row, settings = rows[0], self.memo.state.settings
        return AtSaw(
            length=format_length(row.cut.length, settings.display, settings.fineness),
            stop_block=words.STOP_BLOCK if row.stop_block_due else "",
            place=row.cut.place or "",
            facts=" · ".join(
                [words.left_of(row.left, row.cut.count), *piece_facts(rows, settings)]
            ),
            ends=words.both_ends(row.cut),
            alerts=tuple(alerts(row, settings)),
            marks=tuple(self.memo.marks()),
            cut=row.cut,
            following=tuple(
                words.then(self.memo.shown(each.cut)) for each in rows[1 : 1 + NEXT_SHOWN]
            ),
        )

    # --- the board in hand ------------------------------------------------------------------------

    def _find_board(self, row: Row) -> None:
        """Find which board the piece comes off, where there are boards of its section."""
        section = row.cut.section
        if not any(lot.section == section for lot in self.memo.state.rack.lots):
            return
        try:
            self.planner.plan(lambda plans: self._show_board(plans, row.id), section)
        except CutmemoError:
            return  # too many pieces to plan: they are cut without
        self._sheet.show(replace(self._sheet.shown, board=words.PLANNING))

    def _show_board(self, plans: Plans, row_id: str) -> None:
        if not self.is_attached:
            return
        text = board_it_comes_off(plans, row_id, self.memo.state.settings)
        self._sheet.show(replace(self._sheet.shown, board=text))

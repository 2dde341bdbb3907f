"""The rows that are open or asked about, one line each; only lines that changed are drawn anew."""

from __future__ import annotations

from rich.text import Text
from textual.widgets import DataTable

from cutmemo.domain.length import format_length
from cutmemo.domain.settings import Settings
from cutmemo.memo.rows import Row
from cutmemo.present.saw import what_it_is
from cutmemo.tui.controllers.commands import Commands
from cutmemo.wording import screens as words

WIDTHS = (5, 5, None, None, None, None)
"""Cells a column takes; ``None`` for as many as its widest line needs."""


class QueueTable(DataTable[Text]):
    """The queue of a memo, questions first."""

    def __init__(self, memo: Commands) -> None:
        """Show the queue of *memo*."""
        super().__init__(id="queue", cursor_type="row", zebra_stripes=True)
        self._memo = memo
        self._lines: dict[str, tuple[str, ...]] = {}
        self._made: dict[str, tuple[Row, Settings, tuple[str, ...]]] = {}

    def on_mount(self) -> None:
        """Name the columns."""
        for name, width in zip(words.COLUMNS, WIDTHS, strict=True):
            self.add_column(name, key=name, width=width)

    def draw(self) -> None:
        """Change the lines that changed; fill the table anew only when the order did."""
        state = self._memo.state
        rows = [*state.of_state("doubtful"), *state.open_rows()]
        going_on = self._memo.going_on()
        wanted = {row.id: self._line(row, state.settings) for row in rows}
        for row in rows:
            if row.id in going_on:
                wanted[row.id] = (f"{words.GOES_ON} {row.number}", *wanted[row.id][1:])
        for gone in [key for key in self._lines if key not in wanted]:
            self.remove_row(gone)
            del self._lines[gone]
        kept = list(self._lines)
        if list(wanted)[: len(kept)] != kept:
            self.clear()
            self._lines = {}
        for key, cells in wanted.items():
            before = self._lines.get(key)
            if before is None:
                self.add_row(*(Text(cell) for cell in cells), key=key)
            elif before != cells:
                for name, old, new in zip(words.COLUMNS, before, cells, strict=True):
                    if old != new:
                        self.update_cell(key, name, Text(new), update_width=True)
        self._lines = wanted

    def row_under_bar(self) -> Row | None:
        """Return the row under the bar."""
        if not self.row_count:
            return None
        key = self.coordinate_to_cell_key(self.cursor_coordinate).row_key.value
        return self._memo.state.rows.get(str(key))

    def move_bar_to(self, row: Row) -> None:
        """Put the bar on *row*."""
        self.move_cursor(row=self.get_row_index(row.id))

    def _line(self, row: Row, settings: Settings) -> tuple[str, ...]:
        """Return the cells of *row*, made anew only when the row or the settings changed."""
        made = self._made.get(row.id)
        if made is not None and made[0] is row and made[1] is settings:
            return made[2]
        cells = _cells(row, settings)
        self._made[row.id] = (row, settings, cells)
        return cells


def _cells(row: Row, settings: Settings) -> tuple[str, ...]:
    cut = row.cut
    board = " ".join(what_it_is(cut))
    length = str(format_length(cut.length, settings.display, settings.fineness))
    sign = words.HELD if row.held else words.AGAIN if row.spoiled else words.SIGNS[row.state]
    again = words.cut_again(row.spoiled[-1]) if row.spoiled else ""
    place = " · ".join(part for part in (again, cut.place or "") if part)
    ends = words.short_points(cut.ends_shown())
    return (f"{sign} {row.number}", words.pieces(row.left), length, board, ends, place)

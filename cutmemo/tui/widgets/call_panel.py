"""The call that is shown large: its length, its words, and what it asks."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from cutmemo.domain.length import format_length
from cutmemo.memo.rows import Row
from cutmemo.tui.controllers.commands import Commands
from cutmemo.tui.widgets.key_bar import Choices, KeyLabel
from cutmemo.tui.widgets.large_length import LargeLength
from cutmemo.wording import screens as words


class CallPanel(Horizontal):
    """One row of the memo, large, and the words that are being heard."""

    def __init__(self, memo: Commands) -> None:
        """Show rows of *memo*."""
        super().__init__(id="call")
        self._memo = memo

    def compose(self) -> ComposeResult:
        """Lay out the numerals on the left, the words on the right."""
        yield LargeLength("numerals")
        with Vertical(id="said"):
            yield Static(id="rowhead", markup=False)
            yield Choices([], id="readings")
            yield Static(id="what", markup=False)
            yield Static(id="reasons", markup=False)
            yield Static(id="words", markup=False)

    def show(self, row: Row | None) -> None:
        """Show *row*, or that nothing was called yet."""
        numerals, what = self.query_one(LargeLength), self.query_one("#what", Static)
        readings, reasons = self.query_one(Choices), self.query_one("#reasons", Static)
        if row is None:
            numerals.show(None)
            self.query_one("#rowhead", Static).update("")
            what.update(words.NO_CALL)
            readings.show([])
            reasons.update("")
            return
        settings, asks = self._memo.state.settings, row.state == "doubtful"
        numerals.show(
            format_length(row.cut.length, settings.display, settings.fineness),
            words.pieces(row.cut.count) if row.cut.count != 1 else "",
        )
        head = f"{words.SIGNS.get(row.state, '')} {words.row_head(row.number, row.state)}"
        cautions = [words.caution(self._memo.explain(each)) for each in row.cautions]
        self.query_one("#rowhead", Static).update(head)
        what.update("\n".join([words.quoted(row.said), self._memo.shown(row.cut), *cautions]))
        self.set_class(asks, "asked")
        choices = enumerate(self._memo.choices(row) if asks else (), start=1)
        readings.show([KeyLabel(str(number), choice) for number, choice in choices])
        why = [words.question(self._memo.explain(each)) for each in row.doubts if asks]
        reasons.update("\n".join(why))

    def show_words(self, heard: str) -> None:
        """Show the words heard so far; nothing once the utterance is over."""
        self.query_one("#words", Static).update(words.partial(heard))

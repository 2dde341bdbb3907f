"""The memo: the last call large, the queue below it, and the line to type in."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from cutmemo.memo.rows import Row
from cutmemo.tui.controllers.commands import Commands, Place
from cutmemo.tui.controllers.planner import Planner
from cutmemo.tui.keys import BAR
from cutmemo.tui.screens.working import Do, WorkingScreen
from cutmemo.tui.widgets.call_panel import CallPanel
from cutmemo.tui.widgets.entry import Entry
from cutmemo.tui.widgets.key_bar import KeyBar, labels
from cutmemo.tui.widgets.marks import Marks
from cutmemo.tui.widgets.queue_table import QueueTable
from cutmemo.wording import screens as words


class MemoScreen(WorkingScreen):
    """The first screen, on which calls are made and answered."""

    def __init__(self, memo: Commands, do: Do, planner: Planner) -> None:
        """Show *memo*, beginning with the row that was touched last."""
        super().__init__(memo, do, planner)
        rows = memo.state.rows.values()
        self._shown: Row | None = max(rows, key=lambda row: row.touched, default=None)

    def compose(self) -> ComposeResult:
        """Lay the parts out from top to bottom."""
        with Horizontal(id="head"):
            yield Static(words.ear("off", reading_back=False), id="ear", markup=False)
            yield Static(id="manner", markup=False)
        yield Marks()
        yield CallPanel(self.memo)
        yield QueueTable(self.memo)
        yield Static(id="told", markup=False)
        yield Entry(id="entry", placeholder=words.ENTRY_HINT)
        yield Static(id="sums", markup=False)
        yield KeyBar(labels(BAR), id="keys")

    def on_mount(self) -> None:
        """Fill the screen."""
        self.draw()
        self.query_one(QueueTable).focus()

    # --- what is shown ----------------------------------------------------------------------------

    @property
    def shown(self) -> Row | None:
        """Return the row that stands large, as it is now."""
        return self.memo.state.rows.get(self._shown.id) if self._shown is not None else None

    def show(self, row: Row | None) -> None:
        """Show *row* large from now on, or the one that is shown as it is now; the bar goes to it
        where it asks.
        """
        self._shown = row or self._shown
        self.draw()
        if self.shown is not None and self.shown.state == "doubtful":
            for table in self.query(QueueTable):
                table.move_bar_to(self.shown)

    def draw(self) -> None:
        """Draw everything that follows from the memo; nothing while the program closes, when the
        parts are gone already.
        """
        if not self.query("#manner"):
            return
        state = self.memo.state
        self.query_one("#manner", Static).update(words.settings_line(state.settings, state.order))
        self.query_one(Marks).show(self.memo.marks())
        self.query_one(CallPanel).show(self.shown)
        self.query_one(QueueTable).draw()
        self.query_one("#sums", Static).update(self.memo.totals())

    def show_ear(self, listening: words.Listening, reading_back: bool) -> None:
        """Show whether the microphone is open, and whether calls are read back."""
        ear = self.query_one("#ear", Static)
        ear.update(words.ear(listening, reading_back))
        ear.set_class(listening in ("on", "talk"), "live")

    def show_words(self, heard: str) -> None:
        """Show the words heard so far."""
        self.query_one(CallPanel).show_words(heard)

    def tell(self, text: str, wrong: bool = False) -> None:
        """Show what happened."""
        line = self.query_one("#told", Static)
        line.update(text)
        line.set_class(wrong, "wrong")

    # --- where the person is ----------------------------------------------------------------------

    def current(self) -> Row | None:
        """Return the row under the bar."""
        return self.query_one(QueueTable).row_under_bar()

    def place(self, shown: str | None) -> Place:
        """Return that commands come from the memo."""
        return Place(shown=shown)

    @on(QueueTable.RowHighlighted, "#queue")
    def _highlighted(self) -> None:
        row = self.current()
        if row is not None and row.state == "doubtful":
            self._shown = row
            self.query_one(CallPanel).show(row)

    # --- typing -----------------------------------------------------------------------------------

    def type_here(self) -> None:
        """Go to the entry line, at once: what is typed fast behind the key belongs there."""
        self.set_focus(self.query_one(Entry))

    def leave_typing(self) -> None:
        """Leave the entry line."""
        self.query_one(QueueTable).focus()

    def on_descendant_focus(self) -> None:
        """Name the keys that work where the cursor is."""
        typing = isinstance(self.focused, Entry)
        self.query_one("#keys", KeyBar).show(labels(words.TYPING_KEYS if typing else BAR))

    @on(Entry.Submitted, "#entry")
    def _entered(self, event: Entry.Submitted) -> None:
        if not event.value.strip():
            self.leave_typing()
        elif self._do(lambda: self.memo.say(event.value)) is None:
            self.query_one(Entry).put_back(event.value)

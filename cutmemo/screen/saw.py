"""The view at the saw: one length as large as the screen, what it is, and the next two."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Static

from cutmemo.checks import sawn
from cutmemo.length import show
from cutmemo.queue import Row
from cutmemo.screen.numerals import largest
from cutmemo.session import Session


class SawScreen(Screen[None]):
    """What to cut now. Listening is off here unless it is switched on."""

    def __init__(self, session: Session) -> None:
        """Show the open rows of *session*."""
        super().__init__()
        self._session = session

    def compose(self) -> ComposeResult:
        """Lay out the numerals, what they are, and what comes next."""
        yield Static(id="now", markup=False)
        yield Static(id="facts", markup=False)
        yield Static(id="next", markup=False)
        yield Static(" [c] cut one  [C] cut all  [u] undo  [x] strike  [s] back   Eyes on the blade.",
                     id="sawkeys", markup=False)  # fmt: skip

    def on_mount(self) -> None:
        """Draw once the size is known."""
        self.call_after_refresh(self.draw)

    def on_resize(self) -> None:
        """Draw to the new size."""
        self.call_after_refresh(self.draw)

    def draw(self) -> None:
        """Show the first open row large, the next two below it."""
        rows = self._session.queue.open_rows()[:3]
        now, facts, after = (self.query_one(f"#{name}", Static) for name in ("now", "facts", "next"))
        asked = len(self._session.queue.of_state("doubtful"))
        waiting = f"? {asked} asked: answer before cutting those" if asked else ""
        if not rows:
            now.update("")
            facts.update("Nothing open to cut.")
            after.update(waiting)
            return
        manner = self._session.queue.manner
        shown = show(rows[0].cut.length, manner.display, manner.fineness)
        now.update(largest(shown, max(now.size.width, 20), max(now.size.height, 4)))
        facts.update(self._facts(rows[0]))
        lines = [f"then  {self._session.shown(row.cut)}" for row in rows[1:]]
        after.update("\n".join([*lines, waiting]).strip())

    def _facts(self, row: Row) -> str:
        """Return how many are left and what the piece is."""
        cut = row.cut
        parts = [f"{row.left} of {cut.count} left" if cut.count > 1 else "1 piece"]
        parts += [str(part) for part in (cut.shade, cut.section, cut.piece) if part]
        parts += [part for part in (cut.ends_shown(), cut.note, f"for {cut.place}" if cut.place else "") if part]
        if cut.shade is not None and self._session.queue.manner.shade is not None:
            parts.append(f"saw {show(sawn(cut, self._session.queue.manner), self._session.queue.manner.display, 64)}")
        block = ["CHECK THE STOP BLOCK"] if row.stop_block_due else []
        return "\n".join([" · ".join(parts), *block, *(f"! {warning}" for warning in row.warnings)])

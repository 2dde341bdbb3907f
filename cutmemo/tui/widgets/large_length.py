"""A length as large as the place it has, drawn anew whenever that place changes."""

from __future__ import annotations

from textual.events import Resize
from textual.widgets import Static

from cutmemo.domain.length import FormattedLength
from cutmemo.tui.widgets.numerals import largest

MIN_WIDTH, MIN_HEIGHT = 10, 1
"""Before the first lay-out there is no size yet."""


class LargeLength(Static):
    """One length in block numerals."""

    def __init__(self, name: str) -> None:
        """Show nothing yet; *name* is the widget's id."""
        super().__init__(id=name, markup=False)
        self._shown: FormattedLength | None = None
        self._lead = ""

    def show(self, shown: FormattedLength | None, lead: str = "") -> None:
        """Show a length behind a *lead* (``4×``), or nothing."""
        self._shown, self._lead = shown, lead
        self._draw()

    def on_resize(self, _event: Resize) -> None:
        """Draw to the new size."""
        self._draw()

    def _draw(self) -> None:
        if self._shown is None:
            self.update("")
            return
        width, height = max(self.size.width, MIN_WIDTH), max(self.size.height, MIN_HEIGHT)
        self.update(largest(self._shown, width, height, self._lead))

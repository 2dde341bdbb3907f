"""What every screen says of entries that cannot be read; it takes no room where there is nothing to
say.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.widgets import Static


class Marks(Static):
    """Marks, one a line."""

    def __init__(self) -> None:
        """Say nothing yet."""
        super().__init__(id="marks", markup=False)
        self.display = False

    def show(self, marks: Sequence[str]) -> None:
        """Show these marks."""
        self.display = bool(marks)
        self.update("\n".join(marks))

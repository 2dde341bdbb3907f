"""Asks once before something is done that a slip of the glove should not do."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.tui.sizes import LOW
from cutmemo.tui.widgets.key_bar import Choices, labels
from cutmemo.wording import screens as words


class ConfirmScreen(ModalScreen[bool]):
    """One question: Enter does it, Escape leaves everything as it is."""

    VERTICAL_BREAKPOINTS = LOW

    BINDINGS: ClassVar[list[BindingType]] = [
        ("enter", "dismiss(True)", words.DO_IT),
        ("escape", "dismiss(False)", words.BACK),
    ]

    def __init__(self, question: str, yes: str) -> None:
        """Ask *question*; *yes* is what Enter does."""
        super().__init__()
        self._question, self._yes = question, yes

    def compose(self) -> ComposeResult:
        """Show the question and its two keys."""
        with Vertical(classes="asks"):
            yield Static(self._question, id="question", markup=False)
            yield Choices(labels(words.confirm_keys(self._yes)))

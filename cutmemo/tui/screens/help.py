"""The page of help."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.wording import screens as words


class HelpScreen(ModalScreen[None]):
    """One page of help over the memo."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,h,q", "dismiss", words.BACK)]

    def compose(self) -> ComposeResult:
        """Show the page."""
        with VerticalScroll(id="help"):
            yield Static(words.HELP_PAGE, markup=False)

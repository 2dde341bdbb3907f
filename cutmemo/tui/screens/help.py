"""The page of help."""

from __future__ import annotations

from typing import ClassVar

from rich.columns import Columns
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.tui.widgets.key_bar import Choices, labels
from cutmemo.wording import screens as words


class HelpScreen(ModalScreen[None]):
    """One page of help over the memo."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,h,q", "dismiss", words.BACK)]

    def compose(self) -> ComposeResult:
        """Show the page."""
        with VerticalScroll(id="help"):
            yield Static(words.HELP_KEYS_TITLE, markup=False)
            yield Static(_key_table())
            yield Static(f"{words.HELP_KEYS_NOTE}\n\n{words.HELP_PAGE}", markup=False)
            yield Choices(labels(words.PAGE_KEYS))


def _key_table() -> Columns:
    """Return the keys in as many columns as fit."""
    keys = [Text(f"  {key.ljust(5)} {does}") for key, does in words.HELP_KEYS]
    return Columns(keys, equal=True, padding=(0, 1))

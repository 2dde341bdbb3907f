"""The page of help, and from it the pages of the guide."""

from __future__ import annotations

from typing import ClassVar

from rich.columns import Columns
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.present.guide import guide_as_text
from cutmemo.tui.screens.pages import Page
from cutmemo.tui.widgets.key_bar import Choices, labels
from cutmemo.wording import guide
from cutmemo.wording import screens as words

WIDTH, FRAME = 84, 6
"""Cells: the widest that a page is, and what its border, its padding and the scroll bar take of
that.
"""


class HelpScreen(ModalScreen[None]):
    """One page of help over the memo."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape,h,question_mark,f1,q", "dismiss", words.BACK),
        *(
            Binding(str(n), f"topic('{topic}')", topic)
            for n, topic in enumerate(guide.TOPICS, start=1)
        ),
    ]

    def compose(self) -> ComposeResult:
        """Show the page."""
        topics = ((str(n), f"{t}: {about}") for n, (t, about) in enumerate(guide.TOPICS.items(), 1))
        with VerticalScroll(id="help"):
            yield Static(words.HELP_KEYS_TITLE, markup=False)
            yield Static(_key_table())
            yield Static(f"{words.HELP_KEYS_NOTE}\n\n{guide.ON_SCREEN}", markup=False)
            yield Choices(labels(topics))
            yield Static(f"\n{words.HELP_PAGE}", markup=False)
            yield Choices(labels(words.PAGE_KEYS))

    def action_topic(self, topic: str) -> None:
        """Open a page of the guide."""
        self.app.push_screen(Page(guide_as_text(topic, min(WIDTH, self.app.size.width) - FRAME)))


def _key_table() -> Columns:
    """Return the keys in as many columns as fit."""
    keys = [Text(f"  {key.ljust(5)} {does}") for key, does in words.HELP_KEYS]
    return Columns(keys, equal=True, padding=(0, 1))

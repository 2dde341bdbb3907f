"""Pages over the memo, to be read: a set of cuts with its picture, and the hand-off."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.framing import Assembly
from cutmemo.present import assembly_as_text, assembly_title
from cutmemo.tui.controllers.commands import Commands
from cutmemo.tui.widgets.key_bar import Choices, labels
from cutmemo.wording import screens as words


class Page(ModalScreen[None]):
    """Text over the memo, to scroll and to leave."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,enter,e", "dismiss", words.BACK)]

    def __init__(self, text: str) -> None:
        """Show *text*."""
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        """Show the page."""
        with VerticalScroll(id="help"):
            yield Static(self._text, id="page", markup=False)
            yield Choices(labels(words.PAGE_KEYS))


class AssemblyPage(ModalScreen[bool | None]):
    """A set of cuts with its picture; where it was called by voice, it asks whether all of it is
    right.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("1,y", "say(True)", words.ALL_RIGHT),
        ("x", "say(False)", words.NOT_RIGHT),
        ("escape,enter", "say(None)", words.BACK),
    ]

    def __init__(
        self, frame: Assembly, memo: Commands, asks: bool, cautions: tuple[str, ...] = ()
    ) -> None:
        """Show *frame*; *asks* whether it is right; *cautions* are what to mind about its cuts."""
        super().__init__()
        self._asks = asks
        title = assembly_title(frame, memo.state.settings).upper()
        self._head = title if asks else f"{title}\n\n{words.SET_ADDED}"
        self._text = assembly_as_text(frame, memo.shown, memo.state.settings, cautions)

    def compose(self) -> ComposeResult:
        """Show the page."""
        with VerticalScroll(id="help"):
            yield Static(self._head, id="title", markup=False)
            yield Choices(labels(words.SET_ASK_KEYS if self._asks else words.SET_KEYS))
            yield Static(self._text, id="page", markup=False)

    def action_say(self, right: bool | None) -> None:
        """Leave, with what was said of it."""
        self.dismiss(right if self._asks or right is False else None)

"""Pages over the memo that are only read: a set of cuts with its picture, and the hand-off."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.framing import Assembly
from cutmemo.present import assembly_as_text
from cutmemo.service import Session


class Page(ModalScreen[None]):
    """Text over the memo, to scroll and to leave."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,enter,e", "dismiss", "Back")]

    def __init__(self, text: str) -> None:
        """Show *text*."""
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        """Show the page."""
        with VerticalScroll(id="help"):
            yield Static(self._text, id="page", markup=False)


class AssemblyPage(ModalScreen[bool | None]):
    """A set of cuts with its picture; where it was called by voice, it asks whether all of it is right."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("1,y", "say(True)", "All right"),
        ("x", "say(False)", "Not right"),
        ("escape,enter", "say(None)", "Back"),
    ]

    def __init__(self, frame: Assembly, session: Session, asks: bool) -> None:
        """Show *frame*; *asks* whether it is right."""
        super().__init__()
        self._asks = asks
        question = "[1] all of it is right   [x] it is not: take it back"
        end = question if asks else "All of it is on the list. Esc goes on, [x] takes it back."
        self._text = "\n\n".join([frame.title.upper(), end, assembly_as_text(frame, session.shown)])

    def compose(self) -> ComposeResult:
        """Show the page."""
        with VerticalScroll(id="help"):
            yield Static(self._text, id="page", markup=False)

    def action_say(self, right: bool | None) -> None:
        """Leave, with what was said of it."""
        self.dismiss(right if self._asks or right is False else None)

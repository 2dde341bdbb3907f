"""Pages over the memo that are only read: a set of cuts with its picture, and the hand-off."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.framing import Frame
from cutmemo.session import Session
from cutmemo.sheet import frame_as_text


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


def frame_page(frame: Frame, session: Session) -> Page:
    """Return the page of a set that was just called."""
    end = "All of it is on the list. Esc goes on; u then takes the whole set back."
    return Page("\n\n".join([frame.title.upper(), frame_as_text(frame, session.shown), end]))

"""Asks what is wrong with a piece: one key for the reason, one for which piece."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.domain.length import format_length
from cutmemo.language import Trouble
from cutmemo.memo.decide.saw import Suspect
from cutmemo.tui.controllers.commands import Commands
from cutmemo.tui.sizes import LOW
from cutmemo.tui.widgets.key_bar import Choices, labels
from cutmemo.wording import screens as words

REASONS: tuple[Trouble, ...] = ("short", "long", "wrong angle", "bad stock")


class TroubleScreen(ModalScreen[tuple[Trouble, Suspect] | None]):
    """One question over the saw view."""

    VERTICAL_BREAKPOINTS = LOW

    BINDINGS: ClassVar[list[BindingType]] = [
        *((str(n), f"take({n})", reason) for n, reason in enumerate(REASONS, start=1)),
        ("tab", "other", words.OTHER_PIECE),
        ("escape,t", "leave", words.BACK),
    ]

    def __init__(self, memo: Commands, suspects: list[Suspect]) -> None:
        """Ask about *suspects*, the likelier first."""
        super().__init__()
        self._memo, self._suspects = memo, suspects

    def compose(self) -> ComposeResult:
        """Show the question and its keys."""
        with Vertical(classes="asks"):
            yield Static(id="question", markup=False)
            yield Choices([])

    def on_mount(self) -> None:
        """Draw it."""
        self._draw()

    def _draw(self) -> None:
        one, *others = self._suspects
        self.query_one("#question", Static).update(words.trouble_with(*self._facts(one)))
        keys = [(str(n), words.TROUBLES[reason]) for n, reason in enumerate(REASONS, start=1)]
        keys += [("tab", words.not_that_one(*self._facts(other))) for other in others]
        self.query_one(Choices).show(labels([*keys, ("escape", words.NO_TROUBLE)]))

    def _facts(self, suspect: Suspect) -> tuple[bool, int, str]:
        settings = self._memo.state.settings
        length = format_length(suspect.row.cut.length, settings.display, settings.fineness)
        return suspect.was_cut, suspect.row.number, str(length)

    def action_take(self, number: int) -> None:
        """Take a reason."""
        self.dismiss((REASONS[number - 1], self._suspects[0]))

    def action_other(self) -> None:
        """Mean the other piece."""
        self._suspects = [*self._suspects[1:], self._suspects[0]]
        self._draw()

    def action_leave(self) -> None:
        """Change nothing."""
        self.dismiss(None)

"""Asks what is wrong with a piece: one key for the reason, one for which piece."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import ModalScreen
from textual.widgets import Static

from cutmemo.language import Trouble
from cutmemo.memo.decide.saw import Suspect
from cutmemo.service import Session

REASONS: tuple[tuple[Trouble, str], ...] = (
    ("short", "cut too short: scrap, cut it again"),
    ("long", "cut too long: trim it"),
    ("wrong angle", "wrong angle: scrap, cut it again"),
    ("bad stock", "bad stock: the board is gone, cut it again"),
)


class TroubleScreen(ModalScreen[tuple[Trouble, Suspect] | None]):
    """One question over the saw view."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *((str(n), f"take({n})", reason) for n, (reason, _) in enumerate(REASONS, start=1)),
        ("tab", "other", "The other piece"),
        ("escape,t", "leave", "Back"),
    ]

    def __init__(self, session: Session, suspects: list[Suspect]) -> None:
        """Ask about *suspects*, the likelier first."""
        super().__init__()
        self._session, self._suspects = session, suspects

    def compose(self) -> ComposeResult:
        """Show the question."""
        yield Static(id="trouble", markup=False)

    def on_mount(self) -> None:
        """Draw it."""
        self._draw()

    def _draw(self) -> None:
        one, *others = self._suspects
        lines = [f"TROUBLE with {self._named(one)}", ""]
        lines += [f"  [{n}] {told}" for n, (_, told) in enumerate(REASONS, start=1)]
        lines += [
            "",
            *(f"  [Tab] not that one, but {self._named(other)}" for other in others),
            "  [Esc] no trouble",
        ]
        self.query_one("#trouble", Static).update("\n".join(lines))

    def _named(self, suspect: Suspect) -> str:
        which = "the piece just cut" if suspect.was_cut else "the piece in hand"
        return f"{which}: row {suspect.row.number}, {self._session.shown(suspect.row.cut)}"

    def action_take(self, number: int) -> None:
        """Take a reason."""
        self.dismiss((REASONS[number - 1][0], self._suspects[0]))

    def action_other(self) -> None:
        """Mean the other piece."""
        self._suspects = [*self._suspects[1:], self._suspects[0]]
        self._draw()

    def action_leave(self) -> None:
        """Change nothing."""
        self.dismiss(None)

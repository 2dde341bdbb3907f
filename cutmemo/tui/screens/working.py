"""What the screens of the day's work share: keys that act on the row in hand."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable

from textual.screen import Screen

from cutmemo.language import Trouble
from cutmemo.memo.decide.saw import Suspect
from cutmemo.memo.rows import Row
from cutmemo.tui.controllers.commands import Commands, Place
from cutmemo.tui.controllers.planner import Planner
from cutmemo.tui.screens.confirm import ConfirmScreen
from cutmemo.tui.screens.help import HelpScreen
from cutmemo.tui.screens.pages import Page
from cutmemo.tui.screens.trouble import TroubleScreen
from cutmemo.tui.sizes import LOW
from cutmemo.wording import Told
from cutmemo.wording import screens as words

Do = Callable[[Callable[[], Told | None]], Told | None]
"""Carries out an action and shows what came of it; ``None`` where it could not be done."""


class WorkingScreen(Screen[None]):
    """A screen with a row in hand."""

    VERTICAL_BREAKPOINTS = LOW

    def __init__(self, memo: Commands, do: Do, planner: Planner) -> None:
        """Show *memo*; keys act through *do*, boards are planned by *planner*."""
        super().__init__()
        self.memo, self._do, self.planner = memo, do, planner

    @abstractmethod
    def draw(self) -> None:
        """Draw everything that follows from the memo."""

    @abstractmethod
    def tell(self, text: str, wrong: bool = False) -> None:
        """Show what happened."""

    @abstractmethod
    def current(self) -> Row | None:
        """Return the row that keys act on."""

    @abstractmethod
    def place(self, shown: str | None) -> Place:
        """Return where commands come from, with the row that is *shown* large on the memo."""

    def show_listening(self, listening: words.Listening) -> None:
        """Show whether the microphone is open."""

    def _row_id(self) -> str | None:
        row = self.current()
        return row.id if row is not None else None

    # --- keys -------------------------------------------------------------------------------------

    def action_clear(self) -> None:
        """One piece of the row is cut."""
        row_id = self._row_id()
        self._do(lambda: self.memo.clear(row_id))

    def action_clear_all(self) -> None:
        """All pieces of the row are cut, once that was asked."""
        row = self.current()
        if row is None or row.left < 2:
            self.action_clear()
            return
        question = words.clear_all_asks(row.number, self.memo.shown(row.cut), row.left)
        self._ask(question, lambda: self.memo.clear(row.id, all_left=True))

    def _ask(self, question: tuple[str, str], action: Callable[[], Told]) -> None:
        """Do *action* if the answer to *question* is yes."""

        def answered(yes: bool | None) -> None:
            if yes:
                self._do(action)

        self.app.push_screen(ConfirmScreen(*question), answered)

    def action_undo(self) -> None:
        """Take back the last thing done here."""
        self._do(self.memo.undo)

    def action_redo(self) -> None:
        """Do it again."""
        self._do(self.memo.redo)

    def action_strike(self) -> None:
        """Take the row off the list, once that was asked."""
        row = self.current()
        if row is None:
            self.tell(words.NO_ROW, wrong=True)
        else:
            question = words.strike_asks(row.number, self.memo.shown(row.cut))
            self._ask(question, lambda: self.memo.strike(row.id))

    def action_put_back(self) -> None:
        """Put back what was cut or struck last."""
        self._do(self.memo.put_back)

    def action_give(self, verb: str) -> None:
        """Give an order about the row."""
        row_id = self._row_id()
        self._do(lambda: self.memo.order(verb, row_id))

    def action_hold(self) -> None:
        """Keep the row back from the saw, or offer it there again."""
        row = self.current()
        act = self.memo.release if row is not None and row.held else self.memo.hold
        self._do(lambda: act(row.id if row is not None else None))

    def action_order(self) -> None:
        """Take the next order."""
        self._do(self.memo.next_order)

    def action_answer(self, choice: int) -> None:
        """Take a reading of the row that asks: the one that is shown, or the last that asked."""
        self._do(lambda: self.memo.answer(choice))

    def action_print(self) -> None:
        """Print what is shown, where that can be printed."""

    def action_handoff(self) -> None:
        """Show what the next one has to know."""
        self.app.push_screen(Page(self.memo.handoff()))

    def action_help(self) -> None:
        """Show the keys, how to speak, and what to mind."""
        self.app.push_screen(HelpScreen())

    def action_trouble(self) -> None:
        """Ask what is wrong with a piece."""
        suspects = self.memo.suspects()
        if not suspects:
            self.tell(words.NO_PIECE, wrong=True)
            return
        self.app.push_screen(TroubleScreen(self.memo, suspects), self._take_trouble)

    def _take_trouble(self, taken: tuple[Trouble, Suspect] | None) -> None:
        if taken is not None:
            self._do(lambda: self.memo.spoil(*taken))

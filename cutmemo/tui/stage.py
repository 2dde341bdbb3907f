"""Carries out what is asked of the memo, and shows on every screen that is up what came of it."""

from __future__ import annotations

import logging
from collections.abc import Callable

from textual.app import App

from cutmemo.errors import CutmemoError
from cutmemo.memo.rows import Row
from cutmemo.service import Station
from cutmemo.tui.controllers.commands import Commands, Place
from cutmemo.tui.controllers.planner import Planner
from cutmemo.tui.controllers.readback import ReadBack
from cutmemo.tui.controllers.response import Response, respond, told
from cutmemo.tui.screens.boards import BoardScreen
from cutmemo.tui.screens.memo import MemoScreen
from cutmemo.tui.screens.pages import AssemblyPage
from cutmemo.tui.screens.working import WorkingScreen
from cutmemo.wording import Told, explain_error

_log = logging.getLogger(__name__)


class Stage:
    """The screens of one app, with the memo they show."""

    def __init__(
        self,
        app: App[int],
        station: Station,
        read_back: ReadBack,
        cue: Callable[[Response], None],
    ) -> None:
        """Show *station* on the screens of *app*; *cue* does what a response asks of the sound."""
        self._app, self._read_back, self._cue = app, read_back, cue
        self.memo = Commands(station, self._place)
        self._going_on: frozenset[str] = frozenset()
        self._office: list[str] = []
        self.planner = Planner(self.memo, self._beside, app.call_from_thread)
        self.memo_screen = MemoScreen(self.memo, self.do, self.planner)

    def _beside(self, work: Callable[[], object], group: str) -> None:
        self._app.run_worker(work, thread=True, group=group, exclusive=True)

    # --- which screen -----------------------------------------------------------------------------

    @property
    def working(self) -> WorkingScreen:
        """Return the screen of the day's work that is up, be it below a page."""
        screens = reversed(self._app.screen_stack)
        return next(screen for screen in screens if isinstance(screen, WorkingScreen))

    def _place(self) -> Place:
        shown = self.memo_screen.shown
        return self.working.place(shown.id if shown is not None else None)

    def open(self, view: type[WorkingScreen]) -> bool:
        """Open a *view* of the memo, or leave it; return whether it was opened."""
        if isinstance(self._app.screen, view):
            self._app.pop_screen()
            return False
        self._app.push_screen(view(self.memo, self.do, self.planner))
        return True

    # --- what is shown ----------------------------------------------------------------------------

    def draw(self, row: Row | None = None) -> None:
        """Draw what follows from the memo, with *row* large from now on."""
        self.memo_screen.show(row)
        if self.working is not self.memo_screen:
            self.working.draw()
        if not isinstance(self.working, BoardScreen):
            self.planner.ahead()

    def tell(self, text: str, wrong: bool = False) -> None:
        """Show a sentence, on the memo and on what stands over it."""
        self.memo_screen.tell(text, wrong)
        if self.working is not self.memo_screen:
            self.working.tell(text, wrong)

    def refuse(self, text: str) -> None:
        """Show why something could not be done."""
        self.tell(told(text, wrong=True), wrong=True)

    # --- what is done -----------------------------------------------------------------------------

    def do(self, action: Callable[[], Told | None]) -> Told | None:
        """Carry out *action*; show what came of it, or why it could not be done."""
        try:
            outcome = action()
        except CutmemoError as error:
            _log.warning("refused (%s): %s", error.code, explain_error(error))
            self.refuse(explain_error(error))
            self._read_back.refusal()
            self.draw()
            return None
        if outcome is not None:
            self._show(outcome)
        return outcome

    def _show(self, outcome: Told) -> None:
        _log.info("%s: %s", outcome.happened, outcome.text)
        if isinstance(self._app.screen, AssemblyPage):
            self._app.pop_screen()  # the day went on, by voice or on another key
        response = respond(outcome, self.memo.question())
        self.tell(response.text, response.wrong)
        self.draw(response.row)
        self._read_back.outcome(outcome)
        if response.following is not None:  # an answer goes to what is shown
            self._read_back.row(response.following)
        if response.page is not None:
            page = AssemblyPage(response.page, self.memo, response.wrong, outcome.cautions)
            self._app.push_screen(page, lambda right: self._take_set(outcome.row, right))
        self._cue(response)

    def _take_set(self, row: Row | None, right: bool | None) -> None:
        """Do what was said of a set on its page; without a word a question stays a question."""
        if row is None or right is None:
            return
        self.do(lambda: self.memo.answer(1, row.id) if right else self.memo.refuse(row.id))

    def follow(self) -> None:
        """Show what other stations did, that a row whose call may go on is whole, and how the
        memo stands to its office.
        """
        going_on, self._going_on = self._going_on, self.memo.going_on()
        office, self._office = self._office, self.memo.office()
        try:
            if self.memo.follow() or (going_on, office) != (self._going_on, self._office):
                self.draw()
        except CutmemoError as error:
            self.refuse(explain_error(error))

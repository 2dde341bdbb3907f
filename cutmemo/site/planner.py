"""Plans the boards beside everything else, once pages look at them and the memo has changed."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from typing import Any

from cutmemo.errors import CutmemoError
from cutmemo.memo.decide.rack import planning_job
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.planning import SectionPlan
from cutmemo.present.saw import board_it_comes_off
from cutmemo.site.board_view import NO_BOARDS, boards_shown
from cutmemo.site.protocol import message_text
from cutmemo.wording import explain_error
from cutmemo.wording import screens as words

_log = logging.getLogger(__name__)


class Planner:
    """The boards of one memo. A plan that is under way when the memo changes is followed by one of
    the memo as it is then.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        """Call *changed*, on any thread, when there are new boards."""
        self._changed = changed
        self._wanted: MemoState | None = None
        self._planned_at = -1
        self._plans: list[SectionPlan] = []
        self._wake = threading.Event()
        self._closed = False
        self._thread: threading.Thread | None = None
        self.message = message_text(
            "boards", rev=0, state="planning", sentence=words.PLANNING, **NO_BOARDS
        )

    def plan(self, state: MemoState) -> None:
        """Plan the boards of the memo as it stands in *state*, unless that is done."""
        if self._wanted is not None and self._wanted.position == state.position:
            return
        self._wanted = state
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="planner", daemon=True)
            self._thread.start()
        self._wake.set()

    def close(self) -> None:
        """Plan nothing more."""
        self._closed = True
        self._wake.set()

    def board_of(self, row: Row, state: MemoState) -> str:
        """Return which board the next piece of *row* comes off; empty where nobody planned it."""
        if not any(lot.section == row.cut.section for lot in state.rack.lots):
            return ""
        if self._planned_at != state.position:
            return words.PLANNING if self._wanted is not None else ""
        return board_it_comes_off(self._plans, row.id, state.settings)

    def _run(self) -> None:
        """Plan whenever there is something new to plan."""
        while not self._closed:
            self._wake.wait()
            self._wake.clear()
            state = self._wanted
            if state is None or state.position == self._planned_at or self._closed:
                continue
            try:
                facts = self._solve(state)
            except CutmemoError as error:
                facts = {"state": "cannot", "sentence": explain_error(error), **NO_BOARDS}
            except Exception as error:  # the end of a worker: whatever it was is shown
                _log.exception("planning failed")
                facts = {"state": "cannot", "sentence": str(error), **NO_BOARDS}
            self._planned_at = state.position
            self.message = message_text("boards", rev=state.position, **facts)
            self._changed()

    def _solve(self, state: MemoState) -> dict[str, Any]:
        plans = planning_job(state).solve()
        self._plans = plans
        return {
            "state": "planned",
            "sentence": words.PLANNED if plans else words.NOTHING_OPEN,
            **boards_shown(plans, state),
        }

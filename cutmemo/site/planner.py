"""Plans the boards beside everything else, once pages look at them and the memo has changed.

The plan is shown at once. Where it stands without a proof one is looked for, and what that finds is
shown when it comes, unless the memo has changed since.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from typing import Any

from cutmemo.errors import CutmemoError
from cutmemo.memo.decide.rack import PlanningJob, planning_job
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.planning import SectionPlan
from cutmemo.present.saw import board_it_comes_off
from cutmemo.site.board_view import NO_BOARDS, boards_shown
from cutmemo.site.protocol import message_text
from cutmemo.site.proving import Proving
from cutmemo.wording import explain_error
from cutmemo.wording import screens as words
from cutmemo.wording.boards import better_found

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
        self._proving = Proving()
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
        self._proving.give_up()

    def close(self) -> None:
        """Plan nothing more."""
        self._closed = True
        self._wake.set()
        self._proving.give_up()

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
                self._plan_and_prove(state)
            except CutmemoError as error:
                self._show(state, "cannot", explain_error(error), **NO_BOARDS)
            except Exception as error:  # the end of a worker: whatever it was is shown
                _log.exception("planning failed")
                self._show(state, "cannot", str(error), **NO_BOARDS)

    def _plan_and_prove(self, state: MemoState) -> None:
        """Show the plan, then what a longer search finds of it unless a newer one is to be made."""
        job = planning_job(state)
        plans = job.solve()
        if not plans:
            self._show_plans(state, plans, words.NOTHING_OPEN)
        elif all(plan.standing == "best" for plan in plans):
            self._show_plans(state, plans, words.PLANNED)
        else:
            self._show_plans(state, plans, words.PROVING)
            self._prove(state, job, plans)

    def _prove(self, state: MemoState, job: PlanningJob, plans: list[SectionPlan]) -> None:
        proven = self._proving.prove(job, plans, wanted=lambda: not self._wake.is_set())
        if self._wake.is_set():
            return  # the memo has moved on, or nobody looks any more
        if proven is None:
            _log.warning("the search for a proof broke off")
        plans = proven or plans
        better = [better_found(plan) for plan in plans if plan.better is not None]
        told = " ".join([*better, words.PRINTED_AT_MEMO]) if better else words.PLANNED
        self._show_plans(state, plans, told)

    def _show_plans(self, state: MemoState, plans: list[SectionPlan], sentence: str) -> None:
        self._plans = plans
        self._show(state, "planned", sentence, **boards_shown(plans, state))

    def _show(self, state: MemoState, what: str, sentence: str, **facts: Any) -> None:
        self._planned_at = state.position
        self.message = message_text(
            "boards", rev=state.position, state=what, sentence=sentence, **facts
        )
        self._changed()

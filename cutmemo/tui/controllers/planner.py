"""Plans the boards in the background, so that no key waits for a plan."""

from __future__ import annotations

from collections.abc import Callable

from cutmemo.domain.cut import Section
from cutmemo.errors import CutmemoError
from cutmemo.memo.decide.rack import PlanningJob
from cutmemo.planning import SectionPlan
from cutmemo.tui.controllers.commands import Commands

Work = Callable[[], object]
Plans = list[SectionPlan]


class Planner:
    """Plans on a thread, and hands over nothing but plans of the memo as it stands."""

    def __init__(
        self,
        memo: Commands,
        run: Callable[[Work, str], object],
        deliver: Callable[[Work], object],
    ) -> None:
        """Plan for *memo*.

        *run* runs work beside the screen, the newest of a named group alone; *deliver* runs it
        where the screens are drawn.
        """
        self._memo, self._run, self._deliver = memo, run, deliver
        self._ahead_of = -1
        self._proving = False

    def ahead(self) -> None:
        """Plan as soon as the memo changes: the next cut finds the plan ready."""
        state = self._memo.state
        if not state.rack.lots or state.position == self._ahead_of:
            return
        self._ahead_of = state.position
        try:
            snapshot = self._memo.planning_job()
        except CutmemoError:
            return  # too many pieces: they are cut without a plan, and the boards say so when opened  # noqa: E501 - a sentence is not cut
        self._run(snapshot.solve, "ahead")

    def plan(self, then: Callable[[Plans], None], section: Section | None = None) -> int:
        """Plan the boards, or those of one *section*; call *then* with the plans unless the memo
        has moved on.

        Return the place of the last event that the plans take in. Raises :class:`BadBoards` for
        too many pieces.
        """
        snapshot = self._memo.planning_job()
        if section is not None:
            snapshot = snapshot.of(section)
        self._run(lambda: self._planned(snapshot, then), "plan" if section is None else "section")
        return snapshot.position

    def prove(self, plans: Plans, then: Callable[[Plans], None]) -> bool:
        """Look for the proof of *plans* that stand unproven; return whether that is under way.

        Call *then* with the same boards, and what is proven of them, unless the memo has moved
        on. One proof at a time: it may take many seconds.
        """
        open_ones = [plan.section for plan in plans if plan.standing != "best"]
        if not open_ones or self._proving:
            return False
        self._proving = True
        snapshot = self._memo.planning_job()
        self._run(lambda: self._proved(snapshot, open_ones, plans, then), "proof")
        return True

    def _proved(
        self,
        snapshot: PlanningJob,
        sections: list[Section | None],
        plans: Plans,
        then: Callable[[Plans], None],
    ) -> None:
        try:
            found = {
                each.section: each
                for section in sections
                for each in snapshot.of(section).solve(thorough=True)
            }
        finally:
            self._proving = False
        proven = [
            plan.proven_by(found[plan.section]) if plan.section in found else plan for plan in plans
        ]

        def hand_over() -> None:
            if snapshot.position == self._memo.state.position:
                then(proven)

        self._deliver(hand_over)

    def _planned(self, snapshot: PlanningJob, then: Callable[[Plans], None]) -> None:
        plans = snapshot.solve()

        def hand_over() -> None:
            if snapshot.position == self._memo.state.position:
                then(plans)

        self._deliver(hand_over)

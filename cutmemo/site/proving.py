"""Looks for the proof of a plan in a process of its own: no call from a phone waits for it."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import threading
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess

from cutmemo.memo.decide.rack import PlanningJob
from cutmemo.planning import SectionPlan

_SPAWN = multiprocessing.get_context("spawn")
"""Not forked: a server has threads."""
_LESS_PRESSING = 10
"""By this much the search stands behind everything else of this machine (``nice``)."""


class Proving:
    """One search at a time, which ends as soon as nobody wants it any more."""

    def __init__(self) -> None:
        """Begin nothing yet."""
        self._lock = threading.Lock()
        self._process: SpawnProcess | None = None

    def prove(
        self, job: PlanningJob, plans: Sequence[SectionPlan], wanted: Callable[[], bool]
    ) -> list[SectionPlan] | None:
        """Return *plans* of *job*, the same boards, with what a longer search proves of them or
        betters; ``None`` where it was given up or broke off.

        Waits for the search, many seconds if need be. It does not begin unless it is *wanted*,
        which is asked for where :meth:`give_up` cannot come between.
        """
        jobs = [job.of(plan.section) for plan in plans if plan.standing != "best"]
        ours, theirs = _SPAWN.Pipe(duplex=False)
        with ours:
            with self._lock, theirs:
                if not wanted():
                    return None
                process = _SPAWN.Process(target=_search, args=(jobs, theirs), daemon=True)
                process.start()
                self._process = process
            try:
                found = {plan.section: plan for plan in ours.recv()}
            except (EOFError, OSError):  # ended before, or while, it told
                return None
            finally:
                with self._lock:
                    self._process = None
                process.join()
        return [
            plan.proven_by(found[plan.section]) if plan.section in found else plan for plan in plans
        ]

    def give_up(self) -> None:
        """End the search that is under way, if one is. From any thread."""
        with self._lock:
            if self._process is not None:
                self._process.terminate()


def _search(jobs: Sequence[PlanningJob], found: Connection) -> None:
    """Send the plans of *jobs* that a thorough search finds; what a process does."""
    if hasattr(os, "nice"):
        os.nice(_LESS_PRESSING)
    plans = [plan for job in jobs for plan in job.solve(thorough=True)]
    with contextlib.suppress(OSError):  # nobody waits any more
        found.send(plans)

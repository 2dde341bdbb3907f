"""Verbs at the saw: hold, release, skip, trouble, and the hand-off."""

from __future__ import annotations

from typing import get_args

from cutmemo.cli.run import DONE, Run, argument, print_json, row_option, verb
from cutmemo.language import Trouble
from cutmemo.memo.commands import Hold, Release, Skip, Spoil
from cutmemo.present.handoff import handoff_as_plain, handoff_as_text

REASONS = tuple(reason.replace(" ", "-") for reason in get_args(Trouble))


@verb("hold", row_option)
def _hold(run: Run) -> int:
    return run.act(lambda state: Hold(run.row(state)))


@verb("release", row_option)
def _release(run: Run) -> int:
    return run.act(lambda state: Release(run.row(state)))


@verb("skip", row_option)
def _skip(run: Run) -> int:
    return run.act(lambda state: Skip(run.row(state)))


@verb("trouble", argument("reason", choices=REASONS), row_option)
def _trouble(run: Run) -> int:
    reason: Trouble = run.arguments.reason.replace("-", " ")
    return run.act(lambda state: Spoil(reason, run.row(state)))


@verb("handoff")
def _handoff(run: Run) -> int:
    with run.station() as station:
        memo, day = station.memo.projection, station.clock().date().isoformat()
        if run.arguments.json:
            print_json(handoff_as_plain(memo, day))
        else:
            print(handoff_as_text(memo, day))
        return DONE

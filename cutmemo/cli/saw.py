"""Verbs at the saw: hold, release, skip, trouble, and the hand-off."""

from __future__ import annotations

from typing import get_args

from cutmemo.cli.run import DONE, Run, argument, print_json, row_option, verb
from cutmemo.language import Trouble

REASONS = tuple(reason.replace(" ", "-") for reason in get_args(Trouble))


@verb("hold", row_option)
def _hold(run: Run) -> int:
    return run.act(lambda session: session.hold(run.row(session)))


@verb("release", row_option)
def _release(run: Run) -> int:
    return run.act(lambda session: session.release(run.row(session)))


@verb("skip", row_option)
def _skip(run: Run) -> int:
    return run.act(lambda session: session.skip(run.row(session)))


@verb("trouble", argument("reason", choices=REASONS), row_option)
def _trouble(run: Run) -> int:
    reason: Trouble = run.arguments.reason.replace("-", " ")
    return run.act(lambda session: session.spoil(reason, row_id=run.row(session)))


@verb("handoff")
def _handoff(run: Run) -> int:
    with run.session() as session:
        if run.arguments.json:
            print_json(session.handoff_plain())
        else:
            print(session.handoff())
        return DONE

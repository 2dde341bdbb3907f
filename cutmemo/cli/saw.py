"""Verbs at the saw: hold, release, skip, trouble, and the hand-off."""

from __future__ import annotations

import argparse
from typing import get_args

from cutmemo.cli.run import DONE, Run, named, no_options, print_json, row_option, verb
from cutmemo.language import Trouble


@verb("hold", row_option, "keep a row back from the saw: the one named, or the next to cut")
def _hold(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.hold(named(run, session)), session)


@verb(
    "release", row_option, "offer a held row at the saw again: the one named, or the one held last"
)
def _release(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.release(named(run, session)), session)


@verb(
    "skip", row_option, "put a row behind the others at the saw: the one named, or the next to cut"
)
def _skip(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.skip(named(run, session)), session)


def _trouble_options(parser: argparse.ArgumentParser) -> None:
    reasons = [reason.replace(" ", "-") for reason in get_args(Trouble)]
    parser.add_argument("reason", choices=reasons, help="what is wrong with the piece")
    row_option(parser)


@verb("trouble", _trouble_options, "a piece is spoiled: the one just cut, or the one in hand")
def _trouble(run: Run) -> int:
    reason: Trouble = run.arguments.reason.replace("-", " ")
    with run.session() as session:
        return run.tell(session.spoil(reason, row_id=named(run, session)), session)


@verb("handoff", no_options, "what the next one has to know, and what was done today")
def _handoff(run: Run) -> int:
    with run.session() as session:
        if run.arguments.json:
            print_json(session.handoff_plain())
        else:
            print(session.handoff())
        return DONE

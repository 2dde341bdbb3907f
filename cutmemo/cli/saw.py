"""Verbs at the saw: hold, release, skip, trouble, and the hand-off."""

from __future__ import annotations

from typing import get_args

from cutmemo.cli.run import DONE, Run, argument, print_json, row_needed, row_option, verb
from cutmemo.language import Trouble
from cutmemo.memo.commands import Order
from cutmemo.present.handoff import handoff_as_plain, handoff_as_text
from cutmemo.wording import verbs as words

REASONS = tuple(reason.replace(" ", "-") for reason in get_args(Trouble))


def _order_verb(name: str, text: words.VerbText) -> None:
    """Register a verb that is no more than an order to the memo."""
    row = {"": (), "may": (row_option,), "must": (row_needed,)}[text.row]

    def run_order(run: Run) -> int:
        return run.act(lambda state: Order(text.order, run.row(state) if text.row else None))

    verb(name, *row)(run_order)


for _name, _text in words.VERBS.items():
    if _text.order:
        _order_verb(_name, _text)


@verb("trouble", argument("reason", choices=REASONS), row_option)
def _trouble(run: Run) -> int:
    reason: Trouble = run.arguments.reason.replace("-", " ")
    return run.act(lambda state: Order("trouble", run.row(state), reason=reason))


@verb("handoff")
def _handoff(run: Run) -> int:
    with run.station() as station:
        memo, day = station.memo.projection, station.clock().date().isoformat()
        if run.arguments.json:
            print_json(handoff_as_plain(memo, day))
        else:
            print(handoff_as_text(memo, day))
        return DONE

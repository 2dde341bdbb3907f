"""Verbs about loads between sites: send, arrived, refuse, and the list of them."""

from __future__ import annotations

import sys

from cutmemo.cli.run import DONE, Run, argument, print_json, row_option, verb
from cutmemo.errors import BadBoards
from cutmemo.memo.commands import Order
from cutmemo.memo.state import MemoState
from cutmemo.present.loads import loads_as_plain
from cutmemo.present.racks import count_of
from cutmemo.wording import loads as words

_LOAD = argument("load", nargs="?", type=int, default=0)


@verb(
    "send",
    row_option,
    argument("--board", type=int),
    argument("--count"),
    argument("--to", required=True, metavar="SITE"),
)
def _send(run: Run) -> int:
    a = run.arguments
    if a.row is not None and a.board is not None:
        raise BadBoards(words.ROW_OR_BOARD)
    count = 0 if a.count is None else count_of(a.count, least=1)

    def order(state: MemoState) -> Order:
        if a.board is not None:
            return Order("send boards", number=a.board, to=a.to, count=count)
        return Order("send", run.row(state), to=a.to, count=count)

    return run.act(order)


@verb("arrived", _LOAD)
def _arrived(run: Run) -> int:
    return run.act(lambda _: Order("arrived", number=run.arguments.load))


@verb("refuse", _LOAD)
def _refuse(run: Run) -> int:
    return run.act(lambda _: Order("refuse load", number=run.arguments.load))


@verb("loads")
def _loads(run: Run) -> int:
    with run.station() as station:
        state = station.state
        if run.arguments.json:
            print_json(loads_as_plain(state))
        elif state.moves:
            for move in state.moves:
                print(words.load_line(move, state.settings))
        else:
            print(words.NO_LOADS, file=sys.stderr)
        return DONE

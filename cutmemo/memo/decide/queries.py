"""Orders that change nothing: read back, how many, what comes next, listen."""

from __future__ import annotations

from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide import find
from cutmemo.memo.decide.orders import order
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Result


@order("read back")
def read_back(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the row in hand, away from the saw the last call, to be read out."""
    state = memo.state
    row = find.at_saw(state, None, context) if context.at_saw else find.last_called(state, context)
    return Decision(Result("read back"), (), (row.id,))


@order("play")
def play(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the last call, to be played as it was heard."""
    return Decision(Result("play"), (), (find.last_called(memo.state, context).id,))


@order("what next")
def what_next(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the row that comes after the one in hand, to be read out."""
    following = memo.state.to_cut(context.now)[1:2]
    if not following:
        return Decision(Result("told", topic="what next"))
    return Decision(Result("read back", topic="what next"), (), (following[0].id,))


@order("listen", "pause")
def listen(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that listening is to begin, or to stop."""
    return Decision(Result(given.verb))


@order("total")
def total(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that the sums are to be told."""
    return Decision(Result("told", topic="totals"))


@order("acknowledge")
def acknowledge(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that somebody has understood."""
    return Decision(Result("told", topic="understood"))


@order("how many")
def how_many(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that what is left is to be told."""
    return Decision(Result("told", topic="how many"))

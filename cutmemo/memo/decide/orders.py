"""Which decision a verb asks for: each one says so where it stands, by ``@order``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from cutmemo.memo.commands import Context, Order
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision

Decide = Callable[[Projection, Order, Context], Decision]
_ORDERS: dict[str, Decide] = {}


def order(*verbs: str) -> Callable[[Decide], Decide]:
    """Register a decision for *verbs*."""

    def register(decide: Decide) -> Decide:
        _ORDERS.update(dict.fromkeys(verbs, decide))
        return decide

    return register


def obey(memo: Projection, given: Order, context: Context) -> Decision:
    """Return what an order asks for. Raises the errors of :mod:`cutmemo.errors`."""
    decision = _ORDERS[given.verb](memo, given, context)
    verb = decision.result.verb or given.verb
    return replace(decision, result=replace(decision.result, verb=verb))

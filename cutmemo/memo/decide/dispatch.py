"""Which decision a command asks for: one case a command."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from cutmemo.memo import commands as c
from cutmemo.memo.commands import Command, Context
from cutmemo.memo.decide import answers, calls, corrections, crew, loads, queries, rack, saw, undo
from cutmemo.memo.decide.orders import obey
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision

ORDERS_IN = (answers, corrections, loads, queries, saw, undo)
"""The modules whose decisions are marked ``@order``."""
_Decide = Callable[[Projection, Any, Context], Decision | None]
_DECIDE: dict[type, _Decide] = {
    c.Say: lambda memo, it, context: calls.say(memo, it.text, context),
    c.Hear: lambda memo, it, context: calls.hear(memo, it.recognition, context),
    c.Order: obey,
    c.ChangeSetting: lambda memo, it, context: crew.change_setting(memo.state, it.name, it.value),
    c.SetOrder: lambda memo, it, context: crew.set_order(memo.state, it.order),
    c.AddBoards: lambda memo, it, context: rack.add_boards(it, context),
    c.SetYard: lambda memo, it, context: rack.set_yard(it),
    c.SetOrderTerms: lambda memo, it, context: rack.set_order_terms(memo.state, it),
    c.PrintBoards: lambda memo, command, context: rack.print_boards(memo.state, command, context),
    c.ReleaseBoards: lambda memo, it, context: rack.release_boards(memo.state, it),
    c.ChangeBoards: lambda memo, it, context: rack.change_boards(memo.state, it),
}


def decide(memo: Projection, command: Command, context: Context) -> Decision | None:
    """Return what *command* is to write and what will have come of it.

    ``None`` where sound was no speech for the memo. Pure: the same memo, command and context
    give the same decision. Raises the errors of :mod:`cutmemo.errors`.
    """
    return _DECIDE[type(command)](memo, command, context)

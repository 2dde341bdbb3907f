"""Which decision a command asks for: one case a command."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from cutmemo.memo import commands as c
from cutmemo.memo.commands import Command, Context
from cutmemo.memo.decide import answers, calls, crew, rack, saw, undo
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision

_Decide = Callable[[Projection, Any, Context], Decision | None]
_DECIDE: dict[type, _Decide] = {
    c.Say: lambda memo, it, context: calls.say(memo, it.text, context),
    c.Hear: lambda memo, it, context: calls.hear(memo, it.recognition, context),
    c.Answer: lambda memo, it, context: answers.answer(memo.state, it.choice, it.row_id, context),
    c.TakeBack: lambda memo, it, context: answers.take_back(memo, it.row_id, context),
    c.Clear: lambda memo, it, context: saw.clear(memo.state, it.row_id, it.all_left, context),
    c.Strike: lambda memo, it, context: saw.strike(memo.state, it.row_id),
    c.PutBack: lambda memo, it, context: saw.put_back(memo.state, it.row_id),
    c.Undo: lambda memo, it, context: undo.undo(memo, context),
    c.Redo: lambda memo, it, context: undo.redo(memo, context),
    c.Spoil: lambda memo, it, context: saw.spoil(memo, it.reason, it.row_id, it.was_cut, context),
    c.Hold: lambda memo, it, context: saw.hold(memo.state, it.row_id, context),
    c.Release: lambda memo, it, context: saw.release(memo.state, it.row_id),
    c.Skip: lambda memo, it, context: saw.skip(memo.state, it.row_id, context),
    c.ChangeSetting: lambda memo, it, context: crew.change_setting(memo.state, it.name, it.value),
    c.SetOrder: lambda memo, it, context: crew.set_order(memo.state, it.order),
    c.AddBoards: lambda memo, it, context: rack.add_boards(it, context),
    c.ChangeBoards: lambda memo, it, context: rack.change_boards(memo.state, it),
}


def decide(memo: Projection, command: Command, context: Context) -> Decision | None:
    """Return what *command* is to write and what will have come of it.

    ``None`` where sound was no speech for the memo. Pure: the same memo, command and context
    give the same decision. Raises the errors of :mod:`cutmemo.errors`.
    """
    return _DECIDE[type(command)](memo, command, context)

"""How this crew works: settings, and the order in which rows are offered."""

from __future__ import annotations

from cutmemo.memo.events import Draft, OrderSet, SettingsChanged
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import ORDERS, Order
from cutmemo.memo.state import MemoState


def change_setting(state: MemoState, name: str, value: str) -> Decision:
    """Return one setting changed. Raises :class:`BadSetting`."""
    plain = state.settings.with_setting(name, value).to_plain()
    draft = Draft(SettingsChanged({name: plain[name]}))
    return Decision(Result("set", topic="settings", setting=name), (draft,))


def set_order(state: MemoState, order: Order | None) -> Decision:
    """Return the open rows in *order*, or in the next one."""
    chosen = order or ORDERS[(ORDERS.index(state.order) + 1) % len(ORDERS)]
    return Decision(Result("set", topic="order"), (Draft(OrderSet(chosen)),))

"""Every order that can be said has a decision, and every verb that is an order has its sentence."""

from __future__ import annotations

import pytest
from desk import Desk

from cutmemo.language.intent import Command
from cutmemo.language.lexicon.en import COMMANDS
from cutmemo.memo.commands import Order
from cutmemo.memo.decide import dispatch, orders
from cutmemo.wording.verbs import ORDER_KEYS, VERBS

SAID = sorted({each.verb for each in COMMANDS.meanings.values() if isinstance(each, Command)})


@pytest.mark.parametrize("verb", SAID)
def test_what_can_be_said_can_be_obeyed(verb: str) -> None:
    assert dispatch.ORDERS_IN
    assert verb in orders._ORDERS


@pytest.mark.parametrize("name", [name for name, text in VERBS.items() if text.order])
def test_a_verb_of_the_command_line_that_is_an_order_can_be_obeyed(name: str) -> None:
    assert VERBS[name].order in orders._ORDERS


def test_each_key_gives_an_order_of_its_own() -> None:
    assert len({key for key, _ in ORDER_KEYS}) == len(ORDER_KEYS)
    assert {verb for _, verb in ORDER_KEYS} <= set(orders._ORDERS)


@pytest.mark.parametrize(
    ("verb", "told"),
    [
        ("skip", 'Row 1: 36" moved to the end.'),
        ("hold", 'Row 1: 36" is on hold.'),
        ("strike", 'Row 1: 36" struck.'),
    ],
)
def test_an_order_is_told_in_the_sentence_of_its_verb(session: Desk, verb: str, told: str) -> None:
    session.call("36")
    session.call("48")
    row = session.state.rows.numbered(1)
    assert row is not None
    assert session.done(Order(verb, row.id)).text == told

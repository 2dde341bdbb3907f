"""Loads between sites as JSON values: the fields may grow, never change."""

from __future__ import annotations

from typing import Any

from cutmemo.memo.goods import Goods, SentPieces
from cutmemo.memo.state import MemoState
from cutmemo.present.plain import cut_to_plain
from cutmemo.wording.boards import section_shown


def goods_as_plain(goods: Goods) -> dict[str, Any]:
    """Return what a load holds; lengths exact as text, in inches."""
    if isinstance(goods, SentPieces):
        return {"pieces": goods.count, "cut": cut_to_plain(goods.cut)}
    return {
        "boards": goods.count,
        "section": section_shown(goods.section),
        "inches": str(goods.inches),
        "leftover": goods.leftover,
    }


def loads_as_plain(state: MemoState) -> list[dict[str, Any]]:
    """Return every load that this memo knows of."""
    return [
        {
            "load": move.number,
            "id": move.id,
            "from": move.sender,
            "to": move.to,
            "state": move.standing,
            "left_at": move.at,
            "who": move.who,
            "missing": move.missing,
            **goods_as_plain(move.goods),
        }
        for move in state.moves
    ]

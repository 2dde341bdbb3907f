"""What the pages of the site show, as plain values: the rows, the piece in hand at the saw."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from cutmemo.domain.cut import Cut, End
from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings
from cutmemo.memo.commands import Context
from cutmemo.memo.decide.saw import suspects
from cutmemo.memo.projection import Projection
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.present.saw import NEXT_SHOWN, alerts, not_offered, piece_facts, what_it_is
from cutmemo.site.taking import seen
from cutmemo.wording import choices, describe, explain, marks, totals
from cutmemo.wording import screens as words
from cutmemo.wording.results import ORDERS

MAX_ENDED = 100
"""So many rows that are cut or struck are shown, the last ones."""
MAX_OPEN = 1_000
"""So many rows that ask or are open are shown, the first ones at the saw."""
PIECE_WIDE, PIECE_HIGH, _SLANT = 1000, 160, 120
"""Units that a piece is drawn in."""


BoardOf = Callable[[Row, MemoState], str]


@dataclass(slots=True)
class _Made:
    """A row as it was shown last."""

    row: Row
    settings: Settings
    goes_on: bool
    plain: dict[str, Any]


class Views:
    """Makes views of one memo; a row that did not change is not made anew."""

    def __init__(self, name: str) -> None:
        """Show the memo called *name*."""
        self._name = name
        self._made: dict[str, _Made] = {}

    def view(self, memo: Projection, now: datetime, board_of: BoardOf) -> dict[str, Any]:
        """Return what all pages show of *memo* at *now*; *board_of* tells which board a row's next
        piece comes off.
        """
        state = memo.state
        offered = state.to_cut(now)
        going_on = {row.id for row in state.going_on(now)}
        first = {row.id for row in offered}
        others = [row for row in state.open_rows() if row.id not in first]
        listed = [*state.of_state("doubtful"), *offered, *others]
        ended = sorted(
            [*state.of_state("cut"), *state.of_state("struck")], key=lambda row: -row.touched
        )
        shown = [*listed[:MAX_OPEN], *ended[:MAX_ENDED]]
        return {
            "memo": self._name,
            "totals": totals(state),
            "marks": marks(memo),
            "order": state.order,
            "order_text": ORDERS[state.order],
            "settings": words.settings_line(state.settings, state.order),
            "more": len(listed) + len(ended) - len(shown),
            "rows": [self._row(row, state.settings, row.id in going_on) for row in shown],
            "saw": at_saw(state, offered, board_of(offered[0], state)) if offered else None,
            "waiting": not_offered(state, offered, going_on),
        }

    def _row(self, row: Row, settings: Settings, goes_on: bool) -> dict[str, Any]:
        made = self._made.get(row.id)
        same = made is not None and made.row is row and made.settings is settings
        if made is None or not same or made.goes_on != goes_on:
            plain = row_as_plain(row, settings) | {"goes_on": goes_on}
            made = self._made[row.id] = _Made(row, settings, goes_on, plain)
        return made.plain


def length_as_plain(length: Length, settings: Settings) -> dict[str, str]:
    """Return a length split as it stands on the glass."""
    shown = format_length(length, settings.display, settings.fineness)
    return {
        "text": str(shown),
        "mark": shown.mark,
        "feet": shown.feet,
        "whole": shown.whole,
        "over": shown.over,
        "under": shown.under,
        "unit": shown.unit,
    }


def row_as_plain(row: Row, settings: Settings) -> dict[str, Any]:
    """Return all that a page shows of *row*."""
    cut, asks = row.cut, row.state == "doubtful"
    readings = zip(row.readings, choices(row.readings, settings), strict=True) if asks else ()
    return {
        "id": row.id,
        "n": row.number,
        "state": row.state,
        "held": row.held,
        "count": cut.count,
        "left": row.left,
        "done": row.done,
        "over": row.over,
        "length": length_as_plain(cut.length, settings),
        "text": describe(cut, settings),
        "section": str(cut.section or ""),
        "piece": str(cut.piece or ""),
        "what": " · ".join(what_it_is(cut)),
        "ends": cut.ends_shown(),
        "place": cut.place or "",
        "said": row.said,
        "by_voice": row.by_voice,
        "who": row.who,
        "station": row.station,
        "at": row.at,
        "cut_by": row.cut_by,
        "spoiled": list(row.spoiled),
        "stop_block": row.stop_block_due,
        "doubts": [explain(each, settings) for each in row.doubts] if asks else [],
        "cautions": [explain(each, settings) for each in row.cautions],
        "choices": [
            {"n": n, "text": text, "length": length_as_plain(each.length, settings)}
            for n, (each, text) in enumerate(readings, start=1)
        ],
        "seen": seen(row),
    }


def trouble(memo: Projection, context: Context) -> dict[str, Any]:
    """Return what a device may tell trouble with: pieces, the likelier first, and reasons."""
    settings = memo.state.settings
    found = []
    for each in suspects(memo, None, context):
        length = str(format_length(each.row.cut.length, settings.display, settings.fineness))
        facts = each.was_cut, each.row.number, length
        found.append(
            {
                "row": each.row.id,
                "was_cut": each.was_cut,
                "head": words.trouble_with(*facts),
                "other": words.not_that_one(*facts),
            }
        )
    return {"suspects": found, "reasons": list(words.TROUBLES.items())}


# --- the saw --------------------------------------------------------------------------------------


def at_saw(state: MemoState, offered: Sequence[Row], board: str) -> dict[str, Any]:
    """Return what stands at the saw: the first of the rows *offered*, and what comes after it."""
    row, settings = offered[0], state.settings
    return {
        "row": row.id,
        "length": length_as_plain(row.cut.length, settings),
        "left": words.left_of(row.left, row.cut.count),
        "facts": piece_facts(offered, settings),
        "place": row.cut.place or "",
        "ends": words.both_ends(row.cut),
        "alerts": alerts(row, settings),
        "stop_block": words.STOP_BLOCK if row.stop_block_due else "",
        "board": board,
        "piece": piece_as_plain(row.cut),
        "next": [
            {"row": each.id, "text": words.then(describe(each.cut, settings))}
            for each in offered[1 : 1 + NEXT_SHOWN]
        ],
    }


def piece_as_plain(cut: Cut) -> dict[str, Any]:
    """Return *cut* seen from its face, as a polygon; the length is taken along the lower edge.

    An end leans out at the edge where its long point is. An end with a point nobody named is drawn
    square, and named in ``unknown``.
    """
    left, right = cut.ends
    high_left, low_left = _lean(left)
    high_right, low_right = _lean(right)
    polygon = [
        [high_left, 0],
        [PIECE_WIDE - high_right, 0],
        [PIECE_WIDE - low_right, PIECE_HIGH],
        [low_left, PIECE_HIGH],
    ]
    ends = (("left", left), ("right", right))
    return {
        "polygon": polygon,
        "wide": PIECE_WIDE,
        "high": PIECE_HIGH,
        "left": words.end_label(left),
        "right": words.end_label(right),
        "unknown": [name for name, end in ends if end.kind != "square" and end.point is None],
    }


def _lean(end: End) -> tuple[int, int]:
    """Return how far the end stands back at the upper and at the lower edge."""
    if end.kind == "square" or end.point is None:
        return 0, 0
    return (0, _SLANT) if end.point == "short" else (_SLANT, 0)

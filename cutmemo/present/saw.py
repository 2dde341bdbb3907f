"""What is told of the piece in hand at the saw, on every screen in the same words."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from cutmemo.domain.checks import sawn
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import format_length
from cutmemo.domain.settings import Settings
from cutmemo.memo.rows import Row, saw_settings
from cutmemo.memo.state import MemoState
from cutmemo.planning import SectionPlan
from cutmemo.planning.stock import trim_of
from cutmemo.wording import explain
from cutmemo.wording import screens as words
from cutmemo.wording.boards import board_shown
from cutmemo.wording.lengths import inches_shown

NEXT_SHOWN = 2
"""So many rows are named that come after the one in hand."""
SAW_FINENESS = 64
"""Marks to an inch, in which the saw is told what an allowance comes to."""


def what_it_is(cut: Cut) -> list[str]:
    """Return what *cut* is beside its length, ends and place: allowance, section, piece, words."""
    return [str(part) for part in (cut.allowance, cut.section, cut.piece, *cut.words()) if part]


def piece_facts(offered: Sequence[Row], settings: Settings) -> list[str]:
    """Return what the first of the rows *offered* is, and how many others are cut at the same
    setting.
    """
    cut = offered[0].cut
    facts = what_it_is(cut)
    if cut.allowance is not None and settings.shade is not None:
        length = format_length(sawn(cut, settings), settings.display, SAW_FINENESS)
        facts.append(words.sawn_at(str(length)))
    same = [each for each in offered[1:] if _setting(each.cut) == _setting(cut)]
    if same:
        left = sum(each.left for each in same)
        facts.append(words.same_length(left, [each.number for each in same]))
    return facts


def _setting(cut: Cut) -> tuple[object, ...]:
    """Return what two cuts have to share to be made at one setting of saw and stop."""
    return cut.length, cut.ends, cut.section


def alerts(row: Row, settings: Settings) -> list[str]:
    """Return what to mind before *row* is cut: pieces that were spoiled, and cautions."""
    spoiled = [words.again(row.spoiled)] if row.spoiled else []
    return spoiled + [words.caution(explain(each, settings)) for each in row.cautions]


def not_offered(state: MemoState, offered: Sequence[Row], going_on: Collection[str]) -> str:
    """Return what is open and not among the rows *offered*, and how many saw settings are to come.

    *going_on* has the ids of the rows whose call may go on.
    """
    settings = saw_settings(list(offered))
    opened = state.open_rows()
    return words.waiting(
        [row.number for row in state.of_state("doubtful")],
        [row.number for row in opened if row.held],
        [row.number for row in opened if row.id in going_on],
        settings if state.order == "saw" and settings > 1 else 0,
    )


def board_it_comes_off(plans: Iterable[SectionPlan], row_id: str, settings: Settings) -> str:
    """Return which board the next piece of a row comes off; empty where none of *plans* has it."""
    boards = (board for plan in plans for board in plan.boards)
    board = next((b for b in boards if any(p.row_id == row_id for p in b.pieces)), None)
    if board is None:
        return ""
    trim = trim_of(board.lot, settings)
    shown = inches_shown(trim, settings) if trim else ""
    return words.from_board(board_shown(board, settings), board.lot is not None, shown)

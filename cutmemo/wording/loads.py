"""Loads between sites in words: what is on its way, from where and where to."""

from __future__ import annotations

from collections.abc import Sequence

from cutmemo.domain.settings import Settings
from cutmemo.memo.goods import Goods, SentPieces
from cutmemo.memo.moves import Move
from cutmemo.memo.rows import Row
from cutmemo.planning.rack import Lot
from cutmemo.wording.cuts import describe
from cutmemo.wording.lengths import board_length

ON_ITS_WAY_HERE = "ON ITS WAY HERE"
ON_ITS_WAY_FROM_HERE = "ON ITS WAY FROM HERE"
ROW_OR_BOARD = "A load is of a row or of boards. Send the one, and then the other."
NO_LOADS = "No load went out or came in yet."
NEW_SITE = "No load went to a site of this name before: undo it if the name is wrong."


def goods_shown(goods: Goods, settings: Settings) -> str:
    """Return what a load holds, in the crew's figures."""
    if isinstance(goods, SentPieces):
        return describe(goods.cut, settings)
    section = f"{goods.section} " if goods.section is not None else ""
    kind = "left-over of " if goods.leftover else "of "
    return f"{goods.count} × {section}{kind}{board_length(goods.inches, settings)}"


def where(move: Move) -> str:
    """Return from where a load comes, or where it goes, and how it stands."""
    road = f"to {move.to}" if move.going else f"from {move.sender}"
    here = "there" if move.going else "here"
    stands = {
        "on its way": "on its way",
        "arrived": f"arrived {here}",
        "refused": "refused there, back here" if move.going else "refused here",
        "taken back": "taken back",
    }[move.standing]
    return f"{road}, {stands}"


def load_line(move: Move, settings: Settings) -> str:
    """Return one load of the list of loads."""
    return f"{move.number or '-'!s:>3}  {load_shown(move, settings)}"


def load_shown(move: Move, settings: Settings) -> str:
    """Return what a load is, where it is, and since when."""
    left = move.at[:16].replace("T", " ")
    return f"{goods_shown(move.goods, settings)}  {where(move)}, {left}, {move.who}" + (
        f" ({missing(move)})" if move.missing else ""
    )


def missing(move: Move) -> str:
    """Return that some of a load was not there any more when it left."""
    return f"{move.missing} of it cannot have left: sent twice, or used meanwhile"


def coming(moves: Sequence[Move]) -> list[str]:
    """Return that loads are on their way here, in one line, and what to say once they are; mostly
    nothing. It names no length: at the saw there is one only, that of the piece to cut.
    """
    found = [move for move in moves if move.standing == "on its way" and not move.going]
    if not found:
        return []
    which = ", ".join(f"load {move.number} from {move.sender}" for move in found)
    number = found[0].number
    say = f"Once here, say “load {number} arrived” or “refuse load {number}”."
    return [f"On its way here: {which}; the hand-off says what. {say}"]


def was_sent(move: Move, row: Row | None, settings: Settings, new_site: bool) -> str:
    """Return that a load left, and what of its *row* stays."""
    told = f"Load {move.number} is on its way to {move.to}: {goods_shown(move.goods, settings)}."
    stays = row.at_hand if row is not None else 0
    verb = "stays" if stays == 1 else "stay"
    stay = f" {stays} of row {row.number} {verb} here." if row is not None and stays else ""
    return f"{told}{stay}" + (f" {NEW_SITE}" if new_site else "")


def has_arrived(move: Move, row: Row | None, lots: Sequence[Lot], settings: Settings) -> str:
    """Return that a load is here, and where its pieces or boards are now."""
    told = f"Load {move.number} from {move.sender} is here: {goods_shown(move.goods, settings)}."
    if row is not None:
        left = f"{row.left} left" if row.left else "done"
        return f"{told} Row {row.number}: {left}."
    return f"{told} On the rack: boards {', '.join(str(lot.number) for lot in lots)}."


def was_refused(move: Move, settings: Settings) -> str:
    """Return that a load was not taken."""
    return (
        f"Load {move.number} is refused: {goods_shown(move.goods, settings)}. "
        f"It is {move.sender}’s again."
    )


def pieces_away(row: Row) -> str:
    """Return where cut pieces of *row* went; empty where all are here."""
    went: dict[str, int] = {}
    for each in row.sent:
        went[each.to] = went.get(each.to, 0) + each.pieces
    return ", ".join(f"{pieces} sent to {to}" for to, pieces in went.items())


def pieces_came(row: Row) -> str:
    """Return from where pieces of *row* came; empty where all were cut here."""
    came: dict[str, int] = {}
    for each in row.cleared:
        if each.came:
            came[each.came] = came.get(each.came, 0) + each.pieces
    return ", ".join(f"{pieces} came from {site}" for site, pieces in came.items())

"""Which rows, boards and loads an event puts there, uses or is about."""

from __future__ import annotations

from cutmemo.memo.events import (
    Arrived,
    AssemblyAdded,
    BoardsAdded,
    BoardSawn,
    BoardsChanged,
    BoardsPrinted,
    BoardsReleased,
    LoadRefused,
    Payload,
    Sent,
    Unreadable,
)
from cutmemo.planning.begun import Sawn


def rows_named(payload: Payload | Unreadable) -> frozenset[str]:
    """Return the ids of the rows that *payload* puts on the list or is about."""
    if isinstance(payload, AssemblyAdded):
        return frozenset(each.row for each in payload.rows)
    row = getattr(payload, "row", None)
    return frozenset() if row is None else frozenset((row,))


def lots_added(payload: Payload | Unreadable) -> frozenset[str]:
    """Return the ids of the lots, boards and plans that *payload* puts on the rack."""
    if isinstance(payload, BoardsAdded | Arrived):
        return frozenset((payload.lot,)) if payload.lot else frozenset()
    if isinstance(payload, BoardsPrinted):
        return frozenset(payload.names)
    boards: tuple[BoardSawn, ...] = getattr(payload, "boards", ())
    sawn: tuple[Sawn, ...] = getattr(payload, "sawn", ())
    return frozenset(rest.lot for board in boards for rest in board.rests) | frozenset(
        name
        for each in sawn
        if each.begins
        for name in (each.board, *(plan.id for plan in each.stretches))
    )


def lots_used(payload: Payload | Unreadable) -> frozenset[str]:
    """Return the ids of the lots that *payload* changes or saws from."""
    if isinstance(payload, BoardsAdded | BoardsChanged | Sent):
        return frozenset((payload.lot,)) if payload.lot else frozenset()
    if isinstance(payload, BoardsReleased):
        return frozenset(payload.released)
    if isinstance(payload, BoardsPrinted):
        named = (name for plan in payload.plans for name in (plan.board, plan.id, plan.lot))
        return frozenset(name for name in named if name)
    boards: tuple[BoardSawn, ...] = getattr(payload, "boards", ())
    sawn: tuple[Sawn, ...] = getattr(payload, "sawn", ())
    return frozenset(board.lot for board in boards) | frozenset(
        name
        for each in sawn
        for plan in each.stretches
        for name in (each.board, plan.id, plan.lot)
        if name
    )


def load_named(payload: Payload | Unreadable) -> str:
    """Return the id of the sending that *payload* says the end of; empty for other events."""
    return payload.sent if isinstance(payload, Arrived | LoadRefused) else ""

"""Checks a layout from its numbers alone; it shares no code with what made it."""

from __future__ import annotations

from collections import Counter

from cutmemo.planning.job import Job, LaidBoard


def faults(job: Job, boards: tuple[LaidBoard, ...]) -> list[str]:
    """Return all that is impossible in *boards*; nothing for a sound layout."""
    found: list[str] = []
    used: Counter[int] = Counter()
    laid: Counter[int] = Counter()
    for number, board in enumerate(boards, start=1):
        if not 0 <= board.kind < len(job.kinds):
            found.append(f"board {number} is of no kind there is")
            continue
        used[board.kind] += 1
        laid.update(board.pieces)
        strange = [piece for piece in board.pieces if not 0 <= piece < len(job.demands)]
        if strange:
            found.append(f"board {number} has a piece nobody asked for")
            continue
        weight = sum(job.demands[piece].weight for piece in board.pieces)
        if weight > job.kinds[board.kind].capacity:
            found.append(f"board {number} is over by {weight - job.kinds[board.kind].capacity}")
        if not board.pieces:
            found.append(f"board {number} has nothing on it")
    for kind, number in used.items():
        available = job.kinds[kind].available
        if available is not None and number > available:
            found.append(f"{number} boards of kind {kind} are used and {available} there are")
    for piece, demand in enumerate(job.demands):
        if laid[piece] != demand.count:
            found.append(
                f"piece {piece} is laid {laid[piece]} times and asked {demand.count} times"
            )
    return found


def assured(job: Job, boards: tuple[LaidBoard, ...]) -> tuple[LaidBoard, ...]:
    """Return *boards* after they were checked. A fault here is a bug of the layout, never of the person."""
    found = faults(job, boards)
    if found:
        raise AssertionError(f"a layout that cannot be: {'; '.join(found)}")
    return boards

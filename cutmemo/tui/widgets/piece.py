"""A small picture of one piece: its two ends, which points the length is taken to, and what the saw
is set to.
"""

from __future__ import annotations

from cutmemo.domain.cut import Cut, End
from cutmemo.wording import screens as words

TALL = 3
"""Rows of wood between the two edges' lines."""


def picture(cut: Cut, length: str, wide: int) -> str:
    """Return *cut* seen from its face, at most *wide* signs across; the length is taken along the
    lower edge.

    An end leans out at the edge where its long point is. A point nobody named is drawn as ``?``.
    """
    inner = max(12, min(wide - 4, 56))
    left, right = cut.ends
    rows = []
    for k in range(TALL):
        first, second = _lean(left, k), _lean(right, k)
        body = inner - first - second
        rows.append(
            " " * (1 + first)
            + _edge(left, first_end=True)
            + _wood(body, k)
            + _edge(right, first_end=False)
        )
    begin, end = _lean(left, TALL - 1), _lean(right, TALL - 1)
    span = f" {length} ".center(inner - begin - end, "─")
    rows.append(" " * (1 + begin) + "├" + span + "┤")
    if cut.angled():
        one, two = words.end_label(left), words.end_label(right)
        gap = inner + 2 - len(one) - len(two)
        rows += (
            [f" {one}{' ' * gap}{two}"]
            if gap >= 3
            else [f" {words.LEFT_END.ljust(5)} {one}", f" {words.RIGHT_END} {two}"]
        )
    return "\n".join(row.rstrip() for row in rows)


def _slants(end: End) -> bool:
    return end.kind != "square"


def _lean(end: End, row: int) -> int:
    """Return how far the end stands back in *row*, counted from the upper edge."""
    if not _slants(end):
        return 0
    return row if end.point == "short" else TALL - 1 - row


def _edge(end: End, first_end: bool) -> str:
    if not _slants(end):
        return "▏" if first_end else "▕"
    if end.point is None:
        return "?"
    return "╱" if (end.point == "short") != first_end else "╲"


def _wood(width: int, row: int) -> str:
    return ("▔" if row == 0 else "▁" if row == TALL - 1 else " ") * width

"""The order of the pieces on one board, and their marks.

Slants meet where they can, and no mark eats into a piece.

Pieces too short to hold are cut first, while the board is long; then those with one saw
setting together, square ends before the others; the longest first. Pieces of one family
stand side by side, each turned so that its end meets the like end of its neighbour.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from cutmemo.domain.settings import Settings
from cutmemo.planning.ends import MARK_PARTS, Shape
from cutmemo.planning.layout import Piece
from cutmemo.planning.wanted import Wanted

PARTS = 64
"""What is left of a board with slants is rounded down to this part of an inch."""


def in_saw_order(
    pieces: Sequence[Wanted], settings: Settings, after: tuple[Fraction, str] | None = None
) -> list[Wanted]:
    """Return *pieces* in the order they are cut.

    Those that need the stop as it stands *after* the last board come early.

    A family with a short piece comes before the others as a whole.
    """
    short: dict[Shape | None, bool] = {}
    for each in pieces:
        short[each.shape] = short.get(each.shape, False) or each.inches < settings.shortest
    as_it_stands = {each.shape for each in pieces if (each.inches, each.setting) == after}
    families = sorted(
        short,
        key=lambda shape: (
            not short[shape],
            shape not in as_it_stands,
            min(each.setting for each in pieces if each.shape == shape),
            max(each.inches for each in pieces if each.shape == shape),
        ),
    )
    place = {shape: k for k, shape in enumerate(families)}
    return sorted(
        pieces,
        key=lambda each: (
            place[each.shape],
            each.inches >= settings.shortest,
            (each.inches, each.setting) != after,
            each.setting,
            -each.inches,
            each.row,
        ),
    )


def marked(
    ordered: Sequence[Wanted], begin: Fraction, settings: Settings
) -> tuple[tuple[Piece, ...], Fraction]:
    """Return *ordered* with marks from *begin* on, and where the board is free behind them, the last kerf counted."""  # noqa: E501 - one sentence
    out: list[Piece] = []
    at, before, turned = begin, None, False
    slanted = False
    for each in ordered:
        shape = each.shape
        shares = False
        if shape is None or before is None or before.shape != shape:
            turned, start = False, at
        else:
            turned = not turned
            end = (
                1 if turned else 0
            )  # turned, its second end meets the second end of the piece before
            shared = shape.shared(end)
            shares = shared > 0
            start = out[-1].end + shape.kerf(settings.kerf, end) - shared
            start = Fraction(-(-start * MARK_PARTS // 1), MARK_PARTS)
        out.append(
            Piece(
                each.row,
                each.row_id,
                each.inches,
                start,
                each.label,
                each.setting,
                shares,
                each.measure,
            )
        )
        kerf = settings.kerf
        if shape is not None:
            slanted = True
            kerf = shape.kerf(settings.kerf, 0 if turned else 1)
        at = max(at, out[-1].end + kerf)
        before = each
    if slanted:
        at = Fraction(-(-at * PARTS // 1), PARTS)
    return tuple(out), at

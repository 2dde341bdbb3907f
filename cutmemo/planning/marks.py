"""The order of the pieces on one board, and their marks.

Slants meet where they can, and no mark eats into a piece.

Pieces too short to hold are cut first, while the board is long; then those with one saw
setting together, square ends before the others; the longest first. Pieces of one family
stand side by side, each turned so that its end meets the like end of its neighbour; those with
two such ends stand between those with one.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from cutmemo.domain.settings import Settings
from cutmemo.planning.ends import MARK_PARTS, Family, Slant, family_of
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
    groups: dict[tuple[Family | None, bool], list[Wanted]] = {}
    for each in pieces:
        family = family_of(each.inches, each.shape)
        groups.setdefault((family or each.shape, family is not None), []).append(each)

    def place(group: list[Wanted]) -> tuple[bool, bool, str, Fraction]:
        return (
            not any(each.inches < settings.shortest for each in group),
            not any((each.inches, each.setting) == after for each in group),
            min(each.setting for each in group),
            max(each.inches for each in group),
        )

    def turn(each: Wanted) -> tuple[bool, bool, str, Fraction, int]:
        return (
            each.inches >= settings.shortest,
            (each.inches, each.setting) != after,
            each.setting,
            -each.inches,
            each.row,
        )

    out: list[Wanted] = []
    for group in sorted(groups.values(), key=place):
        out += _meeting(sorted(group, key=turn))
    return out


def _meeting(group: list[Wanted]) -> list[Wanted]:
    """Return one family with those of two slanted ends between two of one, as near to its order as can be."""  # noqa: E501 - one sentence
    single = [each for each in group if each.shape is not None and len(each.shape.sharing) == 1]
    double = [each for each in group if each not in single]
    if not single or not double:
        return group
    first = group[0] in single
    if len(single) % 2:
        return [*single, *double] if first else [*double, *single]
    last = -1 if first else 1
    return [*single[:last], *double, *single[last:]]


def marked(
    ordered: Sequence[Wanted], begin: Fraction, settings: Settings
) -> tuple[tuple[Piece, ...], Fraction]:
    """Return *ordered* with marks from *begin* on, and where the board is free behind them, the last kerf counted."""  # noqa: E501 - one sentence
    out: list[Piece] = []
    at, turned, slanted = begin, False, False
    before: Family | None = None
    facing: Slant | None = None
    for each in ordered:
        shape, family = each.shape, family_of(each.inches, each.shape)
        meets = [
            end
            for end in (0, 1)
            if shape and family and family == before and shape.ends[end] == facing
        ]
        shares = bool(shape and meets and shape.shared(meets[0]))
        # An end that shares its cut faces what comes next.
        turned, start = bool(shape and shape.shared(0) and not shape.shared(1)), at
        if shape is not None and shares:
            turned = meets[0] == 1
            start = out[-1].end + shape.kerf(settings.kerf, meets[0]) - shape.shared(meets[0])
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
        before = family
        facing = None if shape is None else shape.ends[0 if turned else 1]
    if slanted:
        at = Fraction(-(-at * PARTS // 1), PARTS)
    return tuple(out), at

"""A deck: joists between a ledger and a rim like those of a floor, and boards across them.

Boards lie along the ledger, the first against the wall's side of it, with a gap between them; what
is
left at the rim is ripped off the last one (common practice). Ledger bolts, beams, posts and
footings
are the plan's.
"""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import Assembly, cuts_of
from cutmemo.framing.floor import floor
from cutmemo.framing.plates import joints
from cutmemo.framing.remarks import RemarkKind, remark, wrong
from cutmemo.framing.specs import DeckSpec, FloorSpec


def deck(spec: DeckSpec, settings: Settings) -> Assembly:
    """Return the pieces of a deck. Raises :class:`MeasureError` where it cannot be built."""
    if not spec.board or spec.board > spec.span:
        raise wrong(RemarkKind.NO_ROOM_FOR_JOISTS, length=spec.length, span=spec.span)
    below = floor(
        FloorSpec(spec.length, spec.span, spec.spacing, spec.section, spec.blocking), settings
    )
    layout = tuple(
        replace(each, piece="ledger") if each.piece == "rim" and not each.bottom else each
        for each in below.layout
    )
    number = math.ceil(spec.span / (spec.board + spec.gap))
    last = min(spec.board, spec.span - (number - 1) * (spec.board + spec.gap))
    middles = [p.left + p.width / 2 for p in layout if p.piece == "joist"]
    found, _ = joints((Fraction(0), spec.length), settings.longest, middles)
    stretches = [right - left for left, right in pairwise([Fraction(0), *found, spec.length])]
    boards = tuple(
        Cut(Length(length), number * stretches.count(length), piece="deck board")
        for length in dict.fromkeys(stretches)
    )
    return replace(
        below,
        title=remark(RemarkKind.DECK, length=spec.length, span=spec.span),
        cuts=(*cuts_of(layout), *boards),
        facts=(
            *below.facts,
            remark(
                RemarkKind.DECK_BOARDS, number=number, board=spec.board, gap=spec.gap, last=last
            ),
        ),
        cautions=(remark(RemarkKind.DECK_PLAN), *below.cautions),
        layout=layout,
    )

"""A deck: joists between a ledger and a rim like those of a floor, boards across, a beam below.

Boards lie along the ledger, the first against the wall's side of it, with a gap between them; what
is left at the rim is ripped off the last one (common practice). The beam lies under the joists; its
plies are joined over posts (prodeckmn.com, "Estimating materials"), those of neighbouring plies
over different ones where there are enough (common practice). Sizes, spans, ledger bolts and
footings are the plan's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import USUAL_THICKNESS, Assembly, cuts_of, depth, thickness
from cutmemo.framing.floor import floor
from cutmemo.framing.plates import joints
from cutmemo.framing.remarks import Remark, RemarkKind, remark, wrong
from cutmemo.framing.specs import DeckSpec, FloorSpec, HeaderSpec


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
    ends, _ = joints((Fraction(0), spec.length), settings.longest, middles)
    stretches = [right - left for left, right in pairwise([Fraction(0), *ends, spec.length])]
    boards = [
        Cut(Length(length), number * stretches.count(length), piece="deck board")
        for length in dict.fromkeys(stretches)
    ]
    carried: list[Cut] = []
    told: list[Remark] = []
    if spec.beam is not None:
        found = _joined(spec, spec.beam, settings.longest)
        carried = [*_beam(spec, spec.beam, found), *_posts(spec, spec.beam)]
        told = list(_facts(spec, spec.beam, found))
    return replace(
        below,
        title=remark(RemarkKind.DECK, length=spec.length, span=spec.span),
        cuts=(*cuts_of(layout), *carried, *boards),
        facts=(
            *below.facts,
            *told,
            remark(
                RemarkKind.DECK_BOARDS, number=number, board=spec.board, gap=spec.gap, last=last
            ),
        ),
        cautions=(remark(RemarkKind.DECK_PLAN), *below.cautions),
        layout=layout,
    )


def post_middles(spec: DeckSpec) -> list[Fraction]:
    """Return the middles of the posts along the beam: the outer ones flush with its ends.

    A post of unknown size counts as thick as a 2x4 is wide.
    """
    if spec.posts is None:
        return []
    half = ((depth(spec.post) if spec.post is not None else None) or Fraction(7, 2)) / 2
    if spec.posts < 2 or spec.posts * 2 * half > spec.length:
        raise wrong(RemarkKind.NO_ROOM_FOR_POSTS, posts=spec.posts, length=spec.length)
    apart = (spec.length - 2 * half) / (spec.posts - 1)
    return [half + apart * n for n in range(spec.posts)]


def _joined(spec: DeckSpec, beam: HeaderSpec, longest: Fraction) -> list[list[Fraction]]:
    """Return where each ply of the beam is joined: over posts where they are known."""
    inside = post_middles(spec)[1:-1]
    found: list[list[Fraction]] = [[]]
    for _ in range(beam.plies):
        found.append(joints((Fraction(0), spec.length), longest, inside, found[-1])[0])
    return found[1:]


def _beam(spec: DeckSpec, beam: HeaderSpec, joined: list[list[Fraction]]) -> Iterator[Cut]:
    lengths = [
        two - one for ply in joined for one, two in pairwise([Fraction(0), *ply, spec.length])
    ]
    for length in dict.fromkeys(lengths):
        yield Cut(Length(length), lengths.count(length), section=beam.section, piece="beam")


def _posts(spec: DeckSpec, beam: HeaderSpec) -> Iterator[Cut]:
    """Yield the posts, where their number and the deck's height are known."""
    if spec.posts is not None and spec.height is not None:
        tall = _post_length(spec, beam, spec.height)
        yield Cut(Length(tall), spec.posts, section=spec.post, piece="post")


def _post_length(spec: DeckSpec, beam: HeaderSpec, height: Fraction) -> Fraction:
    """Return what boards, joists and beam leave of the *height*."""
    deep, joist = beam.depth or depth(beam.section), depth(spec.section)
    if deep is None:
        raise wrong(RemarkKind.BEAM_DEPTH_UNKNOWN, section=str(beam.section))
    if joist is None:
        raise wrong(RemarkKind.SECTION_UNKNOWN, section=str(spec.section))
    left = height - spec.thick - joist - deep
    if left <= 0:
        raise wrong(RemarkKind.NO_ROOM_UNDER_BEAM, height=height, taken=spec.thick + joist + deep)
    return left


def _facts(spec: DeckSpec, beam: HeaderSpec, joined: list[list[Fraction]]) -> Iterator[Remark]:
    wide = beam.plies * (thickness(beam.section) if beam.section.dressed() else USUAL_THICKNESS)
    outer = spec.span - spec.cantilever
    if outer - wide <= 0:
        raise wrong(RemarkKind.NO_ROOM_FOR_JOISTS, length=spec.length, span=outer)
    yield remark(RemarkKind.BEAM_PLACE, near=outer - wide, outer=outer, plies=beam.plies)
    over = tuple(sorted({at for ply in joined for at in ply}))
    if over:
        yield remark(RemarkKind.BEAM_JOINTS, marks=over)
    places = post_middles(spec)
    if places:
        yield remark(RemarkKind.POST_MARKS, marks=tuple(places))
    if places and spec.height is None:
        yield remark(RemarkKind.POSTS_NOT_CUT)
    if spec.height is not None:
        yield remark(RemarkKind.POST_LENGTH, thick=spec.thick)
        yield remark(RemarkKind.DECK_STAIRS, rise=spec.height)

"""The plates of a wall, with their joints apart and the cap plate lapped over the walls it meets.

The end joints of the two top plates are 24 in. apart or more, and the cap plate laps at corners
and over the partitions that meet the wall (IRC R602.3.2). Joints are put over a stud, which that
section does not ask for, and no piece is shorter than 24 in. where that can be (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise

from cutmemo.framing.assembly import Placed, depth, thickness
from cutmemo.framing.specs import WallSpec

MIN_APART = Fraction(24)
TOP_PLATES = 2

Stretch = tuple[Fraction, Fraction]


def joints(
    stretch: Stretch,
    longest: Fraction,
    middles: Iterable[Fraction],
    apart_from: Sequence[Fraction] = (),
) -> tuple[list[Fraction], bool]:
    """Return where a plate over *stretch* is joined, and whether all joints are :data:`MIN_APART`
    from others.

    *longest* is the longest board; joints stand on *middles* of studs.
    """
    start, end = stretch
    places = list(middles)
    found: list[Fraction] = []
    apart = True
    while end - start > longest:
        reached = [place for place in places if start < place <= start + longest]
        clear = [
            place for place in reached if all(abs(place - at) >= MIN_APART for at in apart_from)
        ]
        good = [place for place in clear if min(place - start, end - place) >= MIN_APART]
        apart &= bool(clear)
        at = max(good or clear or reached or [start + longest])
        found.append(at)
        start = at
    return found, apart


def _pieces(stretch: Stretch, cuts: Sequence[Fraction]) -> list[Stretch]:
    return list(pairwise([stretch[0], *cuts, stretch[1]]))


def cap_stretches(spec: WallSpec) -> list[Stretch]:
    """Return what the cap plate covers: short of a wall that laps over this one, past one that this
    one laps over.
    """
    meets = depth(spec.section) or Fraction(0)
    start = meets if "left" in spec.corners else -meets if "left" in spec.butts else Fraction(0)
    end = spec.length
    end += -meets if "right" in spec.corners else meets if "right" in spec.butts else 0
    found = []
    half = (depth(spec.partition) or Fraction(0)) / 2
    for tee in sorted(spec.tees):
        found.append((start, tee - half))
        start = tee + half
    return [*found, (start, end)]


def plates(
    spec: WallSpec, middles: Sequence[Fraction], longest: Fraction
) -> tuple[list[Placed], tuple[Fraction, ...], tuple[Fraction, ...], bool]:
    """Return the plates, the joints of the top and of the cap plate, and whether those are far
    enough apart.
    """
    thick = thickness(spec.section)
    whole = (Fraction(0), spec.length)
    caps = cap_stretches(spec)
    breaks = [at for one, two in pairwise(caps) for at in (one[1], two[0])]
    lower, apart = joints(whole, longest, middles, breaks)
    upper: list[Fraction] = []
    pieces: list[Stretch] = []
    for stretch in caps:
        found, clear = joints(stretch, longest, middles, lower)
        apart &= clear
        upper += found
        pieces += _pieces(stretch, found)
    top = spec.height - TOP_PLATES * thick
    rows = [
        ("sole plate", _pieces(whole, lower), Fraction(0)),
        ("top plate", _pieces(whole, lower), top),
        ("cap plate", pieces, top + thick),
    ]
    if pieces == [whole]:
        rows = [("plate", stretches, bottom) for _, stretches, bottom in rows]
    placed = [
        Placed(name, left, bottom, right - left, thick, upright=False, section=spec.section)
        for name, stretches, bottom in rows
        for left, right in stretches
    ]
    return placed, tuple(lower), tuple(upper), apart

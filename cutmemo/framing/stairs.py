"""Straight flights of stairs: how many risers, how high each, the boards they take, and where those
are marked.

The total rise over a riser of about 7 in., to the nearest whole number, gives the risers
(NAVEDTRA 14044: 107 in. over 7 gives 15); a flight has one tread fewer. A stringer is marked
off a board of about risers × sqrt(riser² + run²) (common practice). What a step leaves of the
stringer, its throat, is its depth - riser × run / sqrt(riser² + run²) (geometry). A landing takes
the place of a tread, so it stands whole risers high, and all risers stay equal (stairs4u.com,
"Landing": 7 risers of 7 in. are 49).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import accumulate, pairwise

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length, to_tape
from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import CAUTION, Assembly, Profile, depth
from cutmemo.framing.remarks import Remark, RemarkKind, remark, wrong
from cutmemo.framing.slope import root
from cutmemo.framing.specs import StairSpec

USUAL_RISER = Fraction(7)
MAX_RISER = Fraction(31, 4)
MIN_RUN = Fraction(10)
"""Riser and tread (IRC R311.7.5, as quoted by trade pages; editions differ)."""
MIN_THROAT = Fraction(7, 2)
"""Inches left of a cut stringer (common practice: forum.nachi.org, thread 3879, calls it the least;
of a deck's stairs decksgo.com, "Cutting a stair stringer", asks for 5).
"""
MAX_FLIGHT = Fraction(147)
"""Rise without a landing in older editions of IRC R311.7.3 (quoted so in doityourself.com, thread
608727 of 2019; that this is the edition of 2015 is from memory).
"""
MAX_FLIGHT_SINCE_2018 = Fraction(151)
"""Rise without a landing since the edition of 2018 (codeoperative.net models its R311.7.3 with 20
risers of 7.55 in.; that 2021 and 2024 keep it is from memory).
"""
MIN_LANDING = Fraction(36)
"""Depth of a landing in the direction of travel (IRC R311.7.6, as quoted in
thebuildingcodeforum.com, thread 39044).
"""
MIN_WIDTH = Fraction(36)
"""Clear width (IRC R311.7.1)."""
MIN_HEADROOM = Fraction(80)
"""Above the line of the nosings (IRC R311.7.2)."""


def risers_for(rise: Fraction) -> int:
    """Return how many risers climb *rise* inches, none of them higher than 7-3/4."""
    nearest = math.floor(rise / USUAL_RISER + Fraction(1, 2))
    return max(nearest, math.ceil(rise / MAX_RISER), 1)


def landings_for(rise: Fraction) -> int:
    """Return the fewest landings that keep every flight within the older and lower limit."""
    number = risers_for(rise)
    each = rise / number
    return next(n for n in range(number) if flights_of(number, n)[0] * each <= MAX_FLIGHT)


def throat(deep: Fraction, riser: Fraction, run: Fraction) -> Fraction:
    """Return what the steps leave of a stringer *deep* inches, square to its edge."""
    return deep - riser * run / root(riser**2 + run**2)


def stairs(spec: StairSpec, settings: Settings) -> Assembly:
    """Return the boards of a flight. Raises :class:`MeasureError` where there is none to climb."""
    number = risers_for(spec.rise)
    if number < 2:
        raise wrong(RemarkKind.ONE_STEP, rise=spec.rise)
    flights = flights_of(number, spec.landings)
    if flights[-1] < 2:
        raise wrong(RemarkKind.TOO_MANY_LANDINGS, landings=spec.landings, risers=number)
    each = spec.rise / number
    if spec.thick is not None and spec.thick >= each:
        raise wrong(RemarkKind.TREAD_TOO_THICK, thick=spec.thick, riser=each)
    deep = depth(spec.section)
    left = throat(deep, each, spec.run) if deep is not None else None
    if left is not None and left <= 0:
        raise wrong(RemarkKind.NO_THROAT, section=str(spec.section), riser=each, run=spec.run)
    step = root(each**2 + spec.run**2)
    cuts = [
        Cut(
            Length(root(risers**2 * (each**2 + spec.run**2))),
            spec.stringers * flights.count(risers),
            section=spec.section,
            piece="stringer",
            note="rough length",
        )
        for risers in dict.fromkeys(flights)
    ]
    if spec.width is not None:
        cuts += [
            Cut(Length(spec.width), number - len(flights), piece="tread"),
            Cut(Length(spec.width), number, piece="riser"),
        ]
    return Assembly(
        remark(RemarkKind.STAIRS, rise=spec.rise, risers=number),
        tuple(cuts),
        tuple(_facts(spec, flights, each, step, left, settings)),
        (*_cautions(spec, flights[0] * each, each, left), CAUTION),
        profile=Profile(spec.rise, spec.run * (number - len(flights)), steps=number),
    )


def flights_of(risers: int, landings: int) -> list[int]:
    """Return how many risers each flight between *landings* has, from below.

    They are as equal as can be, the longer ones first.
    """
    each, over = divmod(risers, landings + 1)
    return [each + (n < over) for n in range(landings + 1)]


def headroom(spec: StairSpec, each: Fraction) -> Fraction | None:
    """Return the room over the nosings at the far edge of the well, ``None`` where no well was
    named.
    """
    return spec.well * each / spec.run - spec.floor if spec.well is not None else None


def _facts(  # noqa: PLR0913 - each is a fact of its own
    spec: StairSpec,
    flights: list[int],
    each: Fraction,
    step: Fraction,
    left: Fraction | None,
    settings: Settings,
) -> Iterator[Remark]:
    number, treads = sum(flights), sum(flights) - len(flights)
    yield remark(RemarkKind.RISERS, number=number, each=each)
    total = spec.run * treads
    yield remark(
        RemarkKind.TREADS, number=treads, run=spec.run, total=total, landings=spec.landings
    )
    for below, above in pairwise(accumulate(flights)):
        yield remark(
            RemarkKind.LANDING_PLACE,
            after=below,
            top=below * each,
            framed=below * each - (spec.thick or 0),
            above=above - below,
            deep=MIN_LANDING,
        )
    yield remark(RemarkKind.GAUGES)
    marks = tuple(step * n for n in range(1, flights[0]))
    yield remark(RemarkKind.STEP_MARKS, marks=marks, step=step)
    if spec.thick is not None:
        yield remark(RemarkKind.FIRST_RISER, first=each - spec.thick)
    if left is not None:
        yield remark(RemarkKind.THROAT, left=left)
    room = headroom(spec, each)
    if room is not None:
        yield remark(RemarkKind.WELL, room=room)
    over = to_tape(each, settings.fineness) * number - spec.rise
    if over:
        yield remark(
            RemarkKind.RISERS_ADD_UP,
            number=number,
            each=each,
            off=abs(over),
            way="too much" if over > 0 else "too little",
        )


def _cautions(
    spec: StairSpec, flight: Fraction, riser: Fraction, left: Fraction | None
) -> Iterator[Remark]:
    if spec.run < MIN_RUN:
        yield remark(RemarkKind.SHORT_TREADS, run=spec.run)
    if left is not None and left < MIN_THROAT:
        yield remark(RemarkKind.THIN_THROAT, left=left, least=MIN_THROAT)
    if flight > MAX_FLIGHT:
        yield remark(
            RemarkKind.NEEDS_LANDING,
            rise=flight,
            older=MAX_FLIGHT,
            since=MAX_FLIGHT_SINCE_2018,
            landings=landings_for(spec.rise),
        )
    if spec.width is not None and spec.width < MIN_WIDTH:
        yield remark(RemarkKind.NARROW, width=spec.width)
    room = headroom(spec, riser)
    if room is not None and room < MIN_HEADROOM:
        needed = (MIN_HEADROOM + spec.floor) * spec.run / riser
        yield remark(RemarkKind.LOW_HEADROOM, room=room, needed=needed)

"""Sets at their edges: notches, cap plates past tees, cripples under a sill, landings, limits of measures."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise

import pytest

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    HeaderSpec,
    MeasureError,
    OpeningSpec,
    Pitch,
    RafterSpec,
    RemarkKind,
    StairSpec,
    WallSpec,
    calculate,
)
from cutmemo.framing.centres import sheets
from cutmemo.framing.plates import cap_stretches
from cutmemo.framing.wall_frame import WallFrame
from cutmemo.language.measures import refuse_unused
from cutmemo.language.sets import AssemblyCall, HeaderSaid, Opening
from cutmemo.language.specs import spec_of

CREW = Settings()
TWO_BY_SIX, TWO_BY_EIGHT, TWO_BY_TEN = (Section(F(2), F(width)) for width in (6, 8, 10))
HEADER = HeaderSpec(TWO_BY_EIGHT)


def test_a_birdsmouth_a_quarter_of_the_depth_deep_is_as_deep_as_it_may_be() -> None:
    """IRC R802.7.1 by trade pages: notches at ends up to a quarter of the depth; 9 on 12 is a triangle
    of 3, 4 and 5, so that a seat goes three fifths of itself deep.
    """
    a_quarter = F(29, 4) / 4 * F(5, 3)
    for seat, told in ((a_quarter, False), (a_quarter + F(1, 1000), True)):
        found = calculate(RafterSpec(F(120), Pitch(F(9)), seat=seat, section=TWO_BY_EIGHT), CREW)
        assert (RemarkKind.DEEP_NOTCH in {each.kind for each in found.cautions}) is told


def test_the_cap_plate_leaves_every_tee_open() -> None:
    spec = WallSpec(F(240), F(777, 8), F(16), tees=(F(150), F(60), F(200)), partition=TWO_BY_SIX)
    half = F(11, 4)
    edges = [F(0), 60 - half, 60 + half, 150 - half, 150 + half, 200 - half, 200 + half, F(240)]
    assert cap_stretches(spec) == [*zip(edges[::2], edges[1::2], strict=True)]


@pytest.mark.parametrize("spacing", [F(12), F(16), F(96, 5), F(24)])
def test_cripples_under_a_sill_stand_side_by_side_wherever_the_opening_is(spacing: F) -> None:
    for sixteenths in range(0, int(16 * spacing) + 16, 3):
        opening = OpeningSpec(F(40), F(82), F(30) + F(sixteenths, 16), HEADER, sill=F(36))
        wall = calculate(WallSpec(F(160), F(777, 8), spacing, openings=(opening,)), CREW)
        under = sorted(
            each.left for each in wall.layout if each.piece == "cripple" and each.bottom < 36
        )
        assert (under[0], under[-1]) == (opening.at, opening.at + 40 - F(3, 2))
        assert all(two - one >= F(3, 2) for one, two in pairwise(under))
        assert all(two - one <= spacing for one, two in pairwise(under))


def test_nothing_stands_under_a_door() -> None:
    window = OpeningSpec(F(36), F(82), F(30), HEADER, sill=F(36))
    frame = WallFrame(WallSpec(F(160), F(777, 8), F(16), openings=(window,)))
    assert frame.under(window) == 33
    assert frame.under(replace(window, sill=None)) == 0
    assert frame.under(replace(window, sill=F(3))) == 0


def test_both_editions_of_the_code_are_named_where_a_flight_needs_a_landing() -> None:
    """IRC R311.7.3: 147 in. in older editions, 151 since 2018 (see ``framing/stairs.py``)."""
    found = calculate(StairSpec(F(160)), CREW)
    (asked,) = [each for each in found.cautions if each.kind is RemarkKind.NEEDS_LANDING]
    told = dict(asked.values)
    assert (told["older"], told["since"]) == (147, 151)


def test_sheets_are_told_in_the_sizes_of_the_spacing() -> None:
    """Sheets are 48 by 96 in. or 1200 by 2400 mm (common practice)."""
    mm = F(10, 254)  # NIST SP 811
    for spacing, sizes in (
        (F(17), (48, 96)),
        (F(61, 4), (48, 96)),
        (F(1217, 64), (48, 96)),
        (350 * mm, (1200 * mm, 2400 * mm)),
        (127 * mm, (48, 96)),  # 5 in. as well
    ):
        (told,) = sheets(spacing)
        assert (dict(told.values)["short"], dict(told.values)["long"]) == sizes


def header_depths(*said: HeaderSaid | None, wall: HeaderSaid | None = None) -> list[F]:
    openings = tuple(
        Opening(F(36), F(82), F(30 + 60 * n), header=header) for n, header in enumerate(said)
    )
    called = AssemblyCall(
        "wall", inches=(("length", F(300)), ("high", F(777, 8))), openings=openings, header=wall
    )
    spec = spec_of(called)
    assert isinstance(spec, WallSpec)
    return [each.header.section.width for each in spec.openings]


def test_an_opening_takes_the_header_of_the_next_one_else_of_the_last_before_it() -> None:
    six, eight, ten = (HeaderSaid(each) for each in (TWO_BY_SIX, TWO_BY_EIGHT, TWO_BY_TEN))
    assert header_depths(six, eight, None) == [6, 8, 8]
    assert header_depths(six, None, ten) == [6, 10, 10]
    assert header_depths(None, eight, None) == [8, 8, 8]
    assert header_depths(six, None, ten, None, wall=eight) == [6, 8, 10, 8]


@pytest.mark.parametrize(
    ("what", "name", "most"),
    [
        ("rafters", "rake", 144),
        ("rafters", "overhang", 144),
        ("rafters", "ridge", 8),
        ("rafters", "plate", 12),
        ("rafters", "fascia", 4),
        ("rafters", "span", 2400),
        ("rafters", "spacing", 96),
        ("rafters", "length", 3600),
        ("wall", "length", 3600),
        ("wall", "high", 1200),
        ("wall", "spacing", 96),
        ("stairs", "rise", 1200),
        ("stairs", "run", 48),
        ("stairs", "width", 240),
        ("deck", "board", 12),
        ("deck", "gap", 1),
    ],
)
def test_a_measure_up_to_its_most_is_taken_and_none_beyond(what: str, name: str, most: int) -> None:
    """12 ft of overhang, an 8 in. ridge, an eight foot sheet … (common practice)."""

    def kinds(inches: F) -> RemarkKind | None:
        beside = (("length", F(100)),) if what == "rafters" and name != "length" else ()
        called = AssemblyCall(what, inches=((name, inches), *beside))  # type: ignore[arg-type]
        try:
            refuse_unused(called)
        except MeasureError as error:
            return error.problem.kind
        return None

    assert kinds(F(most)) is not RemarkKind.PAST_ANY
    assert kinds(most + F(1, 64)) is RemarkKind.PAST_ANY

"""Laws of roofs: hips, jacks and rafters, all that is told of them between points."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise

import pytest
from sets_told import (
    HEADER,
    HEIGHT,
    SIXTEENTH,
    THICK,
    K,
    frame,
    told,
    wall,
)

from cutmemo.domain.cut import Section
from cutmemo.framing import (
    DeckSpec,
    FloorSpec,
    HeaderSpec,
    HipSlope,
    HipSpec,
    JackSpec,
    MeasureError,
    OpeningSpec,
    Pitch,
    RafterSpec,
    RakeSpec,
    Spec,
    StairSpec,
    Value,
    WallSpec,
)
from cutmemo.framing.specs import JackKind

EIGHT, FOUR = Pitch(F(8)), Pitch(F(4))
ROOFS = [HipSlope(EIGHT, EIGHT), HipSlope(EIGHT, FOUR), HipSlope(FOUR, EIGHT)]
INCH = 1e-5
DEGREE = 0.0051
"""Angles are told to a hundredth of a degree."""


def _float(value: Value) -> float:
    return float(value.degrees if hasattr(value, "degrees") else value)  # type: ignore[arg-type]  # a number


def _tangents(slope: HipSlope) -> tuple[float, float]:
    return float(slope.main.rise or 0) / 12, float(slope.end.rise or 0) / 12


@pytest.mark.parametrize("slope", ROOFS, ids=str)
@pytest.mark.parametrize("valley", [False, True])
@pytest.mark.parametrize("at_commons", [False, True])
def test_all_that_is_told_of_a_hip_is_so_between_points(
    slope: HipSlope, valley: bool, at_commons: bool
) -> None:
    """The main roof rises with y, the other with x; the hip runs where both are equally high."""
    spec = HipSpec(
        *(F(144), slope, 2, valley, F(12), F(3, 4), F(3, 2), F(7, 2)),
        section=Section(F(2), F(10)),
        commons=Section(F(2), F(8)),
        at_commons=at_commons,
    )
    found = frame(spec)
    a, b = _tangents(slope)
    q = a / b

    def along(run: float) -> float:
        return math.dist((0, 0, 0), (run * q, run, run * a))

    off = 0.75 * max(1, 1 / q) if at_commons else 0.75
    (lengths,) = told(found, K.HIP_LENGTHS)
    assert _float(lengths["theory"]) == pytest.approx(along(144), abs=INCH)
    assert _float(lengths["upper"]) == pytest.approx(along(144 - off), abs=INCH)
    assert _float(lengths["tail"]) == pytest.approx(along(11.25), abs=INCH)
    (shortened,) = told(found, K.HIP_SHORTENED)
    assert _float(shortened["level"]) == pytest.approx(off * math.hypot(1, q), abs=INCH)
    assert shortened["at"] == ("the end commons" if at_commons else "the ridge")
    plumb = math.degrees(math.atan(a / math.hypot(1, q)))
    (cut,) = told(found, K.HIP_PLUMB_CUT)
    assert _float(cut["angle"]) == pytest.approx(plumb, abs=DEGREE)
    (seat,) = told(found, K.HIP_SEAT)
    assert _float(seat["seat"]) == pytest.approx(3.5 * math.hypot(1, q), abs=INCH)
    if slope.equal:
        (cheeks,) = told(found, K.VALLEY_CHEEKS if valley else K.HIP_CHEEKS)
        backing = math.degrees(math.atan(math.sin(math.radians(plumb))))
        assert _float(cheeks["backing"]) == pytest.approx(backing, abs=2 * DEGREE)
        assert not told(found, K.OTHER_SIDE)
    else:
        (cheeks,) = told(found, K.HIP_CHEEKS_UNEQUAL)
        assert _float(cheeks["main"]) == pytest.approx(math.degrees(math.atan(1 / q)), abs=DEGREE)
        assert _float(cheeks["end"]) == pytest.approx(math.degrees(math.atan(q)), abs=DEGREE)
        (other,) = told(found, K.OTHER_SIDE)
        assert _float(other["overhang"]) == pytest.approx(12 * q, abs=INCH)
        assert not told(frame(replace(spec, overhang=F(0), fascia=F(0))), K.OTHER_SIDE)
    above = 7.25 * math.hypot(1, a) - 3.5 * a
    (high,) = told(found, K.HIP_HEIGHT)
    assert _float(high["commons"]) == pytest.approx(above, abs=INCH)
    drops = [0.75 * t * t / math.hypot(a, b) for t in (a, b)]
    own = above - (0 if valley else max(drops))
    assert _float(high["own"]) == pytest.approx(own, abs=INCH)
    assert bool(told(found, K.HIP_DROP)) is (slope.equal and not valley)
    assert bool(told(found, K.HIP_DROPS)) is (not slope.equal and not valley)
    assert not told(frame(replace(spec, commons=None)), K.HIP_HEIGHT)
    assert found.cuts[0].count == 2
    assert found.profile is not None
    assert float(found.profile.rise) == pytest.approx(144 * a)
    assert found.profile.run == 144


KINDS: list[JackKind] = ["hip", "valley", "cripple", "valley cripple"]


@pytest.mark.parametrize("slope", ROOFS, ids=str)
@pytest.mark.parametrize("kind", KINDS)
def test_all_that_is_told_of_jacks_is_so_between_points(slope: HipSlope, kind: JackKind) -> None:
    spec = JackSpec(kind, F(100), slope, F(24), 3, section=Section(F(2), F(6)))
    found = frame(spec)
    a, b = _tangents(slope)
    q = a / b
    one_roof = slope.equal or "cripple" in kind
    sides = [(a, q)] if one_roof else [(a, q), (b, 1 / q)]
    steps = told(found, K.JACK_STEP)
    twice = 2 if kind == "valley cripple" else 1
    expected = [twice * 24 / t * math.hypot(1, s) for s, t in sides] if kind != "cripple" else []
    assert [_float(each["step"]) for each in steps] == pytest.approx(expected, abs=INCH)
    cheeks = told(found, K.JACK_CHEEK)
    assert len(cheeks) == len(sides)
    for each, (s, t) in zip(cheeks, sides, strict=True):
        assert _float(each["miter"]) == pytest.approx(math.degrees(math.atan(s)), abs=DEGREE)
        assert _float(each["bevel"]) == pytest.approx(math.degrees(math.atan(1 / t)), abs=DEGREE)
        # Laid off on the top edge over 12 in. of the square: 12 of run by the common's length.
        assert _float(each["top"]) == pytest.approx(12 * t / math.hypot(1, s), abs=DEGREE)
    counts = {cut.count for cut in found.cuts}
    assert counts == {6 if one_roof and "cripple" not in kind else 3}
    assert bool(told(found, K.JACK_SIDES)) is ("cripple" not in kind)
    assert bool(told(found, K.CRIPPLE_JACKS_ALIKE)) is (kind == "cripple")
    assert bool(told(found, K.VALLEY_CRIPPLE_POINTS)) is (kind == "valley cripple")
    points = told(found, K.JACK_POINT if kind == "hip" else K.VALLEY_JACK_POINT)
    assert bool(points) is ("cripple" not in kind)
    if points:
        assert _float(points[0]["less"]) == pytest.approx(0.75 / q * math.hypot(1, a), abs=INCH)
    title = dict(found.title.values)
    assert title["pieces"] == sum(cut.count for cut in found.cuts)
    for cut in found.cuts:
        cheeked = [end.cheek for end in cut.ends]
        both = ["single", "single"]
        assert cheeked == {"hip": ["single", None], "valley": [None, "single"]}.get(kind, both)
        assert [end.point for end in cut.ends] == ["long", "short"]
    lengths = [cut.length.inches for cut in found.cuts if str(cut.ends[0].rise or "") == str(8)]
    assert lengths == sorted(lengths, reverse=True)


def test_a_roof_rises_and_is_no_steeper_than_80_degrees() -> None:
    for degrees, there in ((F(80), True), (80 + F(1, 10), False), (F(1, 10), True), (F(0), False)):
        if there:
            tangent = math.tan(math.radians(degrees))
            assert float(Pitch(degrees=degrees).tangent) == pytest.approx(tangent, abs=1e-9)
            assert str(Pitch(degrees=degrees)) == f"{float(degrees):g}°"
        else:
            with pytest.raises(MeasureError):
                Pitch(degrees=degrees)
    for rise, there in (
        (F(68), True),
        (F(69), False),
        (SIXTEENTH, True),
        (F(0), False),
        (F(-1), False),
    ):
        if there:
            assert Pitch(rise).tangent == rise / 12
        else:
            with pytest.raises(MeasureError):
                Pitch(rise)
    with pytest.raises(MeasureError) as caught:
        Pitch(degrees=F(0))
    assert caught.value.problem.value("pitch") == "0°"
    assert [str(Pitch(F(text))) for text in ("7", "13/2", "1/2")] == ["7/12", "6-1/2/12", "1/2/12"]


def test_a_notch_of_a_quarter_of_the_depth_is_the_most_at_the_end_of_a_rafter() -> None:
    # IRC R802.7.1 as quoted by trade pages: a fourth of the depth; a seat s at 12/12 cuts s/√2 deep.
    two_by_eight = Section(F(2), F(8))
    for seat, deep in ((F(41, 16), False), (F(42, 16), True)):
        notch = float(seat) / math.sqrt(2)
        assert (notch > 7.25 / 4) is deep
        found = frame(RafterSpec(F(144), Pitch(F(12)), seat=seat, section=two_by_eight))
        notches = told(found, K.DEEP_NOTCH)
        assert bool(notches) is deep
        if notches:
            assert _float(notches[0]["notch"]) == pytest.approx(notch, abs=INCH)
            assert notches[0]["depth"] == F(29, 4)
    for seat, short in (
        (F(3, 2), False),
        (F(3, 2) - SIXTEENTH, True),
    ):  # IRC R802.6: 1-1/2 in. on wood
        found = frame(RafterSpec(F(144), Pitch(F(4)), seat=seat))
        assert told(found, K.SHORT_BEARING) == ([{"seat": seat}] if short else [])


def test_all_that_is_told_of_rafters_is_so_between_points() -> None:
    spec = RafterSpec(
        *(F(144), Pitch(F(8)), 9, F(12), F(3, 4), F(3, 2), F(7, 2)), section=Section(F(2), F(8))
    )
    found = frame(spec)
    slant = math.hypot(1, 2 / 3)
    (lengths,) = told(found, K.SLOPE_LENGTHS)
    assert _float(lengths["upper"]) == pytest.approx(143.25 * slant, abs=INCH)
    assert _float(lengths["tail"]) == pytest.approx(11.25 * slant, abs=INCH)
    (mouth,) = told(found, K.BIRDSMOUTH)
    assert mouth["seat"] == F(7, 2)
    assert mouth["heel"] == F(7, 3)
    assert _float(mouth["deep"]) == pytest.approx(3.5 * math.sin(math.atan2(2, 3)), abs=INCH)
    assert told(found, K.FASCIA_OFF) == [{"fascia": F(3, 4), "overhang": 12}]
    assert told(found, K.RIDGE_HEIGHT)[0]["rise"] == 96
    assert _float(told(found, K.PLUMB_DEPTH)[0]["deep"]) == pytest.approx(7.25 * slant, abs=INCH)
    bare = frame(replace(spec, section=None, fascia=F(0)))
    assert not told(bare, K.FASCIA_OFF)
    assert not told(bare, K.PLUMB_DEPTH)
    assert told(bare, K.RIDGE_HEIGHT) == [{"rise": 96}]
    assert found.cuts[0].count == 9
    assert not told(found, K.RAFTER_COUNT)
    assert [cut.piece for cut in found.cuts] == ["common rafter"]


def test_rafters_stand_on_centres_from_gable_to_gable_and_carry_the_joints() -> None:
    spec = RafterSpec(F(144), Pitch(F(6)), length=F(500), spacing=F(24), rake=F(10))
    found = frame(spec, F(192))
    (told_marks,) = told(found, K.RAFTER_MARKS)
    marks = told_marks["marks"]
    assert isinstance(marks, tuple)
    assert (marks[0], marks[-1]) == (F(0), 500 - THICK)
    assert all(THICK <= two - one <= 24 for one, two in pairwise(marks))
    assert told(found, K.RAFTER_COUNT) == [{"count": 2 * len(marks), "side": len(marks)}]
    assert found.cuts[0].count == 2 * len(marks)
    for piece, number in (("ridge", 1), ("fascia", 2)):
        boards = [cut for cut in found.cuts if cut.piece == piece]
        assert sum(cut.length.inches * cut.count for cut in boards) == number * 520
        assert all(cut.length.inches <= 192 for cut in boards)
    # The first board ends over the farthest rafter that it reaches from 10 in. outside.
    reach = max(mark + THICK / 2 for mark in marks if mark + THICK / 2 <= 192 - 10)
    assert next(cut for cut in found.cuts if cut.piece == "ridge").length.inches == reach + 10


def test_what_is_usual_holds_where_nothing_else_is_said() -> None:
    """Common practice: 16 in. on centre, ridge and hip of 2-by stock, a 2x4's plate, treads of 10 in., three stringers."""
    even = HipSlope(Pitch(F(6)), Pitch(F(6)))
    usual = (F(0), F(0), F(3, 2), F(7, 2))  # overhang, fascia, ridge, seat
    said: list[tuple[Spec, Spec]] = [
        (WallSpec(F(144), HEIGHT), WallSpec(F(144), HEIGHT, F(16), Section(F(2), F(4)))),
        (RakeSpec(F(144), Pitch(F(6)), F(0), F(16)), RakeSpec(F(144), Pitch(F(6)))),
        (
            RafterSpec(F(144), Pitch(F(6)), length=F(288)),
            RafterSpec(F(144), Pitch(F(6)), 1, *usual, length=F(288), spacing=F(16), rake=F(0)),
        ),
        (HipSpec(F(144), even), HipSpec(F(144), even, 1, False, *usual)),
        (
            JackSpec("valley", F(144), even, F(16)),
            JackSpec("valley", F(144), even, F(16), 1, ridge=F(3, 2), hip=F(3, 2)),
        ),
        (
            FloorSpec(F(144), F(144)),
            FloorSpec(F(144), F(144), F(16), Section(F(2), F(10)), blocking=0),
        ),
        (
            DeckSpec(F(144), F(144)),
            DeckSpec(F(144), F(144), F(16), Section(F(2), F(10)), board=F(11, 2), gap=F(1, 8)),
        ),
        (
            StairSpec(F(107)),
            StairSpec(F(107), F(10), section=Section(F(2), F(12)), stringers=3, floor=F(0)),
        ),
        (
            wall(OpeningSpec(F(36), F(80), F(40), HeaderSpec(Section(F(2), F(8))))),
            wall(OpeningSpec(F(36), F(80), F(40), replace(HEADER, plies=2), None, 1, 1)),
        ),
    ]
    for short, full in said:
        assert short == full

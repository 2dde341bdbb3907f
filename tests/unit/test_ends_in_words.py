"""How both ends are cut, as they are said: each angle, pitch, point and reach in any order, and what is said once too often."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import product

import pytest

from cutmemo.domain.cut import SQUARE, Cut, End, Point, Rise
from cutmemo.errors import NotACall, Refused
from cutmemo.language import read

Ends = tuple[End, End]


def ends(said: str, by_voice: bool = False) -> list[Ends]:
    """Return the ends of 36 in. that *said* may have."""
    try:
        found = read(said, None, by_voice)
    except (NotACall, Refused):
        return []
    cuts = [each.intent for each in found if isinstance(each.intent, Cut)]
    return [cut.ends for cut in cuts if cut.length.inches == 36 and cut.count == 1]


def miter(degrees: F | int, point: Point | None = None) -> End:
    return End("angled", miter=F(degrees), point=point)


def bevel(degrees: F | int) -> End:
    return End("angled", bevel=F(degrees))


@pytest.mark.parametrize(
    "degrees", ["15", "22-1/2", "30", "41", "45", "60", "74", "75", "76", "90"]
)
def test_up_to_75_degrees_are_an_angle_of_one_end_or_both(degrees: str) -> None:
    whole, _, part = degrees.partition("-")
    angle = F(whole) + F(part or 0)
    fits, one, both = angle <= 75, (miter(angle), SQUARE), (miter(angle), miter(angle))
    for said, wanted in (
        (f"36 {degrees} degrees", one),
        (f"36 {degrees} degrees one end", one),
        (f"36 {degrees} both ends", both),
        (f"36 {degrees} degrees both ends", both),
        (f"36 both ends {degrees} degrees", both),
        (f"36 both ends at {degrees} degrees", both),
    ):
        assert ends(said) == ([wanted] if fits else []), said
    named = (f"36 miter {degrees}", f"36 {degrees} degree miter", f"36 mitered {degrees} degrees")
    for said in named:
        assert one in ends(said), said
    usual = angle in {F(15), F(45, 2), F(30), F(45), F(60)}
    assert (ends(f"36 both ends {degrees}") == [both]) is usual
    assert (ends(f"36 with a {degrees}") == [one]) is usual
    assert (ends(f"36 LP {degrees}") == [(miter(angle, "long"), SQUARE)]) is usual
    assert (ends(f"36 {degrees} LP") == [(miter(angle, "long"), SQUARE)]) is usual
    assert (ends(f"36 {degrees} {degrees}") == [both]) is usual
    assert (ends(f"36 mitered both ends {degrees}") == [both]) is usual


@pytest.mark.parametrize(("first", "second"), [*product((30, 45, 60), repeat=2)])
def test_two_ends_are_cut_each_its_own_way(first: int, second: int) -> None:
    wanted = [(miter(first), miter(second))]
    assert ends(f"36 {first} one end {second} other end") == wanted
    assert ends(f"36 {first} one end, {second} one end") == wanted
    assert ends(f"36 miter {first} one end bevel {second} other end") == [
        (miter(first), bevel(second))
    ]
    pointed = [(miter(first, "long"), miter(second, "short"))]
    assert ends(f"36 {first} long point one end, {second} short point other end") == pointed
    assert ends(f"36 {first} one end LP, {second} other end SP") == pointed
    assert ends(f"36 square one end {second} other end") == [(SQUARE, miter(second))]
    for third in ("15 one end", "square one end", "15 both ends"):
        assert not ends(f"36 {first} one end {second} other end {third}")
    assert not ends(f"36 {first} both ends {second} one end")
    assert not ends(f"36 {first} one end {second} both ends")


@pytest.mark.parametrize(
    ("points", "pair"),
    [
        ("long to short", ("long", "short")),
        ("short to long", ("short", "long")),
        ("long to long", ("long", "long")),
        ("short point to short point", ("short", "short")),
        ("LL", ("long", "long")),
    ],
)
def test_both_points_belong_to_both_ends(points: str, pair: tuple[Point, Point]) -> None:
    both = [(miter(45, pair[0]), miter(45, pair[1]))]
    for said in (f"36 45 both ends {points}", f"36 {points} 45 both ends", f"36 45s {points}"):
        assert ends(said) == both, said
    for said in (f"36 {points} 45s", f"36 {points} 45", f"36 {points} 45 degrees"):
        if points != "LL":
            assert both[0] in ends(said), said
    assert ends(f"36 45 one end 30 other end {points}") == [
        (miter(45, pair[0]), miter(30, pair[1]))
    ]
    assert ends(f"36 {points}") == [(End(point=pair[0]), End(point=pair[1]))]
    assert not ends(f"36 45 both ends {points} {points}")


@pytest.mark.parametrize("point", ["long", "short"])
def test_one_point_is_said_before_the_angle_behind_it_and_behind_the_reach(point: Point) -> None:
    one, both = [(miter(45, point), SQUARE)], [(miter(45, point), miter(45, point))]
    for said, wanted in (
        (f"36 45 {point} point", one),
        (f"36 45 one end {point} point", one),
        (f"36 45 {point} point one end", one),
        (f"36 {point} point, 45 one end", one),
        (f"36 45 {point} point both ends", both),
        (f"36 45 both ends {point} point", both),
        (f"36 both ends 45 {point} point", both),
        (f"36 {point} point 45 both ends", both),
        (f"36 45s {point} point", both),
        (f"36 45 45 {point} point", both),
        (f"36 45 both ends, {point} point", both),
    ):
        assert wanted[0] in ends(said), said
        assert all(each == wanted[0] for each in ends(said)), said
    assert ends(f"36 {point} point") == [(End(point=point), SQUARE)]
    assert not ends(f"36 45 {point} point {point} point {point} point")


@pytest.mark.parametrize("kind", ["plumb", "seat", "hip"])
@pytest.mark.parametrize("rise", ["1", "6-1/2", "7", "23", "24", "25", "0"])
def test_a_rise_of_up_to_24_in_12_is_said_in_many_ways(kind: str, rise: str) -> None:
    whole, _, part = rise.partition("-")
    number = F(whole) + F(part or 0)
    fits = 0 < number <= 24
    wanted = (End(kind, Rise(number)), SQUARE)  # type: ignore[arg-type]  # of these
    for said in (
        f"36 {kind} cut {rise} in 12",
        f"36 {kind} {rise} in 12",
        f"36 {kind} cut {rise} on 12",
        f"36 {kind} cut {rise} over 12",
        f"36 {rise} in 12 {kind} cut",
        f"36 {rise} in 12 {kind}",
    ):
        assert (wanted in ends(said)) is fits, said
        assert not any(end.rise for pair in ends(said) for end in pair) or fits
    for cheek in ("single", "double"):
        cheeked = (replace(wanted[0], cheek=cheek), SQUARE)
        for said in (
            f"36 {kind} cut {rise} in 12 {cheek} cheek",
            f"36 {cheek} cheek {kind} cut {rise} in 12",
        ):
            assert (cheeked in ends(said)) is fits, said
    assert not ends(f"36 {kind} cut {rise} in 13")


def test_a_pitch_is_given_in_degrees_and_a_heel_cut_is_plumb_or_seat() -> None:
    assert ends("36 plumb cut 30 degrees") == [(End("plumb", miter=F(30)), SQUARE)]
    assert (End("plumb", miter=F(30)), SQUARE) in ends("36 30 degree plumb cut")
    assert ends("36 plumb cut") == [(End("plumb"), SQUARE)]
    seven = Rise(F(7))
    assert ends("36 heel cut 7/12") == [(End(kind, seven), SQUARE) for kind in ("plumb", "seat")]  # type: ignore[arg-type]  # of these
    assert ends("36 plumb 7/12 one end seat 7/12 other end") == [
        (End("plumb", seven), End("seat", seven))
    ]
    assert ends("36 plumb 7/12 both ends") == [(End("plumb", seven), End("plumb", seven))]


def test_a_miter_and_a_bevel_are_one_end_and_two_of_a_kind_are_not() -> None:
    both = (End("angled", miter=F(45), bevel=F(30)), SQUARE)
    for said in (
        "36 bevel 30 miter 45",
        "36 miter 45 and bevel 30",
        "36 30 degree bevel and 45 degree miter",
    ):
        assert both in ends(said), said
    for said in ("36 miter 30 and miter 45", "36 bevel 30 and bevel 45"):
        assert not ends(said), said
    pointed = replace(both[0], point="long")
    assert ends("36 bevel 30 miter 45 long point both ends") == [(pointed, pointed)]


def test_several_angles_are_said_in_the_plural() -> None:
    for said, degrees in (("forty fives", 45), ("thirties", 30), ("sixties", 60), ("fifteens", 15)):
        assert (miter(degrees), miter(degrees)) in ends(f"thirty six {said}", by_voice=True), said
    for said in ("forties", "forty sixes", "twenties", "fifty fives"):
        assert not any(pair != (SQUARE, SQUARE) for pair in ends(f"thirty six {said}", True)), said
    for degrees, usual in (
        (15, True),
        (30, True),
        (45, True),
        (60, True),
        (40, False),
        (90, False),
    ):
        there = (miter(degrees), miter(degrees)) in ends(f"36 {degrees}s")
        assert there is usual, degrees
    assert not ends("thirty six forty five forty five", by_voice=True)
    assert ends("thirty six forty five forty five long point", by_voice=True) == [
        (miter(45, "long"), miter(45, "long"))
    ]
    assert not ends("36 45 30")

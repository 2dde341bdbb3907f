"""What is questioned about a cut, figure by figure: mill studs, angles at the saw, shade, figures turned round."""

from __future__ import annotations

import math
from fractions import Fraction as F
from typing import Any, Literal

import pytest

from cutmemo.domain import checks
from cutmemo.domain.checks import check, sawn
from cutmemo.domain.cut import Allowance, Cut, End, Section
from cutmemo.domain.doubts import Doubt, DoubtKind
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings

CREW = Settings()


def cut(inches: str | int | F, count: int = 1, **fields: Any) -> Cut:
    return Cut(Length(F(inches)), count, **fields)


def asked(of: Cut, *others: Cut, **more: Any) -> tuple[Doubt, ...]:
    return check(of, others, CREW, **more).questions


def kinds(of: Cut, *others: Cut, **more: Any) -> list[DoubtKind]:
    return [each.kind for each in asked(of, *others, **more)]


def fact(of: Doubt, name: str) -> object:
    return dict((*of.numbers, *of.lengths))[name]


# A stud of a wall of 8, 9 or 10 ft is sold 92-5/8, 104-5/8 or 116-5/8 in. long (common practice).
MILL = (F(92) + F(5, 8), F(104) + F(5, 8), F(116) + F(5, 8))


@pytest.mark.parametrize("mill", MILL)
def test_each_stud_from_the_mill_is_taken_and_each_slip_of_it_names_it(mill: F) -> None:
    assert kinds(cut(mill, piece="stud")) == []
    for off in (1, -1, 10, -10, 12, -12):
        found = asked(cut(mill + off, piece="stud"))
        if mill + off in MILL:
            assert not found
            continue
        assert {each.kind for each in found} == {DoubtKind.BURNED_INCH}
        (question,) = [each for each in found if fact(each, "length") == Length(mill)]
        assert (fact(question, "off"), fact(question, "number")) == (off, 0)
    for off in (2, -2, 9, 11, 13):
        found = asked(cut(mill + off, piece="stud"))
        assert all(fact(each, "length") != Length(mill) for each in found)
    turned = math.floor(mill) + F(3, 8)  # the fraction read from the wrong side
    (question,) = asked(cut(turned, piece="stud"))
    assert (question.kind, fact(question, "length")) == (DoubtKind.TURNED_ROUND, Length(mill))
    assert kinds(cut(turned, piece="block")) == []


@pytest.mark.parametrize("rise", [1, 3, 4, 6, 9, 12, 18, 24])
def test_an_end_is_as_far_off_square_as_its_triangle_says(rise: int) -> None:
    across = math.degrees(checks._off_square(End("plumb", rise)))
    assert across == pytest.approx(math.degrees(math.asin(rise / math.hypot(12, rise))))
    level = math.degrees(checks._off_square(End("seat", rise)))
    assert across + level == pytest.approx(90)
    # A hip goes √(12² + 12²) along the ground while the roof goes 12.
    hip = math.degrees(checks._off_square(End("hip", rise)))
    assert hip == pytest.approx(math.degrees(math.asin(rise / math.hypot(12, 12, rise))))
    assert hip < across
    assert math.degrees(checks._off_square(End("angled", miter=F(rise)))) == pytest.approx(rise)
    assert checks._off_square(End()) == 0


@pytest.mark.parametrize(
    ("kind", "least"),
    # The first whole rise whose angle is past 50°, of 1 to 24 in 12: rise = run × tan 50°, or for a
    # seat 12 / rise > tan 50° (trigonometry).
    [("plumb", 15), ("hip", 21)],
)
def test_a_saw_of_50_degrees_makes_a_plumb_cut_up_to_its_swing(
    kind: Literal["plumb", "hip"], least: int
) -> None:
    saw = Settings(miter=F(50))
    run = 12 if kind == "plumb" else math.hypot(12, 12)
    assert run * math.tan(math.radians(50)) < least < run * math.tan(math.radians(50)) + 1
    for rise in range(1, 25):
        found = check(cut(36, ends=(End(kind, rise, point="long"), End())), (), saw).questions
        past = [each for each in found if each.kind is DoubtKind.PAST_SWING]
        assert bool(past) is (rise >= least), rise
        for each in past:
            angle = fact(each, "angle")
            assert isinstance(angle, F)
            assert float(angle) == pytest.approx(math.degrees(math.atan2(rise, run)), abs=0.01)
    for rise in range(1, 25):
        found = check(cut(36, ends=(End("seat", rise, point="long"), End())), (), saw).questions
        past = [each for each in found if each.kind is DoubtKind.PAST_SWING]
        assert bool(past) is (12 / rise > math.tan(math.radians(50)))


def test_the_swing_and_the_tilt_of_the_saw_themselves_can_be_cut() -> None:
    for name, limit, kind in (
        ("miter", CREW.miter, DoubtKind.PAST_SWING),
        ("bevel", CREW.bevel, DoubtKind.PAST_TILT),
    ):
        for angle, past in ((limit, False), (limit + F(1, 2), True), (limit - F(1, 2), False)):
            end = End("angled", point="long", **{name: angle})  # type: ignore[arg-type]
            assert (kind in kinds(cut(96, ends=(end, End())))) is past, (name, angle)
            assert (kind in kinds(cut(96, ends=(End(), end)))) is past, (name, angle)


def test_the_shade_is_sawn_over_or_under_and_of_nothing_else() -> None:
    shade = Settings(shade=F(1, 32))
    plain, over, under = (
        cut(36),
        cut(36, allowance=Allowance("fat", "over")),
        cut(36, allowance=Allowance("shy", "under")),
    )
    assert sawn(plain, shade) == sawn(plain, CREW) == Length(F(36))
    assert sawn(over, shade) == Length(F(1153, 32))
    assert sawn(under, shade) == Length(F(1151, 32))
    assert sawn(over, CREW) == sawn(under, CREW) == Length(F(36))


def test_figures_turned_round_at_a_place_name_how_many_stand_there() -> None:
    there = (cut(36, 2, place="W1"), cut(36, 3, place="W1"), cut(36, 7, place="W2"))
    (question,) = [
        each for each in asked(cut(63, place="W1"), *there) if fact(each, "number") != 12
    ]
    assert question.kind is DoubtKind.TURNED_ROUND
    assert (fact(question, "number"), fact(question, "length")) == (5, Length(F(36)))


@pytest.mark.parametrize(
    ("said", "asks"), [(191, False), (192, False), (F(3073, 16), True), (288, True), (289, False)]
)
def test_past_every_board_is_asked_from_behind_the_longest_to_the_crews_limit(
    said: int | F, asks: bool
) -> None:
    found = kinds(cut(said), longest_board=F(192))
    assert (DoubtKind.PAST_EVERY_BOARD in found) is asks
    assert (DoubtKind.TOO_LONG in found) is (said > CREW.longest)


@pytest.mark.parametrize("count", [1, 49, 50, 51])
def test_more_than_fifty_of_one_are_asked_about(count: int) -> None:
    assert (DoubtKind.TOO_MANY in kinds(cut(36, count))) is (count > 50)


@pytest.mark.parametrize("count", [51, 200, 201])
@pytest.mark.parametrize(
    ("said", "typed", "piece", "most"),
    [
        ("741/8", True, "stud", 200),
        ("51", True, "stud", 200),
        ("50", True, "stud", 50),  # 104 studs 36 may be 36 of them
        ("741/8", False, "stud", 50),
        ("741/8", True, None, 50),
    ],
)
def test_the_studs_of_a_floor_are_typed_without_a_question(
    count: int, said: str, typed: bool, piece: str | None, most: int
) -> None:
    found = kinds(cut(said, count, piece=piece), typed=typed)
    assert (DoubtKind.TOO_MANY in found) is (count > most)


@pytest.mark.parametrize("seconds", [None, 0.0, 4.9, 5.0, 5.1, -5.0, -5.1])
def test_the_same_call_is_asked_about_within_five_seconds_by_either_clock(
    seconds: float | None,
) -> None:
    asks = seconds is not None and -5 <= seconds <= 5
    assert (DoubtKind.SAID_TWICE in kinds(cut(36), seconds_since_same=seconds)) is asks


@pytest.mark.parametrize(("thick", "wide"), [(2, 4), (4, 4), (4, 2)])
def test_the_thin_side_is_named_first(thick: int, wide: int) -> None:
    found = kinds(cut(36, section=Section(F(thick), F(wide))))
    assert (DoubtKind.WIDE_SIDE_FIRST in found) is (thick > wide)

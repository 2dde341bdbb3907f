"""What cannot be right and what is questioned (common practice unless a source is named)."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.checks import check, sawn
from cutmemo.domain.cut import Allowance, Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.wording import explain


def cut(inches: str | int | F, count: int = 1, **fields: object) -> Cut:
    return Cut(Length(F(inches)), count, **fields)  # type: ignore[arg-type]


def questions(
    of: Cut, *others: Cut, settings: Settings | None = None, seconds: float | None = None
) -> str:
    found = check(of, others, settings or Settings(), seconds)
    assert not found.refusals
    return " ".join(explain(each) for each in found.questions)


@pytest.mark.parametrize(
    ("wrong", "why"),
    [(cut(0), "more than nothing"), (cut(-3), "more than nothing"), (cut(36, 0), "zero")],
)
def test_what_is_no_wood_is_refused(wrong: Cut, why: str) -> None:
    assert why in explain(check(wrong, (), Settings()).refusals[0])


def test_a_plain_cut_raises_no_question() -> None:
    assert questions(cut("741/8"), cut(36, 4), cut("203/2")) == ""


@pytest.mark.parametrize(
    ("doubtful", "why"),
    [
        (cut(289), "longest board"),
        (cut("1157/32"), "Finer than the tape"),
        (cut(9), "hands come near"),
        (cut(36, 51), "more than 50"),
        (cut(36, section=Section(F(6), F(3))), "thin side first: 3x6"),
        (cut(36, ends=(End("angled", miter=F(60), point="long"), End())), "past the saw's swing"),
        (cut(36, ends=(End("angled", bevel=F(50), point="long"), End())), "past the saw's tilt"),
        (cut(36, ends=(End("seat", 6, point="long"), End())), "past the saw's swing"),
        (cut(36, ends=(End("plumb", 7), End())), "long point or the short point"),
        (cut(36, ends=(End(point="long"), End())), "square end"),
        (cut(36, ends=(End("plumb", point="long"), End())), "angle was not said"),
    ],
)
def test_each_doubt_is_named(doubtful: Cut, why: str) -> None:
    assert why in questions(doubtful)


def test_whole_millimetres_are_on_a_metric_tape() -> None:
    assert questions(Cut(Length(F(24000, 254)))) == ""


@pytest.mark.parametrize(
    ("off", "said"),
    [
        (1, "1 in. longer"),
        (-1, "1 in. shorter"),
        (10, "10 in. longer"),
        (12, "12 in. longer"),
        (-10, "10 in. shorter"),
    ],
)
def test_a_burned_inch_is_questioned(off: int, said: str) -> None:
    assert said in questions(cut(F(185, 2) + off, piece="stud"), cut("185/2", 6, piece="stud"))


@pytest.mark.parametrize("off", [2, 9, 11, F(1, 2)])
def test_other_differences_are_not(off: F) -> None:
    assert questions(cut(F(185, 2) + off, piece="stud"), cut("185/2", 6, piece="stud")) == ""


def test_a_single_other_piece_is_no_set() -> None:
    assert questions(cut(37), cut(36)) == ""


@pytest.mark.parametrize(
    ("teen", "ten"), [(13, 30), (14, 40), (15, 50), (16, 60), (17, 70), (18, 80), (19, 90)]
)
def test_teens_and_tens_are_taken_for_each_other(teen: int, ten: int) -> None:
    # Off by 17, 26, 35, 44, 53, 62 or 71.
    assert f'Sounds like {ten}-1/2"' in questions(cut(F(2 * teen + 1, 2)), cut(F(2 * ten + 1, 2)))
    assert f'Sounds like 1{teen}"' in questions(cut(100 + ten), cut(100 + teen))


def test_the_same_call_within_seconds_is_questioned() -> None:
    assert "a moment ago" in questions(cut(36), seconds=2)
    assert questions(cut(36), seconds=60) == ""


def test_a_shade_is_a_number_only_if_the_crew_set_one() -> None:
    strong = cut(36, allowance=Allowance("strong", "over"))
    assert sawn(strong, Settings()) == Length(F(36))
    assert sawn(strong, Settings(shade=F(1, 32))) == Length(F(1153, 32))
    assert sawn(cut(36, allowance=Allowance("shy", "under")), Settings(shade=F(1, 16))) == Length(
        F(575, 16)
    )


def test_the_manner_travels_through_json() -> None:
    settings = Settings(pairs="feet", bare="sixteenths", shade=F(1, 32), fineness=32, kerf=F(1, 16))
    assert Settings.from_plain(settings.to_plain()) == settings

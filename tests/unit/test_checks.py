"""What cannot be right and what is questioned (common practice unless a source is named)."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.checks import RECENT, check, sawn
from cutmemo.domain.cut import Allowance, Cut, End, Section
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadSetting
from cutmemo.memo.events import CutAdded
from cutmemo.wording import explain


def cut(inches: str | int | F, count: int = 1, **fields: object) -> Cut:
    return Cut(Length(F(inches)), count, **fields)  # type: ignore[arg-type]


END_45 = End("angled", miter=F(45), point="long")


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
        (cut(12, 12, section=Section(F(2), F(12)), ends=(END_45, END_45)), "both ends meet"),
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


def test_a_short_piece_is_minded_and_counts() -> None:
    short = check(cut("191/16"), (), Settings())
    assert [explain(each)[:9] for each in short.cautions] == ['Under 12"']
    assert not short.questions
    assert not check(cut(12), (), Settings()).cautions


@pytest.mark.parametrize(
    ("others", "asks"),
    [
        ([cut(36, 3)], True),
        ([cut(36, 2)], False),
        ([cut(36, 1)], False),
        ([cut(36, 1), cut(36, 2)], True),
        ([cut(36, 3), cut(37)], False),
        ([cut(36, 3, section=Section(F(2), F(4)))], False),
    ],
)
def test_without_a_name_only_three_of_a_length_are_a_set(others: list[Cut], asks: bool) -> None:
    assert ("burned inch" in questions(cut(37), *others)) is asks


@pytest.mark.parametrize(("between", "asks"), [(11, True), (12, False)])
def test_without_a_name_only_a_set_called_lately_counts(between: int, asks: bool) -> None:
    later = [cut(200 + 3 * n) for n in range(between)]
    assert ("burned inch" in questions(cut(37), cut(36, 6), *later)) is asks
    named = [cut(36, 6, piece="block"), *later]
    assert "burned inch" in questions(cut(37, piece="block"), *named)


def test_two_of_a_named_piece_are_a_set() -> None:
    assert "burned" in questions(cut(37, piece="block"), cut(36, 2, piece="block"))
    assert questions(cut(37, piece="block"), cut(36, piece="block")) == ""
    assert questions(cut(37, piece="block"), cut(36, 6, piece="header")) == ""


@pytest.mark.parametrize(
    ("said", "meant", "asks"),
    [
        ("221/2", "203/2", True),
        ("509/8", "293/8", True),
        ("115/8", "117/8", True),
        (101, 110, True),
        ("203/2", "203/2", False),
        ("205/2", "203/2", False),
        ("117/8", "119/8", False),
        ("29/2", "29/2", False),
    ],
)
def test_figures_turned_round_within_a_set_are_questioned(
    said: str | int, meant: str | int, asks: bool
) -> None:
    assert ("turned round" in questions(cut(said), cut(meant, 6))) is asks


# Studs from the mill are 92-5/8, 104-5/8 and 116-5/8 in. (common practice).
@pytest.mark.parametrize(
    ("inches", "asks"),
    [("749/8", True), ("739/8", True), ("237/8", True), ("741/8", False), ("743/8", False)],
)
def test_a_first_stud_that_is_a_slip_of_one_from_the_mill_is_questioned(
    inches: str, asks: bool
) -> None:
    assert ("mill-cut stud" in questions(cut(inches, piece="stud"))) is asks
    assert "mill-cut" not in questions(cut(inches, piece="cripple"))
    assert "mill-cut" not in questions(cut(inches, piece="stud"), cut(inches, piece="stud"))


# From its long point an end at 45° runs back by the width: 11-1/4 in. of a 2x12, twice 22-1/2 (trigonometry).
@pytest.mark.parametrize(
    ("inches", "point", "asks"),
    [(12, "long", True), ("179/8", "long", True), ("45/2", "long", False), (12, "short", False)],
)
def test_ends_that_meet_are_questioned(inches: str | int, point: str, asks: bool) -> None:
    end = End("angled", miter=F(45), point=point)  # type: ignore[arg-type]
    crossed = cut(inches, section=Section(F(2), F(12)), ends=(end, end))
    assert ("both ends meet" in questions(crossed)) is asks


def test_parallel_ends_do_not_meet() -> None:
    ends = (END_45, END_45)
    assert questions(cut(12, section=Section(F(2), F(12)), ends=ends, note="parallel")) == ""


@pytest.mark.parametrize(
    ("inches", "longest", "asks"), [(145, 144, True), (144, 144, False), (145, None, False)]
)
def test_a_length_past_every_board_of_its_section_is_questioned(
    inches: int, longest: int | None, asks: bool
) -> None:
    board = None if longest is None else F(longest)
    found = check(cut(inches), (), Settings(), longest_board=board)
    assert any("on the rack" in explain(each) for each in found.questions) is asks


@pytest.mark.parametrize(("off", "asks"), [("1/8", True), ("15/16", True), (1, False), (0, False)])
def test_rafters_that_are_no_pair_are_questioned(off: str | int, asks: bool) -> None:
    said = cut(F(1327, 8) + F(off), piece="common rafter")
    assert ("in pairs" in questions(said, cut("1327/8", piece="common rafter"))) is asks


@pytest.mark.parametrize(
    ("name", "fits", "past"),
    # A rip of a thick blade, a shaken end, a hair, 60 ft, 24 ft, 4 ft, a sliding saw's swing and tilt:
    # beyond these it is a slip of the keys (common practice).
    [
        ("kerf", "1", "1-1/64"),
        ("trim", "24", "24-1/64"),
        ("shade", "1", "1-1/64"),
        ("longest", "720", "720-1/64"),
        ("leftover", "288", "288-1/64"),
        ("shortest", "48", "48-1/64"),
        ("miter", "75", "75-1/4"),
        ("bevel", "60", "60-1/4"),
    ],
)
def test_settings_are_checked_as_calls_are(name: str, fits: str, past: str) -> None:
    assert getattr(Settings().with_setting(name, fits), name) == F(fits)
    with pytest.raises(BadSetting):
        Settings().with_setting(name, past)


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


def test_a_length_that_sounds_like_another_asks_only_within_what_may_be_one_set() -> None:
    header, block = cut("81/2", piece="header"), cut("29/2", piece="block")
    assert "Sounds like" in questions(cut("29/2"), cut("81/2"))
    assert "Sounds like" in questions(cut("29/2"), header)
    assert not questions(block, header)
    assert not questions(block, cut("81/2", piece="block"), block)


@pytest.mark.parametrize(("inches", "opens"), [("1000000", True), ("1000000-1/64", False)])
def test_what_an_older_memo_holds_opens_up_to_a_million(inches: str, opens: bool) -> None:
    if opens:
        assert Settings().with_stored("longest", inches).longest == 1_000_000
    else:
        with pytest.raises(BadSetting):
            Settings().with_stored("longest", inches)


@pytest.mark.parametrize("display", ["inches", "mm"])
def test_a_setting_that_is_off_is_written_as_nothing(display: str) -> None:
    crew = Settings().with_setting("shade", "off").with_setting("display", display)
    assert crew.written("shade") is None
    assert crew.written("kerf") == {"inches": "1/8", "mm": "3.175mm"}[display]  # 25.4 mm an inch


def test_what_is_questioned_twice_is_asked_the_shorter_first() -> None:
    listed = [
        cut(F(1327, 8) + F(off), piece="common rafter") for off in ("7/8", "-1/2", "1/4", "-3/4")
    ]
    found = check(cut("1327/8", piece="common rafter"), listed, Settings()).questions
    told = [each.fact("length").inches for each in found if each.kind is DoubtKind.RAFTERS_DIFFER]
    assert told == sorted(told)
    assert len(told) == 4


def test_a_twin_by_ear_is_asked_though_the_same_length_is_there_of_another_board() -> None:
    two_by_four, two_by_six = (Section(F(2), F(width)) for width in (4, 6))
    fifty = cut(50, 4, section=two_by_six)
    assert "50" in questions(cut(15, section=two_by_four), fifty)
    assert "50" in questions(cut(15, section=two_by_four), fifty, cut(15, section=two_by_six))
    assert questions(cut(15, section=two_by_four), fifty, cut(15, section=two_by_four)) == ""


@pytest.mark.parametrize(
    ("said", "meant", "place", "asks"),
    [
        (63, 36, "W1", True),
        ("115/8", "117/8", "W1", True),
        (63, 36, "W2", False),
        (63, 36, None, False),
        (64, 36, "W1", False),
    ],
)
def test_figures_turned_round_at_one_place_are_questioned_however_few(
    said: str | int, meant: str | int, place: str | None, asks: bool
) -> None:
    assert ("turned round" in questions(cut(said, place="W1"), cut(meant, place=place))) is asks


def test_a_typed_length_sounds_like_nothing_but_what_was_called_just_now() -> None:
    between = [cut(100 + n) for n in range(RECENT)]
    for typed, others, asks in [
        (True, [cut(30)], True),
        (True, [cut(30), *between[1:]], True),
        (True, [cut(30), *between], False),
        (False, [cut(30), *between], True),
    ]:
        found = check(cut(13), others, Settings(), typed=typed).questions
        assert (DoubtKind.SOUNDS_LIKE in {each.kind for each in found}) is asks


@pytest.mark.parametrize(
    ("fits", "past"),
    [
        (cut(1_000_000), cut(1_000_000 + F(1, 64))),
        (cut(36, 1_000_000), cut(36, 1_000_001)),
        (cut(36, section=Section(F(2), F(1000))), cut(36, section=Section(F(2), F(1001)))),
        (cut(36, section=Section(F(1, 64), F(4))), cut(36, section=Section(F(0), F(4)))),
        *(
            (cut(36, ends=(End(), fits)), cut(36, ends=(End(), past)))
            for fits, past in (
                (End("plumb", rise=1000), End("plumb", rise=1001)),
                (End("angled", miter=F(89)), End("angled", miter=F(90))),
                (End("angled", bevel=F(89)), End("angled", bevel=F(90))),
            )
        ),
    ],
)
def test_what_no_wood_and_no_saw_has_is_refused_and_is_damage_in_a_memo(
    fits: Cut, past: Cut
) -> None:
    assert not check(fits, (), Settings()).refusals
    assert CutAdded(row="a", cut=fits, said="").cut == fits
    assert [each.kind for each in check(past, (), Settings()).refusals] == [DoubtKind.PAST_ALL_WOOD]
    with pytest.raises(ValueError, match="cannot be"):
        CutAdded(row="a", cut=past, said="")

"""Checks of a call at their edges: mill studs, angles at the saw, figures turned round, boards, twice."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.domain.checks import Findings, check, sawn
from cutmemo.domain.cut import Allowance, Cut, End, Section
from cutmemo.domain.doubts import Doubt, DoubtKind
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings

CREW = Settings()
STUD = Section(F(2), F(4))


def found(cut: Cut, *others: Cut, settings: Settings = CREW, **facts: object) -> list[Doubt]:
    findings: Findings = check(cut, others, settings, **facts)  # type: ignore[arg-type]
    return list(findings.questions)


def kinds(doubts: list[Doubt]) -> set[DoubtKind]:
    return {each.kind for each in doubts}


@pytest.mark.parametrize("stud", [F(741, 8), F(837, 8), F(933, 8)])  # 92-5/8, 104-5/8, 116-5/8 in.
def test_a_stud_an_inch_off_one_from_the_mill_asks_with_its_length(stud: F) -> None:
    """Precut studs for walls of 8, 9 and 10 ft (common practice)."""

    def asked(inches: F) -> set[F]:
        questions = found(Cut(Length(inches), piece="stud"))
        return {
            dict(each.lengths)["length"].inches
            for each in questions
            if each.kind is DoubtKind.BURNED_INCH
        }

    assert asked(stud) == set()
    for off in (1, -1, 10, -10):
        assert stud in asked(stud + off)
    for off in (F(1, 8), F(-1, 8), 2, -2, 9, 11):
        assert stud not in asked(stud + off)
    assert not found(Cut(Length(stud + 1), piece="sill"))


@pytest.mark.parametrize(
    ("kind", "rise", "degrees"),
    [
        # Plumb cut, degrees by rise on 12 (framing square tables, common practice): 7 on 12 30.26,
        # 12 on 12 45; the level cut of the seat is what is left of 90; a hip runs 16.97 (NAVEDTRA 14044).
        ("plumb", 7, 30.26),
        ("plumb", 12, 45.0),
        ("seat", 7, 59.74),
        ("seat", 12, 45.0),
        ("hip", 7, 22.42),
        ("hip", 12, 35.26),
    ],
)
def test_the_saw_swings_as_far_as_the_cut_is_off_square(
    kind: str, rise: int, degrees: float
) -> None:
    end = End(kind=kind, rise=F(rise), point="long")  # type: ignore[arg-type]
    cut = replace(Cut(Length(F(60)), section=Section(F(2), F(8))), ends=(end, End()))
    for limit, past in (
        (F(round(100 * degrees) - 2, 100), True),
        (F(round(100 * degrees) + 2, 100), False),
    ):
        asked = [
            each
            for each in found(cut, settings=replace(CREW, miter=limit))
            if each.kind is DoubtKind.PAST_SWING
        ]
        assert bool(asked) is past
        for each in asked:
            assert math.isclose(float(dict(each.numbers)["angle"]), degrees, abs_tol=0.01)


def test_how_many_stand_at_the_place_is_counted_not_taken_off() -> None:
    here = Cut(Length(F(36)), place="W1")
    asked = found(Cut(Length(F(63)), place="W1"), here, here)
    assert [(each.kind, dict(each.numbers)["number"]) for each in asked] == [
        (DoubtKind.TURNED_ROUND, 2)
    ]
    assert not found(Cut(Length(F(63)), place="W2"), here, here)


def test_the_crews_shade_is_for_a_shade_and_for_nothing_else() -> None:
    plain = Cut(Length(F(36)))
    strong, shy = (replace(plain, allowance=Allowance(word, side)) for word, side in (("strong", "over"), ("shy", "under")))  # type: ignore[arg-type]  # fmt: skip
    crew = replace(CREW, shade=F(1, 32))
    assert sawn(plain, crew).inches == 36
    assert sawn(strong, crew).inches == F(36) + F(1, 32)
    assert sawn(shy, crew).inches == F(36) - F(1, 32)
    assert sawn(strong, CREW).inches == sawn(shy, CREW).inches == 36


@pytest.mark.parametrize("lengths", [(96, 192), (192, 96), (96, 120, 192, 144)])
def test_a_length_is_past_every_board_only_if_it_is_past_the_longest(
    lengths: tuple[int, ...],
) -> None:
    def asks(inches: int) -> bool:
        desk = Desk(MemoryStore())
        for each in lengths:
            desk.add_boards(STUD, F(each), 1)
        desk.add_boards(Section(F(2), F(6)), F(240), 1)
        told = desk.call(f"{inches}-1/2 2x4")
        (row,) = told.rows
        return any(each.kind is DoubtKind.PAST_EVERY_BOARD for each in row.doubts)

    assert not asks(97)
    assert not asks(191)
    assert asks(192)


def test_said_twice_looks_at_the_last_time_it_was_said() -> None:
    moment = [datetime(2026, 5, 4, 7, tzinfo=UTC)]
    desk = Desk(MemoryStore(), clock=lambda: moment[0])
    desk.call("36-1/2")
    moment[0] += timedelta(minutes=10)
    assert not desk.call("36-1/2").rows[0].doubts
    moment[0] += timedelta(seconds=4)
    assert kinds(list(desk.call("36-1/2").rows[0].doubts)) == {DoubtKind.SAID_TWICE}

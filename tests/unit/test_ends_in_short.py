"""Ends in a crew's short words: without a length, along an edge, "both ends" before the pitch."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from desk import Desk, refused
from memory_store import MemoryStore

from cutmemo.domain.cut import SQUARE, Cut, End, Rise
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import NotACall, Refused
from cutmemo.language import read

PLUMB = End("plumb", Rise(F(6)))
PLUMB_4 = End("plumb", Rise(F(4)))


@pytest.mark.parametrize(
    ("said", "ends"),
    [
        ("36 plumb both ends 6/12", (PLUMB, PLUMB)),
        ("36 plumb cut both ends 6/12", (PLUMB, PLUMB)),
        ("rafter 36 plumb both ends 6:12", (PLUMB, PLUMB)),
        ("36 plumb one end 6/12", (PLUMB, SQUARE)),
        ("36 plumb 6/12 both ends", (PLUMB, PLUMB)),
    ],
)
def test_the_reach_may_stand_before_the_pitch(said: str, ends: tuple[End, End]) -> None:
    (found,) = read(said)
    assert (found.intent.ends, found.intent.length.inches) == (ends, F(36))  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "said",
    [
        "45 both ends",
        "plumb both ends 6/12",
        "square cut both ends",
        "bevel one side",
        "bevel both edges",
    ],
)
def test_ends_without_a_length_are_refused_with_what_to_say(said: str) -> None:
    desk = Desk(MemoryStore())
    desk.call("rafter 2x8 131")
    with refused(Refused, "ends without a length"):
        desk.call(said)
    assert [row.cut.ends for row in desk.state.rows.values()] == [(SQUARE, SQUARE)]


@pytest.mark.parametrize("said", ["double cheek 45", "96 double cheek 45", "96 single cheek"])
def test_a_cheek_without_its_pitch_is_refused_with_what_to_say(said: str) -> None:
    with refused(Refused, "A cheek is cut to the pitch"):
        Desk(MemoryStore()).call(said)


@pytest.mark.parametrize(
    ("said", "inches"),
    [
        ("36 bevel one side", F(36)),
        ("36 bevel one edge", F(36)),
        ("block 22 1/2 bevel one edge", F(45, 2)),
        ("22 1/2 block bevel both edges", F(45, 2)),
    ],
)
def test_a_bevel_along_an_edge_is_no_end_and_asks_for_its_angle(said: str, inches: F) -> None:
    (found,) = read(said)
    assert (found.intent.length.inches, found.intent.ends) == (inches, (SQUARE, SQUARE))  # type: ignore[union-attr]
    assert [each.kind for each in found.doubts] == [DoubtKind.ANGLE_NOT_SAID]


@pytest.mark.parametrize("said", ["36 bevel one degree", "36 bevel 1 one end", "36 bevel one end"])
def test_a_bevel_at_an_end_is_an_end(said: str) -> None:
    assert all(each.intent.ends[0].kind == "angled" for each in read(said))  # type: ignore[union-attr]


@pytest.mark.parametrize("said", ["both ends", "45 both ends blue", "double", "22 1/2 22 1/2"])
def test_what_names_no_end_is_no_call(said: str) -> None:
    with pytest.raises(NotACall):
        read(said)


@pytest.mark.parametrize(
    ("said", "plumb"),
    [
        ("2 rafters 2x8 101-1/4 4/12", (PLUMB_4, SQUARE)),
        ("rafter 101-1/4 4/12 pitch", (PLUMB_4, SQUARE)),
        ("rafter 101-1/4 4/12 both ends", (PLUMB_4, PLUMB_4)),
    ],
)
def test_a_pitch_without_a_cut_may_be_plumb_or_a_note_and_asks(
    said: str, plumb: tuple[End, End]
) -> None:
    desk = Desk(MemoryStore())
    desk.call(said)
    (row,) = desk.state.rows.values()
    assert row.state == "doubtful"
    ends = {
        tuple(replace(end, point=None) for end in each.ends)
        for each in row.readings
        if each.note is None
    }
    assert ends == {plumb}


def test_a_pitch_with_its_cut_is_no_note() -> None:
    for said in ("61 plumb 6/12 long point", "61 6/12 plumb cut long point", "61 seat 6/12"):
        assert [each.intent.note for each in read(said) if isinstance(each.intent, Cut)] == [None]


@pytest.mark.parametrize(
    ("said", "note"),
    [
        ("11 studs 92-5/8 2x6 @ 16 o.c.", "16 o.c."),
        ("14 studs 72-3/8 24 oc", "24 o.c."),
        ("joists 2x10 (12) 142-1/2 19.2 o.c.", "19-1/5 o.c."),
    ],
)
def test_how_far_apart_they_stand_is_a_note_behind_the_length(said: str, note: str) -> None:
    (found,) = read(said)
    assert isinstance(found.intent, Cut)
    assert (found.intent.note, found.doubts) == (note, ())


@pytest.mark.parametrize(
    ("said", "treated", "point"),
    [
        ("rafter 2x8 40 45 one end long pt", False, "long"),
        ("rafter 2x8 40 45 one end short pt", False, "short"),
        ("rafter 2x8 pt 40 45 one end long point", True, "long"),
        ("40 45 one end long point pt 2x8", True, "long"),
        ("long pt 2x8 rafter 40", True, None),
    ],
)
def test_pt_behind_long_or_short_is_a_point_and_no_treatment(
    said: str, treated: bool, point: str | None
) -> None:
    for each in read(said):
        assert isinstance(each.intent, Cut)
        assert each.intent.section is not None
        assert each.intent.section.treated is treated
        assert each.intent.ends[0].point == point

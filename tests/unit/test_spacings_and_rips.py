"""A typed number that may be a spacing, and how wide a piece is ripped: neither is a length in silence."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import CutmemoError, NotACall
from cutmemo.language import AssemblyCall, read


def asks_of_spacing(said: str) -> bool:
    return all(
        DoubtKind.LENGTH_OR_SPACING in {doubt.kind for doubt in each.doubts} for each in read(said)
    )


# 12, 16 and 24 in. on center are what walls, floors and roofs are framed at (common practice).
@pytest.mark.parametrize(
    "said",
    ["36 center to center", "36 on center", "20 studs 16", "20 2x4 studs 24", "12 joists 12"],
)
def test_what_may_be_a_spacing_asks(said: str) -> None:
    assert asks_of_spacing(said)


@pytest.mark.parametrize(
    "said",
    [
        "20 studs 16 in.",
        "20 studs 92 5/8",
        "20 studs 36",
        "20 cripples 16",
        "8 blocks 16",
        "1 stud 16",
        "20 @ 16 studs",
        "center block 16",
    ],
)
def test_what_is_plainly_a_length_asks_of_no_spacing(said: str) -> None:
    assert not asks_of_spacing(said)


def test_a_spacing_of_a_set_stays_its_spacing() -> None:
    (wall,) = read("wall 12' high 8' 16 on center")
    assert isinstance(wall.intent, AssemblyCall)
    assert not wall.doubts


@pytest.mark.parametrize(
    ("said", "length", "note"),
    [
        ("2x6 36 rip to 3", F(36), "rip to 3"),
        ("36 stud rip to 3 1/2", F(36), "rip to 3 1/2"),
        ("stringer 1x12 62 rip to 9 1/4", F(62), "rip to 9 1/4"),
    ],
)
def test_how_wide_a_piece_is_ripped_is_noted(said: str, length: F, note: str) -> None:
    found = read(said)
    assert {(each.intent.length.inches, each.intent.note) for each in found} == {(length, note)}  # type: ignore[union-attr]


def test_a_rip_without_a_length_wants_one() -> None:
    with pytest.raises(NotACall) as caught:
        read("rip to 3")
    assert "a length" in caught.value.expected


@pytest.mark.parametrize("said", ["rip to 3 36", "rip to 3 4 studs", "36 rip to"])
def test_a_width_is_never_taken_for_the_length(said: str) -> None:
    desk = Desk(MemoryStore())
    try:
        rows = desk.call(said).rows
    except CutmemoError:
        return
    assert all(row.state == "doubtful" for row in rows)

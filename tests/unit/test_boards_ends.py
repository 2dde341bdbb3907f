"""Boards: how much board slanted ends take, against polygons laid out by coordinates."""

from __future__ import annotations

import math
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutmemo.domain.cut import SQUARE, Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.planning import plan, wanted_of
from cutmemo.planning.ends import long_point


@pytest.mark.parametrize(
    ("section", "end", "more"),
    [
        # Long point less short point is width times tan: 7/12 on a dressed 3-1/2 is 2-1/24, on
        # 5-1/2 3-5/24, on 7-1/4 4-11/48.
        (Section(F(2), F(4)), End("plumb", 7, point="short"), F(49, 24)),
        (Section(F(2), F(6)), End("plumb", 7, point="short"), F(77, 24)),
        (Section(F(2), F(8)), End("plumb", 7, point="short"), F(203, 48)),
        (Section(F(2), F(4)), End("angled", miter=F(45), point="short"), F(7, 2)),
        (Section(F(2), F(4)), End("plumb", 7, point="long"), F(0)),
        (Section(F(2), F(4)), SQUARE, F(0)),
    ],
)
def test_an_angled_piece_takes_its_long_point(section: Section, end: End, more: F) -> None:
    takes = long_point(Cut(Length(F(60)), section=section, ends=(end, SQUARE)))
    assert takes is not None
    assert abs(takes - 60 - more) < F(1, 100_000)


def test_short_points_without_a_section_cannot_be_reckoned() -> None:
    assert long_point(Cut(Length(F(60)), ends=(End("plumb", 7, point="short"), SQUARE))) is None


# --- polygons by coordinates
# -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("section", "end", "length", "takes"),
    [
        # A level cut at 11 in 12 runs off 12/11 of the width: 11-1/4 × 12/11 = 12.2727.
        (Section(F(2), F(12)), End("seat", 11, point="short"), F(36), 48.2727),
        (Section(F(2), F(6)), End("seat", 7, point="short"), F(36), 36 + 5.5 * 12 / 7),
        # Miter 30°, bevel 45°: the bevel is tilted from the slanted line, so 1-1/2 × tan 45° / cos
        # 30°.
        (
            Section(F(2), F(6)),
            End("angled", miter=F(30), bevel=F(45), point="short"),
            F(40),
            40 + 5.5 * math.tan(math.radians(30)) + 1.5 / math.cos(math.radians(30)),
        ),
        # A jack's single cheek at 8/12: the side cut is 10 on 12 (NAVEDTRA 14044), so 1-1/2 ×
        # 1.2019.
        (
            Section(F(2), F(6)),
            End("plumb", 8, point="short", cheek="single"),
            F(40),
            40 + 5.5 * 8 / 12 + 1.5 * math.hypot(1, 8 / 12),
        ),
        (
            Section(F(2), F(8)),
            End("hip", 8, point="short", cheek="double"),
            F(40),
            40 + 7.25 * 8 / math.sqrt(288) + 0.75 * math.hypot(1, 8 / math.sqrt(288)),
        ),
    ],
)
def test_a_piece_to_its_short_point_takes_its_long_point(
    section: Section, end: End, length: F, takes: float
) -> None:
    found = long_point(Cut(Length(length), section=section, ends=(end, SQUARE)))
    assert found is not None
    assert takes - 1e-4 <= found <= takes + 1e-3


def corners(
    start: float, end: float, left: float, right: float, width: float
) -> list[tuple[float, float]]:
    """Return a piece's corners: long points at *start* and *end*, its ends leaning by *left* and *right* along the board.

    A positive lean means the end lies further right at the far edge.
    """
    x0 = (start, start + left) if left >= 0 else (start - left, start)
    x1 = (end - right, end) if right >= 0 else (end, end + right)
    return [(x0[0], 0), (x1[0], 0), (x1[1], width), (x0[1], width)]


def gap(
    one: list[tuple[float, float]], other: list[tuple[float, float]], lean: float, width: float
) -> float:
    """Return how far apart two neighbours are, square to the cut between them."""
    along = min(other[0][0] - one[1][0], other[3][0] - one[2][0])
    return along * math.cos(math.atan(lean / width))


@settings(max_examples=60, deadline=None)
@given(
    st.integers(30, 160),
    st.integers(2, 12),
    st.sampled_from([F(15), F(45, 2), F(30), F(45)]),
    st.sampled_from([F(1, 8), F(3, 32)]),
    st.booleans(),
    st.booleans(),
)
def test_nested_pieces_lie_on_the_board_and_a_kerf_apart(
    length: int, count: int, miter: F, kerf: F, parallel: bool, one_square: bool
) -> None:
    section, crew = Section(F(2), F(6)), Settings(kerf=kerf)
    end = End("angled", miter=miter, point="long")
    cut = Cut(
        Length(F(length, 2) + 12), count, section=section, ends=(SQUARE if one_square else end, end)
    )
    made = plan([wanted_of(1, "r", cut, count, crew)], [], crew)[0]
    assert made.pieces == count
    width = 5.5
    run = width * math.tan(math.radians(float(miter)))
    for board in made.boards:
        before: list[tuple[float, float]] | None = None
        lean = 0.0
        for k, piece in enumerate(board.pieces):
            turned = k % 2 == 1
            if one_square:
                left, right = (0.0, run) if not turned else (run, 0.0)
            elif parallel:
                left, right = run, run
            else:  # a trapezoid, every other one flipped over
                left, right = (run, -run) if not turned else (-run, run)
            now = corners(float(piece.start), float(piece.end), left, right, width)
            assert min(x for x, _ in now) >= -1e-9
            assert max(x for x, _ in now) <= float(board.inches) + 1e-9
            if before is not None:
                assert gap(before, now, max(abs(lean), abs(left)), width) >= float(kerf) - 1e-6
            before, lean = now, right


def test_opposed_miters_share_their_cuts() -> None:
    # 8 trapezoids of 24 in. with 45° ends in a dressed 5-1/2: mean length 18-1/2, kerf 1/8 × √2,
    # one slant over:
    # 8 × 18.5 + 7 × 0.17678 + 5.5 = 154.74 in., where laid end to end they take 192-7/8.
    end = End("angled", miter=F(45), point="long")
    cut = Cut(Length(F(24)), 8, section=Section(F(2), F(6)), ends=(end, end))
    made = plan([wanted_of(1, "r", cut, 8, Settings())], [], Settings())[0]
    assert made.order == {F(168): 1}
    (board,) = made.boards
    assert abs(float(board.pieces[-1].end) - 154.737) < 1e-2
    assert [piece.shares for piece in board.pieces] == [False] + [True] * 7


def test_pieces_with_two_miters_lie_between_those_with_one() -> None:
    # 2 of 30 in. with one 45° end and 2 of 24 with two, in a dressed 5-1/2: three shared cuts, so
    # 108 - 3 × 5.5 + 3 × 0.17678 = 92.030 in. of an 8 ft board; each pair by itself needs 97.5.
    end = End("angled", miter=F(45), point="long")
    section, crew = Section(F(2), F(6)), Settings()
    braces = Cut(Length(F(30)), 2, section=section, ends=(SQUARE, end))
    blocks = Cut(Length(F(24)), 2, section=section, ends=(end, end))
    rows = [wanted_of(1, "r", braces, 2, crew), wanted_of(2, "s", blocks, 2, crew)]
    (made,) = plan(rows, [], crew)
    assert made.order == {F(96): 1}
    (board,) = made.boards
    assert [piece.row for piece in board.pieces] == [1, 2, 2, 1]
    assert [piece.shares for piece in board.pieces] == [False, True, True, True]
    assert abs(float(board.pieces[-1].end - crew.trim) - 92.030) < 1e-3


def test_a_mitred_kerf_is_divided_by_the_cosine() -> None:
    end = End("angled", miter=F(45), point="long")
    cut = Cut(Length(F(40)), 2, section=Section(F(2), F(6)), ends=(end, end))
    made = plan([wanted_of(1, "r", cut, 2, Settings())], [], Settings())[0]
    first, second = made.boards[0].pieces
    # The slants of 5-1/2 lie side by side; along the board the blade takes 1/8 × √2 = 0.17678.
    assert abs(float(second.start - first.end + F(11, 2)) - 0.125 * math.sqrt(2)) < 1e-4


def test_compound_ends_are_not_nested() -> None:
    end = End("angled", miter=F(30), bevel=F(20), point="long")
    cut = Cut(Length(F(40)), 2, section=Section(F(2), F(6)), ends=(end, end))
    made = plan([wanted_of(1, "r", cut, 2, Settings())], [], Settings())[0]
    first, second = made.boards[0].pieces
    assert second.start >= first.end + F(1, 8)
    assert not second.shares

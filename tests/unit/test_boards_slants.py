"""Boards: what is called proven of slanted pieces is, against every order and turn of them by coordinates."""

from __future__ import annotations

import math
import random
from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import SQUARE, Cut, End, Rise, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.planning import Terms, Yard, plan, wanted_of
from cutmemo.planning.model import modelled
from cutmemo.planning.stock import Source

RAFTER = Section(F(2), F(6))
WIDE, KERF = 5.5, 0.125
ENDS = [
    *((End("angled", miter=F(a), point="long"), math.tan(math.radians(a))) for a in (22.5, 30, 45)),
    *((End("plumb", Rise(rise), point="long"), rise / 12) for rise in (4, 6, 12)),
    (SQUARE, 0.0),
]
Line = tuple[float, float]
"""Where an end lies along the board, at its one edge and at the other."""
Outline = tuple[Line, Line]


def outlines(length: float, first: float, second: float, alike: bool) -> list[Outline]:
    """Return a piece in every way it can lie: its long points on one edge (*alike*) or on both."""
    one, other = (0.0, first * WIDE), (length, length - second * WIDE)
    piece = one, (other if alike else other[::-1])
    found = []
    for left, right in (piece, (piece[0][::-1], piece[1][::-1])):
        turned = (-right[0], -right[1]), (-left[0], -left[1])
        for a, b in ((left, right), turned):
            begin = min(*a, *b)
            found.append(((a[0] - begin, a[1] - begin), (b[0] - begin, b[1] - begin)))
    return list(dict.fromkeys(found))


def behind(right: Line, left: Line) -> float:
    """Return how far the next outline begins so that a kerf lies between both, square to the cut."""
    slope = (right[1] - right[0]) / WIDE
    if abs(slope - (left[1] - left[0]) / WIDE) < 1e-12:
        return right[0] - left[0] + KERF * math.hypot(1, slope)
    return max(right[0] - left[0], right[1] - left[1]) + KERF


def least_lengths(pieces: list[list[Outline]]) -> list[float]:
    """Return the least board that each set of pieces takes, over all orders and turns."""
    reached = {(1 << k, k, way): 0.0 for k, ways in enumerate(pieces) for way in range(len(ways))}
    least = [0.0, *(math.inf for _ in range((1 << len(pieces)) - 1))]
    for chosen in range(1, 1 << len(pieces)):
        for k, ways in enumerate(pieces):
            for way, (_, right) in enumerate(ways):
                at = reached.get((chosen, k, way))
                if at is None:
                    continue
                least[chosen] = min(least[chosen], at + max(right))
                for j in (j for j in range(len(pieces)) if not chosen >> j & 1):
                    for other, (left, _) in enumerate(pieces[j]):
                        place = max(at + behind(right, left), 0.0)
                        key = chosen | 1 << j, j, other
                        reached[key] = min(place, reached.get(key, math.inf))
    return least


def cheapest(least: list[float], boards: list[int]) -> tuple[float, int]:
    """Return the inches of the cheapest boards for all pieces, and how many there are at least."""
    of_set = [min((b for b in boards if b + 1e-9 >= need), default=math.inf) for need in least]
    best = [(0.0, 0), *((math.inf, 0) for _ in least[1:])]
    for chosen in range(1, len(least)):
        part = chosen
        while part:
            rest = best[chosen ^ part]
            best[chosen] = min(best[chosen], (rest[0] + of_set[part], rest[1] + 1))
            part = (part - 1) & chosen
    return best[-1]


@pytest.mark.parametrize("start", range(0, 120, 30))
def test_what_is_proven_of_slanted_pieces_no_order_and_no_turn_can_beat(start: int) -> None:
    proven = slanted = 0
    for seed in range(start, start + 30):
        r = random.Random(seed)
        few = [*r.sample(ENDS, 2), ENDS[-1]]
        boards = [12 * feet for feet in sorted(r.sample([8, 10, 12, 14, 16], r.choice([1, 2, 3])))]
        rows, pieces, left = [], [], 5
        while left:
            count = min(left, r.choice([1, 2, 3]))
            left -= count
            (one, first), (other, second) = r.choice(few), r.choice(few)
            length = F(r.randrange(24 * 8, 80 * 8), 8)
            cut = Cut(Length(length), count, section=RAFTER, ends=(one, other))
            rows.append(wanted_of(len(rows) + 1, f"r{len(rows)}", cut, count, Settings()))
            ways = outlines(float(length), first, second, alike=r.random() < 0.5)
            pieces += [ways] * count
        yard = Yard((Terms(RAFTER, tuple(map(F, boards))),))
        (made,) = plan(rows, [], Settings(), yard)
        best = cheapest(least_lengths(pieces), boards)
        inches = float(made.laid_inches)
        assert made.standing == "open" or inches <= best[0]
        assert made.standing != "best" or (inches, len(made.boards)) <= best
        if any(row.shape is not None for row in rows):
            slanted += 1
            proven += made.standing == "best"
    assert proven > 0.7 * slanted


def lying(found: list[tuple[float, list[Outline]]]) -> list[Outline] | None:
    """Return the outlines of pieces at their marks, turned so that the cut that ends each is clear of the next.

    ``None`` where no turns do that.
    """
    rows: list[tuple[Outline, ...]] = [()]
    for at, ways in found:
        placed = [((a[0] + at, a[1] + at), (b[0] + at, b[1] + at)) for a, b in ways]
        best: dict[Outline, tuple[Outline, ...]] = {}
        for row in rows:
            for now in placed:
                if row:
                    end = row[-1][1]
                    kerf = KERF * math.hypot(1, (end[1] - end[0]) / WIDE)
                    if min(now[0][0] - end[0], now[0][1] - end[1]) < kerf - 1e-6:
                        continue
                best.setdefault(now, (*row, now))
        rows = list(best.values())
        if not rows:
            return None
    return list(rows[0])


@pytest.mark.parametrize("seed", range(24))
def test_mixed_slants_overlap_nowhere_and_lie_on_their_boards(seed: int) -> None:
    r = random.Random(seed)
    few = [*r.sample(ENDS[:-1], 2 + seed % 2), ENDS[-1]]
    rows, shapes = [], {}
    for number in range(1, r.randrange(4, 12)):
        (one, first), (other, second) = r.choice(few), r.choice(few)
        length, count = F(r.randrange(12 * 16, 80 * 16), 16), r.randrange(1, 8)
        cut = Cut(Length(length), count, section=RAFTER, ends=(one, other))
        rows.append(wanted_of(number, f"r{number}", cut, count, Settings()))
        shapes[f"r{number}"] = outlines(float(length), first, second, alike=r.random() < 0.5)
    (made,) = plan(rows, [], Settings())
    assert made.pieces == sum(row.count for row in rows)
    for board in made.boards:
        laid = lying([(float(piece.start), shapes[piece.row_id]) for piece in board.pieces])
        assert laid is not None
        for k, (_, right) in enumerate(laid):
            assert max(right) <= float(board.inches) + 1e-9
            for left, _ in laid[k + 1 :]:
                assert left[0] > right[0]
                assert left[1] > right[1]


@pytest.mark.parametrize("seed", range(12))
def test_pieces_of_one_slant_take_no_more_than_the_best_order_and_turns(seed: int) -> None:
    """But for a kerf, which is counted at the wider end of each piece, and the parts lengths are counted in."""
    r = random.Random(seed)
    end, lean = r.choice(ENDS[:-1])
    cuts = [
        (F(r.randrange(14 * 8, 30 * 8), 8), r.choice([(SQUARE, end), (end, end), (SQUARE, SQUARE)]))
        for _ in range(5)
    ]
    rows = [
        wanted_of(k, f"r{k}", Cut(Length(length), 1, section=RAFTER, ends=ends), 1, Settings())
        for k, (length, ends) in enumerate(cuts, start=1)
    ]
    ways = [
        outlines(
            float(length), *(0.0 if e is SQUARE else lean for e in ends), alike=r.random() < 0.5
        )
        for length, ends in cuts
    ]
    least = least_lengths(ways)[-1]
    trim = Settings().trim
    kerfs = KERF * len(cuts) * (math.hypot(1, lean) - 1) + KERF
    spare = F(math.ceil(64 * kerfs) + 2 * len(cuts), 64)
    room = F(math.ceil((least + float(trim)) * 64), 64) + spare
    (made,) = plan(rows, [], Settings(), Yard((Terms(RAFTER, (room,)),)))
    assert len(made.boards) == 1


@pytest.mark.parametrize("seed", range(40))
def test_the_bound_counts_no_set_of_pieces_for_more_than_the_layout_does(seed: int) -> None:
    """And one piece more never takes less, short pieces with steep ends included."""
    r = random.Random(seed)
    steep = End("seat", Rise(6), point="long")
    few = [SQUARE, steep, *(end for end, _ in r.sample(ENDS[:-1], seed % 3))]
    rows = []
    for number in range(1, 7):
        cut = Cut(
            Length(F(r.randrange(8 * 8, 24 * 8), 8)),
            number,
            section=RAFTER,
            ends=(r.choice(few), r.choice(few[1:])),
        )
        rows.append(wanted_of(number, f"r{number}", cut, number, Settings()))
    model = modelled([Source(None, F(0), F(192), None)], rows, False, Settings())
    assert model.relaxed is not None
    for _ in range(60):
        chosen = [r.randrange(len(model.rows)) for _ in range(r.randrange(1, 7))]
        assert model.relaxed.need(chosen) <= model.problem.need(chosen)
        for problem in (model.problem, model.relaxed):
            assert problem.need(chosen[:-1]) <= problem.need(chosen)

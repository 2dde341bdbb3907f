"""Measures walls and roofs, by hand: python tests/bench/framing.py

Walls of every length by 1/16 in. to 40 ft at four spacings, and random ones with one and two
openings, with corners and tees: the largest spacing between middles of neighbouring studs, sheet
edges without wood somewhere from plate to plate, studs in each other's place. Rafters and hips of
1 to 24 in 12, odd spans, ridges and overhangs: how far they are from lengths between points, and
how many land on another sixteenth than those.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator
from fractions import Fraction as F
from itertools import pairwise, product

from cutmemo.domain.cut import Section
from cutmemo.domain.length import to_tape
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    HeaderSpec,
    HipSlope,
    HipSpec,
    MeasureError,
    OpeningSpec,
    Pitch,
    RafterSpec,
    RemarkKind,
    WallSpec,
    calculate,
)

SETTINGS = Settings()
THICK = F(3, 2)
HEIGHT = F(777, 8)
HEADER = HeaderSpec(Section(F(2), F(10)))


def look_at(spec: WallSpec) -> tuple[F, int, int]:
    """Return the largest spacing, the sheet edges in the air, and the studs in each other's place."""
    wall = calculate(spec, SETTINGS)
    tall = spec.height - 3 * THICK
    studs = sorted((p.left, p.right) for p in wall.layout if p.upright and p.height == tall)
    rooms = [(each.at, each.at + each.width) for each in spec.openings]
    spacing, overlaps = F(0), 0
    for one, two in pairwise(studs):
        overlaps += two[0] < one[1]
        if not any(one[1] <= left and right <= two[0] for left, right in rooms):
            spacing = max(spacing, sum(two) / 2 - sum(one) / 2)
    wood = [
        (p.left, p.right, p.bottom, p.bottom + p.height)
        for p in wall.layout
        if p.upright or p.piece == "header"
    ]
    packed = [each for each in wall.cautions if each.kind is RemarkKind.PACK_GAP]
    for each in packed:
        at, gap = each.value("at"), each.value("gap")
        assert isinstance(at, F)
        assert isinstance(gap, F)
        wood.append((at, at + gap, THICK, spec.height))
    sheet = 48 if spec.spacing in (12, 16, 24) else 96
    edges = [F(edge) for edge in range(sheet, int(spec.length) + 1, sheet) if edge < spec.length]
    return spacing, sum(_in_the_air(spec, wood, edge) for edge in edges), overlaps


def _in_the_air(spec: WallSpec, wood: list[tuple[F, F, F, F]], edge: F) -> bool:
    levels = sorted({THICK, spec.height - 2 * THICK, *(y for w in wood for y in w[2:])})
    for low, high in pairwise(levels):
        y = (low + high) / 2
        hole = any(
            o.at < edge < o.at + o.width and (o.sill or 0) - THICK <= y < o.height
            for o in spec.openings
        )
        if hole or not THICK <= y < spec.height - 2 * THICK:
            continue
        if not any(left <= edge <= right and b <= y < t for left, right, b, t in wood):
            return True
    return False


def report(name: str, specs: Iterable[WallSpec]) -> None:
    walls = refused = passed = hanging = overlapping = 0
    largest = F(0)
    for spec in specs:
        try:
            spacing, edges, overlaps = look_at(spec)
        except MeasureError:
            refused += 1
            continue
        walls += 1
        largest = max(largest, spacing)
        passed += spacing > spec.spacing
        hanging += edges
        overlapping += overlaps
    print(
        f"{name:28} {walls:6} walls, {refused:5} refused, largest spacing {float(largest):8.4f}, "
        f"passed {passed}, edges in the air {hanging}, overlaps {overlapping}"
    )


def plain(spacing: F) -> Iterator[WallSpec]:
    return (WallSpec(F(n, 16), HEIGHT, spacing) for n in range(3 * 16, 480 * 16 + 1))


def with_openings(
    number: int, spacing: F, r: random.Random, walls: int = 6000
) -> Iterator[WallSpec]:
    for _ in range(walls):
        length = F(r.randrange(80 * 16, 480 * 16), 16)
        openings = []
        for _ in range(number):
            width = F(r.randrange(20 * 16, 72 * 16), 16)
            at = F(r.randrange(0, int((length - width) * 16)), 16)
            sill = r.choice([None, F(36)])
            sides = r.choice([1, 1, 2]), r.choice([1, 1, 2])
            openings.append(OpeningSpec(width, F(82), at, HEADER, sill, *sides))
        yield WallSpec(length, HEIGHT, spacing, openings=tuple(openings))


def with_tees(spacing: F, r: random.Random, walls: int = 6000) -> Iterator[WallSpec]:
    for _ in range(walls):
        length = F(r.randrange(120 * 16, 480 * 16), 16)
        tee = F(r.randrange(10 * 16, int(length - 10) * 16), 16)
        ends = r.choice([(), ("left",), ("right",), ("left", "right")])
        yield WallSpec(length, HEIGHT, spacing, tees=(tee,), corners=frozenset(ends))


def roofs() -> None:
    """Compare rafters and hips with lengths between points, in double precision."""
    spans = [F(n) for n in (96, 131, 144, 167, 188, 201, 240, 263, 288, 311, 347, 384, 480)]
    ridges = [F(0), F(3, 4), F(3, 2), F(7, 2)]
    overhangs = [F(0), F(6), F(12), F(61, 4), F(16), F(24)]
    for hip in (False, True):
        worst, elsewhere, number = 0.0, 0, 0
        for rise, span, ridge, overhang in product(range(1, 25), spans, ridges, overhangs):
            pitch = Pitch(F(rise))
            run, level = span / 2, float(span / 2 - ridge / 2 + overhang)
            spec = (
                HipSpec(run, HipSlope(pitch, pitch), ridge=ridge, overhang=overhang)
                if hip
                else RafterSpec(run, pitch, ridge=ridge, overhang=overhang)
            )
            found = calculate(spec, SETTINGS).cuts[0].length.inches
            truth = math.hypot(level, level * hip, level * rise / 12)
            number += 1
            worst = max(worst, abs(float(found) - truth))
            elsewhere += float(to_tape(found)) != math.floor(truth * 16 + 0.5) / 16
        print(
            f"{'hips' if hip else 'commons':28} {number:6} roofs, largest difference {worst:.2e} in., "
            f"on another sixteenth {elsewhere}"
        )


def main() -> None:
    r = random.Random(5)
    roofs()
    for spacing in (F(16), F(24), F(96, 5), F(12)):
        at = f"{float(spacing):g} in."
        report(f"plain, {at}", plain(spacing))
        report(f"one opening, {at}", with_openings(1, spacing, r))
        report(f"two openings, {at}", with_openings(2, spacing, r))
        report(f"a tee, corners, {at}", with_tees(spacing, r))


if __name__ == "__main__":
    main()

"""Measures sets against checks of their own (tests/framed.py), by hand: python tests/bench/framing.py [SEED [STRIDE]]

Walls of every length by 1/16 in. to 40 ft at six spacings, plain and with openings and a tee (of
those, every STRIDE-th length): the largest spacing over the centres, marks without wood behind them
(each may be the edge of a sheet); of every 16th wall all other faults too. Then random walls,
floors, roofs and stairs: faults, how far lengths are from those between points, and how many land
on another sixteenth than those.
"""

from __future__ import annotations

import math
import random
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction as F
from itertools import islice
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import framed

from cutmemo.domain.length import to_tape
from cutmemo.domain.settings import Settings
from cutmemo.framing import MeasureError, OpeningSpec, WallSpec, calculate

SETTINGS = Settings()


def walls(name: str, specs: Iterable[WallSpec], every: int = 16) -> None:
    """Print what came of *specs*: the spacings and marks of all, all faults of *every* so-manieth."""
    built = refused = hanging = over = looked = 0
    largest = F(-999)
    faults: Counter[str] = Counter()
    for spec in specs:
        try:
            wall = calculate(spec, SETTINGS)
        except MeasureError:
            refused += 1
            continue
        built += 1
        beyond = framed.widest(spec, wall) - spec.spacing
        largest = max(largest, beyond)
        over += beyond > 0
        hanging += len(framed.hanging(spec, wall))
        if built % every == 0:
            looked += 1
            faults.update(framed.faults_of_wall(spec, wall))
    print(
        f"{name:34} {built:6} walls, {refused:5} refused, largest spacing {float(largest):+.4f} of the centres, "
        f"{over} over, marks in the air {hanging}, all faults of {looked}: {sum(faults.values())} {faults.most_common(2) or ''}",
        flush=True,
    )


def plain(spacing: F) -> Iterator[WallSpec]:
    """Every length by 1/16 in. from 3 in. to 40 ft."""
    return (WallSpec(F(n, 16), framed.HEIGHT, spacing) for n in range(3 * 16, 480 * 16 + 1))


def swept(
    spacing: F, openings: int, tee: bool, r: random.Random, stride: int
) -> Iterator[WallSpec]:
    """Every *stride*-th of the sixteenths from 10 to 40 ft, with as many *openings* and a tee somewhere on it."""
    for n in range(120 * 16, 480 * 16 + 1, stride):
        length = F(n, 16)
        part = length / (openings + tee)
        found = []
        for place in range(openings):
            width = framed.sixteenths(r, 16, max(16, min(72, int(part) - 12)))
            room = max(0, int((part - width - 12) * 16))
            at = part * place + 6 + F(r.randrange(room + 1), 16)
            sides = r.choice([1, 1, 2]), 1
            found.append(
                OpeningSpec(
                    width,
                    F(82),
                    F(int(at * 16), 16),
                    framed.HEADERS[0],
                    r.choice([None, F(36)]),
                    *sides,
                )
            )
        near = int(part * openings + 8)
        tees = (framed.sixteenths(r, near, max(near, int(length) - 8)),) if tee else ()
        yield WallSpec(length, framed.HEIGHT, spacing, openings=tuple(found), tees=tees)


def floors(r: random.Random, number: int) -> None:
    """Print what came of random floors."""
    built = refused = 0
    faults: Counter[str] = Counter()
    for _ in range(number):
        spec = framed.any_floor(r)
        try:
            floor = calculate(spec, SETTINGS)
        except MeasureError:
            refused += 1
            continue
        built += 1
        faults.update(framed.faults_of_floor(spec, floor))
    print(
        f"{'floors':34} {built:6} built, {refused} refused, faults {sum(faults.values())} {faults.most_common(2) or ''}"
    )


def roofs(r: random.Random, number: int) -> None:
    """Print, for each kind of length, how far it is from that between points."""
    worst: dict[str, float] = {}
    counted: Counter[str] = Counter()
    elsewhere: Counter[str] = Counter()
    for _ in range(number):
        for what, found, truth in framed.any_roof(r):
            counted[what] += 1
            worst[what] = max(worst.get(what, 0.0), abs(float(found) - truth))
            middle = abs(truth * 16 % 1 - 0.5) < 1e-4  # a float cannot tell it
            other = float(to_tape(found)) != math.floor(truth * 16 + 0.5) / 16
            elsewhere[what] += other and not middle
    for what, n in sorted(counted.items()):
        print(
            f"{what:34} {n:6} found, largest difference {worst[what]:.1e} in., on another sixteenth {elsewhere[what]}"
        )


def stairs(r: random.Random, number: int) -> None:
    """Print what came of random stairs."""
    built = refused = 0
    faults: Counter[str] = Counter()
    for _ in range(number):
        spec = framed.any_stairs(r)
        try:
            found = calculate(spec, SETTINGS)
        except MeasureError:
            refused += 1
            continue
        built += 1
        faults.update(framed.faults_of_stairs(spec, found))
    print(
        f"{'stairs':34} {built:6} built, {refused} refused, faults {sum(faults.values())} {faults.most_common(2) or ''}"
    )


def main() -> None:
    """Sweep and draw."""
    r = random.Random(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
    stride = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for spacing in framed.SPACINGS:
        walls(f"plain, {float(spacing):g} in.", plain(spacing))
    for spacing in framed.SPACINGS:
        at = f"{float(spacing):g} in."
        walls(f"one opening, {at}", swept(spacing, 1, False, r, stride))
        walls(f"three openings, {at}", swept(spacing, 3, False, r, stride))
        walls(f"two openings and a tee, {at}", swept(spacing, 2, True, r, stride))
    stairs(r, 5000)
    roofs(r, 3000)
    floors(r, 5000)
    walls("random", islice(iter(lambda: framed.any_wall(r), None), 12_000), every=1)


if __name__ == "__main__":
    main()

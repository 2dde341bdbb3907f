"""What the laws of sets share: specs of walls and floors, and what is told of a set."""

from __future__ import annotations

from fractions import Fraction as F

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    FloorOpeningSpec,
    FloorSpec,
    HeaderSpec,
    OpeningSpec,
    Placed,
    RemarkKind,
    Spec,
    Value,
    WallSpec,
    calculate,
)

K = RemarkKind
SIXTEENTH = F(1, 16)
THICK = F(3, 2)
HEIGHT = F(777, 8)
HEADER = HeaderSpec(Section(F(2), F(8)))
DEEP = F(29, 4)
"""Of a 2x8 (PS 20)."""


def frame(spec: Spec, longest: F = F(288)) -> Assembly:
    return calculate(spec, Settings(longest=longest))


def told(assembly: Assembly, kind: RemarkKind) -> list[dict[str, Value]]:
    return [
        dict(each.values) for each in (*assembly.facts, *assembly.cautions) if each.kind is kind
    ]


def door(
    at: F | int, width: F | int = 36, height: F | int = 80, sill: F | None = None
) -> OpeningSpec:
    return OpeningSpec(F(width), F(height), F(at), HEADER, sill)


def wall(*openings: OpeningSpec, length: F | int = 144, **more: object) -> WallSpec:
    return WallSpec(F(length), HEIGHT, openings=openings, **more)  # type: ignore[arg-type]  # fields of the spec


def hole(
    at: F | int, across: F | int = 24, width: F | int = 40, long: F | int = 60
) -> FloorOpeningSpec:
    return FloorOpeningSpec(F(at), F(across), F(width), F(long))


def floor(*holes: FloorOpeningSpec, length: F | int = 288, span: F | int = 168) -> FloorSpec:
    return FloorSpec(F(length), F(span), openings=holes)


TOP = HEIGHT - 3 - DEEP
"""The highest opening whose header still fits under the top plates."""


def row(assembly: Assembly, *names: str) -> list[Placed]:
    return sorted(
        (p for p in assembly.layout if p.piece in names), key=lambda p: (p.bottom, p.left)
    )

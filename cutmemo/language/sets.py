"""A set of cuts as it was called: what for, and every measure that was named, in inches."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from cutmemo.domain.cut import Section

Framing = Literal[
    "rafters",
    "hips",
    "valleys",
    "jacks",
    "valley jacks",
    "cripple jacks",
    "valley cripples",
    "gable studs",
    "rake wall",
    "wall",
    "floor",
    "deck",
    "stairs",
]
"""What a whole set of cuts is called for."""


@dataclass(frozen=True, slots=True)
class PitchSaid:
    """A pitch: so many inches in 12 of run, or degrees."""

    value: Fraction
    in_degrees: bool = False


@dataclass(frozen=True, slots=True)
class HeaderSaid:
    """What was said of a header."""

    section: Section
    plies: int | None = None
    deep: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """A rough opening in a wall: how wide, from the floor how high, how far from the end."""

    width: Fraction
    height: Fraction
    at: Fraction
    sill: Fraction | None = None
    """How high the sill is; ``None`` for a door."""
    header: HeaderSaid | None = None
    trimmers: int | None = None
    kings: int | None = None


@dataclass(frozen=True, slots=True)
class FloorOpening:
    """A hole in a floor: how wide along it, how long across, how far from the end and from the
    side.
    """

    width: Fraction
    long: Fraction
    at: Fraction
    across: Fraction


@dataclass(frozen=True, slots=True)
class AssemblyCall:
    """A set of cuts called by what it is for ("rafters span twenty four foot pitch seven
    twelve").
    """

    what: Framing
    count: int | None = None
    inches: tuple[tuple[str, Fraction], ...] = ()
    """What was named, by its name: ``span``, ``overhang``, ``high`` …"""
    bare: tuple[tuple[str, Fraction], ...] = ()
    """Those of all measures that were said without a unit, those of openings too."""
    numbers: tuple[tuple[str, int], ...] = ()
    """What is counted: ``stringers``, ``blocking``."""
    pitch: PitchSaid | None = None
    end_pitch: PitchSaid | None = None
    section: Section | None = None
    commons: Section | None = None
    partition: Section | None = None
    between_commons: bool = False
    header: HeaderSaid | None = None
    openings: tuple[Opening, ...] = ()
    holes: tuple[FloorOpening, ...] = ()
    tees: tuple[Fraction, ...] = ()
    backing: tuple[Fraction, ...] = ()
    corners: tuple[str, ...] = ()
    """``left``, ``right``: where a wall runs through."""
    butts: tuple[str, ...] = ()
    """``left``, ``right``: where it meets one that does."""
    sides_by: bool = False
    """Whether length and span were said as one "by" the other, which leaves open which is which."""
    beam: HeaderSaid | None = None
    post: Section | None = None

    def named(self, name: str) -> Fraction | None:
        """Return what was said of *name*, or ``None``."""
        return dict(self.inches).get(name)

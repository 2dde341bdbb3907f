"""What a set is worked out from: its measures, in inches, each with what is usual where nothing is
said.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from cutmemo.domain.cut import Section
from cutmemo.framing.slope import HipSlope, Pitch

USUAL_SPACING = Fraction(16)
USUAL_RIDGE = Fraction(3, 2)
USUAL_SEAT = Fraction(7, 2)
"""The width of a 2x4 plate (common practice)."""
WALL_STUD = Section(Fraction(2), Fraction(4))
JOIST = Section(Fraction(2), Fraction(10))
STRINGER = Section(Fraction(2), Fraction(12))
USUAL_TREAD_RUN = Fraction(10)
USUAL_STRINGERS = 3

WallEnd = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class RafterSpec:
    """Common rafters."""

    run: Fraction
    """From the outside of the plate to the middle of the ridge, level."""
    pitch: Pitch
    count: int = 1
    overhang: Fraction = Fraction(0)
    fascia: Fraction = Fraction(0)
    """Thickness of the fascia, taken off the overhang."""
    ridge: Fraction = USUAL_RIDGE
    """Thickness of the ridge board."""
    seat: Fraction = USUAL_SEAT
    section: Section | None = None
    length: Fraction | None = None
    """The building's length along the ridge; it gives the number of rafters, and the ridge
    board.
    """
    spacing: Fraction = USUAL_SPACING
    rake: Fraction = Fraction(0)
    """How far the ridge and the fascia stand out past each gable."""


@dataclass(frozen=True, slots=True)
class HipSpec:
    """Hip or valley rafters."""

    run: Fraction
    """The run of the main roof's commons."""
    slope: HipSlope
    count: int = 1
    valley: bool = False
    overhang: Fraction = Fraction(0)
    fascia: Fraction = Fraction(0)
    ridge: Fraction = USUAL_RIDGE
    seat: Fraction = USUAL_SEAT
    section: Section | None = None
    commons: Section | None = None
    """The section of the commons, where their height above the plate is to be met."""
    at_commons: bool = False
    """Whether it is framed between the end commons, not against the ridge."""
    length: Fraction | None = None
    """The building's length, hips at both ends; it gives the ridge board."""


JackKind = Literal["hip", "valley", "cripple", "valley cripple"]


@dataclass(frozen=True, slots=True)
class JackSpec:
    """Jack rafters: from the plate to a hip, from the ridge to a valley, or (cripples) between two
    of these.
    """

    kind: JackKind
    run: Fraction
    """The run of the commons; of cripples, the distance of hip and valley along the plate, and of
    those
    between two valleys what none of them reaches."""
    slope: HipSlope
    spacing: Fraction
    count: int = 1
    """For how many hips or valleys, a pair of each length for each; of cripples, how many."""
    overhang: Fraction = Fraction(0)
    fascia: Fraction = Fraction(0)
    ridge: Fraction = USUAL_RIDGE
    hip: Fraction = Fraction(3, 2)
    """Thickness of the hip or valley."""
    section: Section | None = None


@dataclass(frozen=True, slots=True)
class RakeSpec:
    """Studs under a slope: of a gable from eave to ridge, or of a rake wall from its low end to its
    high one.
    """

    length: Fraction
    """From the low end to the high one, level."""
    pitch: Pitch
    height: Fraction = Fraction(0)
    """At the low end, plates and all; 0 for a gable, whose studs stand on the top plate."""
    spacing: Fraction = USUAL_SPACING
    section: Section = WALL_STUD
    gable: bool = False
    """Whether it is both halves of a gable, with the slope's own framing on top of the studs."""


@dataclass(frozen=True, slots=True)
class HeaderSpec:
    """The header over an opening."""

    section: Section
    plies: int = 2
    depth: Fraction | None = None
    """Where the section has no standard depth."""
    plies_said: bool = False


@dataclass(frozen=True, slots=True)
class OpeningSpec:
    """A rough opening in a wall: how wide, from the floor how high, how far its near edge from the
    end.
    """

    width: Fraction
    height: Fraction
    at: Fraction
    header: HeaderSpec
    sill: Fraction | None = None
    """How high the sill is; ``None`` for a door."""
    trimmers: int = 1
    kings: int = 1
    """How many stand on each side."""

    @property
    def side(self) -> int:
        """Return how many uprights stand on each side."""
        return self.trimmers + self.kings


@dataclass(frozen=True, slots=True)
class WallSpec:
    """A stud wall with one bottom plate and two top plates."""

    length: Fraction
    height: Fraction
    """Plates and all."""
    spacing: Fraction = USUAL_SPACING
    section: Section = WALL_STUD
    openings: tuple[OpeningSpec, ...] = ()
    corners: frozenset[WallEnd] = frozenset()
    """The ends where this wall runs through and another meets it."""
    butts: frozenset[WallEnd] = frozenset()
    """The ends where this wall meets one that runs through, so that its cap plate laps over
    that.
    """
    tees: tuple[Fraction, ...] = ()
    """Where the middle of a partition meets it."""
    partition: Section = WALL_STUD
    """What meets it at tees; a wall like itself meets it at corners."""
    backing: tuple[Fraction, ...] = ()
    """How high the middle of each row of backing between the studs is."""


@dataclass(frozen=True, slots=True)
class FloorOpeningSpec:
    """A hole in a floor: its near edge from the end and from the side, its size along and
    across.
    """

    at: Fraction
    across: Fraction
    width: Fraction
    """Along the floor, across the joists."""
    length: Fraction
    """Along the joists."""


@dataclass(frozen=True, slots=True)
class FloorSpec:
    """Joists between two rims."""

    length: Fraction
    """Along the rims."""
    span: Fraction
    """Across, over both rims."""
    spacing: Fraction = USUAL_SPACING
    section: Section = JOIST
    blocking: int = 0
    """How many rows of blocks."""
    openings: tuple[FloorOpeningSpec, ...] = ()


@dataclass(frozen=True, slots=True)
class DeckSpec:
    """A deck's joists between a ledger and a rim, its boards, and the beam and posts that the plan
    gives.
    """

    length: Fraction
    """Along the ledger."""
    span: Fraction
    """Out from the wall, ledger and rim included."""
    spacing: Fraction = USUAL_SPACING
    section: Section = JOIST
    blocking: int = 0
    board: Fraction = Fraction(11, 2)
    """How wide a deck board is."""
    gap: Fraction = Fraction(1, 8)
    """Between boards (common practice)."""
    beam: HeaderSpec | None = None
    """Under the joists, as long as the deck."""
    cantilever: Fraction = Fraction(0)
    """How far the deck reaches past the beam's outer face."""
    posts: int | None = None
    """How many stand under the beam, evenly from end to end."""
    post: Section | None = None
    height: Fraction | None = None
    """From what the posts stand on to the top of the boards."""
    thick: Fraction = Fraction(1)
    """Thickness of the boards: 5/4 dressed (PS 20)."""


@dataclass(frozen=True, slots=True)
class StairSpec:
    """Straight flights, with landings between them where some were said."""

    rise: Fraction
    """Floor to floor."""
    run: Fraction = USUAL_TREAD_RUN
    """Of one tread."""
    width: Fraction | None = None
    thick: Fraction | None = None
    """Thickness of the treads, by which the stringer drops."""
    section: Section = STRINGER
    stringers: int = USUAL_STRINGERS
    well: Fraction | None = None
    """Length of the stairwell, level."""
    floor: Fraction = Fraction(0)
    """Thickness of the upper floor, finish and all, over the head."""
    landings: int = 0
    """How many landings part it into flights as equal as can be."""


Spec = RafterSpec | HipSpec | JackSpec | RakeSpec | WallSpec | FloorSpec | DeckSpec | StairSpec

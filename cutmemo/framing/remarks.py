"""What there is to know, to mind or to put right about a set, as values; ``wording`` makes
sentences of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from cutmemo.domain.doubts import Doubt, DoubtKind, doubt
from cutmemo.domain.length import Length
from cutmemo.errors import CutmemoError


@dataclass(frozen=True, slots=True)
class Angle:
    """An angle that is shown and never calculated with."""

    degrees: Fraction


Value = str | int | Fraction | Angle | tuple[Fraction, ...]
"""What a remark may carry. A ``Fraction`` is always inches, a tuple of them marks along a board or
a wall.
"""


class RemarkKind(StrEnum):
    """Every remark that a set can come with."""

    # --- titles
    RAFTERS = "rafters"
    HIPS = "hips"
    JACKS = "jacks"
    RAKE = "rake"
    WALL = "wall"
    FLOOR = "floor"
    DECK = "deck"
    STAIRS = "stairs"

    # --- facts
    SLOPE_LENGTHS = "slope lengths"
    PLUMB_CUT = "plumb cut"
    BIRDSMOUTH = "birdsmouth"
    HEIGHT_ABOVE_PLATE = "height above plate"
    RIDGE_HEIGHT = "ridge height"
    PLUMB_DEPTH = "plumb depth"
    FASCIA_OFF = "fascia off"
    RAFTER_COUNT = "rafter count"
    RAFTER_MARKS = "rafter marks"
    HIP_LENGTHS = "hip lengths"
    HIP_SHORTENED = "hip shortened"
    HIP_PLUMB_CUT = "hip plumb cut"
    HIP_CHEEKS = "hip cheeks"
    HIP_CHEEKS_UNEQUAL = "hip cheeks unequal"
    VALLEY_CHEEKS = "valley cheeks"
    HIP_DROP = "hip drop"
    HIP_DROPS = "hip drops"
    HIP_SEAT = "hip seat"
    HIP_HEIGHT = "hip height"
    OTHER_SIDE = "other side"
    ALONG_MIDDLE = "along the middle"
    JACK_STEP = "jack step"
    JACK_CHEEK = "jack cheek"
    JACK_SIDES = "jack sides"
    JACK_POINT = "jack point"
    VALLEY_JACK_POINT = "valley jack point"
    VALLEY_CRIPPLE_POINTS = "valley cripple points"
    CRIPPLE_JACKS_ALIKE = "cripple jacks alike"
    COMMON_DIFFERENCE = "common difference"
    STUD_TOPS = "stud tops"
    STUD_POINT = "stud point"
    STUD_LENGTH = "stud length"
    STUD_MARKS = "stud marks"
    OPENING_PLACE = "opening place"
    OPENING_SIDES = "opening sides"
    CRIPPLE_MARKS = "cripple marks"
    SILL_CRIPPLE_MARKS = "sill cripple marks"
    HEADER_THICKNESS = "header thickness"
    CORNER_PLACE = "corner place"
    TEE_PLACE = "tee place"
    PLATE_JOINTS = "plate joints"
    CAP_LAPS = "cap laps"
    CAP_GAPS = "cap gaps"
    JOIST_LENGTH = "joist length"
    JOIST_MARKS = "joist marks"
    FLOOR_OPENING = "floor opening"
    BLOCKING = "blocking"
    DECK_BOARDS = "deck boards"
    RISERS = "risers"
    TREADS = "treads"
    GAUGES = "gauges"
    FIRST_RISER = "first riser"
    RISERS_ADD_UP = "risers add up"
    THROAT = "throat"
    STEP_MARKS = "step marks"
    WELL = "well"

    # --- cautions
    ARITHMETIC_ONLY = "arithmetic only"
    SHORT_BEARING = "short bearing"
    DEEP_NOTCH = "deep notch"
    PLIES_ASSUMED = "plies assumed"
    DOOR_PLATE = "door plate"
    PACK_GAP = "pack gap"
    PACK_HEADER = "pack header"
    NO_ROOM_FOR_JOINTS = "no room for joints"
    DECK_PLAN = "deck plan"
    SHORT_TREADS = "short treads"
    THIN_THROAT = "thin throat"
    NEEDS_LANDING = "needs landing"
    NARROW = "narrow"
    LOW_HEADROOM = "low headroom"

    # --- questions
    FEET_SIZED = "feet sized"
    LOW_HEAD = "low head"

    # --- why it cannot be
    MISSING = "missing"
    UNUSED = "unused"
    NEEDS_TOO = "needs too"
    SAID_BY = "said by another"
    PAST_ANY = "past any"
    TOO_CLOSE = "too close"
    NO_ROOF = "no roof"
    NO_RIDGE = "no ridge"
    NO_JACK = "no jack"
    FLAT_OR_STEEP = "flat or steep"
    NO_ROOM_FOR_STUDS = "no room for studs"
    NO_ROOM_FOR_KING = "no room for king"
    NO_ROOM_FOR_END_STUD = "no room for end stud"
    NO_ROOM_FOR_CORNER = "no room for corner"
    NO_ROOM_FOR_TEE = "no room for tee"
    HEADER_DEPTH_UNKNOWN = "header depth unknown"
    HEADER_TOO_DEEP = "header too deep"
    NO_OPENING = "no opening"
    SILL_TOO_HIGH = "sill too high"
    NO_ROOM_FOR_JOISTS = "no room for joists"
    OPENING_OUTSIDE = "opening outside"
    ONE_STEP = "one step"
    TREAD_TOO_THICK = "tread too thick"
    NO_THROAT = "no throat"
    NO_TAIL = "no tail"
    SECTION_UNKNOWN = "section unknown"


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to know about a set: a kind, and the values it is about by name."""

    kind: RemarkKind
    values: tuple[tuple[str, Value], ...] = ()

    def value(self, name: str) -> Value:
        """Return the value called *name*. Raises :class:`KeyError`."""
        return dict(self.values)[name]


def remark(kind: RemarkKind, **values: Value) -> Remark:
    """Return a remark of *kind* with its *values*."""
    return Remark(kind, tuple(values.items()))


def as_doubt(said: Remark) -> Doubt:
    """Return *said* as a doubt that a memo can keep; only words, numbers and inches can be kept."""
    facts = {
        name: Length(value) if isinstance(value, Fraction) else value
        for name, value in said.values
        if isinstance(value, str | int | Fraction)
    }
    return doubt(DoubtKind.SET, remark=said.kind.value, **facts)


def from_doubt(kept: Doubt) -> Remark:
    """Return the remark that :func:`as_doubt` kept."""
    lengths = {name: length.inches for name, length in kept.lengths}
    numbers = {name: int(number) for name, number in kept.numbers}
    words = dict(kept.words)
    kind = RemarkKind(words.pop("remark"))
    return remark(kind, **words, **numbers, **lengths)


def label(title: Remark) -> str:
    """Return *title* as a short name that a memo keeps: its kind and its values, exact and without
    units.
    """
    values = ", ".join(_plain(value) for _, value in title.values)
    return f"{title.kind.value.capitalize()} {values}"


def _plain(value: Value) -> str:
    if isinstance(value, Fraction):
        whole, part = divmod(value, 1)
        return "-".join(str(each) for each in (whole, part) if each) or "0"
    return str(value)


class MeasureError(CutmemoError, ValueError):
    """A measure of a set is missing, is used for nothing, or cannot be."""

    code = "bad-measure"

    def __init__(self, problem: Remark) -> None:
        """Record the *problem*: what is wrong, with which measures and values."""
        self.problem = problem
        super().__init__(problem)

    def __str__(self) -> str:
        """Return the kind and the values, plainly."""
        values = ", ".join(f"{name} {value}" for name, value in self.problem.values)
        return f"{self.problem.kind.value}: {values}"


def wrong(kind: RemarkKind, **values: Value) -> MeasureError:
    """Return the error that a set of such measures cannot be."""
    return MeasureError(remark(kind, **values))

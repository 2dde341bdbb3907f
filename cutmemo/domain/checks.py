"""What cannot be right about a cut, and what needs an answer before it counts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.confusable import ALIKE_BY_EAR
from cutmemo.domain.cut import Cut, End
from cutmemo.domain.doubts import Doubt, DoubtKind, Fact, Field, doubt
from cutmemo.domain.length import Length
from cutmemo.domain.limits import past_all_wood
from cutmemo.domain.settings import Settings
from cutmemo.domain.units import from_inches

MAX_USUAL_COUNT = 50
"""More than this of one is questioned (common practice)."""
MAX_TYPED_COUNT = 200
"""The same where somebody types how many of which piece: the studs of a floor on one line."""
BURNED = (1, 10, 12)
"""Inches a length is off when the hook was skipped and nobody subtracted (common practice)."""
TWICE_WITHIN_SECONDS = 5.0
RECENT = 12
"""Without a name, a piece belongs to a set only if that was among so many calls before it; and whom
the one who types hears speaks of no more.
"""
MILL_STUDS = (Fraction(741, 8), Fraction(837, 8), Fraction(933, 8))
"""Studs as they come from the mill: 92-5/8, 104-5/8 and 116-5/8 in. (common practice)."""
PAIRED = ("rafter", "common rafter")
"""What stands in pairs of equal length."""
PAIR_INCHES = 1
"""Rafters this close, in inches, and not equal are meant to be a pair (common practice)."""


@dataclass(frozen=True, slots=True)
class Findings:
    """What was found about one cut."""

    refusals: tuple[Doubt, ...] = ()
    """Why it is no piece of wood."""
    questions: tuple[Doubt, ...] = ()
    """What has to be answered before it counts."""
    cautions: tuple[Doubt, ...] = ()
    """What to mind at the row and at the saw; it counts."""


def check(  # noqa: PLR0913 - each is a fact of its own
    cut: Cut,
    others: Sequence[Cut],
    settings: Settings,
    seconds_since_same: float | None = None,
    longest_board: Fraction | None = None,
    typed: bool = False,
) -> Findings:
    """Return what is wrong or doubtful about *cut*.

    *others* are the cuts of the memo that still count, the oldest first; *seconds_since_same* is
    how
    long ago the very same call was made, if it was; *longest_board* is the longest on the
    rack of this cut's section, in inches, if the rack has any of it; *typed* is true where no
    machine heard it.
    """
    questions = [
        *_too_long(cut, settings),
        *_past_every_board(cut, settings, longest_board),
        *_too_fine(cut, settings),
        *_angles(cut, settings),
        *_crossing(cut),
        *_wide_side_first(cut),
        *_too_many(cut, typed),
        *_said_twice(seconds_since_same),
        *_slips(cut, others),
        *_unequal_rafters(cut, others),
        *_twin(cut, others[-RECENT:] if typed else others),
    ]
    return Findings(tuple(_refusals(cut)), tuple(questions), tuple(_too_short(cut, settings)))


def sawn(cut: Cut, settings: Settings) -> Length:
    """Return the length to saw: the crew's shade amount added or taken off, if the crew set one."""
    if cut.allowance is None or settings.shade is None:
        return cut.length
    sign = 1 if cut.allowance.side == "over" else -1
    return Length(cut.length.inches + sign * settings.shade)


def _refusals(cut: Cut) -> list[Doubt]:
    """Refuse what is no piece of wood."""
    found = []
    if cut.length.inches <= 0:
        found.append(doubt(DoubtKind.NO_LENGTH, Field.LENGTH))
    if cut.count < 1:
        found.append(doubt(DoubtKind.NONE_OF_IT, Field.COUNT))
    return found + [doubt(DoubtKind.PAST_ALL_WOOD, field) for field in past_all_wood(cut)]


def _too_long(cut: Cut, settings: Settings) -> list[Doubt]:
    if cut.length.inches <= settings.longest:
        return []
    return [doubt(DoubtKind.TOO_LONG, Field.LENGTH, longest=Length(settings.longest))]


def _past_every_board(cut: Cut, settings: Settings, longest_board: Fraction | None) -> list[Doubt]:
    if longest_board is None or not longest_board < cut.length.inches <= settings.longest:
        return []
    return [doubt(DoubtKind.PAST_EVERY_BOARD, Field.LENGTH, longest=Length(longest_board))]


def _too_fine(cut: Cut, settings: Settings) -> list[Doubt]:
    on_tape = (cut.length.inches * settings.fineness).denominator == 1
    on_metric_tape = (
        from_inches(cut.length.inches, "millimetre").denominator == 1 if not on_tape else True
    )
    return (
        []
        if on_metric_tape
        else [doubt(DoubtKind.TOO_FINE, Field.LENGTH, fineness=settings.fineness)]
    )


def _too_short(cut: Cut, settings: Settings) -> list[Doubt]:
    if cut.length.inches >= settings.shortest:
        return []
    return [doubt(DoubtKind.SHORT_PIECE, Field.LENGTH, shortest=Length(settings.shortest))]


def _angles(cut: Cut, settings: Settings) -> list[Doubt]:
    found = [reason for end in dict.fromkeys(cut.ends) for reason in _beyond_the_saw(end, settings)]
    if any(end.kind != "square" and end.point is None for end in cut.ends):
        found.append(doubt(DoubtKind.POINT_NOT_SAID, Field.ENDS))
    if any(end.kind == "square" and end.point is not None for end in cut.ends):
        found.append(doubt(DoubtKind.POINT_ON_SQUARE, Field.ENDS))
    if any(
        end.kind != "square" and (end.rise, end.miter, end.bevel) == (None, None, None)
        for end in cut.ends
    ):
        found.append(doubt(DoubtKind.ANGLE_NOT_SAID, Field.ENDS))
    return found


def _off_square(end: End) -> float:
    """Return how far *end* is off square across the face, in radians.

    Plumb atan(rise/12), seat atan(12/rise), hip atan(rise/16.97) since 12·√2 = 16.97 (NAVEDTRA
    14044).
    """
    if end.rise is None:
        return math.radians(float(end.miter or 0))
    run = 12 * math.sqrt(2) if end.kind == "hip" else 12
    return math.atan2(run, end.rise) if end.kind == "seat" else math.atan2(end.rise, run)


def _beyond_the_saw(end: End, settings: Settings) -> list[Doubt]:
    miter, bevel = end.miter or Fraction(0), end.bevel or Fraction(0)
    if end.rise is not None:
        miter = max(miter, Fraction(round(math.degrees(_off_square(end)), 2)))
    found = []
    if miter > settings.miter:
        found.append(doubt(DoubtKind.PAST_SWING, Field.ENDS, angle=miter, limit=settings.miter))
    if bevel > settings.bevel:
        found.append(doubt(DoubtKind.PAST_TILT, Field.ENDS, angle=bevel, limit=settings.bevel))
    return found


def _crossing(cut: Cut) -> list[Doubt]:
    """Question ends that meet before the piece is over: 12 in. of 2x12, 45° both ends, to both long
    points.

    From its long point an end runs back by the width times the tangent of its angle (trigonometry).
    """
    size = cut.section.dressed() if cut.section is not None else None
    if size is None or cut.note == "parallel" or any(end.point == "short" for end in cut.ends):
        return []
    back = sum(float(size[1]) * math.tan(_off_square(end)) for end in cut.ends)
    if back <= float(cut.length.inches):
        return []
    return [doubt(DoubtKind.ENDS_CROSS, Field.LENGTH, Field.ENDS, Field.SECTION)]


def _wide_side_first(cut: Cut) -> list[Doubt]:
    """Question a board named wide side first; the thin side is named first (common practice)."""
    if (
        cut.section is None
        or cut.section.thickness is None
        or cut.section.width is None
        or cut.section.thickness <= cut.section.width
    ):
        return []
    thickness, width = cut.section.thickness, cut.section.width
    return [doubt(DoubtKind.WIDE_SIDE_FIRST, Field.SECTION, thickness=thickness, width=width)]


def _too_many(cut: Cut, typed: bool) -> list[Doubt]:
    turned = cut.length.inches.denominator == 1 and cut.length.inches <= MAX_USUAL_COUNT
    named = typed and cut.piece is not None and not turned  # 104 studs 36: 36 of them?
    most = MAX_TYPED_COUNT if named else MAX_USUAL_COUNT
    if cut.count <= most:
        return []
    return [doubt(DoubtKind.TOO_MANY, Field.COUNT, count=cut.count, most=most)]


def _said_twice(seconds: float | None) -> list[Doubt]:
    return (
        [doubt(DoubtKind.SAID_TWICE)]
        if seconds is not None and abs(seconds) <= TWICE_WITHIN_SECONDS
        else []
    )


def _alike(one: Cut, other: Cut) -> bool:
    """Return whether both are the same but for what may differ inside a set: length, count, place,
    note.
    """
    return (
        one.piece == other.piece
        and one.section == other.section
        and one.ends == other.ends
        and one.allowance == other.allowance
    )


def _slips(cut: Cut, others: Sequence[Cut]) -> list[Doubt]:
    """Question what a slip makes of the length of a set, or of a stud as it comes from the mill."""
    alike = [other for other in others if _alike(other, cut)]
    if any(other.length == cut.length for other in alike):
        return []
    recent = alike
    if cut.piece is None:
        recent = [other for other in others[-RECENT:] if _alike(other, cut)]
    sets: dict[Fraction, int] = {}
    for other in recent:
        sets[other.length.inches] = sets.get(other.length.inches, 0) + other.count
    least = 2 if cut.piece is not None else 3
    found = [
        each
        for inches, number in sets.items()
        if number >= least
        for each in _slip(cut.length.inches, inches, number)
    ]
    found += [each for each in _turned_at_its_place(cut, alike) if each not in found]
    if cut.piece == "stud" and not sets and cut.length.inches not in MILL_STUDS:
        found += [each for inches in MILL_STUDS for each in _slip(cut.length.inches, inches, 0)]
    return found


def _turned_at_its_place(cut: Cut, alike: Sequence[Cut]) -> list[Doubt]:
    """Question a length that is another one of the same place with figures turned round, however
    few there are: 36 for W1, then 63 for W1.
    """
    if cut.place is None:
        return []
    at_place: dict[Fraction, int] = {}
    for other in alike:
        if other.place == cut.place:
            at_place[other.length.inches] = at_place.get(other.length.inches, 0) + other.count
    return [
        doubt(DoubtKind.TURNED_ROUND, Field.LENGTH, number=number, length=Length(inches))
        for inches, number in at_place.items()
        if cut.length.inches in _turned(inches)
    ]


def _slip(said: Fraction, meant: Fraction, number: int) -> list[Doubt]:
    """Return what is doubtful about *said* if *meant* is the length of *number* equal pieces."""
    facts: dict[str, Fact] = {"number": number, "length": Length(meant)}
    if abs(said - meant) in BURNED:
        return [doubt(DoubtKind.BURNED_INCH, Field.LENGTH, off=said - meant, **facts)]
    if said in _turned(meant):
        return [doubt(DoubtKind.TURNED_ROUND, Field.LENGTH, **facts)]
    return []


def _turned(inches: Fraction) -> set[Fraction]:
    """Return *inches* with two figures beside each other turned round, or its fraction read from
    the wrong side.

    101 for 110, 36 for 63, 14-3/8 for 14-5/8 (common practice).
    """
    whole, part = divmod(inches, 1)
    figures = str(whole)
    turned = {
        Fraction(f"{figures[:at]}{figures[at + 1]}{figures[at]}{figures[at + 2 :]}") + part
        for at in range(len(figures) - 1)
    }
    return (turned | ({whole + 1 - part} if part else set())) - {inches}


def _unequal_rafters(cut: Cut, others: Sequence[Cut]) -> list[Doubt]:
    """Question a rafter that is a little off another one: they stand in pairs (common practice)."""
    if cut.piece not in PAIRED:
        return []
    near = {
        other.length.inches
        for other in others
        if _alike(other, cut) and abs(other.length.inches - cut.length.inches) < PAIR_INCHES
    }
    if cut.length.inches in near:
        return []
    return [
        doubt(DoubtKind.RAFTERS_DIFFER, Field.LENGTH, length=Length(inches))
        for inches in sorted(near)
    ]


def _may_be_one_set(one: Cut, other: Cut) -> bool:
    return one.piece == other.piece or one.piece is None or other.piece is None


def _twin(cut: Cut, others: Sequence[Cut]) -> list[Doubt]:
    """Question a length that the ear takes for another one in the set: 13 for 30, 116 for 160.

    Nothing is asked where the two are pieces of different names, or where this one is listed too.
    """
    whole, part = divmod(cut.length.inches, 1)
    hundreds, rest = divmod(whole, 100)
    twin = _BY_EAR.get(rest)
    if twin is None:
        return []
    inches = hundreds * 100 + twin + part
    near = [other for other in others if _may_be_one_set(other, cut)]
    if any(_alike(other, cut) and other.length == cut.length for other in near):
        return []
    # Compared as pairs of numbers, which is quicker: this is done for each row.
    listed = {other.length.inches.as_integer_ratio() for other in near}
    if inches.as_integer_ratio() not in listed:
        return []
    return [doubt(DoubtKind.SOUNDS_LIKE, Field.LENGTH, length=Length(inches))]


_BY_EAR = ALIKE_BY_EAR | {ten: teen for teen, ten in ALIKE_BY_EAR.items()}

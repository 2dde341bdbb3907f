"""What cannot be right about a cut, and what needs an answer before it counts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from cutmemo.domain.confusable import ALIKE_BY_EAR
from cutmemo.domain.cut import Cut, End
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.domain.units import from_inches

MAX_USUAL_COUNT = 50
"""More than this of one is questioned (common practice)."""
BURNED = (1, 10, 12)
"""Inches a length is off when the hook was skipped and nobody subtracted (common practice)."""
TWICE_WITHIN_SECONDS = 5.0


@dataclass(frozen=True, slots=True)
class Findings:
    """What was found about one cut."""

    refusals: tuple[Doubt, ...] = ()
    questions: tuple[Doubt, ...] = ()


def check(
    cut: Cut, others: Sequence[Cut], settings: Settings, seconds_since_same: float | None = None
) -> Findings:
    """Return what is wrong or doubtful about *cut*.

    *others* are the cuts of the memo that still count; *seconds_since_same* is how
    long ago the very same call was made, if it was.
    """
    questions = [
        *_too_long(cut, settings),
        *_too_fine(cut, settings),
        *_too_short(cut, settings),
        *_angles(cut, settings),
        *_wide_side_first(cut),
        *_too_many(cut),
        *_said_twice(seconds_since_same),
        *_burned(cut, others),
        *_twin(cut, others),
    ]
    return Findings(tuple(_refusals(cut)), tuple(questions))


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
    return found


def _too_long(cut: Cut, settings: Settings) -> list[Doubt]:
    if cut.length.inches <= settings.longest:
        return []
    return [doubt(DoubtKind.TOO_LONG, Field.LENGTH, longest=Length(settings.longest))]


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


def _beyond_the_saw(end: End, settings: Settings) -> list[Doubt]:
    miter, bevel = end.miter or Fraction(0), end.bevel or Fraction(0)
    if end.rise is not None:
        # The angle off square: plumb atan(rise/12), hip atan(rise/16.97) since 12·√2 = 16.97 (NAVEDTRA 14044).
        run = 12 * math.sqrt(2) if end.kind == "hip" else 12
        off_square = math.degrees(
            math.atan2(run, end.rise) if end.kind == "seat" else math.atan2(end.rise, run)
        )
        miter = max(miter, Fraction(round(off_square, 2)))
    found = []
    if miter > settings.miter:
        found.append(doubt(DoubtKind.PAST_SWING, Field.ENDS, angle=miter, limit=settings.miter))
    if bevel > settings.bevel:
        found.append(doubt(DoubtKind.PAST_TILT, Field.ENDS, angle=bevel, limit=settings.bevel))
    return found


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


def _too_many(cut: Cut) -> list[Doubt]:
    return (
        [doubt(DoubtKind.TOO_MANY, Field.COUNT, count=cut.count, most=MAX_USUAL_COUNT)]
        if cut.count > MAX_USUAL_COUNT
        else []
    )


def _said_twice(seconds: float | None) -> list[Doubt]:
    return (
        [doubt(DoubtKind.SAID_TWICE)]
        if seconds is not None and abs(seconds) <= TWICE_WITHIN_SECONDS
        else []
    )


def _alike(cut: Cut) -> Cut:
    """Return *cut* with what may differ inside a set made equal."""
    return replace(cut, length=Length(Fraction(0)), count=1, place=None, note=None)


def _burned(cut: Cut, others: Sequence[Cut]) -> list[Doubt]:
    """Question exactly 1, 10 or 12 in. off a set of two or more pieces that is otherwise equal."""
    pieces: dict[Fraction, int] = {}
    for other in others:
        off = abs(other.length.inches - cut.length.inches)
        if (off == 0 or off in BURNED) and _alike(other) == _alike(cut):
            pieces[other.length.inches] = pieces.get(other.length.inches, 0) + other.count
    if cut.length.inches in pieces:
        return []
    found = []
    for inches, number in pieces.items():
        off = cut.length.inches - inches
        if number > 1 and abs(off) in BURNED:
            found.append(
                doubt(
                    DoubtKind.BURNED_INCH,
                    Field.LENGTH,
                    off=off,
                    number=number,
                    length=Length(inches),
                )
            )
    return found


def _twin(cut: Cut, others: Sequence[Cut]) -> list[Doubt]:
    """Question a length that the ear takes for another one in the set: 13 for 30, 116 for 160."""
    whole, part = divmod(cut.length.inches, 1)
    hundreds, rest = divmod(whole, 100)
    twins = {a if rest == b else b for a, b in ALIKE_BY_EAR.items() if rest in (a, b)}
    lengths = {hundreds * 100 + twin + part for twin in twins}
    found = sorted({other.length.inches for other in others} & lengths)
    return [doubt(DoubtKind.SOUNDS_LIKE, Field.LENGTH, length=Length(inches)) for inches in found]

"""How the ends of a piece are cut, and which point its length is taken to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from cutmemo.domain.cut import SQUARE, End, EndKind, Point, Rise
from cutmemo.language.grammar.lengths import figures, fraction
from cutmemo.language.grammar.numbers import below_hundred
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.lexicon.en import (
    ANGLED,
    CHEEKS,
    DEGREES,
    EITHER_PITCHED,
    END_LEADS,
    PITCHED,
    PLURALS,
    POINT_PAIRS,
    POINT_SIDES,
    POINTS,
    REACHES,
    TENS,
)

MAX_RISE = 24
"""Inches in 12; no roof that is framed is steeper."""
MAX_ANGLE = 75
"""Degrees off square; past it a number is no angle."""


@dataclass(frozen=True, slots=True)
class EndSaid:
    """How an end is cut, and which ends are meant."""

    end: End | None
    """``None`` where only the points were named."""
    reach: str = ""
    """``both``, ``one``, or empty where nothing was said of it."""
    points: tuple[Point, Point] | None = None
    """Both points of "long to short"."""
    only_point: bool = False
    """True where nothing but a point was named."""
    bare: bool = False
    """True where the angle is a bare number that is not usual."""


def both_ends(said: tuple[EndSaid, ...]) -> tuple[End, End] | None:
    """Return both ends of the piece from what was said of them, or ``None`` if nothing was."""
    if not said:
        return None
    ends: list[End] = []
    for each in _with_points_ahead(said):
        if each.end is not None:
            ends += [each.end, each.end] if each.reach == "both" else [each.end]
    pair = [*ends, SQUARE, SQUARE][:2]
    points = next((each.points for each in said if each.points is not None), None)
    if points is not None:
        if len(ends) == 1:
            pair[1] = pair[0]
        pair = [replace(end, point=point) for end, point in zip(pair, points, strict=True)]
    return pair[0], pair[1]


def room_for(ends: tuple[EndSaid, ...], more: EndSaid) -> bool:
    """Return whether *more* says something that was not said yet."""
    if more.only_point and any(each.end is not None and each.end.point is None for each in ends):
        return (
            len(ends) == 1 and _lacks_point(ends[0]) and not more.reach
        )  # 22.5 one end 60 long point
    if more.end is None:
        return all(each.points is None for each in ends)
    cut = [each for each in _with_points_ahead((*ends, more)) if each.end is not None]
    return sum(2 if each.reach == "both" else 1 for each in cut) <= 2


def _with_points_ahead(said: tuple[EndSaid, ...]) -> list[EndSaid]:
    """Give a point said alone to the angle behind it, or to the one angle before it: "long point,
    45 one end", "45 one end 60 long point". A square end has no point.
    """
    joined: list[EndSaid] = []
    for each in said:
        ahead = joined[-1] if joined else EndSaid(None)
        if ahead.only_point and not ahead.reach and ahead.end is not None and _lacks_point(each):
            joined[-1] = replace(each, end=replace(each.end or SQUARE, point=ahead.end.point))
        elif each.only_point and each.end is not None and len(joined) == 1 and _lacks_point(ahead):
            joined[0] = replace(ahead, end=replace(ahead.end or SQUARE, point=each.end.point))
        else:
            joined.append(each)
    return joined


def _lacks_point(said: EndSaid) -> bool:
    return said.end is not None and said.end.kind != "square" and said.end.point is None


def end_said(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """end_said = ["both ends"] end [point] ["both ends" | "one end"] [point] | "long to short"
    [usual] | point
    """
    yield from _both_points(scan, at)
    lead = scan.find(END_LEADS, at)
    for angle, after in scan.every(_several_angles, lead[0][1] if lead else at):
        reached = [end for reach, end in scan.find(REACHES, after) if reach == "both"]
        for start in (after, *reached):
            yield from _with_point(scan, End("angled", miter=angle), "both", start)
    yield from _bare_angle(scan, at)
    yield from _two_usual_angles(scan, at)
    for _, begin in lead:
        yield from _bare_angle(scan, begin)
        usual = scan.every(usual_angle, begin) if scan.word(at) in ("with", "w") else []
        for found, after in (*scan.every(_end, begin), *usual):
            yield from _with_point(scan, found, "", after)
    yield from _point_before_angle(scan, at)
    yield from _angle_behind_reach(scan, at)
    yield from _usual_before_point(scan, at)
    for reach, begin in [("", at), *scan.find(REACHES, at)]:
        start = (scan.take(begin, "at") or begin) if reach else begin
        usual = scan.every(usual_angle, start) if reach else []
        for found, after in (*scan.every(_end, start), *usual):
            bare = _is_bare(scan, found, start, after)
            for said, end in _with_point(scan, found, reach, after):
                yield replace(said, bare=bare), end
        if scan.find(POINTS, start):
            yield from _with_point(scan, None, reach, start)


def _both_points(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """both_points = long_to_long [usual] | usual long_to_long | typed LL"""
    for pair, end in scan.find(POINT_PAIRS, at):
        yield EndSaid(None, points=pair), end
        for angle, after in scan.every(_angle_of_points, end):
            yield EndSaid(angle, "both", points=pair), after
    for points, end in _long_to_long(scan, at):
        yield EndSaid(None, points=points), end
        for angle, after in scan.every(_angle_of_points, end):
            yield EndSaid(angle, "both", points=points), after
    for angle, begin in scan.every(_angle_of_points, at):
        for points, end in (*scan.find(POINT_PAIRS, begin), *_long_to_long(scan, begin)):
            yield EndSaid(angle, "both", points=points), end


def _long_to_long(scan: Scan, at: int) -> Iterator[tuple[tuple[Point, Point], int]]:
    """("long" | "short") ["point"] "to" ("long" | "short") ["point"]"""
    for first, middle in scan.find(POINT_SIDES, at):
        to = scan.take(middle, "to")
        for second, end in scan.find(POINT_SIDES, to) if to is not None else ():
            yield (first, second), end


def _angle_of_points(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """angle_of_points = usual ["degrees"] | "forty fives", behind both points: points mean nothing
    without an angle
    """
    for angle, after in scan.every(_several_angles, at):
        yield End("angled", miter=angle), after
    for found, after in scan.every(usual_angle, at):
        degrees = scan.find(DEGREES, after)
        yield found, degrees[0][1] if degrees else after


def _with_point(scan: Scan, end: End | None, reach: str, at: int) -> Iterator[tuple[EndSaid, int]]:
    """[point] ["both ends" | "one end"] [point]"""
    spot = at
    point: Point | None = None
    for _ in range(3):
        if end is not None or point is not None:
            yield EndSaid(replace(end or End(), point=point), reach, only_point=end is None), spot
        behind = spot + 1 if scan.word(spot) == "," and scan.find(POINTS, spot + 1) else spot
        found_point = scan.find(POINTS, behind) if point is None else []
        found_reach = scan.find(REACHES, spot) if not reach else []
        if found_point:
            point, spot = found_point[0]
        elif found_reach:
            reach, spot = found_reach[0]
        else:
            return


def _end(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """end = "square" | pitch | angle ["and" angle] | cheek"""
    square = scan.take(at, "square")
    if square is not None:
        yield End(), scan.take(square, "cut") or square
    for found, after in _pitched(scan, at):
        yield found, after
    for cheek, begin in scan.find(CHEEKS, at):
        for found, after in _pitched(scan, begin):
            yield replace(found, cheek=cheek), after
        for number, after in scan.every(rise, begin):  # of a jack, or of a hip
            yield End("plumb", Rise(number), cheek=cheek), after
            yield End("hip", Rise(number), cheek=cheek), after
    for found, after in _pitched(scan, at):
        for cheek, end in scan.find(CHEEKS, after):
            yield replace(found, cheek=cheek), scan.take(end, "cut") or end
    yield from _angled_end(scan, at)


def _angled_end(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """angled_end = angle "degrees" | angled [ ["and"] angled ]"""
    for angle, after in scan.every(_angle, at):
        if not 0 < angle <= MAX_ANGLE:
            continue
        for _, degrees in scan.find(DEGREES, after):
            if not scan.find(ANGLED, degrees):
                yield End("angled", miter=angle), degrees
    for found, after in _angled(scan, at):
        yield found, after
        joined = scan.take(after, "and")
        for more, end in _angled(scan, after if joined is None else joined):
            if (found.miter is None) != (more.miter is None):
                both = replace(
                    found, miter=found.miter or more.miter, bevel=found.bevel or more.bevel
                )
                yield both, end


def _is_bare(scan: Scan, end: End, start: int, after: int) -> bool:
    """Return whether the angle of *end* is a bare number that is not usual: "forty one mitered" """
    angles = [angle for angle in (end.miter, end.bevel) if angle is not None]
    if end.kind != "angled" or all(angle in USUAL_ANGLES for angle in angles):
        return False
    return not any(scan.word(at) in DEGREES for at in range(start, after))


def _bare_angle(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """bare_angle = angle before a reach: "forty five both ends" """
    for angle, after in scan.every(_angle, at):
        reached = [end for _, end in scan.find(REACHES, after)]
        named = angle in USUAL_ANGLES or any(scan.word(end - 1) in _ENDS for end in reached)
        if 0 < angle <= MAX_ANGLE and reached and named:  # 26-1/2 both rakes is a length
            for said, end in _with_point(scan, End("angled", miter=angle), "", after):
                yield replace(said, bare=angle not in USUAL_ANGLES), end


def _point_before_angle(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """point_before_angle = point usual, typed: LP 45"""
    for point, start in scan.find(POINTS, at) if not scan.by_voice else ():
        for found, after in scan.every(usual_angle, start):
            yield EndSaid(replace(found, point=point)), after


def _angle_behind_reach(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """angle_behind_reach = ( "miter" | "bevel" ) reach usual | typed ( "plumb" | "seat" … ) ["cut"]
    reach rise: "mitered both ends forty five", plumb both ends 6/12
    """
    for pitched, named in _pitched_names(scan, at) if not scan.by_voice else ():
        for reach, start in scan.find(REACHES, scan.take(named, "cut") or named):
            for number, after in scan.every(rise, start):
                yield from _with_point(scan, End(pitched, Rise(number)), reach, after)
    for kind, name in scan.find(ANGLED, at):
        for reach, start in scan.find(REACHES, name):
            for found, after in scan.every(usual_angle, start):
                yield from _with_point(
                    scan, _at_angle(kind, found.miter or Fraction(0)), reach, after
                )


def _usual_before_point(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """usual_before_point = usual point: "forty five long point" """
    for found, after in scan.every(usual_angle, at):
        if scan.find(POINTS, after):
            yield from _with_point(scan, found, "", after)


def _two_usual_angles(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """two_usual_angles = usual usual, of which one ends the call or points follow: "45 45" """
    for first, middle in scan.every(usual_angle, at):
        for second, end in scan.every(usual_angle, middle):
            pointed = any((scan.find(POINTS, end), scan.find(POINT_SIDES, end)))
            if first == second and (pointed or not scan.by_voice):
                yield from _with_point(scan, first, "both", end)


def _several_angles(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """several_angles = "forty fives" | typed 45s: both ends"""
    word = scan.word(at)
    if word in _USUAL_TYPED:
        yield _USUAL_TYPED[word], at + 1
    if word in TENS and PLURALS.get(scan.word(at + 1)) == 5 and TENS[word] == 40:
        yield Fraction(45), at + 2
    if PLURALS.get(word) in (15, 30, 60):
        yield Fraction(PLURALS[word]), at + 1


def usual_angle(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """usual_angle = 15 | 22-1/2 | 30 | 45 | 60, where something announces it"""
    for angle, after in scan.every(_angle, at):
        behind = scan.token(after)
        inside = behind is not None and behind.kind == "fraction"  # miter 15-13/16
        if angle in USUAL_ANGLES and not inside:
            yield End("angled", miter=angle), after


USUAL_ANGLES = (Fraction(15), Fraction(45, 2), Fraction(30), Fraction(45), Fraction(60))
"""Degrees that need no name (common practice)."""
_ENDS = ("end", "ends")
_USUAL_TYPED = {f"{angle}s": angle for angle in USUAL_ANGLES if angle.denominator == 1}


def _pitched(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """pitched = ("plumb" | "seat" | "hip") ["cut"] rise | rise ("plumb" …) ["cut"] | "plumb
    cut"
    """
    for kind, name in _pitched_names(scan, at):
        cut = scan.take(name, "cut")
        for number, end in scan.every(rise, name if cut is None else cut):
            yield End(kind, Rise(number)), end
        for degrees, end in scan.every(_steep, name if cut is None else cut):
            yield End(kind, miter=degrees), end
        if cut is not None and not scan.every(_steep, cut):
            yield End(kind), cut
    for number, after in scan.every(rise, at):
        for kind, name in _pitched_names(scan, after):
            yield End(kind, Rise(number)), scan.take(name, "cut") or name
    for degrees, after in scan.every(_steep, at):
        for kind, name in _pitched_names(scan, after):
            yield End(kind, miter=degrees), scan.take(name, "cut") or name


def _steep(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """steep = angle "degrees": for the saw"""
    for angle, after in scan.every(_angle, at):
        for _, end in scan.find(DEGREES, after):
            yield angle, end


def _pitched_names(scan: Scan, at: int) -> Iterator[tuple[EndKind, int]]:
    """ "plumb" | "seat" | "level" | "hip" | "heel", which is either of the first two"""
    yield from scan.find(PITCHED, at)
    for _, after in scan.find(EITHER_PITCHED, at):
        yield "plumb", after
        yield "seat", after


_IN_TWELVE = ("on", "in", "inch", "over", ":", "/")


def rise(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """rise = angle [ "on" | "in" | "over" | ":" | "/" ] "twelve" | typed 7/12"""
    token = scan.token(at)
    if token is not None and token.kind == "fraction" and token.under == 12 and token.over:
        yield Fraction(token.over), at + 1
    for number, after in scan.every(_angle, at):
        joined = after + 1 if scan.word(after) in _IN_TWELVE else after
        for run, end in scan.every(below_hundred, joined):
            if run.value == 12 and 0 < number <= MAX_RISE:
                yield number, end


def _angled(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """angled = angle "degrees" ("miter" | "bevel") | ("miter" | "bevel") [ angle ["degrees"] ]"""
    for angle, after in scan.every(_angle, at):
        degrees_said = scan.find(DEGREES, after)
        for kind, end in scan.find(ANGLED, degrees_said[0][1] if degrees_said else after):
            yield _at_angle(kind, angle), end
    for kind, name in scan.find(ANGLED, at):
        for angle, after in scan.every(_angle, name):
            degrees_said = scan.find(DEGREES, after)
            yield _at_angle(kind, angle), degrees_said[0][1] if degrees_said else after
        if not scan.every(usual_angle, name) and not scan.every(beveled_along, at):
            yield End("angled"), name


_ALONG = ("side", "edge", "face", "sides", "edges", "faces")
"""Along these a board is beveled from end to end."""


def beveled_along(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """beveled_along = typed "bevel" ( "one" | "both" | "two" ) ( "side" | "edge" … ): no end"""
    for kind, name in scan.find(ANGLED, at) if not scan.by_voice else ():
        how_many = scan.take(name, "one", "both", "two", "1", "2")
        if kind == "bevel" and how_many is not None and scan.word(how_many) in _ALONG:
            yield " ".join(token.word for token in scan.tokens[at : how_many + 1]), how_many + 1


def _at_angle(kind: str, angle: Fraction) -> End:
    """Return an end at *angle* degrees across the face or through the thickness."""
    return End("angled", miter=angle) if kind == "miter" else End("angled", bevel=angle)


def _angle(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """angle = whole [ "and" fraction ] | figures"""
    if scan.word(at) != "point":  # "short point one degree" is a short point, and then one degree
        yield from scan.every(figures, at)
    for number, after in scan.every(below_hundred, at):
        yield Fraction(number.value), after
        joined = scan.take(after, "and")
        for part, end in scan.every(fraction, after if joined is None else joined):
            if part.inches < 1:  # "fifteen sixty fourths" is no fifteen and sixty quarters
                yield number.value + part.inches, end

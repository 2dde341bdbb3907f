"""The parts of a call beside its length: how many, of what, where, and how the ends are cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from cutmemo.domain.cut import End, Point, Section, Shade
from cutmemo.language.grammar.lengths import figures, fraction
from cutmemo.language.grammar.numbers import below_hundred, whole
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import Token
from cutmemo.language.lexicon.en import (
    EXACT,
    LINES,
    ONES,
    PIECES,
    PLACES,
    SHADES,
    SLIGHT,
    TENS,
)

_NOTES = (*LINES, ("birdsmouth",), ("parallel",), ("opposing",))
_NOMINAL = frozenset({1, 2, 3, 4, 6, 8, 10, 12, 14})


def any_number(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """any_number = whole, spoken or typed"""
    for number, after in scan.every(whole, at):
        yield number.value, after


def count_before(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """count_before = ["need"] amount ( "at" | "of" | "pieces" ["at"|"of"] ), or an amount right before the board"""
    needed = scan.take(at, "need", "make")
    start = at if needed is None else needed
    for amount, after in scan.every(amount_words, start):
        for end in _after_amount(scan, after):
            yield amount, end
        if needed is not None or _names_a_board(scan, after):
            yield amount, after
    if scan.word(start) == "both":
        yield 2, scan.take(start + 1, "at", "of") or start + 1


def amount_words(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """amount_words = number | ["a"] "pair" | ["a"] "couple" | ["half" ["a"]] "dozen" """
    yield from scan.every(any_number, at)
    start = at + 1 if scan.word(at) == "a" else at
    if scan.word(start) in ("pair", "couple"):
        yield 2, start + 1
    if scan.word(start) == "dozen":
        yield 12, start + 1
    for half in (("half", "a", "dozen"), ("half", "dozen"), ("a", "half", "dozen")):
        after = scan.phrase(at, half)
        if after is not None:
            yield 6, after


def _after_amount(scan: Scan, at: int) -> Iterator[int]:
    """ "at" | "of" | "of them at" | "times" | "pieces" ["at" | "of"] | "each" ["at"]"""
    them = scan.phrase(at, ("of", "them", "at"))
    if them is not None:
        yield them
    after = scan.take(at, "at", "of", "times")
    if after is not None:
        yield after
        return
    after = scan.take(at, "pieces", "piece", "each")
    if after is not None:
        yield scan.take(after, "at", "of") or after


def _names_a_board(scan: Scan, at: int) -> bool:
    """Return whether a section or a piece begins here, so that a bare number before it is a count."""
    return bool(scan.every(section, at) or scan.every(piece, at))


def count_after(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """count_after = "times" n | "make it" n | "need" n | n "pieces" | n "of them" | "a pair" | "both" """
    for lead in (("times",), ("make", "it"), ("need",)):
        after = scan.phrase(at, lead)
        if after is not None:
            yield from scan.every(amount_words, after)
            scan.missed(after, "a count")
    for amount, after in scan.every(amount_words, at):
        named = scan.take(after, "pieces", "piece", fits="pieces")
        if named is not None:
            yield amount, named
        them = scan.phrase(after, ("of", "them"))
        if them is not None:
            yield amount, them
        if scan.word(after - 1) in ("pair", "couple", "dozen"):
            yield amount, after
    if scan.word(at) == "both":
        yield 2, at + 1


def shade(scan: Scan, at: int) -> Iterator[tuple[Shade, int]]:
    """shade = "strong" | "shy" … | ["plus" | "minus"] "a" ( "hair" | "skosh" | "tad" ) [ shade word ]"""
    word = scan.word(at)
    if word in SHADES and word not in ("over", "under"):
        yield Shade(word, SHADES[word]), at + 1
    lead = word if word in ("plus", "minus") else ""
    start = at + 1 if lead else at
    if scan.word(start) == "a" and scan.word(start + 1) in SLIGHT:
        said = " ".join(scan.tokens[spot].word for spot in range(at, start + 2))
        if lead:
            yield Shade(said, SHADES[lead], slight=True), start + 2
            return
        follow = scan.word(start + 2)
        if follow in SHADES:
            yield Shade(f"{said} {follow}", SHADES[follow], slight=True), start + 3
        yield Shade(said, "over", slight=True), start + 2


def exact(scan: Scan, at: int) -> int | None:
    """exact = "even" | "flat" | "exactly" | "on the money"; returns the position after"""
    ends = (scan.phrase(at, words) for words in EXACT)
    return next((end for end in ends if end is not None), None)


def note(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """note = "leave the line" | "birdsmouth" | "parallel" …"""
    for words in _NOTES:
        after = scan.phrase(at, words)
        if after is not None:
            yield " ".join(words), after


def section(scan: Scan, at: int) -> Iterator[tuple[Section, int]]:
    """section = ["treated"] size ["treated"] | "LVL" | "rim board" """
    start = scan.take(at, "treated", fits="two by six")
    for found, after in scan.every(_size, at if start is None else start):
        end = None if start is not None else scan.take(after, "treated")
        if end is not None:
            yield replace(found, treated=True), end
        yield (replace(found, treated=True) if start is not None else found), after


def _size(scan: Scan, at: int) -> Iterator[tuple[Section, int]]:
    """size = thick "by" wide | "five quarter by" wide | typed 2x6 | "LVL" | "rim board" """
    token = scan.token(at)
    if token is not None and token.kind == "section" and token.over in _NOMINAL:
        yield Section(token.value, Fraction(token.over)), at + 1
    for words, material in (
        (("lvl",), "LVL"),
        (("l", "v", "l"), "LVL"),
        (("rim", "board"), "rim board"),
    ):
        after = scan.phrase(at, words)
        if after is not None:
            yield Section(material=material), after
    for thickness, middle in _thick(scan, at):
        by = scan.take(middle, "by") if scan.by_voice else scan.take(middle, "by", "times")
        if by is not None:
            for width, end in scan.every(any_number, by):
                if width in _NOMINAL:
                    yield Section(thickness, Fraction(width)), end


def _thick(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """1 … 14, or "five quarter" """
    for value, after in scan.every(any_number, at):
        if value in _NOMINAL:
            yield Fraction(value), after
    if scan.word(at) == "five" and scan.word(at + 1) in ("quarter", "quarters"):
        yield Fraction(5, 4), at + 2


def piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """piece = "stud" | "king stud" | "trimmer" …"""
    for size in (2, 1):
        words = tuple(token.word for token in scan.tokens[at : at + size])
        if words in PIECES:
            yield PIECES[words], at + size
    if scan.word(at) == "jack":
        scan.missed(at + 1, "stud")
        scan.missed(at + 1, "rafter")
    scan.missed(at, "a piece")


def place(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """place = "for" words to the end or to a comma; spoken places are made of a few known words"""
    start = scan.take(at, "for", fits="for a place")
    if start is None:
        return
    end = start
    while _is_place(scan.token(end), scan.by_voice):
        end += 1
        if scan.by_voice:
            yield _place_name(scan.tokens[start:end]), end
    if end == start:
        scan.missed(start, "a place")
    elif not scan.by_voice:
        yield _place_name(scan.tokens[start:end]), end


def _is_place(token: Token | None, by_voice: bool) -> bool:
    """Return whether *token* may stand in the name of a place."""
    if token is None or token.kind == "mark":
        return False
    return not by_voice or token.word in PLACES or token.word in ONES or token.word in TENS


def _place_name(tokens: tuple[Token, ...]) -> str:
    """Return the place as it is written: "w three north" is ``W3 north``, a typed one stays as it was typed."""
    parts: list[str] = []
    for token in tokens:
        number = ONES.get(token.word, TENS.get(token.word)) if token.kind == "word" else None
        if number is not None and parts and len(parts[-1]) == 1:
            parts[-1] += str(number)
        elif number is not None:
            parts.append(str(number))
        else:
            parts.append(token.text.upper() if len(token.text) == 1 else token.text)
    return " ".join(parts)


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


def end_said(scan: Scan, at: int) -> Iterator[tuple[EndSaid, int]]:
    """end_said = ["both ends"] end [point] ["both ends" | "one end"] [point] | "long to short" | point"""
    points = _points(scan, at)
    if points is not None:
        yield EndSaid(None, points=points[0]), points[1]
    lead = _reach(scan, at)
    reach, start = lead if lead is not None else ("", at)
    for end, after in scan.every(_end, start):
        yield from _with_point(scan, end, reach, after)
    point = _point(scan, start)
    if point is not None:
        yield from _with_point(scan, None, reach, start)


def _with_point(scan: Scan, end: End | None, reach: str, at: int) -> Iterator[tuple[EndSaid, int]]:
    """[point] ["both ends" | "one end"] [point]"""
    spot = at
    point: Point | None = None
    for _ in range(3):
        if end is not None or point is not None:
            yield EndSaid(replace(end or End(), point=point), reach, only_point=end is None), spot
        found_point = _point(scan, spot) if point is None else None
        found_reach = _reach(scan, spot) if not reach else None
        if found_point is not None:
            point, spot = found_point
        elif found_reach is not None:
            reach, spot = found_reach
        else:
            return


def _points(scan: Scan, at: int) -> tuple[tuple[Point, Point], int] | None:
    """("long" | "short") ["point"] "to" ("long" | "short") ["point"]"""
    first = _side(scan, at)
    if first is None:
        return None
    middle = at + 2 if scan.word(at + 1) == "point" else at + 1
    second = _side(scan, middle + 1) if scan.word(middle) == "to" else None
    if second is None:
        return None
    end = middle + 3 if scan.word(middle + 2) == "point" else middle + 2
    return (first, second), end


def _side(scan: Scan, at: int) -> Point | None:
    """ "long" | "short" """
    word = scan.word(at)
    return "long" if word == "long" else "short" if word == "short" else None


def _point(scan: Scan, at: int) -> tuple[Point, int] | None:
    """("long" | "short") "point" """
    side = _side(scan, at)
    return (side, at + 2) if side is not None and scan.word(at + 1) == "point" else None


def _reach(scan: Scan, at: int) -> tuple[str, int] | None:
    """ "both ends" | "one end" | "other end" | "each end" """
    if scan.word(at + 1) not in ("end", "ends"):
        return None
    reach = {"both": "both", "each": "both", "one": "one", "other": "one"}.get(scan.word(at))
    return (reach, at + 2) if reach is not None else None


def _end(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """end = "square" | pitch | angle ["and" angle] | cheek"""
    square = scan.take(at, "square")
    if square is not None:
        yield End(), scan.take(square, "cut") or square
    for found, after in _pitched(scan, at):
        cheek = _cheek(scan, after)
        yield found, after
        if cheek is not None:
            yield replace(found, cheek=cheek[0]), cheek[1]
    for angle, after in scan.every(_angle, at):
        if _reach(scan, after) is not None and 0 < angle <= 75:
            yield End("angled", miter=angle), after
    for found, after in _angled(scan, at):
        yield found, after
        joined = scan.take(after, "and")
        for more, end in _angled(scan, after if joined is None else joined):
            if (found.miter is None) != (more.miter is None):
                yield (
                    replace(
                        found, miter=found.miter or more.miter, bevel=found.bevel or more.bevel
                    ),
                    end,
                )


_PITCHED: dict[str, tuple[str, ...]] = {
    "plumb": ("plumb",),
    "seat": ("seat", "level", "heel"),
    "hip": ("hip",),
}


def _pitched(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """pitched = ("plumb" | "seat" | "hip") ["cut"] rise | rise ("plumb" …) ["cut"] | "plumb cut" """
    for kind, words in _PITCHED.items():
        name = scan.take(at, *words)
        if name is not None:
            cut = scan.take(name, "cut")
            for number, end in scan.every(rise, name if cut is None else cut):
                yield End(kind, number), end  # type: ignore[arg-type]  # the keys are end kinds
            if cut is not None:
                yield End(kind), cut  # type: ignore[arg-type]  # the keys are end kinds
    for number, after in scan.every(rise, at):
        for kind, words in _PITCHED.items():
            name = scan.take(after, *words)
            if name is not None:
                yield End(kind, number), scan.take(name, "cut") or name  # type: ignore[arg-type]


def rise(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """rise = number "twelve" | number "on" | "in" | "over" "twelve" | typed 7/12"""
    token = scan.token(at)
    if token is not None and token.kind == "fraction" and token.under == 12 and token.over:
        yield token.over, at + 1
    for number, after in scan.every(below_hundred, at):
        joined = after + 1 if scan.word(after) in ("on", "in", "inch", "over") else after
        for run, end in scan.every(below_hundred, joined):
            if run.value == 12 and 0 < number.value <= 24:
                yield number.value, end


def _angled(scan: Scan, at: int) -> Iterator[tuple[End, int]]:
    """angled = angle ["degrees"] ("miter" | "bevel") | ("miter" | "bevel") angle ["degrees"]"""
    for angle, after in scan.every(_angle, at):
        degrees = scan.take(after, "degree", "degrees", fits="degrees")
        if degrees is None:
            continue
        name = scan.take(degrees, "miter", "bevel")
        if name is not None:
            yield _at_angle(scan.word(name - 1), angle), name
    name = scan.take(at, "miter", "bevel")
    if name is None:
        return
    for angle, after in scan.every(_angle, name):
        yield (
            _at_angle(scan.word(at), angle),
            scan.take(after, "degree", "degrees", fits="degrees") or after,
        )
    yield End("angled"), name


def _at_angle(name: str, angle: Fraction) -> End:
    """Return an end at *angle* degrees across the face or through the thickness."""
    return End("angled", miter=angle) if name == "miter" else End("angled", bevel=angle)


def _angle(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """angle = whole [ "and" fraction ] | figures"""
    if scan.word(at) != "point":  # "short point one degree" is a short point, and then one degree
        yield from scan.every(figures, at)
    for number, after in scan.every(below_hundred, at):
        yield Fraction(number.value), after
        joined = scan.take(after, "and")
        for part, end in scan.every(fraction, after if joined is None else joined):
            yield number.value + part.inches, end


def _cheek(scan: Scan, at: int) -> tuple[Literal["single", "double"], int] | None:
    """("single" | "double") "cheek" ["cut"]"""
    word = scan.word(at)
    if scan.word(at + 1) != "cheek" or word not in ("single", "double"):
        return None
    return "single" if word == "single" else "double", scan.take(at + 2, "cut") or at + 2

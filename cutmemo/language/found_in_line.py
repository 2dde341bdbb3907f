"""What stands in a typed line, one part behind the other: sizes, lengths, counts, ends, pieces, and
words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from cutmemo.language.grammar.ends import end_said, rise, usual_angle
from cutmemo.language.grammar.fields import count_after, count_before
from cutmemo.language.grammar.partial import MANY_PIECES
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.grammar.tokens import PLUS
from cutmemo.language.grammar.unknown import is_like_a_measure
from cutmemo.language.lexicon.en import (
    ANGLED,
    CHEEKS,
    COUNT_MARKS,
    DEGREES,
    EITHER_PIECES,
    MEANS_MORE,
    ONES,
    PIECES,
    PITCHED,
    POINT_PAIRS,
    POINTS,
    REACHES,
    ROOMS,
    SIDES,
    TREATED,
    UNITS,
    WHERE,
)
from cutmemo.language.plain_words import names_a_place

MOST_PIECES = 200
"""More of a piece are not taken from a bare number."""

Kind = Literal["size", "treated", "length", "number", "count", "ends", "piece", "mark", "word"]
FIGURES = ("length", "number", "count")
"""The kinds that are figures."""


@dataclass(frozen=True, slots=True)
class Found:
    """What stands from one token to before another."""

    kind: Kind
    begin: int
    end: int
    value: int = 0
    """How many, or the bare number."""
    sure: bool = False
    """True where it can only be a length: it has a part of an inch or a unit."""


def found_in(line: Scan) -> Iterator[Found]:
    """Yield all that stands in *line*, one behind the other."""
    at = 0
    while at < len(line.tokens):
        each = _at(line, at)
        yield each
        at = each.end


def _at(line: Scan, at: int) -> Found:
    """Return what stands at *at*, the longest of it."""
    if line.word(at) == "," or _parts_cuts(line, at):
        return Found("mark", at, at + 1)
    ends: tuple[tuple[Kind, int], ...] = (
        ("word", _end_of_a_noted_figure(line, at)),
        ("ends", _end_of_ends(line, at)),
        ("size", max((end for _, end in line.every(section, at)), default=0)),
        ("treated", max((end for _, end in line.find(TREATED, at)), default=0)),
        ("piece", max((end for _, end in line.find(PIECES, at)), default=0)),
        ("piece", max((end for _, end in line.find(EITHER_PIECES, at)), default=0)),
    )
    named = next((Found(kind, at, end) for kind, end in ends if end), None)
    return named or _figure(line, at) or Found("word", at, at + 1)


def _figure(line: Scan, at: int) -> Found | None:
    """Return the count or the length at *at*."""
    counts = [*line.every(count_before, at), *line.every(count_after, at)]
    marked = [(end, n) for n, end in counts if 0 < n <= _most(line, at, end)]
    numbers = [(end, n) for n, end in line.every(any_number, at)]
    last = max(_ends_of_lengths(line, at), default=at)
    if marked and max(marked)[0] > last:
        end, many = max(marked)
        at_each = line.word(end - 1) in ("ea", "each", "both") and _names_an_end(line.word(end))
        return Found("word", at, end) if at_each else Found("count", at, end, many)
    if numbers and max(numbers)[0] >= last:
        end, value = max(numbers)
        return Found("number", at, end, value)
    return Found("length", at, last, sure=True) if last > at else None


def _names_an_end(word: str) -> bool:
    """Return whether *word* says at each of which so many stand: 3 ea end, 2 ea gable."""
    return word in ("end", "side", "ends", "sides") or word in ROOMS or word in SIDES


def _ends_of_lengths(line: Scan, at: int) -> list[int]:
    """Return where a length at *at* may end: its last number does not count what follows, and it is
    in figures or in words.
    """
    ends = []
    for amount, end in line.every(length, at):
        whole = [token for token in line.tokens[at:end] if token.kind in ("number", "decimal")]
        words = [token for token in line.tokens[at:end] if token.word in ONES]
        counts = line.find(COUNT_MARKS, end) or line.find(PIECES, end)
        sums = any(token.word in (PLUS, "and") for token in line.tokens[at:end])
        if line.word(end - 1) == "in" and line.word(end) in ("the", "a", "this", "that", "each"):
            continue  # best one in the pile
        if line.find(UNITS, end) or line.stands(UNITS, at):
            continue  # 2 10'; foot of stairs
        if not (amount.refusals or (whole and words) or (counts and sums)):
            ends.append(end)
    return ends


def _most(line: Scan, at: int, end: int) -> int:
    """Return how many a count may say that "times" makes one: in 213 x 2 the 2 is it."""
    times = any(token.word == "times" for token in line.tokens[at + 1 : end])
    return MANY_PIECES if times else MOST_PIECES


def is_a_lost_figure(line: Scan, found: Found) -> bool:
    """Return whether a part of an inch stands by itself that no tape has, 2/83, or a word behind a
    number that is like one that measures: nine elevenths.
    """
    if found.kind != "word" or found.end > found.begin + 1:
        return False
    token = line.tokens[found.begin]
    before = line.tokens[found.begin - 1] if found.begin else token
    figure = before.kind in ("number", "fraction") or before.word in ONES
    known = token.word in MEANS_MORE or names_a_place(token.word)
    unknown = not known and is_like_a_measure(token.word)
    return token.kind in ("fraction", "decimal") or (figure and unknown)


def _parts_cuts(line: Scan, at: int) -> bool:
    """Return whether "and", or a sign for it, stands before a figure of another cut."""
    if line.word(at) not in ("and", "n", PLUS) or not at:
        return False
    behind = line.token(at + 1)
    return behind is not None and (
        behind.kind in ("number", "decimal") or bool(line.every(any_number, at + 1))
    )


_CUT_INTO = frozenset("rip ripped notch notched taper tapered tapr dado rabbet".split())
"""A figure behind these says what is cut into a piece, or off its edge."""
_ACROSS = frozenset("wide deep high tall thick up down oc thru".split())
"""A figure before these is no length."""
_EDGES = ("one", "both", "edge", "edges", "side", "corner", "end")
_CHEEK = ("cheek", "cheeks", "angle")
_JOINING = frozenset("to by times at the of and over on in a about square".split())


def _end_of_a_noted_figure(line: Scan, at: int) -> int:
    """Return where the words end that say what is cut into a piece, with their figures: notch 1-1/2
    by 3-1/2, rip to 7, 45 cheek; 0 where there are none.
    """
    lengths = [end for _, end in line.every(length, at)]
    if lengths and line.word(max(lengths)) in _ACROSS:
        return max(lengths) + 1
    over = max(lengths, default=0)
    crosses = line.word(over) in ("over", "by") and line.word(over - 1) not in ONES
    run = [end for _, end in line.every(length, over + 1)] if over and crosses else []
    if run and max(run) > over + 2:
        return max(run)  # 7-3/4 over 10-1/4
    angles = [end for _, end in line.every(usual_angle, at)]
    if angles and line.word(max(angles)) in _CHEEK:
        return max(angles) + 1
    if line.word(at) in _CHEEK:
        return max((end for _, end in line.every(usual_angle, at + 1)), default=0)
    if line.word(at) not in _CUT_INTO:
        return 0
    end = at + 1
    while end < len(line.tokens) and (line.word(end) in _JOINING or line.word(end) in _EDGES):
        end += 1
    figures = [last for _, last in line.every(length, end)]
    while figures:
        end = max(figures)
        units = [last for _, last in line.find(DEGREES, end)]
        end = max(units, default=end)
        joined = end + 1 if line.word(end) in ("by", "times", "to", "over", "and") else end
        figures = [last for _, last in line.every(length, joined)] if joined > end else []
    return end


_OF_ENDS = frozenset({"square"}).union(
    *(table.words() for table in (ANGLED, PITCHED, CHEEKS, POINTS, POINT_PAIRS, REACHES, DEGREES))
)


def _end_of_ends(line: Scan, at: int) -> int:
    """Return where the ends that are named at *at* end; 0 where none are."""
    named = [
        end
        for said, end in line.every(end_said, at)
        if not said.bare and any(token.word in _OF_ENDS for token in line.tokens[at:end])
    ]
    pitches = [end for _, end in line.every(rise, at)]
    reached = [last for end in pitches for _, last in line.find(REACHES, end)]
    return max([*named, *pitches, *reached], default=0)


def with_one_piece(line: Scan, found: Sequence[Found]) -> list[Found]:
    """Return *found* with all pieces but one as words: the last of the first that stand side by
    side and are no place.
    """
    kept: Found | None = None
    for each in found:
        if each.kind != "piece" or _is_of_a_place(line, each.begin):
            continue
        if kept is not None and each.begin != kept.end:
            break
        kept = each
    return [
        replace(each, kind="word") if each.kind == "piece" and each != kept else each
        for each in found
    ]


def _is_of_a_place(line: Scan, at: int) -> bool:
    """Return whether what stands at *at* is named as a place: under the header."""
    before = at - 1
    while before >= 0 and line.word(before) in ("the", "a", "that", "this", "each"):
        before -= 1
    return before >= 0 and (line.word(before) in ("for", "of") or bool(line.find(WHERE, before)))

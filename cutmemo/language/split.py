"""Several calls on one line or in one breath: where one ends and the next begins."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language.grammar.columns import ends_a_line, is_in_columns
from cutmemo.language.grammar.partial import MANY_PIECES, is_short
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import MINUS, Token
from cutmemo.language.intent import Reading
from cutmemo.language.lexicon.en import (
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    LAST_WORDS,
    ONES,
    PIECES,
    PLURAL_PIECES,
    TENS,
    UNITS,
)
from cutmemo.language.reading import good_readings, read, tokens_of
from cutmemo.language.said_of_all import (
    SHARED,
    asks_for_feet,
    cuts_of,
    for_all,
    of_several_at_last,
    perhaps_feet,
)

MAX_CUT_TOKENS = 30
"""So many words and signs one cut has at most."""
MAX_LIST_TOKENS = 60
"""Without commas a longer line is no list that somebody reads out."""
_GOES_ON = frozenset(
    {*ONES, *TENS, "oh", "hundred", "thousand", "and", "a", "an", "point", "at", "of"}
)
"""After these a length may go on: only a comma ends a cut there."""


FEW = 12
"""Fewer inches than these beside a comma may as well be how many (common practice)."""
FEW_OF_A_PIECE = MANY_PIECES + 1
"""The same where they are all of the second cut, and the first names its piece or its size."""
_Span = tuple[int, int, tuple[Reading, ...]]
"""Where a cut of a list begins and ends, and its readings."""
_Spans = tuple[_Span, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """One call of several, as it was said, with all its readings."""

    said: str
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class CallList:
    """Calls one after the other; ``marked`` where a comma or semicolon stands between all of
    them.
    """

    parts: tuple[Part, ...]
    marked: bool


def split_calls(
    said: str, settings: Settings | None = None, by_voice: bool = False
) -> CallList | None:
    """Return the cuts that *said*, which is no call by itself, lists; ``None`` where it is no list
    of at least two.

    A cut ends at a comma or, where commas do not part them all, after a word that ends a length or
    a field.
    Raises :class:`Refused` where the fewest cuts can be had in more than one way, and where a comma
    may belong to a number.
    """
    settings = settings or Settings()
    tokens = _without_empty_lines(tokens_of(said, by_voice))
    if any(_in_a_number(*three) for three in zip(tokens, tokens[1:], tokens[2:], strict=False)):
        raise Refused(said, (doubt(DoubtKind.COMMA_IN_NUMBER, Field.LENGTH),))
    joined = None if by_voice else _joined_by_and(said, tokens, settings)
    if joined is not None:
        return joined
    marks, ends = _stops(tokens, settings, by_voice)
    for stops in (marks, ends) if len(tokens) <= MAX_LIST_TOKENS else (marks,):
        listed = _call_list(said, tokens, stops, settings, by_voice)
        if listed is not None:
            return replace(listed, marked=listed.marked and stops is marks)
    parted = _parted_by_and(tokens)
    if parted != tokens:
        stops, _ = _stops(parted, settings, by_voice)
        lists = _lists(parted, stops, settings, by_voice)
        if len(lists) == 1 and len(lists[0]) > 1:
            listed = _of_spans(said, parted, lists[0], settings, by_voice)
            return replace(listed, marked=False)
    kept = None if by_voice else _call_list(said, tokens, marks, settings, by_voice, True)
    if kept is not None:
        return kept
    for begin, end in pairwise([-1, *marks, len(tokens)]) if marks else ():
        if tokens[begin + 1 : end]:
            _no_tape_has(_part(said, tokens[begin + 1 : end], ()).said, settings)
    return None


def _joined_by_and(said: str, tokens: tuple[Token, ...], settings: Settings) -> CallList | None:
    """Return typed cuts that "and" joins, each whole with its own piece: 32-1/4 nailer and
    29-7/8 nailer; ``None`` where they are none.
    """
    parted = _parted_by_and(tokens)
    stops, _ = _stops(parted, settings, by_voice=False)
    lists = _lists(parted, stops, settings, by_voice=False) if parted != tokens else []
    if len(lists) != 1 or len(lists[0]) <= len(_stops(tokens, settings, False)[0]) + 1:
        return None
    whole = all(
        len(readings) == 1 and any(cut.piece for cut in cuts_of(readings[0]))
        for *_, readings in lists[0]
    )
    if not whole:
        return None
    return replace(_of_spans(said, parted, lists[0], settings, False), marked=True)


def call_list(said: str, tokens: tuple[Token, ...], settings: Settings) -> CallList | None:
    """Return the cuts that typed *tokens* of *said* list, at least two, words of no table among
    them; ``None`` where they are none. Raises :class:`Refused` as :func:`split_calls` does.
    """
    for stops in _stops(tokens, settings, by_voice=False):
        listed = _call_list(said, tokens, stops, settings, False, True)
        if listed is not None:
            return listed
    return None


def _call_list(  # noqa: PLR0913 - each is a fact of its own
    said: str,
    tokens: tuple[Token, ...],
    stops: list[int],
    settings: Settings,
    by_voice: bool,
    keeps_words: bool = False,
) -> CallList | None:
    """Return the cuts that end at *stops*, at least two; ``None`` where they are none. Raises
    :class:`Refused` where the fewest can be had in more than one way.
    """
    lists = _lists(tokens, stops, settings, by_voice, keeps_words)
    if keeps_words:
        lists = [spans for spans in lists if not any(is_a_remark(each) for *_, each in spans)]
    if len(lists) > 1:
        raise Refused(said, (doubt(DoubtKind.SEVERAL_UNCLEAR),))
    if not lists or len(lists[0]) < 2:
        return None
    return _of_spans(said, tokens, lists[0], settings, by_voice)


def _in_columns(tokens: tuple[Token, ...], settings: Settings, by_voice: bool) -> set[int]:
    """Return the positions of all tokens of lines in columns that have one of how many: each such
    line is one cut, and no list.
    """
    found: set[int] = set()
    ends = [at for at, token in enumerate(tokens) if ends_a_line(token)]
    for begin, end in pairwise([-1, *ends, len(tokens)]):
        line = Scan(tokens[begin + 1 : end], settings, by_voice)
        if is_in_columns(line):
            found |= set(range(begin + 1, end))
    return found


def _stops(
    tokens: tuple[Token, ...], settings: Settings, by_voice: bool
) -> tuple[list[int], list[int]]:
    """Return where marks end a cut, and where marks or words may."""
    columns = _in_columns(tokens, settings, by_voice)
    marks = [at for at, token in enumerate(tokens) if token.kind == "mark" and at not in columns]
    ends = [
        at
        for at in range(1, len(tokens))
        if at not in columns and (at in marks or not _goes_on(tokens[at - 1]))
    ]
    return marks, ends


def _of_spans(
    said: str,
    tokens: tuple[Token, ...],
    spans: Sequence[_Span],
    settings: Settings,
    by_voice: bool,
) -> CallList:
    """Return the cuts of *spans*, each with what is said once of all."""
    begin, end, readings = spans[0]
    led = _fields_before_length(tokens[begin:end], readings, settings, by_voice)
    if led:
        spans = [
            (begin, end, _perhaps_dashed(readings, tokens[begin:end]))
            for begin, end, readings in spans
        ]
    if any(_says_one(tokens[begin:end]) for begin, end, _ in spans[1:]):
        led.pop("count", None)
    meant = [readings for _, _, readings in spans]
    last_begin, last_end, _ = spans[-1]
    if not by_voice and any(each.word in PLURAL_PIECES for each in tokens[last_begin:last_end]):
        meant = of_several_at_last(meant)
    meant = for_all(led, meant)
    if asks_for_feet(meant[0]):
        meant = [
            part if any(each.word in UNITS for each in tokens[begin:end]) else perhaps_feet(part)
            for part, (begin, end, _) in zip(meant, spans, strict=True)
        ]
    lines = 1 + sum(ends_a_line(token) for token in tokens)
    pairs = lines > 1 and len(spans) == 2 * lines
    table = pairs or any(token.kind == "mark" and _parts_cells(token) for token in tokens)
    if len(meant) > 2 and not by_voice and (pairs or any(map(_is_named, meant))):
        few = FEW_OF_A_PIECE if table else FEW
        meant = [
            tuple(_perhaps_how_many(each, few, long=True) for each in every) for every in meant
        ]
    if len(meant) == 2 and not by_voice:
        named = _is_named(meant[0]) and _is_one_number(tokens, spans[1])
        few = FEW_OF_A_PIECE if named or table else FEW
        first = tuple(
            _perhaps_how_many(each, FEW_OF_A_PIECE if table else FEW) for each in meant[0]
        )
        second = tuple(_perhaps_how_many(each, few) for each in meant[1])
        counts = _ends_in_a_number(tokens[begin:end]) and second == meant[1]
        of_one = all(cut.count == 1 for each in second for cut in cuts_of(each))
        meant = [first if counts and of_one else meant[0], second]
    if not by_voice:
        meant = [tuple(map(_perhaps_one_of_them, each)) for each in meant]
        if tokens[begin:end][0].value == 1 and _is_one_number(tokens, spans[0]):
            meant[0] = tuple(map(_perhaps_how_many, meant[0]))  # 1: 4 @ 36
    parts = [
        _part(said, tokens[begin:end], readings)
        for (begin, end, _), readings in zip(spans, meant, strict=True)
    ]
    alike = {(cut.section, cut.piece) for each in readings for cut in cuts_of(each)}
    return CallList(tuple(parts), marked=len(alike) < 2)


def is_a_remark(readings: tuple[Reading, ...]) -> bool:
    """Return whether a part of a list is words of no table and a number that is no length by
    itself: best one in the pile.
    """
    cuts = [cut for each in readings for cut in cuts_of(each)]
    asked = any(one.kind is DoubtKind.UNKNOWN_WORDS for each in readings for one in each.doubts)
    few = all(cut.length.inches == 1 for cut in cuts)
    return asked and few and bool(cuts)


def _perhaps_dashed(
    readings: tuple[Reading, ...], tokens: tuple[Token, ...]
) -> tuple[Reading, ...]:
    """Return *readings* of a cut whose piece or size was said before, doubtful where the last
    number may be how many: rail 93 - 4, 21 - 6.
    """
    dashed = len(tokens) > 2 and tokens[-2].word == MINUS and tokens[-1].kind == "number"
    if not dashed or len(readings) > 1 or tokens[-1].value > MANY_PIECES:
        return readings
    count = int(tokens[-1].value)
    asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=count)
    return tuple(replace(each, doubts=(*each.doubts, asked)) for each in readings)


def _says_one(tokens: tuple[Token, ...]) -> bool:
    """Return whether a cut says that it is one piece: 1 @ 36, one sill 36."""
    first, *rest = tokens
    one = (first.kind == "number" and first.value == 1) or first.word == "one"
    behind = rest[0] if rest else first
    return one and (behind.word in _COUNTED or behind.kind == "section")


def _parts_cells(mark: Token) -> bool:
    """Return whether *mark* is a tab, a bar, a slash or a dash, and no comma and no end of a
    line.
    """
    return mark.text not in (",", ";", "\n")


def _is_named(readings: tuple[Reading, ...]) -> bool:
    """Return whether a cut names its piece, its size or its place."""
    cuts = [cut for each in readings for cut in cuts_of(each)]
    return any(cut.section or cut.piece or cut.place for cut in cuts)


def _is_one_number(tokens: tuple[Token, ...], span: _Span) -> bool:
    """Return whether a cut is a bare whole number and nothing else."""
    begin, end, _ = span
    return end == begin + 1 and tokens[begin].kind == "number"


def _perhaps_how_many(reading: Reading, few: int = FEW, long: bool = False) -> Reading:
    """Return *reading* of what stands beside a comma, doubtful where it is fewer whole inches than
    *few*, and *long* pieces alone count: in "2x6 header 28-1/2, 2" and in "2, 28-1/2" it may be how
    many.
    """
    cut = reading.intent
    if not isinstance(cut, Cut) or cut.count != 1 or reading.doubts:
        return reading
    inches = cut.length.inches
    short = is_short(cut.piece)
    if inches.denominator != 1 or inches >= few or (long and short):
        return reading
    asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=int(inches))
    return replace(reading, doubts=(asked,))


def _perhaps_one_of_them(reading: Reading) -> Reading:
    """Return *reading*, doubtful where it is a few whole inches with a place and no piece, or of a
    piece that is never so short: in "one by the stove pipe, 88-1/4" and "plate 3, 36" it may be how
    many.
    """
    cut = reading.intent
    if not isinstance(cut, Cut) or cut.section:
        return reading
    long = cut.piece is not None and not is_short(cut.piece)
    placed = cut.place is not None and cut.piece is None
    return _perhaps_how_many(reading) if long or placed else reading


def _ends_in_a_number(tokens: tuple[Token, ...]) -> bool:
    """Return whether nothing, no unit either, stands behind the last number."""
    return tokens[-1].kind == "number" or tokens[-1].word in ONES


def _parted_by_and(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return *tokens* with a mark for every "and" that a count and what it counts follow: "twelve
    at fourteen and a half and six at twenty two"
    """
    kept = []
    for at, token in enumerate(tokens):
        counted = len(tokens) > at + 2 and (
            tokens[at + 2].word in _COUNTED or tokens[at + 2].kind == "section"
        )
        number = len(tokens) > at + 1 and (
            tokens[at + 1].kind == "number" or tokens[at + 1].word in ONES
        )
        parts = token.word == "and" and (
            (counted and number) or _another(tokens, at + 1) or _between_lengths(tokens, at)
        )
        kept.append(replace(token, kind="mark", word=",") if parts else token)
    return tuple(kept)


def _between_lengths(tokens: tuple[Token, ...], at: int) -> bool:
    """Return whether figures of a length, or a piece or a size before *at*, stand on both sides of
    it, and no part of an inch behind: 48 and 191, but not 48 and 3 eighths.
    """
    if not 0 < at < len(tokens) - 1 or not tokens[at].span[1]:
        return False
    before, behind, *rest = tokens[at - 1], tokens[at + 1], *tokens[at + 2 : at + 3]
    ends = before.kind in ("number", "decimal", "fraction", "section")
    ends = ends or before.word in UNITS or before.word in LAST_WORDS
    part = any(each.word in DENOMINATORS or each.word in DENOMINATOR_PLURALS for each in rest)
    return ends and behind.kind in ("number", "decimal", "section") and not part


def _another(tokens: tuple[Token, ...], at: int) -> bool:
    """ "another" ["one"] "at" """
    words = [token.word for token in tokens[at : at + 3]]
    return words[:2] == ["another", "at"] or words == ["another", "one", "at"]


_COUNTED = frozenset({"at", "of", "pieces", *(words[0] for words in PIECES)})
"""What a count before it counts."""


def _without_empty_lines(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return *tokens* without the marks that end no call."""
    kept: list[Token] = []
    for token in tokens:
        if token.kind != "mark" or (kept and kept[-1].kind != "mark"):
            kept.append(token)
    return tuple(kept[:-1] if kept and kept[-1].kind == "mark" else kept)


def _fields_before_length(
    tokens: tuple[Token, ...], readings: tuple[Reading, ...], settings: Settings, by_voice: bool
) -> dict[str, Any]:
    """Return the section, the piece, the place and the count that the first call of a list names
    before its length.
    """
    wholes = [cut for each in readings for cut in cuts_of(each)]
    alike = {(cut.section, cut.piece, cut.place) for cut in wholes}
    if len(wholes) != len(readings) or len(alike) != 1:
        return {}
    whole = wholes[0]
    for start in range(len(tokens) - 1, 0, -1):
        rest = _cut(tokens[start:], settings, by_voice)
        for reading in rest:
            cut = reading.intent
            if isinstance(cut, Cut) and cut.length == whole.length:
                names = (*SHARED, "count") if len(wholes) == 1 else SHARED
                said = {name: getattr(whole, name) for name in names}
                return {name: value for name, value in said.items() if value != getattr(cut, name)}
    return {}


def _no_tape_has(said: str, settings: Settings | None) -> None:
    """Raise :class:`Refused` where *said* is clear and cannot be right."""
    with suppress(NotACall):
        read(said, settings)


def _in_a_number(before: Token, mark: Token, after: Token) -> bool:
    """Return whether *mark* stands between figures without a space: 2,400 mm and 14,5 are one
    number each.
    """
    close = before.span[1] == mark.span[0] and mark.span[1] == after.span[0]
    figures = ("number", "decimal")
    return mark.text == "," and close and before.kind in figures and after.kind in figures


def _goes_on(token: Token) -> bool:
    return token.kind in ("number", "decimal", "mark") or token.word in _GOES_ON


def _lists(
    tokens: tuple[Token, ...],
    stops: list[int],
    settings: Settings,
    by_voice: bool,
    keeps_words: bool = False,
) -> list[_Spans]:
    """Return the shortest ways to read all *tokens* as cuts that end at *stops*; two at most, which
    is one too many. Words of no table may stand in them where *keeps_words*.
    """
    size = len(tokens)
    rest: dict[int, list[_Spans]] = {size: [()]}
    for begin in range(size - 1, -1, -1):
        ways: list[_Spans] = []
        last = bisect_right(stops, begin + MAX_CUT_TOKENS)
        near = stops[bisect_right(stops, begin) : last]
        for end in (*near, *([size] if size - begin <= MAX_CUT_TOKENS else [])):
            after = end + 1 if end < size and tokens[end].kind == "mark" else end
            part = tokens[begin:end]
            line = (not begin or ends_a_line(tokens[begin - 1])) and (
                end == size or ends_a_line(tokens[end])
            )
            fits = rest.get(after)
            readings = _cut(part, settings, by_voice, keeps_words, line) if fits else ()
            if readings:
                ways += [((begin, end, readings), *spans) for spans in rest[after]]
        fewest = min((len(spans) for spans in ways), default=0)
        rest[begin] = [spans for spans in ways if len(spans) == fewest][:2]
    return rest[0] if size else []


def _cut(
    tokens: tuple[Token, ...],
    settings: Settings,
    by_voice: bool,
    keeps_words: bool = False,
    line: bool = False,
) -> tuple[Reading, ...]:
    """Return the readings of *tokens*, a whole *line* or a part of one, where all of them are
    cuts.
    """
    readings = good_readings(Scan(tokens, settings, by_voice, whole=line), keeps_words)
    return readings if all(isinstance(reading.intent, Cut) for reading in readings) else ()


def _part(said: str, tokens: tuple[Token, ...], readings: tuple[Reading, ...]) -> Part:
    typed_part = said[tokens[0].span[0] : tokens[-1].span[1]]
    return Part(typed_part or " ".join(token.text for token in tokens), readings)

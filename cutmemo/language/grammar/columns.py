"""Typed lines in columns: piece, size, length and count, parted by commas or by dashes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from cutmemo.domain.checks import MAX_TYPED_COUNT, MAX_USUAL_COUNT
from cutmemo.language.grammar.ends import end_said, rise
from cutmemo.language.grammar.fields import count_after, count_before
from cutmemo.language.grammar.partial import MANY_PIECES
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.tokens import MINUS, Token
from cutmemo.language.lexicon.en import (
    CENTERS,
    MATERIALS,
    MEANS_MORE,
    NUMBERED_ROOMS,
    ONES,
    PIECES,
    PLURAL_PIECES,
    ROOMS,
    SENTENCE_WORDS,
    SIDES,
    SPOTS,
    UNITS,
)

TABLE_COLUMNS = 3
"""From so many columns on a line is one of a table, and not a call with a number behind it."""
MIN_LENGTH_BEFORE_SIZE = 25
"""From here on a bare number is rather a length: up to two dozen of a piece are called every day
(common practice).
"""
MOST_COLUMNS = 12
"""A line of more parts is a list."""


def parted_by_dashes(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return *tokens* with commas for the dashes between spaces of each line in which one stands
    behind a size or a noun: girt - 2x6 - 90-3/8 - 15. A dash behind a figure that stands beside
    other words, or before a fraction or a unit, may take off, and stays: stud 96 - 3.
    """
    ends = [at for at, token in enumerate(tokens) if ends_a_line(token)]
    kept: list[Token] = []
    for begin, end in pairwise([-1, *ends, len(tokens)]):
        kept += _parted(tokens[begin + 1 : end])
        kept += tokens[end : end + 1]
    return tuple(kept)


def ends_a_line(token: Token) -> bool:
    """Return whether *token* is a semicolon, or the end of a pasted line."""
    return token.kind == "mark" and token.text in (";", "\n")


def _parted(line: tuple[Token, ...]) -> list[Token]:
    dashes = [at for at, token in enumerate(line) if at and token.word == MINUS]
    kept = list(line)
    if not any(_is_a_noun(line[at - 1]) for at in dashes):
        return kept
    begin = 0
    for at in dashes:
        behind = [*line[at + 1 : at + 3], None, None][:2]
        column = line[begin:at]
        fraction = behind[0] is None or behind[0].kind == "fraction"
        in_units = behind[1] is not None and behind[1].word in UNITS
        takes_off = _is_of_figures(column[-1:]) and not _is_of_figures(column)
        if not (fraction or takes_off or (in_units and _is_of_figures(column))):
            kept[at] = replace(line[at], kind="mark", word=",")
            begin = at + 1
    return kept


def _is_a_noun(token: Token) -> bool:
    """Return whether *token* is a size, or a word that names a piece, a place or a material."""
    word = token.word
    if token.kind == "section" or any(
        word in table for table in (PIECES, ROOMS, SPOTS, SIDES, MATERIALS)
    ):
        return True
    unknown = not (word in MEANS_MORE or word in SENTENCE_WORDS)
    return token.kind == "word" and word.isalpha() and len(word) > 2 and unknown


def counts_in_columns(scan: Scan, at: int) -> bool:
    """Return whether the bare number at *at* is how many: a column by itself, beside one with the
    length, of a line that names its piece or its size. Of two bare numbers it is the smaller one.
    """
    if not scan.whole or scan.by_voice or not _is_bare(scan, at):
        return False
    scan = scan.aside
    columns = _columns_of(scan)
    others = [each for each in columns if each[0] != at and _has_a_length(scan, *each)]
    if at not in [begin for begin, _ in columns] or len(others) != 1 or not _names(scan):
        return False
    if _says_how_many(scan, *others[0]):
        return False
    several = any(token.word in PLURAL_PIECES for token in scan.tokens)
    table = len(columns) >= TABLE_COLUMNS and _is_of_figures(scan.tokens[slice(*others[0])])
    most = (MAX_TYPED_COUNT if several else MAX_USUAL_COUNT) if table else MANY_PIECES
    length = _bare_length(scan, *others[0])
    if length is None:
        return 0 < bare_number(scan, at) <= most
    cells = any(token.word == "," and token.text not in _COMMAS for token in scan.tokens)
    first = others[0][0] > at
    few = MAX_USUAL_COUNT if table and (cells or not first) else MANY_PIECES
    return 0 < bare_number(scan, at) <= few and bare_number(scan, at) < length


def _says_how_many(scan: Scan, begin: int, end: int) -> bool:
    """Return whether a count stands in a column: 4 @ 36, 36 x 4."""
    return any(
        scan.every(rule, k) for rule in (count_before, count_after) for k in range(begin, end)
    )


_COMMAS = (",", ":", ";", ".", "\n")
"""What parts columns and lists alike; tabs, bars, slashes and dashes part columns."""


def is_in_a_table(scan: Scan) -> bool:
    """Return whether the length is a column by itself as well: girt, 2x6, 90-1/2, 4."""
    columns = _columns_of(scan)
    figures = [each for each in columns if _is_of_figures(scan.tokens[slice(*each)])]
    return len(columns) >= TABLE_COLUMNS and len(figures) > 1


def may_be_a_length(scan: Scan, at: int) -> bool:
    """Return whether the bare number at *at* that counts in columns may as well be a length: the
    other one is as short and as bare, or dashes alone part them from what has no size.
    """
    scan = scan.aside
    (other,) = (each for each in _columns_of(scan) if each[0] != at and _has_a_length(scan, *each))
    bare = _bare_length(scan, *other)
    if bare is not None and bare < MIN_LENGTH_BEFORE_SIZE:
        return True
    sized = any(token.kind == "section" for token in scan.tokens)
    dashed = at > 0 and scan.tokens[at - 1].text not in (*_COMMAS, "|", "/", "\t")
    return dashed and not sized


def bare_number(scan: Scan, at: int) -> int:
    """Return the whole number at *at*, in figures or a word; 0 where there is none."""
    token = scan.tokens[at]
    return int(token.value) if token.kind == "number" else ONES.get(token.word, 0)


def is_in_columns(scan: Scan) -> bool:
    """Return whether all tokens of *scan* are a line in columns with one of how many: one cut, and
    no list.
    """
    if any(counts_in_columns(scan, at) for at in range(len(scan.tokens))):
        return True
    columns = _columns_of(scan) if scan.whole and not scan.by_voice else []
    figures = [each for each in columns if _has_a_length(scan, *each)]
    counted = [each for each in columns if _is_of_a_count(scan, *each)]
    table = len(columns) >= TABLE_COLUMNS and _names(scan)
    return table and len(set(figures) - set(counted)) == len(counted) == 1


def _is_of_a_count(scan: Scan, begin: int, end: int) -> bool:
    """Return whether a column says how many and nothing else: x2, 2 pcs, (2)."""
    times = begin + 1 if scan.word(begin) == "times" else begin
    ends = [last for _, last in scan.every(any_number, times)] if times > begin else []
    ends += [last for _, last in scan.every(count_after, begin)]
    ends += [last for _, last in scan.every(count_before, begin)]
    return end in ends


def _is_bare(scan: Scan, at: int) -> bool:
    """Return whether a whole number is all of the column at *at*."""
    behind = scan.token(at + 1)
    begins = at == 0 or scan.word(at - 1) == ","
    return begins and bare_number(scan, at) > 0 and (behind is None or behind.word == ",")


def _names(scan: Scan) -> bool:
    """Return whether a size or a piece stands in the line."""
    return any(
        token.kind == "section" or scan.stands(PIECES, at) or bool(scan.every(section, at))
        for at, token in enumerate(scan.tokens)
    )


def _has_a_length(scan: Scan, begin: int, end: int) -> bool:
    """Return whether figures stand in a column that are no end's and no room's."""
    if any(last == end for _, last in scan.every(end_said, begin)):
        return False
    return any(_may_measure(scan, at) for at in range(begin, end))


def _may_measure(scan: Scan, at: int) -> bool:
    token = scan.tokens[at]
    of_a_room = at > 0 and scan.word(at - 1) in {*NUMBERED_ROOMS, *_NUMBERED_TOO}
    if scan.find(CENTERS, at + 1):
        return False  # 16 oc
    part = token.kind == "fraction" and token.under != 12
    sizes = [end for k in range(max(at - 4, 0), at + 1) for _, end in scan.every(section, k)]
    figure = (part or token.kind in ("number", "decimal")) and at >= max(sizes, default=0)
    return figure and not of_a_room and not scan.every(rise, at)


_NUMBERED_TOO = ("floor", "stair", "fl", "flr", "level")
"""In a column of its own these have a number as rooms do: floor 2."""


def _bare_length(scan: Scan, begin: int, end: int) -> int | None:
    """Return the one figure of a column, where it is a whole number without a unit."""
    found = [at for at in range(begin, end) if _may_measure(scan, at)]
    if len(found) != 1 or scan.tokens[found[0]].kind != "number":
        return None
    behind = scan.word(found[0] + 1)
    return None if behind in UNITS else int(scan.tokens[found[0]].value)


def _columns_of(scan: Scan) -> list[tuple[int, int]]:
    return [column for column, _ in scan.every(_columns, 0)]


def _columns(scan: Scan, at: int) -> Iterator[tuple[tuple[int, int], int]]:
    """Yield where each column begins and ends; none of a line of more than a table has."""
    commas = [spot for spot, token in enumerate(scan.tokens) if token.word == ","]
    if len(commas) < MOST_COLUMNS:
        bounds = pairwise([at - 1, *commas, len(scan.tokens)])
        yield from (((begin + 1, end), at) for begin, end in bounds if end > begin + 1)


def _is_of_figures(tokens: tuple[Token, ...]) -> bool:
    figures = [
        token
        for token in tokens
        if token.kind in ("number", "decimal") or (token.kind == "fraction" and token.under != 12)
    ]
    return bool(figures) and all(token in figures or token.word in UNITS for token in tokens)

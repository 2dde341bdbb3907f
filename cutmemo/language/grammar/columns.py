"""Typed lines in columns: piece, size, length and count, parted by commas or by dashes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from cutmemo.domain.checks import MAX_TYPED_COUNT, MAX_USUAL_COUNT
from cutmemo.language.grammar.fields import count_after, count_before
from cutmemo.language.grammar.partial import MANY_PIECES
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.tokens import MINUS, Token
from cutmemo.language.lexicon.en import (
    MATERIALS,
    MEANS_MORE,
    PIECES,
    PLURAL_PIECES,
    ROOMS,
    SENTENCE_WORDS,
    SIDES,
    SPOTS,
    UNITS,
)

LEAST_COLUMNS = 3
"""With fewer parts a line is no row of columns."""


def parted_by_dashes(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return *tokens* with a comma for each dash between spaces of a line in which such a dash
    stands behind a size or a noun: girt - 2x6 - 90-3/8 - 15. Before a fraction it may join, and
    stays.
    """
    dashes = [at for at, token in enumerate(tokens) if at and token.word == MINUS]
    if not any(_is_a_noun(tokens[at - 1]) for at in dashes):
        return tokens
    kept = list(tokens)
    for at in dashes:
        behind = tokens[at + 1] if at + 1 < len(tokens) else None
        if behind is not None and behind.kind != "fraction":
            kept[at] = replace(tokens[at], kind="mark", word=",")
    return tuple(kept)


def _is_a_noun(token: Token) -> bool:
    """Return whether *token* is a size, or a word that names a piece, a place or a material."""
    word = token.word
    if token.kind == "section" or any(
        word in table for table in (PIECES, ROOMS, SPOTS, SIDES, MATERIALS)
    ):
        return True
    unknown = not (word in MEANS_MORE or word in SENTENCE_WORDS)
    return token.kind == "word" and word.isalpha() and len(word) > 2 and unknown


def _column_of_a_count(scan: Scan, at: int) -> bool:
    """Return whether the number at *at* is a column by itself of a line that has one more column of
    figures, and a size or a piece in one of its own: girt, 2x6, 90-1/2, 20, west wall.
    """
    typed = scan.whole and not scan.by_voice
    return typed and at in (spot for spot, _ in scan.every(_columns_of_figures, 0))


def counts_in_columns(scan: Scan, at: int) -> bool:
    """Return whether the bare number at *at* is how many, in a line in columns: beside a length
    with a part of an inch or a unit, or beside another bare number the smaller one, which is no
    usual length.
    """
    if not (_column_of_a_count(scan, at) and _is_bare(scan, at)):
        return False
    first, last = (spot for spot, _ in scan.every(_columns_of_figures, 0))
    other = first if at == last else last
    count = scan.tokens[at].value
    several = any(token.word in PLURAL_PIECES for token in scan.tokens)
    most = MAX_TYPED_COUNT if several else MAX_USUAL_COUNT
    if not _is_bare(scan, other):
        return 0 < count <= most
    few = MAX_USUAL_COUNT if at == last else MANY_PIECES
    return 0 < count <= few and count < scan.tokens[other].value


def is_in_columns(scan: Scan) -> bool:
    """Return whether all tokens of *scan* are a line in columns with one of how many: one cut, and
    no list.
    """
    if any(counts_in_columns(scan, at) for at in range(len(scan.tokens))):
        return True
    columns = list(_columns(scan.tokens, 0)) if scan.whole and not scan.by_voice else []
    named = any(_is_a_name(scan, begin, end) for begin, end in columns)
    figures = [(begin, end) for begin, end in columns if _is_of_figures(scan.tokens[begin:end])]
    counted = [(begin, end) for begin, end in columns if _is_of_a_count(scan, begin, end)]
    return named and len(columns) >= LEAST_COLUMNS and len(figures) == len(counted) == 1


def _is_of_a_count(scan: Scan, begin: int, end: int) -> bool:
    """Return whether a column says how many and nothing else: x2, 2 pcs, (2)."""
    times = begin + 1 if scan.word(begin) == "times" else begin
    ends = [last for _, last in scan.every(any_number, times)] if times > begin else []
    ends += [last for _, last in scan.every(count_after, begin)]
    ends += [last for _, last in scan.every(count_before, begin)]
    return end in ends and not _is_of_figures(scan.tokens[begin:end])


def _is_bare(scan: Scan, at: int) -> bool:
    """Return whether a whole number is all of the column at *at*."""
    behind = scan.token(at + 1)
    return scan.tokens[at].kind == "number" and (behind is None or behind.word == ",")


def _columns_of_figures(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """Yield where the two columns of figures of such a line begin; none where there are not two."""
    columns = list(_columns(scan.tokens, at))
    named = any(_is_a_name(scan, begin, end) for begin, end in columns)
    figures = [(begin, end) for begin, end in columns if _is_of_figures(scan.tokens[begin:end])]
    if named and len(columns) >= LEAST_COLUMNS and len(figures) == 2:
        yield from figures


def _columns(tokens: tuple[Token, ...], at: int) -> Iterator[tuple[int, int]]:
    begin = at
    for end in range(at, len(tokens) + 1):
        if end == len(tokens) or tokens[end].word == ",":
            if end > begin:
                yield begin, end
            begin = end + 1


def _is_a_name(scan: Scan, begin: int, end: int) -> bool:
    """Return whether a column is a size, or words and a size with a piece or a size among them."""
    sized = any(last == end for _, last in scan.every(section, begin))
    words = all(token.kind in ("word", "section") for token in scan.tokens[begin:end])
    named = any(
        token.kind == "section" or scan.stands(PIECES, at)
        for at, token in enumerate(scan.tokens[begin:end], begin)
    )
    return sized or (words and named)


def _is_of_figures(tokens: tuple[Token, ...]) -> bool:
    figures = [
        token
        for token in tokens
        if token.kind in ("number", "decimal") or (token.kind == "fraction" and token.under != 12)
    ]
    return bool(figures) and all(token in figures or token.word in UNITS for token in tokens)

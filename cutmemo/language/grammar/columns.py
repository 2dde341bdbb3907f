"""Typed lines in columns: piece, size, length and count, parted by commas or by dashes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import section
from cutmemo.language.grammar.tokens import MINUS, Token
from cutmemo.language.lexicon.en import (
    MATERIALS,
    MEANS_MORE,
    PIECES,
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


def column_of_a_count(scan: Scan, at: int) -> bool:
    """Return whether the number at *at* is a column by itself of a line that has one more column of
    figures, and a size or a piece in one of its own: girt, 2x6, 90-1/2, 20, west wall.
    """
    typed = scan.whole and not scan.by_voice
    return typed and at in (spot for spot, _ in scan.every(_columns_of_figures, 0))


def stands_behind_its_length(scan: Scan, at: int) -> bool:
    """Return whether the column of figures before that of *at* is the length."""
    spots = [spot for spot, _ in scan.every(_columns_of_figures, 0)]
    return bool(spots) and at == max(spots)


def is_bare(scan: Scan, at: int) -> bool:
    """Return whether a whole number is all of the column at *at*."""
    return scan.tokens[at].kind == "number" and scan.word(at + 1) in ("", ",")


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
    """Return whether a column is a size, or words that end in a piece."""
    sized = any(last == end for _, last in scan.every(section, begin))
    words = all(token.kind == "word" for token in scan.tokens[begin:end])
    return sized or (
        words and any(last == end for k in range(begin, end) for _, last in scan.find(PIECES, k))
    )


def _is_of_figures(tokens: tuple[Token, ...]) -> bool:
    figures = [
        token
        for token in tokens
        if token.kind in ("number", "decimal") or (token.kind == "fraction" and token.under != 12)
    ]
    return bool(figures) and all(token in figures or token.word in UNITS for token in tokens)

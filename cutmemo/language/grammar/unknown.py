"""Typed words that mean no more than what a piece is, or where it goes."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from functools import lru_cache

from cutmemo.language.grammar.scan import Scan
from cutmemo.language.lexicon.en import (
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    MEANS_MORE,
    ONES,
    PIECES,
    ROOMS,
    TENS,
    UNITS,
)


def unknown_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_of_piece = up to three typed words that mean no more, before a piece: flitch beam"""
    end = _past_unknown(scan, at)
    if end > at and scan.stands(PIECES, end):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def unknown_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_piece = such words between a size and figures, or before a size: 2x4 dwang 36"""
    end = _past_unknown(scan, at)
    if end == at:
        return
    before = scan.token(at - 1) if at else None
    behind = scan.token(end + 1 if scan.word(end) in ("at", ",") else end)
    figures = behind is not None and behind.kind in ("number", "decimal")
    sized = before is not None and before.kind == "section" and figures
    if sized or (behind is not None and behind.kind == "section"):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


def unknown_room(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """unknown_room = such words with a room among them: tack room, stair hole"""
    end = _past_unknown(scan, at)
    if any(token.word in ROOMS for token in scan.tokens[at:end]):
        yield " ".join(token.text for token in scan.tokens[at:end]), end


MAX_UNKNOWN = 3


@lru_cache(maxsize=1024)
def _is_misspelt(word: str) -> bool:
    """Return whether *word* may be meant for a number or a unit: fourty, twlve, inchs."""
    return bool(get_close_matches(word, _MEASURING, n=1, cutoff=0.75))


_MEASURING = sorted(
    {*ONES, *TENS, *UNITS.words(), *DENOMINATORS.words(), *DENOMINATOR_PLURALS.words(), "hundred"}
)


def _past_unknown(scan: Scan, at: int) -> int:
    """Return the position after the typed words at *at* that mean nothing more than what it is."""
    end = at
    while not scan.by_voice and end < at + MAX_UNKNOWN:
        token = scan.token(end)
        if token is None or token.kind != "word" or token.word in MEANS_MORE:
            break
        if len(token.word) < 3 or not token.word.isalpha() or _is_misspelt(token.word):
            break
        end += 1
    return end

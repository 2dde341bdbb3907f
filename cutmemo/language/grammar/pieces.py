"""What a piece is called."""

from __future__ import annotations

from collections.abc import Iterator

from cutmemo.language.grammar.scan import Scan
from cutmemo.language.lexicon.en import EITHER_PIECES, PIECES, PLURAL_PIECES


def piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """piece = "stud" | "king stud" | "trimmer" …"""
    yield from scan.find(PIECES, at)
    for names, after in scan.find(EITHER_PIECES, at):
        yield from ((name, after) for name in names)


def piece_of_piece(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """piece_of_piece = a typed piece, one of it, right before another one: soffit nailer"""
    if scan.by_voice or any(end > at + 1 for _, end in scan.find(PIECES, at)):
        return
    for name, end in scan.find(PIECES, at):
        if scan.word(at) not in PLURAL_PIECES and scan.stands(PIECES, end):
            yield name, end

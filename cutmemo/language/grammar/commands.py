"""Orders to the memo."""

from __future__ import annotations

from collections.abc import Iterator

from cutmemo.domain.length import Length
from cutmemo.language.grammar.corrections import lead_ends
from cutmemo.language.grammar.loads import load, send_boards
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import Command
from cutmemo.language.lexicon.en import COMMANDS, STRIKE_LEADS


def command(scan: Scan) -> Iterator[tuple[Command, int]]:
    """command = one of the fixed phrases | [lead | "add"] number "more" | ("cancel" | "scratch" |
    "strike") "the" length
    """
    yield from scan.find(COMMANDS, 0)
    add = scan.take(0, "add")
    for start in (0, *lead_ends(scan, 0), *([add] if add else [])):
        for number, after in scan.every(any_number, start):
            end = scan.take(after, "more", fits="more")
            if end is not None and number:
                yield Command("more", number), end
    for _, start in scan.find(STRIKE_LEADS, 0):
        for amount, end in scan.every(length, start):
            yield Command("strike", length=Length(amount.inches)), end
    yield from load(scan)
    yield from send_boards(scan)

"""What is said once in a list of cuts, before the first or behind the last, and is of them all."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.length import Length
from cutmemo.language.grammar.counted import STOCK_FEET
from cutmemo.language.intent import Reading

SHARED = ("section", "piece", "place")
"""What is said once before a list is for all of it."""


def for_all(led: dict[str, Any], parts: list[tuple[Reading, ...]]) -> list[tuple[Reading, ...]]:
    """Return the readings of each part with what was said for all of them.

    A section, a piece or a place before the list is for all of it; a count before it, and a section
    behind it, may be.
    """
    others = [cut for part in parts[1:] for each in part for cut in cuts_of(each)]
    shared = {
        name: led[name]
        for name in SHARED
        if name in led and all(getattr(cut, name) is None for cut in others)
    }
    perhaps: dict[str, Any] = {}
    if "count" in led and all(cut.count == 1 for cut in others):
        perhaps["count"] = led["count"]
    before_last = [cut for part in parts[:-1] for each in part for cut in cuts_of(each)]
    last = [cut.section for each in parts[-1] for cut in cuts_of(each)]
    if "section" not in shared and last[0] and not any(cut.section for cut in before_last):
        return [*(_perhaps({"section": last[0]}, part) for part in parts[:-1]), parts[-1]]
    return [parts[0], *(_perhaps(perhaps, _with(shared, part)) for part in parts[1:])]


def of_several_at_last(parts: list[tuple[Reading, ...]]) -> list[tuple[Reading, ...]]:
    """Return the readings of each part where a piece that the last one names as several is of all:
    93-1/4, 93-5/8 and 94-1/8 posts 4x4. It asks where the last is several itself.
    """
    before = [cut for part in parts[:-1] for each in part for cut in cuts_of(each)]
    lasts = [cut for each in parts[-1] for cut in cuts_of(each)]
    alike = {(cut.section, cut.piece, cut.count) for cut in lasts}
    bare = all(cut.piece is None for cut in before)
    if len(alike) != 1 or not bare or lasts[0].piece is None or len(lasts) != len(parts[-1]):
        return parts
    section, piece, count = alike.pop()
    of_all = {"piece": piece} if section is None else {"piece": piece, "section": section}
    if count > 1:
        return [*((*_with(of_all, part), *part) for part in parts[:-1]), parts[-1]]
    one_each = tuple(
        replace(each, doubts=tuple(d for d in each.doubts if d.kind is not DoubtKind.UNCOUNTED))
        for each in parts[-1]
    )
    return [*(_with(of_all, part) for part in parts[:-1]), one_each]


def asks_for_feet(readings: tuple[Reading, ...]) -> bool:
    """Return whether a cut is so many inches or as many feet: 2x4 12."""
    lengths = {cut.length.inches for each in readings for cut in cuts_of(each)}
    return any(12 * each in lengths for each in lengths if each in STOCK_FEET)


def perhaps_feet(readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return *readings* of a cut of a list whose first may be in feet: plates 2x4 12, 14, 16."""
    cuts = [cut for each in readings for cut in cuts_of(each)]
    if len(cuts) != 1 or cuts[0].length.inches not in STOCK_FEET:
        return readings
    feet = replace(cuts[0], length=Length(12 * cuts[0].length.inches))
    return (*readings, *(replace(each, intent=feet) for each in readings))


def cuts_of(reading: Reading) -> list[Cut]:
    """Return the cut that *reading* is; none where it is something else."""
    return [reading.intent] if isinstance(reading.intent, Cut) else []


def _with(fields: dict[str, Any], part: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return *part* with *fields* said of it as well."""
    return tuple(
        replace(each, intent=replace(cut, **fields)) for each in part for cut in cuts_of(each)
    )


def _perhaps(fields: dict[str, Any], part: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings of *part* with and without *fields*."""
    return (*part, *_with(fields, part)) if fields else part

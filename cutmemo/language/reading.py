"""The one entry to the grammar: a call's words in, its readings out, or a refusal that says why."""

from __future__ import annotations

from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language.grammar.cuts import Parsed, sayings
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import spoken, typed
from cutmemo.language.intent import Reading

VAGUE = ("few", "bunch")
"""Words for a number that are none."""


def read(
    said: str, settings: Settings | None = None, by_voice: bool = False
) -> tuple[Reading, ...]:
    """Return every reading of *said*, at least one.

    *by_voice* takes the words as a recogniser gives them; otherwise signs and
    figures are read as well. Raises :class:`NotACall` where words are left over or
    nothing fits, and :class:`Refused` where the words are clear but no tape has
    such a length.
    """
    tokens = spoken(said) if by_voice else typed(said)
    words = tuple(token.text for token in tokens)
    scan = Scan(tokens, settings or Settings(), by_voice)
    found = sayings(scan) if tokens else []
    good = [each.reading for each in found if not each.refusals]
    if good:
        return _merged(good)
    if found:
        raise Refused(said, _reasons(found))
    vague = next((token.word for token in tokens if token.word in VAGUE), None)
    if vague is not None:
        raise Refused(said, (doubt(DoubtKind.NO_NUMBER, Field.COUNT, word=vague),))
    raise NotACall(words, scan.furthest, scan.expected)


def good_readings(scan: Scan) -> tuple[Reading, ...]:
    """Return every reading of all tokens of *scan* that a tape has; none where there is none."""
    return _merged([each.reading for each in sayings(scan) if not each.refusals])


def _merged(readings: list[Reading]) -> tuple[Reading, ...]:
    """Return one reading for each different meaning: the one with the fewest doubts."""
    best: dict[object, Reading] = {}
    for reading in readings:
        kept = best.get(reading.intent)
        if kept is None or len(reading.doubts) < len(kept.doubts):
            best[reading.intent] = reading
    return tuple(best.values())


def _reasons(found: list[Parsed]) -> tuple[Doubt, ...]:
    """Return each reason once."""
    return tuple(dict.fromkeys(reason for each in found for reason in each.refusals))

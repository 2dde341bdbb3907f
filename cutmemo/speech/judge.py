"""From the recogniser's alternatives to readings: agreement stands, doubt asks, the rest is refused."""

from __future__ import annotations

from dataclasses import dataclass

from cutmemo.errors import NotACall, Refused
from cutmemo.language import Reading, read
from cutmemo.manner import Manner
from cutmemo.speech.heard import Heard

MARGIN = 8.0
"""An alternative this close to the best (log-likelihood) that means something else makes the call doubtful.

Set on the validation split of the training speech; the curve is in DEVELOPERS.md.
"""
MOST_READINGS = 3
"""More than this does not fit on keys 1 to 3."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What an utterance may mean, the likeliest first."""

    said: str
    readings: tuple[Reading, ...]
    heard: tuple[tuple[str, float], ...]
    unsure: bool = False
    """True where another meaning was heard nearly as well."""


def judge(heard: Heard, manner: Manner, margin: float = MARGIN) -> Judged | None:
    """Return what *heard* may mean under *manner*; ``None`` where it was no speech for the memo.

    Raises :class:`NotACall` or :class:`Refused` where the best alternative is speech
    but no close alternative says anything.
    """
    spoken = [alternative for alternative in heard.alternatives if alternative.text]
    if not spoken or not spoken[0].is_speech:
        return None
    best = spoken[0].score
    found: dict[object, Reading] = {}
    first_words, failure = "", None
    unsure = False
    for alternative in spoken:
        if best - alternative.score > margin or not alternative.is_speech:
            continue
        try:
            readings = read(alternative.text, manner, by_voice=True)
        except (NotACall, Refused) as error:
            failure = failure or error
            unsure = unsure or alternative is spoken[0]
            continue
        new = [reading for reading in readings if reading.says not in found]
        unsure = unsure or bool(first_words and new)
        first_words = first_words or alternative.text
        found |= {reading.says: reading for reading in new}
    if not found:
        raise failure or NotACall((spoken[0].text,), 0, frozenset())
    scores = tuple((each.text, round(each.score, 2)) for each in heard.alternatives)
    return Judged(first_words, tuple(found.values())[:MOST_READINGS], scores, unsure)

"""From the recogniser's alternatives to readings: agreement stands, doubt asks, the rest is refused."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutmemo.cut import Cut
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Change, Reading, Several, read, several
from cutmemo.manner import Manner
from cutmemo.speech.heard import Alternative, Heard
from cutmemo.speech.loudness import over_noise
from cutmemo.speech.twins import run_together, twin_of

MARGIN_IN_NOISE, MARGIN_IN_QUIET = 3.5, 1.5
"""An alternative this close to the best (log-likelihood) that means something else makes the call doubtful."""
NOISY, QUIET = 18.0, 22.0
"""Where each holds: how far the speech stands out of the noise, in decibels; between them the margin goes straight over.

All four are set on the validation split of the training speech; the curve is in DEVELOPERS.md.
"""
TWINS_NEARER = 2.0
"""What runs together by ear is doubtful this much beyond the margin; in noise that is further than most are named."""
NEAR_NOISE = 2.5
"""A cut this close to noise asks even in quiet; one that is taken for noise is told of, so that nobody waits for it."""
PARTLY_UNHEARD = "Listening broke off, or the memo was speaking: is all of the call here?"
AFTER_UNKNOWN = "Something right before was not understood: is all of the call here?"
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


def margin_for(heard: Heard) -> float:
    """Return how far the best alternative has to lead: far in noise, and where nothing is known of the noise."""
    over = over_noise(heard.pcm)
    if over is None:
        return MARGIN_IN_NOISE
    quiet = min(1.0, max(0.0, (over - NOISY) / (QUIET - NOISY)))
    return MARGIN_IN_NOISE + quiet * (MARGIN_IN_QUIET - MARGIN_IN_NOISE)


def judge(heard: Heard, manner: Manner, margin: float | None = None) -> Judged | None:
    """Return what *heard* may mean under *manner*; ``None`` where it was no speech for the memo.

    *margin* stands in for :func:`margin_for`.

    Raises :class:`NotACall` or :class:`Refused` where the best alternative is speech
    but no close alternative says anything.
    """
    if not heard.alternatives or not heard.alternatives[0].is_speech:
        return None
    best = heard.alternatives[0]
    margin = margin_for(heard) if margin is None else margin
    close = [each for each in heard.alternatives if _is_close(best, each, margin)]
    twin = twin_of(best.text)
    if twin is not None and twin not in (each.text for each in close):
        close.append(Alternative(twin, best.score - margin))
    found, failure = _readings(close, manner)
    if not found:
        raise failure or NotACall((best.text,), 0, frozenset())
    first_words = found[0][0]
    readings: dict[object, Reading] = {}
    missing = (PARTLY_UNHEARD,) if heard.partly_unheard else (AFTER_UNKNOWN,) if heard.after_unknown else ()
    for _, each in found:
        readings.setdefault(each.says, replace(each, doubts=(*each.doubts, *missing)))
    of_first = {each.says for words, each in found if words == first_words}
    noise_is_close = any(not each.is_speech for each in close)
    noise_is_likely = any(not each.is_speech for each in heard.alternatives)
    if noise_is_likely and not any(isinstance(says, Cut | Change) for says in readings):
        return None  # a saw may sound like "cut": an order is obeyed only if it can be nothing else
    unsure = noise_is_close or first_words != best.text or len(readings) > len(of_first)
    return Judged(first_words, tuple(readings.values())[:MOST_READINGS], scores(heard), unsure)


def _is_close(best: Alternative, other: Alternative, margin: float) -> bool:
    """Return whether *other* may have been said as well as *best*."""
    if not other.is_speech:
        margin = max(margin, NEAR_NOISE)
    elif run_together(best.text, other.text):
        margin += TWINS_NEARER
    return best.score - other.score <= margin


def several_in(heard: Heard, manner: Manner) -> Several | None:
    """Return the cuts of an utterance that is no single call; ``None`` where it is one, or none. Raises :class:`Refused`."""
    if not heard.alternatives or not heard.alternatives[0].is_speech:
        return None
    try:
        read(heard.text, manner, by_voice=True)
    except NotACall:
        return several(heard.text, manner, by_voice=True)
    except Refused:
        pass
    return None


def scores(heard: Heard) -> tuple[tuple[str, float], ...]:
    """Return all alternatives with their scores, as the journal keeps them."""
    return tuple((each.text, round(each.score, 2)) for each in heard.alternatives)


def _readings(close: list[Alternative], manner: Manner) -> tuple[list[tuple[str, Reading]], NotACall | Refused | None]:
    """Return every reading with its words, the likeliest words first, and why the first that has none has none."""
    found: list[tuple[str, Reading]] = []
    failure: NotACall | Refused | None = None
    for alternative in close:
        if not alternative.is_speech:
            continue
        try:
            found += [(alternative.text, reading) for reading in read(alternative.text, manner, by_voice=True)]
        except (NotACall, Refused) as error:
            failure = failure or error
    return found, failure


def perhaps(heard: Heard, manner: Manner) -> str:
    """Return the cut that an utterance taken for noise may have been, in its words; empty where it was none.

    It is shown and never taken: whoever said it sees that it was not.
    """
    best = heard.alternatives[0].score if heard.alternatives else 0.0
    for each in heard.alternatives:
        if each.is_speech and best - each.score <= NEAR_NOISE:
            readings, _ = _readings([each], manner)
            if any(isinstance(reading.says, Cut) for _, reading in readings):
                return each.text
    return ""

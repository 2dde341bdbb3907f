"""From the recogniser's alternatives to readings: agreement stands, doubt asks, the rest is
refused.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace

from cutmemo.asr.confusions import (
    are_confusable,
    confusable_of,
    is_of_several,
    with_eighth,
    without_plural,
)
from cutmemo.asr.hypotheses import Hypothesis, Recognition
from cutmemo.audio.level import snr_db
from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import CallList, Change, FromRow, Reading, read, split_calls
from cutmemo.language.lexicon.en import UNITS

MARGIN_IN_NOISE, MARGIN_IN_QUIET = 4.0, 3.5
"""An alternative this close to the best (log-likelihood) that means something else makes the call
doubtful.
"""
NOISY, QUIET = 18.0, 22.0
"""Where each holds: how far the speech stands out of the noise, in decibels; between them the
margin goes straight over.

Both are set on calls of people and voices that no net was trained on (``models/recipe/LOG.md``):
0.5 less leaves three more of 2,063 wrong and asks about eleven fewer. Where each holds is set on
the validation split of an earlier net.
"""
CONFUSABLE_EXTRA_MARGIN = 2.0
"""What runs together by ear is doubtful this much beyond the margin; in noise that is further than
most are named.
"""
NOISE_MARGIN = 2.5
"""A cut this close to noise asks even in quiet; one that is taken for noise is told of, so that
nobody waits for it.
"""
PARTLY_MUTED = doubt(DoubtKind.PARTLY_MUTED)
AFTER_UNINTELLIGIBLE = doubt(DoubtKind.AFTER_UNINTELLIGIBLE)
ONE_FIGURE = doubt(DoubtKind.ONE_FIGURE)
MAX_READINGS = 3
"""More than this does not fit on keys 1 to 3."""


@dataclass(frozen=True, slots=True)
class Interpretation:
    """What an utterance may mean, the likeliest first."""

    said: str
    readings: tuple[Reading, ...]
    heard: tuple[tuple[str, float], ...]
    unsure: bool = False
    """True where another meaning was heard nearly as well."""


def margin_for(heard: Recognition) -> float:
    """Return how far the best alternative has to lead: far in noise, and where nothing is known of
    the noise.
    """
    over = snr_db(heard.pcm)
    if over is None:
        return MARGIN_IN_NOISE
    quiet = min(1.0, max(0.0, (over - NOISY) / (QUIET - NOISY)))
    return MARGIN_IN_NOISE + quiet * (MARGIN_IN_QUIET - MARGIN_IN_NOISE)


def interpret(
    heard: Recognition, settings: Settings, margin: float | None = None
) -> Interpretation | None:
    """Return what *heard* may mean under *settings*; ``None`` where it was no speech for the memo.

    *margin* stands in for :func:`margin_for`.

    Raises :class:`NotACall` or :class:`Refused` where the best alternative is speech
    but no close alternative says anything.
    """
    if not heard.hypotheses or not heard.hypotheses[0].is_speech:
        return None
    best = heard.hypotheses[0]
    margin = margin_for(heard) if margin is None else margin
    close = [each for each in heard.hypotheses if _is_close(best, each, margin)]
    twin = confusable_of(best.text)
    if twin is not None:
        close.append(replace(best, text=twin))
    found, failures = _readings(close, settings)
    if not found:
        raise failures[0]
    first_words = found[0][0]
    readings: dict[object, Reading] = {}
    missing = (
        (PARTLY_MUTED,)
        if heard.partly_muted
        else (AFTER_UNINTELLIGIBLE,)
        if heard.after_unintelligible
        else ()
    )
    for words, each in found:
        bare = (ONE_FIGURE,) if _is_one_figure(words, each) else ()
        readings.setdefault(each.intent, replace(each, doubts=(*each.doubts, *missing, *bare)))
    of_first = {each.intent for words, each in found if words == first_words}
    noise_is_close = any(not each.is_speech for each in close)
    noise_is_likely = any(not each.is_speech for each in heard.hypotheses)
    if noise_is_likely and not any(
        isinstance(intent, Cut | Change | FromRow) for intent in readings
    ):
        return None  # a saw may sound like "cut": an order is obeyed only if it can be nothing else
    unsure = noise_is_close or first_words != best.text or len(readings) > len(of_first)
    asked = tuple(_likelier_first(list(readings.values()), found, settings)[:MAX_READINGS])
    return Interpretation(first_words, asked, n_best(heard), unsure)


def _likelier_first(
    readings: list[Reading], found: list[tuple[str, Reading]], settings: Settings
) -> list[Reading]:
    """Return *readings* as there is room for them: behind the first the first of all words before
    the second of any, and what no board is long enough for behind all others.
    """
    rank: dict[object, int] = {}
    of_words: dict[str, int] = {}
    for words, each in found:
        of_words[words] = of_words.get(words, -1) + 1
        rank[each.intent] = min(of_words[words], rank.get(each.intent, of_words[words]))
    first, *others = readings
    return [
        first,
        *sorted(others, key=lambda each: (_is_unlikely(each, settings), rank[each.intent])),
    ]


def _is_unlikely(reading: Reading, settings: Settings) -> bool:
    cut = reading.intent
    return isinstance(cut, Cut) and any(
        each.kind is DoubtKind.TOO_LONG for each in check(cut, (), settings).questions
    )


def _is_one_figure(words: str, reading: Reading) -> bool:
    """Return whether *words* call a length of one figure and name neither its unit nor anything
    else but by how much to cut it off the mark: the shortest call there is, with nothing in it that
    could be heard wrong and then make no sense.
    """
    cut = reading.intent
    return (
        isinstance(cut, Cut)
        and cut == Cut(cut.length, allowance=cut.allowance)
        and cut.length.inches < 10
        and cut.length.inches.denominator == 1
        and UNITS.words().isdisjoint(words.split())
    )


def _is_close(best: Hypothesis, other: Hypothesis, margin: float) -> bool:
    """Return whether *other* may have been said as well as *best*."""
    if not other.is_speech:
        margin = max(margin, NOISE_MARGIN)
    elif are_confusable(best.text, other.text):
        margin += CONFUSABLE_EXTRA_MARGIN
    return best.log_likelihood - other.log_likelihood <= margin


def split_recognition(heard: Recognition, settings: Settings) -> CallList | None:
    """Return the cuts of an utterance that is no single call; ``None`` where it is one, or none.

    Raises :class:`Refused` where it is several and one of them is not clear, unless it may as well
    be a single call.
    """
    try:
        read(heard.text, settings, by_voice=True)
    except NotACall:
        try:
            return split_calls(heard.text, settings, by_voice=True)
        except Refused:
            if not _may_be_one_call(heard, settings):
                raise
    except Refused:
        pass
    return None


def _may_be_one_call(heard: Recognition, settings: Settings) -> bool:
    """Return whether an alternative within the margin is a single call."""
    try:
        return interpret(heard, settings) is not None
    except (NotACall, Refused):
        return False


def n_best(heard: Recognition) -> tuple[tuple[str, float], ...]:
    """Return all alternatives with their scores, as the journal keeps them."""
    return tuple((each.text, round(each.log_likelihood, 2)) for each in heard.hypotheses)


def _readings(
    close: list[Hypothesis], settings: Settings
) -> tuple[list[tuple[str, Reading]], list[NotACall | Refused]]:
    """Return every reading with its words, the likeliest words first, and why those that have none
    have none: noise is no word.
    """
    found: list[tuple[str, Reading]] = []
    failures: list[NotACall | Refused] = []
    for hypothesis in close:
        try:
            read_so = _read(hypothesis.text, settings)
        except (NotACall, Refused) as error:
            failures.append(error)
            found += _readings_as_meant(hypothesis.text, settings)
        else:
            if all(_is_one_of_many(*each) for each in read_so):
                meant = _readings_as_meant(hypothesis.text, settings)
                read_so = [(hypothesis.text, reading) for _, reading in meant] or read_so
            found += read_so
    return found, failures


def _is_one_of_many(words: str, reading: Reading) -> bool:
    """Return whether *reading* is one piece of a length that is said of several: "one seventy and a
    halfs" is no call for one of 70-1/2.
    """
    cut = reading.intent
    return isinstance(cut, Cut) and cut.count == 1 and is_of_several(words)


def _read(text: str, settings: Settings) -> list[tuple[str, Reading]]:
    return [(text, reading) for reading in read(text, settings, by_voice=True)]


def _readings_as_meant(text: str, settings: Settings) -> list[tuple[str, Reading]]:
    """Return what *text*, which means nothing, may mean without the s of a plural or with "eighth"
    for "eight": a breath sounds like an s, and "ten foot four and a halfs" is no length.
    """
    found: list[tuple[str, Reading]] = []
    for each in (*without_plural(text), *with_eighth(text)):
        with suppress(NotACall, Refused):
            found += _read(each, settings)
    return found


def rejected_call(heard: Recognition, settings: Settings) -> str:
    """Return the cut that an utterance taken for noise may have been, in its words; empty where it
    was none.

    It is shown and never taken: whoever said it sees that it was not.
    """
    best = heard.hypotheses[0].log_likelihood if heard.hypotheses else 0.0
    for each in heard.hypotheses:
        if best - each.log_likelihood <= NOISE_MARGIN:
            readings, _ = _readings([each], settings)
            if any(isinstance(reading.intent, Cut) for _, reading in readings):
                return each.text
    return ""

"""A call with a pause in it: heard once more with the pause made short, within one utterance as
well as where it parted two.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from cutmemo.asr.decide import margin_for
from cutmemo.asr.hypotheses import Hypothesis, Recognition
from cutmemo.audio.chunk import RATE
from cutmemo.audio.level import similar_level
from cutmemo.audio.pauses import LITTLE_SECONDS, with_short_pauses
from cutmemo.audio.turns import REST_SECONDS
from cutmemo.domain.cut import Cut
from cutmemo.errors import NotACall, Refused
from cutmemo.language import may_go_on, read

MAX_REST_SECONDS = REST_SECONDS
"""The rest of a call comes within this much silence behind its first half."""
RIGHT_BEHIND_SECONDS = 1.2
"""What was not understood this close to a call may be part of it.

An utterance ends after 0.6 s of silence, and the decoder takes the first word to begin 0.2 s later
than it does.
"""
REST_WITHIN_DB = 10.0
"""The last word of a call may be so much softer than what stands before it: a voice falls."""
AROUND_SECONDS = 0.4
"""How much sound before the first word is kept with an utterance."""
PAUSE_SECONDS = 0.15
"""So much of the pause is left behind the first half; as much, or a little more, is before the
second.
"""
LEAD_SECONDS = 0.3
"""The second half is taken from this long before its first word, which is known to 0.2 s."""
MAX_JOINED_SECONDS = 15.0
"""No call is longer; two utterances that are stay two."""


def words_of(heard: Recognition, after: float = 0.0) -> bytes:
    """Return the sound of *heard* up to so many seconds *after* its last word: the next call may
    have begun already.
    """
    before = min(heard.start_seconds - heard.pcm_start_seconds, AROUND_SECONDS)
    return heard.pcm[: 2 * int(RATE * (before + heard.end_seconds - heard.start_seconds + after))]


def with_pauses_short(
    heard: Recognition, pcm: bytes, decode: Callable[[bytes], Recognition | None]
) -> Recognition:
    """Return *heard*, which *pcm* was, weighed with what that is with its pauses made short.

    Where both differ, say no call, or the second is nearly something else, it is heard once more
    with hardly anything left of them; where all three are the same it stands as it was heard.
    """
    short = with_short_pauses(pcm)
    again = decode(short) if len(short) < len(pcm) else None
    if again is None:
        return heard
    same = again.text == heard.text and _reads(heard.text)
    if same and not _is_nearly_another(again, margin_for(heard)):
        return heard
    third = decode(with_short_pauses(pcm, LITTLE_SECONDS))
    if same and (third is None or third.text == heard.text or not third.hypotheses[0].is_speech):
        return heard
    return all_hearings(heard, again, *([] if third is None else [third]))


def _is_nearly_another(heard: Recognition, margin: float) -> bool:
    """Return whether other words than the best are within *margin* of them."""
    best, *others = heard.hypotheses
    return any(best.log_likelihood - each.log_likelihood <= margin for each in others)


def all_hearings(heard: Recognition, *again: Recognition) -> Recognition:
    """Return *heard* with what the same sound was *again*, its pauses made short: each is as likely
    as the others.

    The decoder knows calls without pauses, and makes another word of a long one. A hearing that is
    no speech counts for nothing.
    """
    found: dict[str, float] = {}
    for each in (*(one for one in again if one.hypotheses[0].is_speech), heard):
        top = each.hypotheses[0].log_likelihood
        for one in each.hypotheses:
            behind = one.log_likelihood - top
            found[one.text] = max(behind, found.get(one.text, behind))
    top = heard.hypotheses[0].log_likelihood
    in_order = sorted(found.items(), key=lambda each: -each[1])
    return replace(
        heard, hypotheses=tuple(Hypothesis(text, top + behind) for text, behind in in_order)
    )


def joined_pcm(first: Recognition, second: Recognition) -> bytes:
    """Return the sound of both with the pause between them shortened."""
    late = max(0.0, second.start_seconds - second.pcm_start_seconds - LEAD_SECONDS)
    return words_of(first, PAUSE_SECONDS) + second.pcm[2 * int(RATE * late) :]


class Rejoiner:
    """Remembers the last utterance and hears the next one together with it."""

    def __init__(
        self,
        decode: Callable[[bytes], Recognition | None],
        rescore: Callable[[bytes, list[str]], Mapping[str, float]],
    ) -> None:
        """Hear sound as one utterance by *decode*; find by *rescore* the log-likelihood of texts it
        may be.
        """
        self._decode, self._rescore = decode, rescore
        self._last: Recognition | None = None
        self._call: Recognition | None = None
        """The last utterance with what it may be the rest of: a call may have three parts."""

    def forget(self) -> None:
        """Hear nothing that comes now together with what came before."""
        self._last = self._call = None

    def after(self, heard: Recognition) -> Recognition:
        """Return *heard* with what came within :data:`MAX_REST_SECONDS` before it, and both as one
        where they may be.
        """
        first, call = self._last, self._call
        self._last = self._call = heard
        if first is None or call is None:
            return heard
        pause = heard.start_seconds - first.end_seconds
        if not 0 <= pause <= MAX_REST_SECONDS:
            return heard
        loud = similar_level(words_of(heard), words_of(first), REST_WITHIN_DB)
        joined = self._joined(call, heard)
        self._last = replace(heard, joined=joined)
        if joined is not None and _is_one_call(first, heard, joined):
            self._call = joined
        right_behind = loud and pause <= RIGHT_BEHIND_SECONDS
        return replace(self._last, follows=first, right_behind=right_behind)

    def _joined(self, first: Recognition, second: Recognition) -> Recognition | None:
        sure = _is_sure(first) and _is_sure(second)
        both = first.pcm + second.pcm
        pcm = both if sure else with_short_pauses(both)
        if len(pcm) == len(both):
            pcm = both = joined_pcm(first, second)
        found = self._decode(pcm) if len(pcm) <= 2 * RATE * MAX_JOINED_SECONDS else None
        if found is None or self._fits_two_better(pcm, found, (first, second), sure):
            return None
        if not _are_two_calls(first, second):
            found = with_pauses_short(found, both, self._decode)
        # On the clock of the stream its sound ends where that of the second does.
        length = len(second.pcm) / (2 * RATE)
        shift = second.pcm_start_seconds + length - len(pcm) / (2 * RATE)
        return replace(
            found,
            start_seconds=found.start_seconds + shift,
            end_seconds=found.end_seconds + shift,
            pcm_start_seconds=found.pcm_start_seconds + shift,
            partly_muted=first.partly_muted or second.partly_muted,
            after_unintelligible=first.after_unintelligible,
        )

    def _fits_two_better(
        self,
        pcm: bytes,
        joined: Recognition,
        halves: tuple[Recognition, Recognition],
        sure: bool,
    ) -> bool:
        """Return whether the words of both *halves*, one after the other, fit their sound better
        than *joined* does; *sure* is true where each is one cut.

        The decoder looks for one call, and forces two into one that was never said. Where one of
        them is no call by itself, or both words make one, they were not two.
        """
        first, second = halves
        two = f"{first.text} {second.text}"
        if joined.text == two or not (_reads(first.text) and _reads(second.text)) or _reads(two):
            return False
        soon = second.start_seconds - first.end_seconds <= RIGHT_BEHIND_SECONDS
        if soon and may_go_on(first.text) and not sure:
            return False
        if not joined.hypotheses[0].is_speech:
            return True
        fits = self._rescore(pcm, [joined.text, two])
        return fits.get(joined.text, -math.inf) < fits.get(two, -math.inf)


def _are_two_calls(first: Recognition, second: Recognition) -> bool:
    """Return whether each is a call by itself, and the first may not go on."""
    return not may_go_on(first.text) and _reads(first.text) and _reads(second.text)


def _is_one_call(first: Recognition, second: Recognition, joined: Recognition) -> bool:
    """Return whether both are rather one call than two, as far as words tell: a third part may
    come.
    """
    if not joined.hypotheses[0].is_speech or not _reads(second.text):
        return joined.hypotheses[0].is_speech
    return (may_go_on(first.text) or not _reads(first.text)) and _reads(joined.text)


def _is_sure(heard: Recognition) -> bool:
    """Return whether *heard* is one cut and nothing else, as nearly as it was heard."""
    if not heard.hypotheses:
        return False
    best = heard.hypotheses[0].log_likelihood
    near = margin_for(heard)
    meant: set[object] = set()
    for each in heard.hypotheses:
        if best - each.log_likelihood <= near:
            if not _reads(each.text):
                return False
            meant.update(reading.intent for reading in read(each.text, by_voice=True))
    return len(meant) == 1 and all(isinstance(each, Cut) for each in meant)


def _reads(text: str) -> bool:
    """Return whether *text* is a call."""
    try:
        read(text, by_voice=True)
    except (NotACall, Refused):
        return False
    return True

"""An attention word: hands free, only what begins with it is for the memo."""

from __future__ import annotations

from dataclasses import replace

from cutmemo.asr.hypotheses import Hypothesis, Recognition
from cutmemo.asr.rejoin import MAX_REST_SECONDS


class Attention:
    """Lets through what is addressed to the memo, without the word.

    What comes within :data:`MAX_REST_SECONDS` behind it may be the rest of it, and is let through
    too; so is what was said while the microphone was held. Without a word all is let through.
    """

    def __init__(self, words: str = "") -> None:
        """Wait for *words*."""
        self._words = words.lower().split()
        self._until = -MAX_REST_SECONDS
        """The seconds until which a rest may come."""

    def after(self, heard: Recognition) -> Recognition | None:
        """Return *heard* as the memo is to take it; ``None`` where it was said to nobody here."""
        if not self._words or heard.held:
            return heard
        follows = heard.start_seconds <= self._until
        addressed = self._is_addressed(heard)
        if not (addressed or follows):
            return None
        self._until = heard.end_seconds + MAX_REST_SECONDS
        plain = self._without(heard) if addressed else heard
        if not plain.text:
            return None  # the word alone: the call comes behind it
        before, joined = plain.follows, plain.joined
        return replace(
            plain,
            follows=self._plain(before) if follows else None,
            joined=self._plain(joined) if follows else None,
        )

    def _is_addressed(self, heard: Recognition) -> bool:
        return self._begins(heard.text)

    def _begins(self, text: str) -> bool:
        return text.split()[: len(self._words)] == self._words

    def _plain(self, heard: Recognition | None) -> Recognition | None:
        """Return *heard* without the word; ``None`` where it was nothing else."""
        plain = self._without(heard) if heard is not None else None
        return plain if plain is not None and plain.text else None

    def _without(self, heard: Recognition) -> Recognition:
        """Return *heard* without the word, the alternatives too; of those that do not begin with
        it only noise counts on.
        """
        if not self._is_addressed(heard):
            return heard
        found: dict[str, Hypothesis] = {}
        for each in heard.hypotheses:
            if self._begins(each.text):
                text = " ".join(each.text.split()[len(self._words) :])
                found.setdefault(text, replace(each, text=text))
            elif not each.is_speech:
                found.setdefault(each.text, each)
        joined = heard.joined
        return replace(
            heard, hypotheses=tuple(found.values()), joined=joined and self._plain(joined)
        )

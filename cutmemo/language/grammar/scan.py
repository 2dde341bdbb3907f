"""Reads tokens from left to right, and remembers the furthest point reached and what would have
fitted there.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from typing import TypeVar

from cutmemo.domain.settings import Settings
from cutmemo.language.grammar.tokens import Token
from cutmemo.language.lexicon.table import Table

T = TypeVar("T")
M = TypeVar("M", bound=Hashable)

MAX_STEPS_A_TOKEN = 80
"""So many steps reading may take for each token; a call that somebody means takes up to 30 (1,500
sampled phrases and the days of tests/bench).
"""


class TooTwistedError(Exception):
    """Reading would take longer than any call that somebody means."""


class Scan:
    """The tokens of one call under one crew's settings. Rules are functions of a scan and a
    position.

    A rule yields every ``(value, next position)`` that fits at its position. Results
    are kept per rule and position, so that a rule runs once however many ways lead to it.
    """

    def __init__(
        self,
        tokens: tuple[Token, ...],
        settings: Settings,
        by_voice: bool,
        keeps_words: bool = False,
        whole: bool = True,
    ) -> None:
        """Start at the first of *tokens*; *keeps_words* where words of no table may stand among
        them, *whole* where they are a whole line, which may be in columns.
        """
        self.tokens, self.settings, self.by_voice = tokens, settings, by_voice
        self.keeps_words, self.whole = keeps_words, whole
        self.furthest = 0
        self._expected: set[str] = set()
        self._kept: dict[tuple[object, int], list[tuple[object, int]]] = {}
        self._steps_left = MAX_STEPS_A_TOKEN * (len(tokens) + 4)
        self._aside: Scan | None = None

    @property
    def expected(self) -> frozenset[str]:
        """What would have fitted at the furthest point."""
        return frozenset(self._expected)

    @property
    def aside(self) -> Scan:
        """A scan of the same tokens: what is looked for in it is not missed in this one."""
        if self._aside is None:
            self._aside = Scan(self.tokens, self.settings, self.by_voice, whole=self.whole)
        return self._aside

    def step(self) -> None:
        """Count one step of reading. Raises :class:`TooTwistedError` past what the tokens are
        worth.
        """
        self._steps_left -= 1
        if self._steps_left < 0:
            raise TooTwistedError

    def token(self, at: int) -> Token | None:
        """Return the token at *at*, or ``None`` past the end."""
        return self.tokens[at] if at < len(self.tokens) else None

    def word(self, at: int) -> str:
        """Return the word at *at*, or an empty string."""
        token = self.token(at)
        return token.word if token is not None else ""

    def missed(self, at: int, fits: str) -> None:
        """Remember that *fits* would have fitted at *at*."""
        if at > self.furthest:
            self.furthest = at
            self._expected.clear()
        if at == self.furthest and fits:
            self._expected.add(fits)

    def take(self, at: int, *words: str, fits: str = "") -> int | None:
        """Return the position after one of *words*, or ``None``."""
        if self.word(at) in words:
            self.missed(at + 1, "")
            return at + 1
        self.missed(at, fits or words[0])
        return None

    def phrase(self, at: int, words: tuple[str, ...]) -> int | None:
        """Return the position after all of *words* in a row, or ``None``."""
        end = at + len(words)
        if tuple(token.word for token in self.tokens[at:end]) != words:
            return None
        self.missed(end, "")
        return end

    def find(self, table: Table[M], at: int) -> list[tuple[M, int]]:
        """Return the meaning of every form of *table* that stands at *at*, the longest first."""
        found = []
        for words in table.beginning(self.word(at)):
            end = self.phrase(at, words)
            if end is not None:
                found.append((table.meanings[words], end))
        if not found:
            self.missed(at, table.hint)
        return found

    def stands(self, table: Table[M], at: int) -> bool:
        """Return whether a form of *table* stands at *at*; where none does, none is missed."""
        return any(
            tuple(token.word for token in self.tokens[at : at + len(words)]) == words
            for words in table.beginning(self.word(at))
        )

    def every(
        self, rule: Callable[[Scan, int], Iterator[tuple[T, int]]], at: int
    ) -> list[tuple[T, int]]:
        """Return all that *rule* yields at *at*, without repeats, worked out once."""
        key = (rule, at)
        kept = self._kept.get(key)
        if kept is None:
            self.step()
            kept = self._kept[key] = list(dict.fromkeys(rule(self, at)))
            for _, after in kept:
                self.missed(after, "")
        return kept  # type: ignore[return-value]  # the key holds the rule that made the list

"""Tables of words: what each means, and how often it is said beside the others of its class."""

from __future__ import annotations

import random
from collections.abc import Hashable, Iterator, Mapping
from typing import Generic, TypeVar

M = TypeVar("M", bound=Hashable)

Words = tuple[str, ...]


class Table(Generic[M]):
    """The words of one class, written as ``{meaning: "form*weight, another form"}``.

    The first form of a meaning is its name, the one that is spoken. A weight says how often a form
    is said beside the others of its class; without one it is 1, and 0 is for what is only typed.
    """

    def __init__(self, forms: Mapping[M, str], hint: str = "") -> None:
        """Take in the *forms*; *hint* names the class where one of it would have fitted."""
        self.hint = hint
        self.meanings: dict[Words, M] = {}
        self.weights: dict[Words, float] = {}
        self._names: dict[M, Words] = {}
        self._by_first: dict[str, list[Words]] = {}
        for meaning, text in forms.items():
            for each in text.split(","):
                said, _, weight = each.strip().partition("*")
                words = tuple(said.split())
                if words in self.meanings:
                    raise ValueError(f"“{said}” stands twice in one table")
                self.meanings[words] = meaning
                self.weights[words] = float(weight or 1)
                self._names.setdefault(meaning, words)
                self._by_first.setdefault(words[0], []).append(words)
        for found in self._by_first.values():
            found.sort(key=len, reverse=True)

    def __contains__(self, word: str) -> bool:
        """Return whether *word* by itself is one of the class."""
        return (word,) in self.meanings

    def __iter__(self) -> Iterator[Words]:
        """Go through all forms."""
        return iter(self.meanings)

    def get(self, word: str) -> M | None:
        """Return what the single *word* means, or ``None``."""
        return self.meanings.get((word,))

    def beginning(self, word: str) -> list[Words]:
        """Return the forms that begin with *word*, the longest first."""
        return self._by_first.get(word, [])

    def name(self, meaning: M) -> str:
        """Return the form that *meaning* is spoken with."""
        return " ".join(self._names[meaning])

    def words(self) -> frozenset[str]:
        """Return every word of every form."""
        return frozenset(word for words in self.meanings for word in words)

    def said_aloud(self) -> list[str]:
        """Return the forms that are said aloud."""
        return [" ".join(words) for words, weight in self.weights.items() if weight]

    def draw(self, r: random.Random, *meanings: M) -> str:
        """Return a form of one of *meanings* (of any, where none is named), as often as each is
        said.
        """
        forms = [
            words
            for words, weight in self.weights.items()
            if weight and (not meanings or self.meanings[words] in meanings)
        ]
        return " ".join(r.choices(forms, [self.weights[words] for words in forms])[0])

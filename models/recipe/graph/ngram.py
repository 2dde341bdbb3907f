"""A back-off n-gram of words, estimated by interpolated absolute discounting.

Source: Ney, Essen, Kneser, On structuring probabilistic dependences in stochastic language
modelling, Computer Speech and Language 8, 1994.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from recipe.graph.openfst import Arc, acceptor, symbol_table

History = tuple[str, ...]
START, END = "<s>", "</s>"


def _counts(sentences: Sequence[Sequence[str]], order: int) -> dict[History, dict[str, int]]:
    """Return how often each word follows each history of up to order − 1 words."""
    counts: dict[History, dict[str, int]] = {}
    for sentence in sentences:
        words = [START, *sentence, END]
        for k in range(1, len(words)):
            for n in range(min(order, k + 1)):
                follow = counts.setdefault(tuple(words[k - n : k]), {})
                follow[words[k]] = follow.get(words[k], 0) + 1
    return counts


class BackoffNgram:
    """Probabilities of words after histories."""

    def __init__(
        self,
        sentences: Sequence[Sequence[str]],
        order: int = 4,
        discount: float = 0.6,
        min_count: int = 2,
    ) -> None:
        """Estimate from *sentences*.

        N-grams of three words and more seen less than *min_count* times are dropped.
        """
        self.order = order
        self.probability: dict[History, dict[str, float]] = {}
        self.backoff: dict[History, float] = {}
        counts = _counts(sentences, order)
        for history in sorted(counts, key=len):
            follow = counts[history]
            total = sum(follow.values())
            kept = {word: n for word, n in follow.items() if n >= min_count or len(history) < 2}
            if not kept:
                continue
            if not history:
                uniform = discount * len(follow) / total / len(follow)
                self.probability[history] = {
                    word: (n - discount) / total + uniform for word, n in follow.items()
                }
                continue
            left = 1 - sum((n - discount) / total for n in kept.values())
            self.probability[history] = {
                word: (n - discount) / total + left * self.of(word, history[1:])
                for word, n in kept.items()
            }
            self.backoff[history] = left
        self.backoff[()] = 1.0

    def of(self, word: str, history: History) -> float:
        """Return the probability of *word* after *history*; 0 for a word never seen."""
        if word in self.probability.get(history, {}):
            return self.probability[history][word]
        if not history:
            return 0.0
        return self.backoff.get(history, 1.0) * self.of(word, history[1:])

    def to_bytes(self, labels: Mapping[str, int], scale: float = 1.0) -> bytes:
        """Return Gr.fst: one state a history, back-off arcs without a label, costs times *scale*.

        It carries the symbol table: phrase lists given at run time take their labels from it.
        """
        states = {history: number for number, history in enumerate(self.probability)}

        def state_of(history: History) -> int:
            while history not in states:
                history = history[1:]
            return states[history]

        arcs: list[list[Arc]] = [[] for _ in states]
        final: dict[int, float] = {}
        for history, state in states.items():
            for word, probability in self.probability[history].items():
                cost = -math.log(probability) * scale
                if word == END:
                    final[state] = cost
                else:
                    follow = (*history, word)[-(self.order - 1) :]
                    arcs[state].append((labels[word], labels[word], cost, state_of(follow)))
            if history:
                cost = -math.log(self.backoff[history]) * scale
                arcs[state].append((0, 0, cost, state_of(history[1:])))
        symbols = symbol_table([("<eps>", 0), *sorted(labels.items(), key=lambda item: item[1])])
        return acceptor(arcs, final, states[(START,)], symbols)

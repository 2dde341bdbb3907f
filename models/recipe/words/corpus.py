"""Sentences sampled from the grammar: what the word graph is estimated from and the voices say.

The only module of the recipe that imports the program's sampler.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence

from cutmemo.language import sampler

OUT_OF_GRAMMAR = "[unk]"
"""The filler word: any speech that is no call."""
SENTENCES = 300_000
FILLER_SHARE = 0.06
"""Share of the sentences that are out of grammar."""
EMPTY_SHARE = 0.05
"""Share of the sentences that are empty, so that noise need not be a word."""

phrase = sampler.phrase
length = sampler.length
shuffled = sampler.shuffled
vocabulary = sampler.vocabulary
phrases = sampler.phrases


def sentences(
    number: int = SENTENCES, filler_share: float = FILLER_SHARE, seed: int = 2
) -> list[list[str]]:
    """Return *number* sentences: calls as crews say them, some out of grammar, some empty."""
    r = random.Random(seed)
    sampled: list[list[str]] = []
    for _ in range(number):
        pick = r.random()
        if pick < filler_share:
            sampled.append([OUT_OF_GRAMMAR] * r.choice([1, 2, 3, 4, 6]))
        elif pick < filler_share + EMPTY_SHARE:
            sampled.append([])
        else:
            sampled.append(sampler.phrase(r).split())
    return sampled


def unigrams(sampled: Sequence[Sequence[str]]) -> tuple[dict[str, float], float]:
    """Return (the share of each word among all words, the share of the filler word)."""
    counts = Counter(word for sentence in sampled for word in sentence)
    total = counts.total()
    shares = {word: n / total for word, n in sorted(counts.items()) if word != OUT_OF_GRAMMAR}
    return shares, counts[OUT_OF_GRAMMAR] / total

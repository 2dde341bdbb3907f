"""Sentences sampled from the grammar: what the word graph is estimated from and the voices say.

The only module of the recipe that imports the program's sampler.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence

from cutmemo.language import sampler
from recipe.words import other_talk

OUT_OF_GRAMMAR = "[unk]"
"""The filler word: any speech that is no call."""
SENTENCES = 500_000
FILLER_SHARE = 0.06
"""Share of the sentences that are out of grammar."""
OTHER_TALK_SHARE = 0.10
"""Share of the sentences that are other people's numbers."""
EMPTY_SHARE = 0.05
"""Share of the sentences that are empty, so that noise need not be a word."""

phrase = sampler.phrase
length = sampler.length
shuffled = sampler.shuffled
vocabulary = sampler.vocabulary
phrases = sampler.phrases


def sentences(
    number: int = SENTENCES,
    filler_share: float = FILLER_SHARE,
    seed: int = 2,
    other_talk_share: float = OTHER_TALK_SHARE,
) -> list[list[str]]:
    """Return *number* sentences: calls as crews say them, some out of grammar, some empty.

    Other people's numbers stand as they are where the grammar has all of their words; a sentence
    with any other word is out of grammar as a whole, so that no call is heard as half of one.
    """
    r = random.Random(seed)
    known = frozenset(sampler.vocabulary())
    sampled: list[list[str]] = []
    for _ in range(number):
        pick = r.random()
        if pick < filler_share:
            sampled.append([OUT_OF_GRAMMAR] * r.choice([1, 2, 3, 4, 6]))
        elif pick < filler_share + EMPTY_SHARE:
            sampled.append([])
        elif pick < filler_share + EMPTY_SHARE + other_talk_share:
            words = other_talk.numbers(r).split()
            sampled.append(words if known.issuperset(words) else [OUT_OF_GRAMMAR] * len(words))
        else:
            sampled.append(sampler.phrase(r).split())
    return sampled


def unigrams(sampled: Sequence[Sequence[str]]) -> tuple[dict[str, float], float]:
    """Return (the share of each word among all words, the share of the filler word)."""
    counts = Counter(word for sentence in sampled for word in sentence)
    total = counts.total()
    shares = {word: n / total for word, n in sorted(counts.items()) if word != OUT_OF_GRAMMAR}
    return shares, counts[OUT_OF_GRAMMAR] / total

"""The graphs of the objective: all that could have been said, and what was said in one clip.

The denominator graph (all that could have been said) is what the decoder searches, with a word's
unigram share in place of its n-gram: silence or not, then a word of the grammar, or the filler word
(any string of phones at a cost a phone), and again. Every state emits one unit and loops on itself.
A state of a word has one state before it, or is entered from a node that emits nothing:

    ends      the end of any word
    next      a word may begin: after an end with no silence, or after silence
    inside    within the filler word

The numerator graph (what was said) is the same with the words known and every pronunciation side by
side.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from recipe.words.lexicon import PHONES, Lexicon
from recipe.words.units import INDEX, positioned

Array = npt.NDArray[np.generic]
SILENCE = 0
"""The state, and the unit, of silence."""
MOST_STATES = 1536
"""Of a denominator graph on a GPU; its kernel holds them in registers."""
FROM_ENDS, FROM_NEXT, FROM_INSIDE = -1, -2, -3
MAX_NEIGHBOURS = 5
"""How many states may come before or after one in a numerator graph."""
INSIDE_WORD, BEGINS, IS_SILENCE = 0, 1, 2
NO_NEIGHBOUR, BOUNDARY = -1, -2
"""Codes in ``before`` and ``after``: none, and the start or the end of the clip."""


@dataclass
class _Node:
    """A node of the prefix tree: what follows, by unit, and words that end, with their shares."""

    next: dict[str, _Node] = field(default_factory=dict)
    words: list[tuple[str, float]] = field(default_factory=list)


def _prefix_tree(lexicon: Lexicon, shares: Mapping[str, float]) -> _Node:
    tree = _Node()
    for word, share in shares.items():
        for phones in lexicon[word]:
            node, units = tree, positioned(phones)
            for unit in units[:-1]:
                node = node.next.setdefault(unit, _Node())
            node.words.append((units[-1], share))
    return tree


@dataclass(frozen=True)
class Priors:
    """What the objective holds of speech before it hears any."""

    shares: Mapping[str, float]
    """How often each word is said among all words."""
    filler_share: float
    filler_phone_cost: float
    silence: float
    """The probability of silence between words."""

    def cost(self, word: str, lexicon: Lexicon) -> float:
        """Return the log of the prior of *word*; one that no call has counts as the filler word."""
        if word in self.shares:
            return math.log(self.shares[word])
        return math.log(self.filler_share) - self.filler_phone_cost * len(lexicon[word][0])


@dataclass(frozen=True)
class DenominatorGraph:
    """Arrays of S states.

    ``unit`` is what each emits, ``source`` where it is entered from (a state, or a FROM_ code),
    ``weight`` the weight of entering and ``end`` that of ending a word there (0 where none ends);
    ``inside`` is 1 in the middle of the filler word. States that are entered from one state stand
    side by side: ``child`` is the first, ``children`` their number.
    """

    unit: Array
    source: Array
    weight: Array
    end: Array
    inside: Array
    child: Array
    children: Array
    silence: float

    @staticmethod
    def of(lexicon: Lexicon, priors: Priors) -> DenominatorGraph:
        """Return the graph of the words in ``priors.shares`` and the filler word."""
        rows: list[list[float]] = [[SILENCE, FROM_ENDS, priors.silence, 0, 0]]
        level = [(_prefix_tree(lexicon, priors.shares), FROM_NEXT)]
        while level:
            below = []
            for node, parent in level:
                rows += [[INDEX[unit], parent, 1, share, 0] for unit, share in node.words]
                for unit, following in node.next.items():
                    below.append((following, len(rows)))
                    rows.append([INDEX[unit], parent, 1, 0, 0])
            level = below
        cost = math.exp(-priors.filler_phone_cost)
        for phone in PHONES:
            rows += [
                [INDEX[f"{phone}_B"], FROM_NEXT, priors.filler_share * cost, 0, 1],
                [INDEX[f"{phone}_S"], FROM_NEXT, priors.filler_share * cost, 1, 0],
                [INDEX[f"{phone}_I"], FROM_INSIDE, cost, 0, 1],
                [INDEX[f"{phone}_E"], FROM_INSIDE, cost, 1, 0],
            ]
        return DenominatorGraph._of_rows(np.array(rows), priors.silence)

    @staticmethod
    def _of_rows(table: npt.NDArray[np.float64], silence: float) -> DenominatorGraph:
        unit, source = table[:, 0].astype(np.int32), table[:, 1].astype(np.int32)
        children = np.array([int((source == k).sum()) for k in range(len(table))], np.int32)
        child = [int(np.argmax(source == k)) if children[k] else 0 for k in range(len(table))]
        weight, end, inside = (table[:, k].astype(np.float32) for k in (2, 3, 4))
        return DenominatorGraph(
            unit, source, weight, end, inside, np.array(child, np.int32), children, silence
        )


@dataclass(frozen=True)
class NumeratorGraph:
    """Arrays of L states of one clip: unit, kind, and the states before and after.

    ``before`` and ``after`` are (L, MAX_NEIGHBOURS): states, NO_NEIGHBOUR, or BOUNDARY in the first
    column for the start or the end of the clip.
    """

    unit: Array
    kind: Array
    before: Array
    after: Array

    @staticmethod
    def of(words: Sequence[str], lexicon: Lexicon) -> NumeratorGraph:
        """Return the graph of *words*."""
        unit, kind = [SILENCE], [IS_SILENCE]
        before: list[list[int]] = [[BOUNDARY]]
        ends: list[int] = [BOUNDARY]
        for word in words:
            quiet, ended = len(unit) - 1, ends
            ends = []
            for phones in lexicon[word][: MAX_NEIGHBOURS - 1]:
                for place, name in enumerate(positioned(phones)):
                    before.append([len(unit) - 1] if place else [quiet, *ended])
                    kind.append(INSIDE_WORD if place else BEGINS)
                    unit.append(INDEX[name])
                ends.append(len(unit) - 1)
            unit.append(SILENCE)
            kind.append(IS_SILENCE)
            before.append(list(ends))
        after = _turned(before, {len(unit) - 1, *ends} - {BOUNDARY})
        codes = np.array(unit, np.int16), np.array(kind, np.int16)
        return NumeratorGraph(*codes, _filled(before), _filled(after))


def _turned(before: list[list[int]], last: set[int]) -> list[list[int]]:
    """Return the states after each, given those before; the clip may end after those in *last*."""
    after: list[list[int]] = [[] for _ in before]
    for state, earlier in enumerate(before):
        for each in earlier:
            if each >= 0:
                after[each].append(state)
    for each in last:
        after[each].insert(0, BOUNDARY)
    return after


def _filled(rows: list[list[int]]) -> Array:
    """Return *rows* as one array, BOUNDARY first, filled up with NO_NEIGHBOUR."""
    out = np.full((len(rows), MAX_NEIGHBOURS), NO_NEIGHBOUR, np.int16)
    for k, row in enumerate(rows):
        out[k, : len(row)] = sorted(row)
    return out

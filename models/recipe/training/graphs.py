"""The graphs of the objective: all that could have been said, and what was said in one clip.

All that could have been said is what the decoder searches, with a word's share in place of
its n-gram: silence or not, then a word of the grammar, or garbage (any string of phones at
a cost a phone), and again. Every state emits one unit and loops on itself. A state of a
word has one state before it, or is entered from a node that emits nothing:

    ends      the end of any word
    next      a word may begin: after an end with no silence, or after silence
    inside    within garbage

What was said is the same with the words known and every pronunciation side by side.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from lexicon import PHONES
from units import INDEX, placed

Book = Mapping[str, Sequence[Sequence[str]]]

SILENCE = 0
"""The state, and the unit, of silence."""
FROM_ENDS, FROM_NEXT, FROM_INSIDE = -1, -2, -3
MOST_BEFORE = 5
"""How many states may come before or after one in the graph of a clip."""
INSIDE_WORD, BEGINS, IS_SILENCE = 0, 1, 2


@dataclass(frozen=True)
class AllWords:
    """Arrays of S states: unit, where it is entered from (a state, or a FROM_ code), the weight of entering.

    ``end`` is the weight of ending a word there (0 where none ends); ``inside`` is 1 in the
    middle of garbage. States that are entered from one state stand side by side:
    ``child`` is the first, ``children`` their number.
    """

    unit: np.ndarray
    source: np.ndarray
    weight: np.ndarray
    end: np.ndarray
    inside: np.ndarray
    child: np.ndarray
    children: np.ndarray
    silence: float

    @staticmethod
    def of(book: Book, share: Mapping[str, float], garbage_share: float, silence: float, garbage_phone_cost: float) -> AllWords:
        """Return the graph of the words in *share* (how often each is said) and garbage."""
        rows: list[list[float]] = [[0, FROM_ENDS, silence, 0, 0]]
        tree: dict = {}
        for word, part in share.items():
            for phones in book[word]:
                node, units = tree, placed(phones)
                for unit in units[:-1]:
                    node = node.setdefault(unit, {})
                node.setdefault("words", []).append((units[-1], part))
        level = [(tree, FROM_NEXT)]
        while level:
            below = []
            for node, parent in level:
                for unit, part in node.get("words", ()):
                    rows.append([INDEX[unit], parent, 1, part, 0])
                for unit, following in node.items():
                    if unit != "words":
                        below.append((following, len(rows)))
                        rows.append([INDEX[unit], parent, 1, 0, 0])
            level = below
        cost = math.exp(-garbage_phone_cost)
        for phone in PHONES:
            rows += [
                [INDEX[f"{phone}_B"], FROM_NEXT, garbage_share * cost, 0, 1],
                [INDEX[f"{phone}_S"], FROM_NEXT, garbage_share * cost, 1, 0],
                [INDEX[f"{phone}_I"], FROM_INSIDE, cost, 0, 1],
                [INDEX[f"{phone}_E"], FROM_INSIDE, cost, 1, 0],
            ]
        table = np.array(rows)
        unit, source = table[:, 0].astype(np.int32), table[:, 1].astype(np.int32)
        children = np.array([int((source == k).sum()) for k in range(len(rows))], np.int32)
        child = np.array([int(np.argmax(source == k)) if children[k] else 0 for k in range(len(rows))], np.int32)
        return AllWords(unit, source, table[:, 2].astype(np.float32), table[:, 3].astype(np.float32), table[:, 4].astype(np.float32), child, children, silence)


@dataclass(frozen=True)
class Said:
    """Arrays of L states of one clip: unit, kind, the states before and after (L, MOST_BEFORE; -1 for none, -2 in the first column for the start or end)."""

    unit: np.ndarray
    kind: np.ndarray
    before: np.ndarray
    after: np.ndarray

    @staticmethod
    def of(words: Sequence[str], book: Book) -> Said:
        """Return the graph of *words*."""
        unit, kind = [SILENCE], [IS_SILENCE]
        before: list[list[int]] = [[-2]]
        ends: list[int] = [-2]
        for word in words:
            quiet, ended = len(unit) - 1, ends
            ends = []
            for phones in book[word][: MOST_BEFORE - 1]:
                for place, name in enumerate(placed(phones)):
                    before.append([len(unit) - 1] if place else [quiet, *ended])
                    kind.append(INSIDE_WORD if place else BEGINS)
                    unit.append(INDEX[name])
                ends.append(len(unit) - 1)
            unit.append(SILENCE)
            kind.append(IS_SILENCE)
            before.append(list(ends))
        after: list[list[int]] = [[] for _ in unit]
        for state, earlier in enumerate(before):
            for each in earlier:
                if each >= 0:
                    after[each].append(state)
        for each in {len(unit) - 1, *ends} - {-2}:
            after[each].insert(0, -2)

        def filled(rows: list[list[int]]) -> np.ndarray:
            out = np.full((len(rows), MOST_BEFORE), -1, np.int16)
            for k, row in enumerate(rows):
                start = sorted(row)  # -2 first
                out[k, : len(start)] = start
            return out

        return Said(np.array(unit, np.int16), np.array(kind, np.int16), filled(before), filled(after))


def grammar_share(sentences: Sequence[Sequence[str]], garbage: str) -> tuple[dict[str, float], float]:
    """Return (how often each word is said among all words, how often garbage is)."""
    counts: dict[str, int] = {}
    for sentence in sentences:
        for word in sentence:
            counts[word] = counts.get(word, 0) + 1
    total = sum(counts.values())
    return {word: n / total for word, n in sorted(counts.items()) if word != garbage}, counts.get(garbage, 0) / total

"""The pronunciation transducer HCLr.fst: from transition-ids to words.

A prefix tree over the pronunciations in Kaldi's chain topology (the forward arc first, then the
loop on the state it leads to). Words are numbered in the order in which the tree meets them, so
that the words that can be reached from a node form few intervals.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from recipe.graph.openfst import Arc, transducer, with_lookahead
from recipe.words.corpus import OUT_OF_GRAMMAR
from recipe.words.lexicon import PHONES, Lexicon
from recipe.words.units import INDEX, positioned


def phone_id(unit: str) -> int:
    """Return Kaldi's number of *unit*, from 1."""
    return INDEX[unit] + 1


def loop_id(unit: str) -> int:
    """Return the transition-id of staying in *unit*."""
    return 2 * INDEX[unit] + 1


def forward_id(unit: str) -> int:
    """Return the transition-id of the first frame of *unit*."""
    return 2 * INDEX[unit] + 2


@dataclass
class _Node:
    """A node of the prefix tree: what follows by unit, and the words that end on the next unit."""

    next: dict[str, _Node] = field(default_factory=dict)
    words: list[tuple[str, str]] = field(default_factory=list)


def _prefix_tree(lexicon: Lexicon) -> _Node:
    tree = _Node()
    for word in sorted(lexicon):
        for phones in lexicon[word]:
            units = positioned(phones)
            node = tree
            for unit in units[:-1]:
                node = node.next.setdefault(unit, _Node())
            node.words.append((word, units[-1]))
    return tree


class LexiconTransducer:
    """The transducer of a lexicon, silence between words, and the filler word."""

    def __init__(
        self,
        lexicon: Lexicon,
        silence: float,
        filler_phone_cost: float,
        common: Lexicon | None = None,
        common_word_cost: float = 0.0,
    ) -> None:
        """Make the transducer.

        *silence* is its probability between words; each phone of the filler word costs
        *filler_phone_cost*. The words in *common* are ways to say the filler word, each at
        *common_word_cost*, but for those that sound like a word of the *lexicon*.
        """
        self.labels: dict[str, int] = {}
        self._arcs: list[list[Arc]] = []
        self._reachable: list[set[int] | None] = []
        self._leaves: dict[str, int] = {}
        self._root = self._state(None)
        self._word_start = self._state(None)
        quiet = self._state(None)
        self._arcs[self._root] += [
            (0, 0, -math.log(1 - silence), self._word_start),
            (forward_id("SIL"), 0, -math.log(silence), quiet),
        ]
        self._arcs[quiet] += [(loop_id("SIL"), 0, 0.0, quiet), (0, 0, 0.0, self._word_start)]
        self._common_word_cost = common_word_cost
        taken = {tuple(phones) for said in lexicon.values() for phones in said}
        said_as = {tuple(phones) for said in (common or {}).values() for phones in said}
        other = sorted(said_as - taken)
        self._grow(_prefix_tree({**lexicon, OUT_OF_GRAMMAR: other}), self._word_start)
        self._add_filler(filler_phone_cost)

    def _state(self, reachable: set[int] | None) -> int:
        """Add a state from which the labels *reachable* can be reached, or all of them (None)."""
        self._arcs.append([])
        self._reachable.append(reachable)
        return len(self._arcs) - 1

    def _leaf(self, unit: str) -> int:
        """Return the state in which a word ends on *unit*."""
        if unit not in self._leaves:
            state = self._leaves[unit] = self._state(None)
            self._arcs[state] += [(loop_id(unit), 0, 0.0, state), (0, 0, 0.0, self._root)]
        return self._leaves[unit]

    def _grow(self, node: _Node, state: int) -> set[int]:
        reached = set()
        for word, unit in node.words:
            label = self.labels.setdefault(word, len(self.labels) + 1)
            cost = self._common_word_cost if word == OUT_OF_GRAMMAR else 0.0
            self._arcs[state].append((forward_id(unit), label, cost, self._leaf(unit)))
            reached.add(label)
        for unit, below in node.next.items():
            follow = self._state(set())
            self._arcs[state].append((forward_id(unit), 0, 0.0, follow))
            self._arcs[follow].append((loop_id(unit), 0, 0.0, follow))
            deeper = self._grow(below, follow)
            self._reachable[follow] = deeper
            reached |= deeper
        return reached

    def _add_filler(self, cost: float) -> None:
        """Add the filler word: any string of phones that is a word by its positions."""
        label = self.labels.setdefault(OUT_OF_GRAMMAR, len(self.labels) + 1)
        begin, inside = self._state(None), self._state(None)
        self._arcs[self._word_start].append((0, label, 0.0, begin))
        for phone in PHONES:
            for source, unit in ((begin, f"{phone}_B"), (inside, f"{phone}_I")):
                state = self._state(None)
                self._arcs[source].append((forward_id(unit), 0, cost, state))
                self._arcs[state] += [(loop_id(unit), 0, 0.0, state), (0, 0, 0.0, inside)]
            for source, unit in ((begin, f"{phone}_S"), (inside, f"{phone}_E")):
                self._arcs[source].append((forward_id(unit), 0, cost, self._leaf(unit)))

    def to_bytes(self) -> bytes:
        """Return HCLr.fst with its lookahead data."""
        final_label = len(self.labels) + 1
        every = set(range(1, final_label + 1))
        sets = [every if labels is None else labels for labels in self._reachable]
        inner = transducer(self._arcs, {self._word_start: 0.0}, self._root)
        return with_lookahead(inner, sets, final_label)

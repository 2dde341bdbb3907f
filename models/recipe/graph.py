"""Writes the decoding graph of a Vosk directory, HCLr.fst and Gr.fst, without OpenFst.

HCLr is a prefix tree over the pronunciations in Kaldi's chain topology (the forward arc
first, then the loop on the state it leads to). Words are numbered in the order the tree
meets them, so that the words to be reached from a node form few intervals: those are the
data of OpenFst's olabel_lookahead matcher. Gr is a back-off n-gram acceptor that carries
the symbol table; its back-off arcs are epsilons, as in the graphs Vosk makes at run time.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Mapping, Sequence
from pathlib import Path

from lexicon import PHONES
from units import PLACES, UNITS, placed

Arc = tuple[int, int, float, int]

MAGIC, ADDON, SYMBOLS = 2125659606, 446681434, 2125658996
EXPANDED, ACCEPTOR, NOT_ACCEPTOR, BY_INPUT, BY_OUTPUT = 0x1, 0x10000, 0x20000, 0x10000000, 0x40000000
NEVER = float("inf")
GARBAGE = "[unk]"


def phone_id(unit: str) -> int:
    return UNITS.index(unit) + 1


def loop_id(unit: str) -> int:
    return 2 * UNITS.index(unit) + 1


def forward_id(unit: str) -> int:
    return 2 * UNITS.index(unit) + 2


def _string(text: bytes) -> bytes:
    return struct.pack("<i", len(text)) + text


def _header(kind: bytes, version: int, flags: int, properties: int, start: int, states: int, arcs: int) -> bytes:
    return struct.pack("<i", MAGIC) + _string(kind) + _string(b"standard") + struct.pack("<iiQqqq", version, flags, properties, start, states, arcs)


def symbol_table(symbols: Sequence[tuple[str, int]]) -> bytes:
    out = struct.pack("<i", SYMBOLS) + _string(b"words") + struct.pack("<qq", max(i for _, i in symbols) + 1, len(symbols))
    for word, number in symbols:
        out += _string(word.encode()) + struct.pack("<q", number)
    return out


def const_fst(arcs: Sequence[Sequence[Arc]], final: Mapping[int, float], start: int, by: str, symbols: bytes = b"", acceptor: bool = False) -> bytes:
    """Return OpenFst's const format; *by* "i" or "o" says by which label the arcs are sorted."""
    states, packed, at = [], [], 0
    for number, leaving in enumerate(arcs):
        ordered = sorted(leaving, key=lambda a: (a[0], a[1]) if by == "i" else (a[1], a[0]))
        states.append(struct.pack("<fIIII", final.get(number, NEVER), at, len(ordered), sum(a[0] == 0 for a in ordered), sum(a[1] == 0 for a in ordered)))
        packed += [struct.pack("<iifi", *arc) for arc in ordered]
        at += len(ordered)
    properties = EXPANDED | (ACCEPTOR | BY_INPUT | BY_OUTPUT if acceptor else NOT_ACCEPTOR | (BY_INPUT if by == "i" else BY_OUTPUT))
    return _header(b"const", 2, 3 if symbols else 0, properties, start, len(arcs), at) + symbols * 2 + b"".join(states) + b"".join(packed)


class Tree:
    """The pronunciation tree as a transducer from transition-ids to words."""

    def __init__(self, book: Mapping[str, Sequence[Sequence[str]]], silence: float, garbage_phone_cost: float) -> None:
        """*silence* is how likely silence is between words; each phone of garbage costs *garbage_phone_cost*."""
        self.labels: dict[str, int] = {}
        self.arcs: list[list[Arc]] = []
        self.final: dict[int, float] = {}
        self.reach: list[set[int] | None] = []
        self._leaves: dict[str, int] = {}
        self.root = self._state(None)
        self._decided = self._state(None)
        quiet = self._state(None)
        self.arcs[self.root] += [(0, 0, -math.log(1 - silence), self._decided), (forward_id("SIL"), 0, -math.log(silence), quiet)]
        self.arcs[quiet] += [(loop_id("SIL"), 0, 0.0, quiet), (0, 0, 0.0, self._decided)]
        self.final[self._decided] = 0.0
        self._grow(self._prefixes(book), self._decided)
        self._garbage(garbage_phone_cost)
        every = set(range(1, len(self.labels) + 2))
        self.sets = [every if reached is None else reached for reached in self.reach]

    def _state(self, reached: set[int] | None) -> int:
        self.arcs.append([])
        self.reach.append(reached)
        return len(self.arcs) - 1

    @staticmethod
    def _prefixes(book: Mapping[str, Sequence[Sequence[str]]]) -> dict:
        tree: dict = {"next": {}, "words": []}
        for word in sorted(book):
            for phones in book[word]:
                units = placed(phones)
                node = tree
                for unit in units[:-1]:
                    node = node["next"].setdefault(unit, {"next": {}, "words": []})
                node["words"].append((word, units[-1]))
        return tree

    def _leaf(self, unit: str) -> int:
        if unit not in self._leaves:
            state = self._leaves[unit] = self._state(None)
            self.arcs[state] += [(loop_id(unit), 0, 0.0, state), (0, 0, 0.0, self.root)]
        return self._leaves[unit]

    def _grow(self, node: dict, state: int) -> set[int]:
        reached = set()
        for word, unit in node["words"]:
            label = self.labels.setdefault(word, len(self.labels) + 1)
            self.arcs[state].append((forward_id(unit), label, 0.0, self._leaf(unit)))
            reached.add(label)
        for unit, below in node["next"].items():
            follow = self._state(set())
            self.arcs[state].append((forward_id(unit), 0, 0.0, follow))
            self.arcs[follow].append((loop_id(unit), 0, 0.0, follow))
            deeper = self._grow(below, follow)
            self.reach[follow] = deeper
            reached |= deeper
        return reached

    def _garbage(self, cost: float) -> None:
        """[unk]: any string of phones that is a word by its places."""
        label = self.labels[GARBAGE] = len(self.labels) + 1
        begin, inside = self._state(None), self._state(None)
        self.arcs[self._decided].append((0, label, 0.0, begin))
        phones = PHONES
        for phone in phones:
            for source, place in ((begin, PLACES[0]), (inside, PLACES[2])):
                unit = f"{phone}_{place}"
                state = self._state(None)
                self.arcs[source].append((forward_id(unit), 0, cost, state))
                self.arcs[state] += [(loop_id(unit), 0, 0.0, state), (0, 0, 0.0, inside)]
            self.arcs[begin].append((forward_id(f"{phone}_S"), 0, cost, self._leaf(f"{phone}_S")))
            self.arcs[inside].append((forward_id(f"{phone}_E"), 0, cost, self._leaf(f"{phone}_E")))

    def to_bytes(self) -> bytes:
        """Return HCLr.fst with its lookahead data."""
        final_label = len(self.labels) + 1
        inner = const_fst(self.arcs, self.final, self.root, "o")
        out = [_header(b"olabel_lookahead", 1, 0, EXPANDED | NOT_ACCEPTOR | BY_OUTPUT, -1, 0, 0) + struct.pack("<i", ADDON) + inner,
               b"\1\0\1\0\0" + struct.pack("<iq", final_label, len(self.sets))]
        for labels in self.sets:
            spans = intervals(labels)
            out.append(struct.pack("<q", len(spans)) + b"".join(struct.pack("<ii", *span) for span in spans) + struct.pack("<i", len(labels)))
        return b"".join(out)


def intervals(labels: set[int]) -> list[tuple[int, int]]:
    """Return *labels* as half-open intervals."""
    out: list[list[int]] = []
    for label in sorted(labels):
        if out and out[-1][1] == label:
            out[-1][1] = label + 1
        else:
            out.append([label, label + 1])
    return [(low, high) for low, high in out]


class Ngrams:
    """A back-off n-gram of words, estimated by interpolated absolute discounting.

    Source: Ney, Essen, Kneser, On structuring probabilistic dependences in stochastic
    language modelling, Computer Speech and Language 8, 1994.
    """

    def __init__(self, sentences: Sequence[Sequence[str]], order: int = 4, discount: float = 0.6, least: int = 2) -> None:
        """*least* is how often an n-gram above two words has to be seen to be kept."""
        self.order = order
        counts: dict[tuple[str, ...], dict[str, int]] = {}
        for sentence in sentences:
            words = ["<s>", *sentence, "</s>"]
            for k in range(1, len(words)):
                for n in range(order):
                    if k - n < 0:
                        break
                    history = tuple(words[k - n : k])
                    follow = counts.setdefault(history, {})
                    follow[words[k]] = follow.get(words[k], 0) + 1
        self.probability: dict[tuple[str, ...], dict[str, float]] = {}
        self.backoff: dict[tuple[str, ...], float] = {}
        for history in sorted(counts, key=len):
            follow = counts[history]
            total = sum(follow.values())
            kept = {word: n for word, n in follow.items() if n >= least or len(history) < 2}
            if not kept:
                continue
            if not history:
                vocabulary = len(follow)
                self.probability[history] = {word: (n - discount) / total + discount * len(follow) / total / vocabulary for word, n in follow.items()}
                continue
            lower = history[1:]
            left = 1 - sum((n - discount) / total for n in kept.values())
            self.probability[history] = {word: (n - discount) / total + left * self.of(word, lower) for word, n in kept.items()}
            self.backoff[history] = left
        self.backoff[()] = 1.0

    def of(self, word: str, history: tuple[str, ...]) -> float:
        """Return the probability of *word* after *history*."""
        if word in self.probability.get(history, {}):
            return self.probability[history][word]
        if not history:
            return 0.0
        return self.backoff.get(history, 1.0) * self.of(word, history[1:])

    def to_bytes(self, labels: Mapping[str, int], scale: float = 1.0) -> bytes:
        """Return Gr.fst: one state a history, back-off arcs without a label."""
        states = {history: number for number, history in enumerate(self.probability)}

        def longest(history: tuple[str, ...]) -> int:
            while history not in states:
                history = history[1:]
            return states[history]

        arcs: list[list[Arc]] = [[] for _ in states]
        final: dict[int, float] = {}
        for history, number in states.items():
            for word, probability in self.probability[history].items():
                cost = -math.log(probability) * scale
                if word == "</s>":
                    final[number] = cost
                else:
                    follow = (*history, word)[-(self.order - 1) :]
                    arcs[number].append((labels[word], labels[word], cost, longest(follow)))
            if history:
                arcs[number].append((0, 0, -math.log(self.backoff[history]) * scale, longest(history[1:])))
        symbols = symbol_table([("<eps>", 0), *sorted(labels.items(), key=lambda item: item[1])])
        return const_fst(arcs, final, states[("<s>",)], "i", symbols, acceptor=True)


def write(folder: Path, tree: Tree, ngrams: Ngrams, scale: float = 1.0) -> None:
    """Write the graph folder of a Vosk model."""
    (folder / "phones").mkdir(parents=True, exist_ok=True)
    (folder / "HCLr.fst").write_bytes(tree.to_bytes())
    (folder / "Gr.fst").write_bytes(ngrams.to_bytes(tree.labels, scale))
    (folder / "disambig_tid.int").write_text(f"{2 * len(UNITS) + 1}\n")
    (folder / "phones.txt").write_text("<eps> 0\n" + "".join(f"{unit} {phone_id(unit)}\n" for unit in UNITS))
    kinds = {"B": "begin", "E": "end", "I": "internal", "S": "singleton"}
    (folder / "phones" / "word_boundary.int").write_text(
        "".join(f"{phone_id(unit)} {'nonword' if unit == 'SIL' else kinds[unit[-1]]}\n" for unit in UNITS)
    )

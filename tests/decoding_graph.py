"""Reads the two files of a decoding graph and searches them for a string of phones; shares no code with what writes them.

The format is OpenFst's const type, version 2, under its olabel_lookahead type, version 1. The
costs were compared with Vosk's own n-best list on an earlier graph: "four one two" 2.93 behind
the filler word, by both.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

INFINITY = float("inf")
RESCORING_WEIGHT = 0.9
"""Vosk weighs the costs of the graph by this in the likelihoods it reports."""


@dataclass(frozen=True)
class Fst:
    """States with their arcs (input label, output label, cost, next state) and final costs."""

    start: int
    final: tuple[float, ...]
    arcs: tuple[tuple[tuple[int, int, float, int], ...], ...]
    symbols: dict[int, str]


class _Reader:
    def __init__(self, data: bytes) -> None:
        self.data, self.at = data, 0

    def take(self, form: str) -> tuple[Any, ...]:
        size = struct.calcsize("<" + form)
        self.at += size
        return struct.unpack("<" + form, self.data[self.at - size : self.at])

    def text(self) -> str:
        (size,) = self.take("i")
        self.at += size
        return self.data[self.at - size : self.at].decode()

    def symbols(self) -> dict[int, str]:
        self.take("i")
        self.text()
        _, count = self.take("qq")
        return {
            number: word
            for word, (number,) in ((self.text(), self.take("q")) for _ in range(count))
        }


def read_fst(path: Path) -> Fst:
    """Return the transducer in *path*; of one with lookahead data, what it is laid over."""
    reader = _Reader(path.read_bytes())
    while True:
        reader.take("i")
        kind, _ = reader.text(), reader.text()
        _, flags, _, start, states, arcs = reader.take("iiQqqq")
        if kind == "const":
            break
        reader.take("i")  # the lookahead type keeps its inner transducer behind a mark
    tables = [reader.symbols() for bit in (1, 2) if flags & bit]
    rows = [reader.take("fIIII") for _ in range(states)]
    packed = list(struct.iter_unpack("<iifi", reader.data[reader.at : reader.at + 16 * arcs]))
    return Fst(
        start,
        tuple(row[0] for row in rows),
        tuple(tuple(packed[row[1] : row[1] + row[2]]) for row in rows),
        tables[0] if tables else {},
    )


Tokens = dict[tuple[int, int, tuple[int, ...]], float]
"""Hypotheses: the state in either file and the words so far, with their cost."""


class DecodingGraph:
    """The composition of HCLr.fst and Gr.fst, searched state by state."""

    def __init__(self, folder: Path) -> None:
        self._sounds, self._words = read_fst(folder / "HCLr.fst"), read_fst(folder / "Gr.fst")
        self.names = self._words.symbols
        self._follow = [{arc[0]: arc for arc in arcs if arc[0]} for arcs in self._words.arcs]
        self._backoff = [
            next(((arc[2], arc[3]) for arc in arcs if not arc[0]), None)
            for arcs in self._words.arcs
        ]
        lines = (line.split() for line in (folder / "phones.txt").read_text().splitlines())
        self._phones = {name: int(number) for name, number in lines}

    def _after(self, state: int, label: int) -> list[tuple[float, int]]:
        """Return every (cost, state) to which *label* leads, by back-off too."""
        found, cost, at = [], 0.0, state
        while True:
            arc = self._follow[at].get(label)
            if arc is not None:
                found.append((cost + arc[2], arc[3]))
            back = self._backoff[at]
            if back is None:
                return found
            cost, at = cost + back[0], back[1]

    def _ended(self, state: int) -> float:
        best, cost, at = INFINITY, 0.0, state
        while True:
            best = min(best, cost + self._words.final[at])
            back = self._backoff[at]
            if back is None:
                return best
            cost, at = cost + back[0], back[1]

    def search(
        self, phones: Sequence[str], beam: float = 14.0, most: int = 300
    ) -> dict[str, float]:
        """Return the words that the *phones*, with their positions, may be, each with its cost as Vosk reports it.

        *beam* bounds how far a hypothesis may be behind the best at any time.
        """
        now = self._closed({(self._sounds.start, self._words.start, ()): 0.0})
        for phone in phones:
            forward = (
                2 * self._phones[phone]
            )  # Kaldi's transition-id of entering a phone's only state
            entered: Tokens = {}
            for (sound, word, said), cost in now.items():
                for label, out, more, to in self._sounds.arcs[sound]:
                    if label == forward:
                        self._go(entered, to, word, said, out, cost + more)
            now = self._closed(self._pruned(entered, beam, most))
        found: dict[str, float] = {}
        for (sound, word, said), cost in now.items():
            total = cost + self._sounds.final[sound] + self._ended(word)
            text = " ".join(self.names[label] for label in said)
            if total < found.get(text, INFINITY):
                found[text] = total
        return {
            text: RESCORING_WEIGHT * cost
            for text, cost in sorted(found.items(), key=lambda item: item[1])
        }

    def _go(
        self, into: Tokens, sound: int, word: int, said: tuple[int, ...], out: int, cost: float
    ) -> None:
        for more, to in self._after(word, out) if out else ((0.0, word),):
            key = (sound, to, (*said, out) if out else said)
            if cost + more < into.get(key, INFINITY):
                into[key] = cost + more

    def _closed(self, tokens: Tokens) -> Tokens:
        """Return *tokens* and all that is reached from them without a sound."""
        waiting = list(tokens.items())
        while waiting:
            (sound, word, said), cost = waiting.pop()
            if tokens[sound, word, said] < cost:
                continue
            for label, out, more, to in self._sounds.arcs[sound]:
                if not label:
                    fresh: Tokens = {}
                    self._go(fresh, to, word, said, out, cost + more)
                    for key, value in fresh.items():
                        if value < tokens.get(key, INFINITY):
                            tokens[key] = value
                            waiting.append((key, value))
        return tokens

    @staticmethod
    def _pruned(tokens: Tokens, beam: float, most: int) -> Tokens:
        if not tokens:
            return tokens
        limit = min(tokens.values()) + beam
        kept = sorted(
            (item for item in tokens.items() if item[1] <= limit), key=lambda item: item[1]
        )[:most]
        return dict(kept)

    def said_as(self) -> dict[str, list[tuple[str, ...]]]:
        """Return the ways each word sounds, as phones with their positions; the garbage word's own loop is left out."""
        names = {2 * number: name for name, number in self._phones.items()}
        found: dict[str, list[tuple[str, ...]]] = {}
        begin = next(to for label, _, _, to in self._sounds.arcs[self._sounds.start] if not label)
        waiting: list[tuple[int, tuple[str, ...]]] = [(begin, ())]
        while waiting:
            state, phones = waiting.pop()
            for label, out, _, to in self._sounds.arcs[state]:
                if not label or to == state:
                    continue
                if out:
                    found.setdefault(self.names[out], []).append((*phones, names[label]))
                else:
                    waiting.append((to, (*phones, names[label])))
        return found

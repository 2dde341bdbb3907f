"""The clips a net is trained on and the numerator graphs of their texts, in a few long tensors.

A shard is an .npz of pcm, lens, text and voice; a pack is a .tsv (file, start, samples, speaker,
text, label) beside the Ogg Opus files that it names. Both hold 16 kHz mono.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import torch

from recipe.speech.shards import expand
from recipe.training.graphs import MAX_NEIGHBOURS, NumeratorGraph, Priors
from recipe.training.held_out import checked
from recipe.training.lfmmi import NumeratorBatch
from recipe.words.lexicon import Lexicon

RATE = 16000
MIN_SAMPLES = 3000
UNIT_SAMPLES = 480
"""A unit takes one output frame of 30 ms at least."""


def on_device(values: Sequence[Any], device: str) -> torch.Tensor:
    """Return *values* as a tensor on *device*, without waiting for the work queued there."""
    tensor = torch.tensor(values)
    return tensor if device == "cpu" else tensor.pin_memory().to(device, non_blocking=True)


@dataclass(frozen=True)
class Clip:
    """One utterance: where it starts, how many samples, which text (its number), who says it."""

    start: int
    samples: int
    text: int
    speaker: str


class NumeratorGraphs:
    """The numerator graphs of all texts, end to end."""

    def __init__(self, lexicon: Lexicon, priors: Priors, device: str) -> None:
        """Start with the empty text alone."""
        self._lexicon, self._priors, self._device = lexicon, priors, device
        self._number: dict[str, int] = {}
        self._new: list[NumeratorGraph] = []
        self._starts: list[int] = []
        self.counts: list[int] = []
        """The states of each text."""
        self._log_priors: list[float] = []
        self._end = 0
        empty = torch.zeros(0, dtype=torch.int16, device=device)
        neighbours = empty.view(0, 1).expand(0, MAX_NEIGHBOURS)
        self._flat = [empty, empty, neighbours, neighbours]
        self.silent = self.number("")

    def number(self, text: str) -> int:
        """Return the number of *text*, whose words all have a pronunciation."""
        if text not in self._number:
            words = text.split()
            graph = NumeratorGraph.of(words, self._lexicon)
            self._number[text] = len(self._starts)
            self._starts.append(self._end)
            self.counts.append(len(graph.unit))
            self._log_priors.append(sum(self._priors.cost(word, self._lexicon) for word in words))
            self._end += len(graph.unit)
            self._new.append(graph)
        return self._number[text]

    def settle(self) -> None:
        """Send what is new to the device."""
        if self._new:
            names = ("unit", "kind", "before", "after")
            parts = [
                np.concatenate([getattr(graph, name) for graph in self._new]) for name in names
            ]
            self._flat = [
                torch.cat([old, torch.from_numpy(new).to(self._device)])
                for old, new in zip(self._flat, parts, strict=True)
            ]
            self._new = []
        self._start = torch.tensor(self._starts, device=self._device)
        self._count = torch.tensor(self.counts, device=self._device)
        self._log_prior = torch.tensor(self._log_priors, dtype=torch.float, device=self._device)

    def batch(self, numbers: Sequence[int]) -> NumeratorBatch:
        """Return the graphs of some texts, filled up to the longest."""
        longest = max(self.counts[number] for number in numbers)
        which = on_device(numbers, self._device)
        count = self._count[which]
        at = torch.arange(longest, device=self._device)[None]
        inside = at < count[:, None]
        index = torch.where(inside, self._start[which][:, None] + at, 0)
        unit, kind, before, after = (flat[index] for flat in self._flat)
        before, after = (torch.where(inside[..., None], each, -1) for each in (before, after))
        return NumeratorBatch(unit, kind, before, after, count, self._log_prior[which])


def _decoded(path: Path) -> npt.NDArray[np.int16]:
    import soundfile

    sound: npt.NDArray[np.int16] = soundfile.read(str(path), dtype="int16")[0]
    return sound


class Dataset:
    """All clips, their sound in one long tensor."""

    def __init__(
        self,
        lexicon: Lexicon,
        graphs: NumeratorGraphs,
        max_seconds: float,
        max_states: int,
        device: str,
    ) -> None:
        """Start empty.

        Clips longer than *max_seconds*, or with more than *max_states* in the graph of their text,
        will be left out.
        """
        self._lexicon, self.graphs, self._device = lexicon, graphs, device
        self._max_seconds, self._max_states = max_seconds, max_states
        self.clips: list[Clip] = []
        self.left_out = 0
        self.pcm = torch.zeros(0, dtype=torch.int16, device=device)
        self._sounds: list[torch.Tensor] = []
        self._end = 0
        self._taken: set[Path] = set()

    def add(self, source: Path, times: int = 1) -> None:
        """Take in a shard, a pack or a folder of shards, each clip *times* over.

        Call :meth:`settle` after the last.
        """
        for file in expand(source):
            if file not in self._taken:
                self._taken.add(file)
                (self._add_shard if file.suffix == ".npz" else self._add_pack)(file, times)

    def grow(self, folder: Path) -> None:
        """Take in the shards that are new in *folder*."""
        self.add(folder)
        self.settle()

    def settle(self) -> None:
        """Send what is new to the device."""
        self.pcm = torch.cat([self.pcm, *(sound.to(self._device) for sound in self._sounds)])
        self._sounds = []
        self.graphs.settle()

    def hours(self) -> float:
        """Return how long all clips are, those taken more than once counted so often."""
        return sum(clip.samples for clip in self.clips) / RATE / 3600

    def _take(self, sound: npt.NDArray[np.int16]) -> int:
        start = self._end
        self._sounds.append(torch.from_numpy(sound))
        self._end += len(sound)
        return start

    def _fits(self, words: Sequence[str], samples: int) -> bool:
        """Return whether a clip of *words* is long enough for them, and not too long."""
        if not words or any(word not in self._lexicon for word in words):
            return False
        units = sum(min(len(phones) for phones in self._lexicon[word]) for word in words)
        if not MIN_SAMPLES < samples < self._max_seconds * RATE:
            return False
        return samples / UNIT_SAMPLES >= units * 0.8 + 1

    def _clip(self, clip: tuple[int, int], text: str, speaker: str, times: int) -> None:
        """Keep *clip* (its start and its samples), or count it as left out."""
        words = text.split()
        if self._fits(words, clip[1]):
            number = self.graphs.number(" ".join(words))
            if self.graphs.counts[number] <= self._max_states:
                self.clips += [Clip(*clip, number, checked(speaker))] * times
                return
        self.left_out += 1

    def _add_shard(self, source: Path, times: int) -> None:
        with np.load(source) as shard:
            start = self._take(shard["pcm"])
            rows = list(zip(shard["lens"], shard["text"], shard["voice"], strict=True))
        for samples, text, voice in rows:
            self._clip((start, int(samples)), str(text), str(voice), times)
            start += int(samples)

    def _add_pack(self, source: Path, times: int) -> None:
        with source.open(encoding="utf-8") as lines:
            rows = list(csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE))
        names = sorted({row["file"] for row in rows})
        with ThreadPoolExecutor() as pool:
            sounds = pool.map(_decoded, [source.parent / name for name in names])
            starts = {name: self._take(sound) for name, sound in zip(names, sounds, strict=True)}
        for row in rows:
            clip = starts[row["file"]] + int(row["start"]), int(row["samples"])
            self._clip(clip, row["text"], row["speaker"], times)

"""The clips a net is trained on, and the graphs of what they say, in a few long tensors on the GPU.

A pack is a .tsv (file, start, samples, speaker, text, label) beside the Ogg Opus files it
names, 16 kHz mono, or an .npz of pcm, lens, text and voice.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import mmi
import numpy as np
import torch
from word_graph import MOST_BEFORE, Book, Said


def sent(values: Sequence[object], device: str) -> torch.Tensor:
    """Return *values* as a tensor on *device*, without waiting until what is queued there is done."""
    tensor = torch.tensor(values)
    return tensor if device == "cpu" else tensor.pin_memory().to(device, non_blocking=True)


@dataclass(frozen=True)
class Clip:
    """Where it starts, how many samples, which text (its number), who says it."""

    start: int
    samples: int
    text: int
    speaker: str


class Texts:
    """The graphs of all texts, end to end."""

    def __init__(self, book: Book, share: Mapping[str, float], garbage_share: float, garbage_phone_cost: float, device: str) -> None:
        self._book, self._share, self._garbage = book, share, (garbage_share, garbage_phone_cost)
        self._number: dict[str, int] = {}
        self._new: list[Said] = []
        self._starts, self.counts, self._constants = [], [], []  # type: ignore[var-annotated]
        self._at = 0
        empty = torch.zeros(0, dtype=torch.int16, device=device)
        self._flat = [empty, empty, empty.view(0, 1).expand(0, MOST_BEFORE), empty.view(0, 1).expand(0, MOST_BEFORE)]
        self._device = device
        self.silent = self.number("")

    def number(self, text: str) -> int:
        """Return the number of *text*, whose words all have a pronunciation."""
        if text not in self._number:
            words = text.split()
            said = Said.of(words, self._book)
            self._number[text] = len(self._starts)
            self._starts.append(self._at)
            self.counts.append(len(said.unit))
            self._constants.append(sum(self._cost(word) for word in words))
            self._at += len(said.unit)
            self._new.append(said)
        return self._number[text]

    def _cost(self, word: str) -> float:
        if word in self._share:
            return math.log(self._share[word])
        share, phone = self._garbage
        return math.log(share) - phone * len(self._book[word][0])

    def settle(self) -> None:
        """Send what is new to the device."""
        if self._new:
            parts = [np.concatenate([getattr(said, name) for said in self._new]) for name in ("unit", "kind", "before", "after")]
            self._flat = [torch.cat([old, torch.from_numpy(new).to(self._device)]) for old, new in zip(self._flat, parts, strict=True)]
            self._new = []
        self._start = torch.tensor(self._starts, device=self._device)
        self._count = torch.tensor(self.counts, device=self._device)
        self._constant = torch.tensor(self._constants, dtype=torch.float, device=self._device)

    def of(self, numbers: Sequence[int]) -> tuple[mmi.Spoken, torch.Tensor]:
        """Return (the graphs of some texts, the log of the shares of their words)."""
        longest = max(self.counts[number] for number in numbers)
        which = sent(numbers, self._device)
        count = self._count[which]
        at = torch.arange(longest, device=self._device)[None]
        inside = at < count[:, None]
        index = torch.where(inside, self._start[which][:, None] + at, 0)
        unit, kind, before, after = (flat[index] for flat in self._flat)
        return mmi.Spoken(unit, kind, torch.where(inside[..., None], before, -1), torch.where(inside[..., None], after, -1), count), self._constant[which]


def _decoded(path: Path) -> np.ndarray:
    import soundfile

    return soundfile.read(str(path), dtype="int16")[0]


class Clips:
    """All clips, their sound in one long tensor."""

    def __init__(self, book: Book, texts: Texts, longest: float, most_states: int, device: str) -> None:
        """Clips longer than *longest* seconds, or with more than *most_states* in the graph of their text, are left out."""
        self.book, self.texts, self.longest, self.most_states, self.device = book, texts, longest, most_states, device
        self.items: list[Clip] = []
        self.left_out = 0
        self.pcm = torch.zeros(0, dtype=torch.int16, device=device)
        self._sounds: list[torch.Tensor] = []
        self._at = 0
        self._taken: set[Path] = set()

    def add(self, pack: Path, times: int = 1) -> None:
        """Take in one pack; call :meth:`settle` after the last."""
        if pack not in self._taken:
            self._taken.add(pack)
            (self._add_npz if pack.suffix == ".npz" else self._add_tsv)(pack, times)

    def grow(self, folder: Path) -> None:
        """Take in what is new in *folder*."""
        for pack in sorted(folder.glob("*.npz")):
            if not pack.name.endswith(".part.npz"):
                self.add(pack)
        self.settle()

    def settle(self) -> None:
        self.pcm = torch.cat([self.pcm, *(sound.to(self.device) for sound in self._sounds)])
        self._sounds = []
        self.texts.settle()

    def hours(self) -> float:
        return sum(item.samples for item in self.items) / 16000 / 3600

    def _take(self, sound: np.ndarray) -> int:
        at = self._at
        self._sounds.append(torch.from_numpy(sound))
        self._at += len(sound)
        return at

    def _clip(self, at: int, samples: int, text: str, speaker: str, times: int) -> None:
        words = text.split()
        known = bool(words) and all(word in self.book for word in words)
        shortest = sum(min(len(said) for said in self.book[word]) for word in words) if known else 0
        if known and 3000 < samples < self.longest * 16000 and samples / 480 >= shortest * 0.8 + 1:
            number = self.texts.number(" ".join(words))
            if self.texts.counts[number] <= self.most_states:
                self.items += [Clip(at, samples, number, speaker)] * times
                return
        self.left_out += 1

    def _add_npz(self, pack: Path, times: int) -> None:
        whole = np.load(pack)
        at = self._take(whole["pcm"])
        for samples, text, voice in zip(whole["lens"], whole["text"], whole["voice"], strict=True):
            self._clip(at, int(samples), str(text), str(voice), times)
            at += int(samples)

    def _add_tsv(self, pack: Path, times: int) -> None:
        with pack.open(encoding="utf-8") as lines:
            rows = list(csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE))
        names = sorted({row["file"] for row in rows})
        with ThreadPoolExecutor() as pool:
            files = {name: self._take(sound) for name, sound in zip(names, pool.map(_decoded, [pack.parent / name for name in names]), strict=True)}
        for row in rows:
            self._clip(files[row["file"]] + int(row["start"]), int(row["samples"]), row["text"], row["speaker"], times)

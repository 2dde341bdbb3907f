"""Batches to train on: clips of a like length, augmented, as features and numerator graphs."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import torch
from torch.nn import functional as F

from recipe.training.augment import NoiseAugmenter
from recipe.training.dataset import RATE, Clip, Dataset, on_device
from recipe.training.features import HOP, WINDOW, Mfcc
from recipe.training.lfmmi import NumeratorBatch
from recipe.training.recordings import Recordings

WARPS = (0.85, 0.89, 0.93, 0.97, 1.0, 1.03, 1.07, 1.11, 1.15)
"""Warps of the filter bank (vocal tract length perturbation)."""
SPEEDS = (0.8, 0.87, 0.93, 1.0, 1.0, 1.0, 1.08, 1.17, 1.28, 1.4)
SILENT_SHARE = 0.06
"""Share of the clips whose sound is left out, so that noise is learnt as silence."""
MAX_PADDING = 9000
VALIDATION_PADDING = (4000, 8000)
"""Samples before and after a clip."""
LENGTH_STEP = 8000
MIN_BATCH = 8
VOICES, VOICE_SECONDS = 96, 20
"""The stretches of speech from which babble is made."""


@dataclass(frozen=True)
class Batch:
    """Features (B, T, 40), the output frames of each row (B,), and what is said."""

    features: torch.Tensor
    frames: torch.Tensor
    said: NumeratorBatch


class Batches:
    """Draws batches from a dataset; one seed gives one run."""

    def __init__(
        self,
        dataset: Dataset,
        device: str,
        seed: int,
        rank: int = 0,
        recordings: Recordings | None = None,
    ) -> None:
        """Draw by *seed*; each *rank* of several processes draws other numbers.

        *recordings* are mixed in beside what is made by rule.
        """
        self._dataset, self._device = dataset, device
        self.random = random.Random(seed + 1000 * rank)
        self._augmenter = NoiseAugmenter(device, seed + 1 + 1000 * rank, recordings)
        self._mfcc = Mfcc(WARPS).to(device)
        self._voices = torch.zeros(VOICES, VOICE_SECONDS * RATE, device=device)

    def draw_voices(self, clips: Sequence[Clip]) -> None:
        """Lay *clips* end to end anew, as the voices of babble."""
        for row in self._voices:
            at = 0
            row[:] = 0
            while at < len(row) - RATE // 2:
                clip = self.random.choice(clips)
                samples = min(clip.samples, len(row) - at)
                sound = self._dataset.pcm[clip.start : clip.start + samples].float()
                row[at : at + samples] = sound / (sound.pow(2).mean().sqrt() + 1) * 1000
                at += samples

    def epoch(self, clips: Sequence[Clip], batch_seconds: float) -> list[list[Clip]]:
        """Return *clips* in batches of a like length, *batch_seconds* of sound each, shuffled."""
        ordered = sorted(clips, key=lambda clip: clip.samples * self.random.uniform(0.9, 1.1))
        out, k = [], 0
        while k < len(ordered):
            longest = ordered[min(k + 80, len(ordered) - 1)].samples + MAX_PADDING
            size = max(MIN_BATCH, int(batch_seconds * RATE / longest))
            out.append(ordered[k : k + size])
            k += size
        self.random.shuffle(out)
        return out

    def training(self, clips: Sequence[Clip], difficulty: float) -> Batch:
        """Return *clips* augmented; *difficulty* is that of :class:`NoiseAugmenter`."""
        paddings = [
            (self.random.randint(0, MAX_PADDING), self.random.randint(0, MAX_PADDING))
            for _ in clips
        ]
        speed = self.random.choice(SPEEDS)
        silent = [self.random.random() < SILENT_SHARE for _ in clips]
        said = self._said(clips, silent)
        wave, length = self._waves(clips, paddings, silent)
        if speed != 1.0:
            shorter = max(1600, int(wave.shape[1] / speed) // 1600 * 1600)
            wave = F.interpolate(wave[:, None], shorter, mode="linear", align_corners=False)[:, 0]
            length = (length / speed).long().clamp(max=shorter)
        wave = self._augmenter.augment(wave, length, self._voices, difficulty)
        bank = torch.randint(len(WARPS), (len(clips),), device=self._device)
        return self._batch(self._mfcc(wave, bank, masks=2), length, said)

    def validation(self, clips: Sequence[Clip], difficulty: float) -> Batch:
        """Return *clips* as they are, in noise where *difficulty* is above 0."""
        said = self._said(clips, [False] * len(clips))
        wave, length = self._waves(clips, [VALIDATION_PADDING] * len(clips), [False] * len(clips))
        if difficulty:
            wave = self._augmenter.augment(wave, length, self._voices, difficulty)
        bank = torch.full((len(clips),), WARPS.index(1.0), device=self._device)
        return self._batch(self._mfcc(wave, bank), length, said)

    def _said(self, clips: Sequence[Clip], silent: Sequence[bool]) -> NumeratorBatch:
        graphs = self._dataset.graphs
        return graphs.batch(
            [
                graphs.silent if quiet else clip.text
                for clip, quiet in zip(clips, silent, strict=True)
            ]
        )

    def _waves(
        self, clips: Sequence[Clip], paddings: Sequence[tuple[int, int]], silent: Sequence[bool]
    ) -> tuple[torch.Tensor, torch.Tensor]:
        """Return (the sound of *clips* with their *paddings*, its lengths)."""
        rows = [
            (clip.start, 0 if quiet else clip.samples, padding[0], clip.samples + sum(padding))
            for clip, quiet, padding in zip(clips, silent, paddings, strict=True)
        ]
        longest = -(-max(row[3] for row in rows) // LENGTH_STEP) * LENGTH_STEP
        begin, size, lead, length = on_device(rows, self._device).T
        at = torch.arange(longest, device=self._device)[None] - lead[:, None]
        pcm = self._dataset.pcm
        sound = pcm[(begin[:, None] + at).clamp(0, len(pcm) - 1)].float()
        return sound * ((at >= 0) & (at < size[:, None])), length

    @staticmethod
    def _batch(features: torch.Tensor, length: torch.Tensor, said: NumeratorBatch) -> Batch:
        frames = ((length - WINDOW) // HOP + 1).clamp(max=features.shape[1])
        return Batch(features, (frames + 2) // 3, said)

"""Trains the acoustic net on shards and packs; ``python -m recipe train --help`` lists the options.

``PACK:3`` counts each of its clips three times (oversampled). A clip with a word that has no
pronunciation is left out. With several GPUs: ``torchrun --nproc-per-node GPUS -m recipe train …``.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import torch
from torch import nn

from recipe.training.batches import Batch, Batches
from recipe.training.dataset import Clip, Dataset, NumeratorGraphs
from recipe.training.graphs import MOST_STATES, DenominatorGraph, Priors
from recipe.training.layers import BOTTLENECK, WIDTH
from recipe.training.lfmmi import Denominator, LfMmi, Objective, negative_log_posterior
from recipe.training.local_sgd import LocalSgd
from recipe.training.recordings import Recordings
from recipe.training.schedule import Schedule
from recipe.training.tdnn import Tdnn, Weights
from recipe.words.units import OUTPUTS
from recipe.words.vocabulary import Vocabulary

VALIDATION_VOICES = ("am_liam", "bf_emma", "af_kore")
"""Synthetic voices kept for validation."""
SILENCE = 0.3
"""The probability of silence between words, in the objective as in the graph that decodes."""
FILLER_PHONE_COST = 3.0
"""In the objective; the graph that decodes has a cost of its own (recipe.graph.build)."""
MAX_STATES = 256
"""A text with a longer graph leaves its clip out."""
AVERAGE_FROM = 0.85
"""The progress from which on the weights are averaged (exponential moving average)."""
AVERAGE_SHARE = 0.005
GROW_SECONDS = 45
MAX_NORM = 2.0
DOUBTFUL = 0.105
"""−log of nine in ten: a clip whose −log posterior is greater is doubtful."""


class Trainer:
    """A net with its optimiser, the average of its last weights, and how far it has come."""

    def __init__(
        self, net: Tdnn, denominator: Denominator, schedule: Schedule, device: str
    ) -> None:
        """Train *net* on *device* against *denominator*."""
        self.net, self._denominator, self.schedule = net, denominator, schedule
        self._cuda = device.startswith("cuda")
        weights = [p for p in net.parameters() if p.dim() > 1]
        biases = [p for p in net.parameters() if p.dim() <= 1]
        groups = [
            {"params": weights, "weight_decay": 0.02},
            {"params": biases, "weight_decay": 0.0},
        ]
        self.optimiser = torch.optim.AdamW(
            groups, lr=schedule.rate, betas=(0.9, 0.98), fused=self._cuda
        )
        self.averaged: Weights | None = None
        self.steps = 0

    def restore(self, state: dict[str, Any]) -> None:
        """Go on from what :meth:`state` returned."""
        self.net.load_state_dict(state["net"])
        self.optimiser.load_state_dict(state["optimiser"])
        self.averaged, self.steps = state["averaged"], state["step"]

    def state(self, seconds: float) -> dict[str, Any]:
        """Return all that the next piece of this training needs, *seconds* of it done."""
        return {
            "net": self.net.state_dict(),
            "optimiser": self.optimiser.state_dict(),
            "averaged": self.averaged,
            "step": self.steps,
            "seconds": seconds,
        }

    def _outputs(
        self, batch: Batch, drop: float
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        with torch.autocast("cuda", torch.bfloat16, enabled=self._cuda):
            y, aux = self.net(batch.features, drop)
        return y.float(), aux.float(), batch.frames.clamp(max=y.shape[1])

    def step(self, batch: Batch, progress: float) -> torch.Tensor:
        """Take one step; return the loss.

        Raises :class:`ArithmeticError` where the gradient is not finite.
        """
        schedule = self.schedule
        for group in self.optimiser.param_groups:
            group["lr"] = schedule.rate_at(self.steps, progress)
        y, aux, frames = self._outputs(batch, schedule.dropout_at(progress))
        objective = Objective(batch.said, self._denominator, schedule.boost_at(progress))
        value, posterior, total = LfMmi.apply(y, frames, objective)
        cross_entropy = -(posterior * aux.log_softmax(-1)).sum() / total
        loss = value + 0.1 * cross_entropy + 1e-4 * y.pow(2).mean()
        self.optimiser.zero_grad(set_to_none=True)
        loss.backward()
        norm = nn.utils.clip_grad_norm_(self.net.parameters(), MAX_NORM)
        if self.steps % 20 == 0 and not torch.isfinite(norm):
            raise ArithmeticError(f"step {self.steps}: the gradient is {norm}, the loss {value}")
        self.optimiser.step()
        self.steps += 1
        if progress > AVERAGE_FROM:
            self._average()
        return value.detach()

    def _average(self) -> None:
        weights = self.net.state_dict()
        if self.averaged is None:
            self.averaged = {name: weight.float().clone() for name, weight in weights.items()}
        for name, weight in weights.items():
            self.averaged[name].lerp_(weight.float(), AVERAGE_SHARE)

    def use_average(self) -> None:
        """Put the average of the last weights in place of the last."""
        if self.averaged is not None:
            kinds = {name: weight.dtype for name, weight in self.net.state_dict().items()}
            self.net.load_state_dict({n: w.to(kinds[n]) for n, w in self.averaged.items()})

    @torch.no_grad()
    def validate(self, batches: Batches, clips: Sequence[Clip], difficulty: float) -> str:
        """Return the mean −log posterior of what was said, and the share of doubtful clips."""
        self.net.eval()
        found = [torch.zeros(1)]
        ordered = sorted(clips, key=lambda clip: clip.samples)
        for k in range(0, len(ordered), 80):
            batch = batches.validation(ordered[k : k + 80], difficulty)
            y, _, frames = self._outputs(batch, 0.0)
            each = negative_log_posterior(y, frames, batch.said, self._denominator)
            found.append(each.cpu())
        self.net.train()
        each = torch.cat(found[1:] or found)
        return f"{each.clamp(max=50).mean():.3f}/{100 * (each > DOUBTFUL).float().mean():.1f}%"


class Speakers:
    """The clips to train on, and those of the voices kept for validation."""

    def __init__(self, dataset: Dataset, max_validation: int) -> None:
        """Keep at most about *max_validation* clips for validation."""
        self._dataset, self._max = dataset, max_validation
        self.training: list[Clip] = []
        self.validation: list[Clip] = []
        self.split()

    def split(self, folder: Path | None = None) -> None:
        """Take in what is new in *folder*, and split anew."""
        if folder:
            self._dataset.grow(folder)
        kept = [
            any(name in clip.speaker for name in VALIDATION_VOICES) for clip in self._dataset.clips
        ]
        pairs = list(zip(self._dataset.clips, kept, strict=True))
        validation = [clip for clip, keep in pairs if keep]
        self.validation = validation[:: max(1, len(validation) // self._max)]
        self.training = [clip for clip, keep in pairs if not keep]
        dataset = self._dataset
        print(
            f"{len(dataset.clips)} clips, {dataset.hours():.2f} h, {dataset.left_out} left out",
            flush=True,
        )


class Progress:
    """How far a training has come, by the clock or by its steps."""

    def __init__(self, given: argparse.Namespace, state: dict[str, Any] | None) -> None:
        """Start the clock."""
        self._limit, self._steps = given.seconds, given.steps
        self._total = given.total or given.seconds
        self.earlier = state["seconds"] if state else given.earlier
        self._begun = time.monotonic()
        self.spent = 0.0
        self.done = 0.0

    def elapsed(self) -> float:
        """Return how long this piece has run."""
        return time.monotonic() - self._begun

    def at(self, step: int, spent: float | None) -> bool:
        """Note that *step* is reached after *spent* seconds; return whether to go on."""
        self.spent = self.spent if spent is None else spent
        self.done = (self.earlier + self.spent) / self._total
        if self._steps:
            self.done = max(self.done, step / self._steps)
        return self.spent < self._limit and self.done < 1


def _parser() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(prog="recipe train", description=main.__doc__)
    add = options.add_argument
    add("sources", nargs="+", help=".npz, .tsv or a folder of .npz; PACK:3: three times")
    add("--out", type=Path, required=True)
    add("--vocabulary", type=Path, required=True)
    add("--seconds", type=float, default=math.inf, help="how long this piece takes")
    add("--steps", type=int, help="end after so many steps")
    add("--total", type=float, help="how long all pieces take together")
    add("--state", type=Path, help="where the pieces hand on to each other")
    add("--grow", type=Path, help="a folder where shards may still appear")
    add("--init", type=Path, nargs="+", help="a net to go on from, in one file or several")
    add("--earlier", type=float, default=0.0, help="seconds of --total that net has had")
    add("--width", type=int, default=WIDTH)
    add("--bottleneck", type=int, default=BOTTLENECK)
    add("--boost", type=float, default=Schedule.boost)
    add("--rate", type=float, default=Schedule.rate)
    add("--batch-seconds", type=float, default=600)
    add("--difficulty", type=float, nargs=2, default=Schedule.difficulty, help="of the noise")
    add("--noises", type=Path, nargs="*", default=[], help="packs of recorded noise")
    add("--rooms", type=Path, nargs="*", default=[], help="packs of impulse responses")
    add("--seed", type=int, default=0)
    add("--max-seconds", type=float, default=12.5, help="longer clips are left out")
    add("--check", action="store_true", help="compare the CUDA kernels with the reference first")
    add("--threads", type=int, default=2, help="of the CPU")
    add("--device", default="cuda")
    return options


def _load_net(given: argparse.Namespace, device: str) -> Tdnn:
    net = Tdnn(OUTPUTS, given.width, given.bottleneck).to(device)
    if given.init:
        weights: Weights = {}
        for file in given.init:
            weights |= torch.load(file, map_location=device)
        net.load_state_dict(weights)
    return net


def _load_data(
    given: argparse.Namespace, priors: Priors, vocabulary: Vocabulary, device: str
) -> Dataset:
    graphs = NumeratorGraphs(vocabulary.pronunciations, priors, device)
    dataset = Dataset(vocabulary.pronunciations, graphs, given.max_seconds, MAX_STATES, device)
    for source in given.sources:
        name, _, times = source.partition(":")
        dataset.add(Path(name), int(times or 1))
    dataset.settle()
    return dataset


class Run:
    """One piece of a training, from its options to the net it writes."""

    def __init__(self, given: argparse.Namespace) -> None:
        """Load clips, graphs and net."""
        self._given = given
        self._sgd = LocalSgd(given.device)
        device = self._sgd.device
        self._cuda = given.device == "cuda"
        torch.manual_seed(self._sgd.rank)
        torch.set_float32_matmul_precision("highest")
        torch.set_num_threads(given.threads)
        vocabulary = Vocabulary.read(given.vocabulary)
        priors = Priors(vocabulary.shares, vocabulary.filler_share, FILLER_PHONE_COST, SILENCE)
        graph = DenominatorGraph.of(vocabulary.pronunciations, priors)
        if self._cuda and len(graph.unit) > MOST_STATES:
            raise SystemExit(
                f"the words of the grammar take {len(graph.unit)} states, a GPU holds"
                f" {MOST_STATES}: make the vocabulary with a greater --rarest"
            )
        print(len(graph.unit), "states in the denominator", flush=True)
        dataset = _load_data(given, priors, vocabulary, device)
        self._speakers = Speakers(dataset, 320 if self._cuda else 100)
        denominator = Denominator.of(graph, device)
        if given.check:
            self._check(dataset, denominator)
        schedule = Schedule(given.rate, given.boost, tuple(given.difficulty), not given.init)
        net = _load_net(given, device)
        print(sum(p.numel() for p in net.parameters()), "parameters", flush=True)
        self._trainer = Trainer(net, denominator, schedule, device)
        found = given.state and given.state.exists()
        state = torch.load(given.state, map_location=device) if found else None
        if state:
            self._trainer.restore(state)
        self._sgd.broadcast(net)
        recordings = Recordings.read(given.noises, given.rooms, device)
        self._batches = Batches(dataset, device, given.seed, self._sgd.rank, recordings)
        self._batches.draw_voices(self._speakers.training)
        self._progress = Progress(given, state)
        self._running = math.nan

    def _check(self, dataset: Dataset, denominator: Denominator) -> None:
        from recipe.training import lfmmi_cuda

        clips = self._speakers.training
        texts = [clip.text for clip in clips[:: max(1, len(clips) // 12)]]
        lfmmi_cuda.check(denominator, dataset.graphs.batch(texts), OUTPUTS)

    def _report(self, loss: torch.Tensor) -> None:
        """Print now and then how it goes, and save what there is."""
        step, often = self._trainer.steps, 500 if self._cuda else 50
        if step % 25 == 0:
            value = loss.item()
            self._running = (
                value if math.isnan(self._running) else 0.9 * self._running + 0.1 * value
            )
        if self._sgd.first and step % often == 0:
            head = f"{step} {self._progress.elapsed():.0f} s, loss {self._running:.4f}"
            print(f"{head}, {self._losses()}", flush=True)
        if step % (4 * often) == 0:
            self._batches.draw_voices(self._speakers.training)
            if self._sgd.first:
                torch.save(self._trainer.net.state_dict(), self._given.out.with_suffix(".part"))

    def _losses(self) -> str:
        validate, clips = self._trainer.validate, self._speakers.validation
        return (
            f"clean {validate(self._batches, clips, 0)} noisy {validate(self._batches, clips, 1.0)}"
        )

    def _go_on(self) -> bool:
        step = self._trainer.steps
        spent = self._sgd.average(self._trainer.net, step, self._progress.elapsed())
        return self._progress.at(step, spent)

    def train(self) -> None:
        """Train until the time is up or the steps are done."""
        grown = time.monotonic()
        while self._progress.at(self._trainer.steps, None):
            if self._given.grow and time.monotonic() - grown > GROW_SECONDS:
                self._speakers.split(self._given.grow)
                grown = time.monotonic()
            for clips in self._batches.epoch(self._speakers.training, self._given.batch_seconds):
                if not self._go_on():
                    break
                difficulty = self._trainer.schedule.difficulty_at(self._progress.done)
                batch = self._batches.training(clips, difficulty)
                self._report(self._trainer.step(batch, self._progress.done))

    def save(self) -> None:
        """Write the net, and the state for the next piece."""
        if self._sgd.first:
            if self._given.state:
                seconds = self._progress.earlier + self._progress.spent
                torch.save(self._trainer.state(seconds), self._given.state)
            self._trainer.use_average()
            weights = {name: w.cpu() for name, w in self._trainer.net.state_dict().items()}
            torch.save(weights, self._given.out)
            print(f"done: {self._trainer.steps} steps, {self._losses()}", flush=True)
        self._sgd.leave()


def main(arguments: Sequence[str] | None = None) -> None:
    """Train the acoustic net on one GPU, on several (torchrun), or slowly on a CPU."""
    given = _parser().parse_args(arguments)
    if given.steps is None and math.isinf(given.seconds):
        raise SystemExit("say how long: --seconds or --steps")
    run = Run(given)
    run.train()
    run.save()

"""Lattice-free maximum mutual information over the words of the grammar.

y is (B, T, 2U): for every unit the forward and the loop output. The denominator is all that could
have been said (:class:`recipe.training.graphs.DenominatorGraph`), the numerator what was said.
Boosted, a unit counts for more in the denominator where it is not what was said, so that a wrong
word has to be beaten by a margin.
Sources: Povey et al., Purely sequence-trained neural networks for ASR based on lattice-free MMI,
Interspeech 2016; Hadian et al., End-to-end speech recognition using lattice-free MMI, Interspeech
2018 (flat start); Povey et al., Boosted MMI for model and feature-space discriminative training,
ICASSP 2008.

This is the reference version, in logarithms and with PyTorch's own gradients. On a GPU
``lfmmi_cuda`` computes the same.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import torch

from recipe.training.graphs import (
    BEGINS,
    BOUNDARY,
    FROM_ENDS,
    FROM_INSIDE,
    FROM_NEXT,
    IS_SILENCE,
    NO_NEIGHBOUR,
    SILENCE,
    Array,
    DenominatorGraph,
    NumeratorGraph,
    Priors,
)
from recipe.words.lexicon import Lexicon
from recipe.words.units import OUTPUTS

LOG_ZERO = -1e30
IMPOSSIBLE = -1e20
"""A log-probability below this is of an utterance too short for its words."""
FLOOR = -50.0
"""An output further below the best of its frame counts as this.

Below it the backward pass leaves a float's range.
"""


@dataclass(frozen=True)
class Denominator:
    """A :class:`DenominatorGraph` as tensors of one device."""

    unit: torch.Tensor
    source: torch.Tensor
    weight: torch.Tensor
    end: torch.Tensor
    inside: torch.Tensor
    child: torch.Tensor
    children: torch.Tensor
    silence: float

    @staticmethod
    def of(graph: DenominatorGraph, device: str | torch.device) -> Denominator:
        """Put *graph* on *device*."""

        def put(array: Array) -> torch.Tensor:
            return torch.as_tensor(array).to(device)

        return Denominator(
            put(graph.unit),
            put(graph.source),
            put(graph.weight),
            put(graph.end),
            put(graph.inside),
            put(graph.child),
            put(graph.children),
            graph.silence,
        )


@dataclass(frozen=True)
class NumeratorBatch:
    """The :class:`NumeratorGraph` of B clips, filled up to the longest.

    Unit and kind are (B, L), before and after (B, L, MAX_NEIGHBOURS), count (B,); ``log_prior``
    (B,) is the log of the shares of the words.
    """

    unit: torch.Tensor
    kind: torch.Tensor
    before: torch.Tensor
    after: torch.Tensor
    count: torch.Tensor
    log_prior: torch.Tensor


def denominator(y: torch.Tensor, lengths: torch.Tensor, graph: Denominator) -> torch.Tensor:
    """Return the log-probability of all strings (B,)."""
    top = y.amax(-1, keepdim=True).detach()
    y = torch.maximum(y, top + FLOOR)
    unit, source = graph.unit.long(), graph.source.long()
    first, again = y[..., 2 * unit], y[..., 2 * unit + 1]
    weight, end, inside = graph.weight.log(), graph.end.log(), graph.inside.log()
    straight = math.log(1 - graph.silence)
    B, T, _ = first.shape
    zero = torch.zeros(B, 1, device=y.device)
    nodes = {FROM_ENDS: zero, FROM_NEXT: zero + straight, FROM_INSIDE: zero + LOG_ZERO}
    now = torch.full((B, len(unit)), LOG_ZERO, device=y.device)
    for t in range(T):
        entered = now[:, source.clamp(min=0)]
        for code, mass in nodes.items():
            entered = torch.where(source == code, mass, entered)
        entered = entered + weight + first[:, t]
        new = torch.logaddexp(now + again[:, t], entered).clamp(min=LOG_ZERO)
        now = torch.where((t < lengths)[:, None], new, now)
        ends = (now + end).logsumexp(1, keepdim=True)
        nodes = {
            FROM_ENDS: ends,
            FROM_NEXT: torch.logaddexp(ends + straight, now[:, SILENCE : SILENCE + 1]),
            FROM_INSIDE: (now + inside).logsumexp(1, keepdim=True),
        }
    return torch.logaddexp(nodes[FROM_ENDS][:, 0], now[:, SILENCE])


def _entry_weights(said: NumeratorBatch, silence: float) -> torch.Tensor:
    """Return the log of the weight of entering each state from each state before it."""
    kind, before = said.kind.long(), said.before.long()
    silent_before = kind.gather(1, before.clamp(min=0).flatten(1)).view_as(before) == IS_SILENCE
    silent_before &= before >= 0
    weight = torch.zeros_like(before, dtype=torch.float)
    weight[(kind == IS_SILENCE)[..., None].expand_as(before)] = math.log(silence)
    weight[((kind == BEGINS)[..., None] & ~silent_before)] = math.log(1 - silence)
    return weight


def numerator(
    y: torch.Tensor, lengths: torch.Tensor, said: NumeratorBatch, silence: float
) -> torch.Tensor:
    """Return the log-probability of what was said (B,), without the shares of its words."""
    B, T, _ = y.shape
    L = said.unit.shape[1]
    before = said.before.long()
    index = (2 * said.unit.long())[:, None].expand(B, T, L)
    first, again = y.gather(2, index), y.gather(2, index + 1)
    there = torch.arange(L, device=y.device)[None] < said.count[:, None]
    weight = _entry_weights(said, silence)
    zero = torch.full((B, L), LOG_ZERO, device=y.device)
    now = zero
    begun = torch.where((before == BOUNDARY).any(-1), torch.zeros_like(now), zero)
    for t in range(T):
        earlier = now.gather(1, before.clamp(min=0).flatten(1)).view(before.shape)
        start = (begun if t == 0 else zero)[..., None].expand_as(earlier)
        earlier = torch.where(before == BOUNDARY, start, earlier)
        earlier = torch.where(before == NO_NEIGHBOUR, zero[..., None].expand_as(earlier), earlier)
        entered = (earlier + weight).logsumexp(-1) + first[:, t]
        new = torch.where(there, torch.logaddexp(now + again[:, t], entered), zero)
        now = torch.where((t < lengths)[:, None], new.clamp(min=LOG_ZERO), now)
    ends = (said.after == BOUNDARY).any(-1) & there
    return torch.where(ends, now, zero).logsumexp(1)


def with_gradient(
    score: Callable[[torch.Tensor], torch.Tensor], y: torch.Tensor
) -> tuple[torch.Tensor, torch.Tensor]:
    """Return (score of y, its gradient by y)."""
    with torch.enable_grad():
        y = y.detach().requires_grad_()
        total = score(y)
        (gradient,) = torch.autograd.grad(total.sum(), y)
    return total.detach(), gradient


def _numerator(
    y: torch.Tensor, lengths: torch.Tensor, said: NumeratorBatch, silence: float
) -> tuple[torch.Tensor, torch.Tensor]:
    if y.is_cuda:
        from recipe.training import lfmmi_cuda

        return lfmmi_cuda.numerator(y, lengths, said, silence)
    return with_gradient(lambda x: numerator(x, lengths, said, silence), y)


def _denominator(
    y: torch.Tensor, lengths: torch.Tensor, graph: Denominator
) -> tuple[torch.Tensor, torch.Tensor]:
    if y.is_cuda:
        from recipe.training import lfmmi_cuda

        return lfmmi_cuda.denominator(y, lengths, graph)
    return with_gradient(lambda x: denominator(x, lengths, graph), y)


def negative_log_posterior(
    y: torch.Tensor, lengths: torch.Tensor, said: NumeratorBatch, graph: Denominator
) -> torch.Tensor:
    """Return −log of the posterior probability of what was said (B,)."""
    every, _ = _denominator(y, lengths, graph)
    right, _ = _numerator(y, lengths, said, graph.silence)
    return every - right - said.log_prior


@dataclass(frozen=True)
class Objective:
    """What was said, against all that could have been."""

    said: NumeratorBatch
    graph: Denominator
    boost: float
    """By how much a wrong unit has to be beaten in each frame."""


class LfMmi(torch.autograd.Function):
    """Mean of (denominator − numerator) per frame over the utterances that can be what they say.

    ``apply`` takes y, lengths and the objective. It returns the loss, the posterior of each output
    in the numerator (B, T, 2U), and the number of frames.
    """

    @staticmethod
    def forward(
        ctx: Any, y: torch.Tensor, lengths: torch.Tensor, objective: Objective
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        """Compute the loss and keep its gradient."""
        said, graph, boost = objective.said, objective.graph, objective.boost
        y = y.detach().float()
        right, right_gradient = _numerator(y, lengths, said, graph.silence)
        boosted = y
        if boost:
            posterior = right_gradient[..., 0::2] + right_gradient[..., 1::2]
            boosted = y - boost * posterior.repeat_interleave(2, -1)
        every, gradient = _denominator(boosted, lengths, graph)
        fits = (right > IMPOSSIBLE) & torch.isfinite(every)
        frames = (lengths * fits).sum().clamp(min=1)
        use, none = fits[:, None, None], torch.zeros((), device=y.device)
        ctx.save_for_backward(torch.where(use, gradient - right_gradient, none) / frames)
        loss = torch.where(fits, every - right - said.log_prior, none).sum() / frames
        return loss, torch.where(use, right_gradient, none), frames

    @staticmethod
    def backward(ctx: Any, *gradients: Any) -> tuple[torch.Tensor | None, ...]:
        """Return the gradient by y; nothing else has one."""
        return ctx.saved_tensors[0] * gradients[0], None, None


def batch_of(texts: Sequence[Sequence[str]], lexicon: Lexicon, priors: Priors) -> NumeratorBatch:
    """Return the numerator batch of *texts* that all have as many states."""
    graphs = [NumeratorGraph.of(words, lexicon) for words in texts]

    def stacked(name: str) -> torch.Tensor:
        return torch.stack([torch.from_numpy(getattr(graph, name)) for graph in graphs])

    count = torch.tensor([len(graph.unit) for graph in graphs])
    priors_of = [sum((priors.cost(word, lexicon) for word in words), 0.0) for words in texts]
    parts = stacked("unit"), stacked("kind"), stacked("before"), stacked("after")
    return NumeratorBatch(*parts, count, torch.tensor(priors_of))


def disagreement(frames: int = 7, max_words: int = 3) -> float:
    """Return how far the denominator of a small vocabulary is from the sum over its strings."""
    lexicon: Lexicon = {"one": [("W", "AH", "N")], "two": [("T", "UW")]}
    priors = Priors({"one": 0.4, "two": 0.6}, 0.0, 3.0, 0.3)
    graph = Denominator.of(DenominatorGraph.of(lexicon, priors), "cpu")
    torch.manual_seed(0)
    y, lengths = torch.randn(1, frames, OUTPUTS), torch.tensor([frames])
    scores = []
    for number in range(max_words + 1):
        for words in itertools.product(lexicon, repeat=number):
            said = batch_of([words], lexicon, priors)
            scores.append(numerator(y, lengths, said, graph.silence) + said.log_prior)
    every = torch.stack(scores).logsumexp(0)
    return (every - denominator(y, lengths, graph)).abs().item()


def main(arguments: Sequence[str] | None = None) -> None:
    """Check that the denominator is the sum of all that could have been said."""
    del arguments
    off = disagreement()
    print(f"off by {off:.1e}")
    if off > 1e-4:
        raise SystemExit("the denominator is not the sum of all that could have been said")

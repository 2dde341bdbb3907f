"""Lattice-free maximum mutual information over the words of the grammar.

y is (B, T, 2U): for every unit the outputs "first frame" and "goes on". The denominator
is all that could have been said (:class:`word_graph.AllWords`), the numerator what was
said. Boosted, a unit counts for more in the denominator where it is not what was said, so
that a wrong word has to be beaten by a margin.
Sources: Povey et al., Purely sequence-trained neural networks for ASR based on lattice-free
MMI, Interspeech 2016; Hadian et al., End-to-end speech recognition using lattice-free MMI,
Interspeech 2018 (flat start); Povey et al., Boosted MMI for model and feature-space
discriminative training, ICASSP 2008.

This is the plain version, in logarithms and with PyTorch's own gradients. On a GPU
mmi_cuda.py computes the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import torch
from word_graph import BEGINS, FROM_ENDS, FROM_INSIDE, FROM_NEXT, IS_SILENCE, SILENCE, AllWords

NEG = -1e30
FLOOR = -50.0
"""An output this far under the best of its frame counts as this: below it the backward pass runs out of range."""


@dataclass(frozen=True)
class Everything:
    """:class:`AllWords` as tensors of one device."""

    unit: torch.Tensor
    source: torch.Tensor
    weight: torch.Tensor
    end: torch.Tensor
    inside: torch.Tensor
    child: torch.Tensor
    children: torch.Tensor
    silence: float

    @staticmethod
    def of(words: AllWords, device: str | torch.device) -> Everything:
        def put(array: object) -> torch.Tensor:
            return torch.as_tensor(array).to(device)

        return Everything(put(words.unit), put(words.source), put(words.weight), put(words.end), put(words.inside), put(words.child), put(words.children), words.silence)


@dataclass(frozen=True)
class Spoken:
    """:class:`Said` of B clips, filled up to the longest: unit and kind (B, L), before and after (B, L, MOST_BEFORE), count (B,)."""

    unit: torch.Tensor
    kind: torch.Tensor
    before: torch.Tensor
    after: torch.Tensor
    count: torch.Tensor


def denominator(y: torch.Tensor, lengths: torch.Tensor, graph: Everything) -> torch.Tensor:
    """Return the log-probability of all strings (B,)."""
    top = y.amax(-1, keepdim=True).detach()
    y = torch.maximum(y, top + FLOOR)
    unit = graph.unit.long()
    first, again = y[..., 2 * unit], y[..., 2 * unit + 1]
    weight, end, inside = graph.weight.log(), graph.end.log(), graph.inside.log()
    source = graph.source.long()
    B, T, _ = first.shape
    zero = torch.zeros(B, 1, device=y.device)
    nodes = {FROM_ENDS: zero, FROM_NEXT: zero + math.log(1 - graph.silence), FROM_INSIDE: zero + NEG}
    now = torch.full((B, len(unit)), NEG, device=y.device)
    for t in range(T):
        entered = now[:, source.clamp(min=0)]
        for code, mass in nodes.items():
            entered = torch.where(source == code, mass, entered)
        new = torch.logaddexp(now + again[:, t], entered + weight + first[:, t]).clamp(min=NEG)
        now = torch.where((t < lengths)[:, None], new, now)
        ends = (now + end).logsumexp(1, keepdim=True)
        nodes = {
            FROM_ENDS: ends,
            FROM_NEXT: torch.logaddexp(ends + math.log(1 - graph.silence), now[:, SILENCE : SILENCE + 1]),
            FROM_INSIDE: (now + inside).logsumexp(1, keepdim=True),
        }
    return torch.logaddexp(nodes[FROM_ENDS][:, 0], now[:, SILENCE])


def numerator(y: torch.Tensor, lengths: torch.Tensor, said: Spoken, silence: float) -> torch.Tensor:
    """Return the log-probability of what was said (B,), without the shares of its words."""
    B, T, _ = y.shape
    L = said.unit.shape[1]
    unit, kind, before = said.unit.long(), said.kind.long(), said.before.long()
    index = (2 * unit)[:, None].expand(B, T, L)
    first, again = y.gather(2, index), y.gather(2, index + 1)
    there = torch.arange(L, device=y.device)[None] < said.count[:, None]
    silent_before = kind.gather(1, before.clamp(min=0).flatten(1)).view_as(before) == IS_SILENCE
    silent_before &= before >= 0
    weight = torch.zeros_like(before, dtype=torch.float)
    weight[(kind == IS_SILENCE)[..., None].expand_as(before)] = math.log(silence)
    weight[((kind == BEGINS)[..., None] & ~silent_before)] = math.log(1 - silence)
    now = torch.full((B, L), NEG, device=y.device)
    begun = torch.where((before == -2).any(-1), torch.zeros_like(now), now)
    for t in range(T):
        earlier = now.gather(1, before.clamp(min=0).flatten(1)).view(before.shape)
        start = begun[..., None] if t == 0 else torch.full_like(begun, NEG)[..., None]
        earlier = torch.where(before == -1, torch.full_like(earlier, NEG), torch.where(before == -2, start.expand_as(earlier), earlier))
        entered = (earlier + weight).logsumexp(-1) + first[:, t]
        new = torch.where(there, torch.logaddexp(now + again[:, t], entered), torch.full_like(now, NEG)).clamp(min=NEG)
        now = torch.where((t < lengths)[:, None], new, now)
    ends = (said.after == -2).any(-1) & there
    return torch.where(ends, now, torch.full_like(now, NEG)).logsumexp(1)


def slopes(score, y: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:  # type: ignore[no-untyped-def]
    """Return (score of y, its gradient by y)."""
    with torch.enable_grad():
        y = y.detach().requires_grad_()
        total = score(y)
        (slope,) = torch.autograd.grad(total.sum(), y)
    return total.detach(), slope


def _numerator(y: torch.Tensor, lengths: torch.Tensor, said: Spoken, silence: float) -> tuple[torch.Tensor, torch.Tensor]:
    if y.is_cuda:
        import mmi_cuda

        return mmi_cuda.numerator(y, lengths, said, silence)
    return slopes(lambda x: numerator(x, lengths, said, silence), y)


def _denominator(y: torch.Tensor, lengths: torch.Tensor, graph: Everything) -> tuple[torch.Tensor, torch.Tensor]:
    if y.is_cuda:
        import mmi_cuda

        return mmi_cuda.denominator(y, lengths, graph)
    return slopes(lambda x: denominator(x, lengths, graph), y)


def surprise(y: torch.Tensor, lengths: torch.Tensor, said: Spoken, graph: Everything, constant: torch.Tensor) -> torch.Tensor:
    """Return −log of the probability of what was said (B,); *constant* is the log of the shares of its words."""
    return _denominator(y, lengths, graph)[0] - _numerator(y, lengths, said, graph.silence)[0] - constant


class MmiLoss(torch.autograd.Function):
    """Mean of (denominator − numerator) per frame over the utterances that can be what they say.

    Forward takes y, lengths, clips, graph, constant (B,) the log of the shares of the words said, and boost.
    It returns the loss, where each frame lies in the numerator (B, T, 2U), and the number of frames.
    """

    @staticmethod
    def forward(ctx, y, lengths, said, graph, constant, boost):  # type: ignore[no-untyped-def]
        y = y.detach().float()
        num, slope_num = _numerator(y, lengths, said, graph.silence)
        boosted = y
        if boost:
            share = slope_num[..., 0::2] + slope_num[..., 1::2]
            boosted = y - boost * share.repeat_interleave(2, -1)
        den, slope_den = _denominator(boosted, lengths, graph)
        fits = (num > -1e20) & torch.isfinite(den)
        frames = (lengths * fits).sum().clamp(min=1)
        use, none = fits[:, None, None], torch.zeros((), device=y.device)
        ctx.save_for_backward(torch.where(use, slope_den - slope_num, none) / frames)
        return torch.where(fits, den - num - constant, none).sum() / frames, torch.where(use, slope_num, none), frames

    @staticmethod
    def backward(ctx, grad, _posterior, _frames):  # type: ignore[no-untyped-def]
        return ctx.saved_tensors[0] * grad, None, None, None, None, None




def agree() -> None:
    """Add up every string of a small vocabulary, one by one; raises where it is not the denominator."""
    import itertools

    from word_graph import Said

    book, share = {"one": [("W", "AH", "N")], "two": [("T", "UW")]}, {"one": 0.4, "two": 0.6}
    graph = Everything.of(AllWords.of(book, share, 0.0, 0.3, 3.0), "cpu")
    torch.manual_seed(0)
    y, lengths = torch.randn(1, 7, 2 * 157), torch.tensor([7])
    one_by_one = []
    for words in (words for number in range(4) for words in itertools.product(book, repeat=number)):
        said = Said.of(words, book)
        unit, kind, before, after = (torch.from_numpy(part)[None] for part in (said.unit, said.kind, said.before, said.after))
        clip = Spoken(unit, kind, before, after, torch.tensor([len(said.unit)]))
        one_by_one.append(numerator(y, lengths, clip, graph.silence) + sum(math.log(share[word]) for word in words))
    off = (torch.stack(one_by_one).logsumexp(0) - denominator(y, lengths, graph)).abs().item()
    print(f"off by {off:.1e}")
    if off > 1e-4:
        raise SystemExit("the denominator is not the sum of all that could have been said")


if __name__ == "__main__":
    agree()

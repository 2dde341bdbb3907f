"""The acoustic net: a factored time-delay net whose every layer has a direct twin in Kaldi's nnet3.

Tensors are (B, T, C). Splicing is a concatenation of shifted views, so that all the work
is plain matrix products.
"""

from __future__ import annotations

import torch
from torch import nn
from torch.nn import functional as F

EPS = 1e-3
WIDE, NARROW = 1024, 208
"""Units of a layer, and of its bottleneck."""
SPLICE = 2
"""Frames on either side that the first layer sees."""
FINE = ((1, 1),)
"""Steps back and forward of the layers at 10 ms, in frames of 10 ms."""
COARSE = ((1, 1), (1, 1), (2, 1), (2, 1), (3, 1), (3, 1), (3, 2), (4, 2), (5, 2), (6, 2))
"""The same of the layers at 30 ms, in frames of 30 ms: far back for the voice and the noise, little forward, which is waiting."""


def normed(layer: nn.BatchNorm1d, x: torch.Tensor) -> torch.Tensor:
    """Return *x* normalised over batch and time."""
    return layer(x.reshape(-1, x.shape[-1])).view_as(x)


def shifted(x: torch.Tensor, frames: int) -> torch.Tensor:
    """Return *x* later by so many frames (sooner where negative), with nothing where nothing is known."""
    return F.pad(x[:, :-frames], (0, 0, frames, 0)) if frames > 0 else F.pad(x[:, -frames:], (0, 0, 0, -frames))


class Factored(nn.Module):
    """Linear to a bottleneck over (t−back, t), affine back over (t, t+ahead), ReLU, batch norm, plus 0.66 of its input."""

    def __init__(self, wide: int, narrow: int, back: int, ahead: int) -> None:
        super().__init__()
        self.back, self.ahead = back, ahead
        self.lin = nn.Linear(2 * wide, narrow, bias=False)
        self.aff = nn.Linear(2 * narrow, wide)
        self.bn = nn.BatchNorm1d(wide, eps=EPS, affine=False)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        both = F.linear(x, torch.cat(self.lin.weight.chunk(2, 1)))
        earlier, now = both.chunk(2, -1)
        y = now + shifted(earlier, self.back)
        y = self.aff(torch.cat([y, shifted(y, -self.ahead)], -1))
        return torch.add(normed(self.bn, F.relu(y)), x, alpha=0.66)


class Net(nn.Module):
    """Features (B, T, 40) to outputs (B, ceil(T/3), outputs); a second head for cross-entropy is used in training only."""

    def __init__(self, outputs: int, wide: int = WIDE, narrow: int = NARROW, bins: int = 40) -> None:
        super().__init__()
        self.inbn = nn.BatchNorm1d(bins, eps=EPS, affine=False)
        self.first = nn.Linear((2 * SPLICE + 1) * bins, wide)
        self.first_bn = nn.BatchNorm1d(wide, eps=EPS, affine=False)
        self.fine = nn.ModuleList(Factored(wide, narrow, *steps) for steps in FINE)
        self.coarse = nn.ModuleList(Factored(wide, narrow, *steps) for steps in COARSE)
        self.out = nn.Linear(wide, outputs)
        self.aux = nn.Linear(wide, outputs)
        self.fine_back = sum(back for back, _ in FINE)
        self.back = SPLICE + self.fine_back + 3 * sum(back for back, _ in COARSE)
        self.ahead = SPLICE + sum(ahead for _, ahead in FINE) + 3 * sum(ahead for _, ahead in COARSE)

    def hidden(self, features: torch.Tensor, drop: float = 0.0) -> torch.Tensor:
        x = torch.cat([features[:, :1].expand(-1, self.back, -1), features, features[:, -1:].expand(-1, self.ahead, -1)], 1)
        x = normed(self.inbn, x)
        frames = x.shape[1] - 2 * SPLICE
        x = torch.cat([x[:, k : k + frames] for k in range(2 * SPLICE + 1)], -1)

        x = normed(self.first_bn, F.relu(self.first(x)))
        kept = None
        if drop:
            kept = (1 + drop * (2 * torch.rand(1 + len(FINE) + len(COARSE), len(x), 1, x.shape[2], device=x.device) - 1)).to(x.dtype).unbind()
            x = x * kept[0]
        for k, layer in enumerate([*self.fine, *self.coarse]):
            if k == len(FINE):
                x = x[:, self.fine_back :: 3]
            x = layer(x)
            if kept:
                x = x * kept[1 + k]
        first = (self.back - SPLICE - self.fine_back) // 3
        return x[:, first : first + -(-features.shape[1] // 3)]

    def forward(self, features: torch.Tensor, drop: float = 0.0) -> tuple[torch.Tensor, torch.Tensor]:
        h = self.hidden(features, drop)
        return self.out(h), self.aux(h)

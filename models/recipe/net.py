"""The acoustic net: a factored time-delay net whose every layer has a direct twin in Kaldi's nnet3.

Tensors are (B, T, C). Splicing is a concatenation of shifted views, so that all the work
is plain matrix products.
"""

from __future__ import annotations

import torch
from torch import nn
from torch.nn import functional as F

EPS = 1e-3
SPLICE = 2
"""Frames on either side that the first layer sees."""
FINE = (1, 1, 1)
"""Time steps of the layers at 10 ms, in frames of 10 ms."""
COARSE = (1, 1, 1, 2, 2, 2, 2)
"""Time steps of the layers at 30 ms, in frames of 30 ms."""


def normed(layer: nn.BatchNorm1d, x: torch.Tensor) -> torch.Tensor:
    """Return *x* normalised over batch and time."""
    return layer(x.reshape(-1, x.shape[-1])).view_as(x)


class Factored(nn.Module):
    """Linear to a bottleneck over (t−s, t), affine back over (t, t+s), ReLU, batch norm, plus 0.66 of its input."""

    def __init__(self, wide: int, narrow: int, step: int) -> None:
        super().__init__()
        self.step = step
        self.lin = nn.Linear(2 * wide, narrow, bias=False)
        self.aff = nn.Linear(2 * narrow, wide)
        self.bn = nn.BatchNorm1d(wide, eps=EPS, affine=False)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        s = self.step
        y = self.lin(torch.cat([x[:, :-s], x[:, s:]], -1))
        y = self.aff(torch.cat([y[:, :-s], y[:, s:]], -1))
        return normed(self.bn, F.relu(y)) + 0.66 * x[:, s:-s]


class Net(nn.Module):
    """Features (B, T, 40) to outputs (B, ceil(T/3), outputs); a second head for cross-entropy is used in training only."""

    def __init__(self, outputs: int, wide: int = 448, narrow: int = 112, bins: int = 40) -> None:
        super().__init__()
        self.inbn = nn.BatchNorm1d(bins, eps=EPS, affine=False)
        self.first = nn.Linear((2 * SPLICE + 1) * bins, wide)
        self.first_bn = nn.BatchNorm1d(wide, eps=EPS, affine=False)
        self.fine = nn.ModuleList(Factored(wide, narrow, step) for step in FINE)
        self.coarse = nn.ModuleList(Factored(wide, narrow, step) for step in COARSE)
        self.out = nn.Linear(wide, outputs)
        self.aux = nn.Linear(wide, outputs)
        self.context = SPLICE + sum(FINE) + 3 * sum(COARSE)

    def hidden(self, features: torch.Tensor, drop: float = 0.0) -> torch.Tensor:
        c = self.context
        x = torch.cat([features[:, :1].expand(-1, c, -1), features, features[:, -1:].expand(-1, c, -1)], 1)
        x = normed(self.inbn, x)
        frames = x.shape[1] - 2 * SPLICE
        x = torch.cat([x[:, k : k + frames] for k in range(2 * SPLICE + 1)], -1)

        def dropped(h: torch.Tensor) -> torch.Tensor:
            return h * (1 + drop * (2 * torch.rand(h.shape[0], 1, h.shape[2], device=h.device) - 1)).to(h.dtype) if drop else h

        x = dropped(normed(self.first_bn, F.relu(self.first(x))))
        for layer in self.fine:
            x = dropped(layer(x))
        x = x[:, ::3]
        for layer in self.coarse:
            x = dropped(layer(x))
        return x

    def forward(self, features: torch.Tensor, drop: float = 0.0) -> tuple[torch.Tensor, torch.Tensor]:
        h = self.hidden(features, drop)
        return self.out(h), self.aux(h)

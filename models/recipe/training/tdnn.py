"""The acoustic net: a factored time-delay net whose every layer has a counterpart in Kaldi's nnet3.

Tensors are (B, T, C). Splicing is a concatenation of shifted views, so that all the work
is plain matrix products.
"""

from __future__ import annotations

import torch
from torch import nn
from torch.nn import functional as F

from recipe.training.layers import BOTTLENECK, COARSE, EPS, FINE, SPLICE, WIDTH


def normed(layer: nn.BatchNorm1d, x: torch.Tensor) -> torch.Tensor:
    """Return *x* normalised over batch and time."""
    return layer(x.reshape(-1, x.shape[-1])).view_as(x)


def shifted(x: torch.Tensor, frames: int) -> torch.Tensor:
    """Return *x* later by so many frames (sooner where negative), filled up with zeros."""
    return (
        F.pad(x[:, :-frames], (0, 0, frames, 0))
        if frames > 0
        else F.pad(x[:, -frames:], (0, 0, 0, -frames))
    )


class Factored(nn.Module):
    """A factored layer with its input times 0.66 added to its output.

    Linear to a bottleneck over (t−back, t), affine back over (t, t+ahead), ReLU, batch norm.
    """

    def __init__(self, width: int, bottleneck: int, back: int, ahead: int) -> None:
        """Look *back* and *ahead* so many of the layer's own frames."""
        super().__init__()
        self.back, self.ahead = back, ahead
        self.lin = nn.Linear(2 * width, bottleneck, bias=False)
        self.aff = nn.Linear(2 * bottleneck, width)
        self.bn = nn.BatchNorm1d(width, eps=EPS, affine=False)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Return the next layer's input, of the shape of *x* (B, T, width)."""
        both = F.linear(x, torch.cat(self.lin.weight.chunk(2, 1)))
        earlier, now = both.chunk(2, -1)
        y = now + shifted(earlier, self.back)
        y = self.aff(torch.cat([y, shifted(y, -self.ahead)], -1))
        return torch.add(normed(self.bn, F.relu(y)), x, alpha=0.66)


class Tdnn(nn.Module):
    """Features (B, T, 40) to outputs (B, ceil(T/3), outputs).

    A second head, for cross-entropy, is used in training only.
    """

    def __init__(
        self, outputs: int, width: int = WIDTH, bottleneck: int = BOTTLENECK, bins: int = 40
    ) -> None:
        """Start from random weights; *outputs* are two a unit."""
        super().__init__()
        self.inbn = nn.BatchNorm1d(bins, eps=EPS, affine=False)
        self.first = nn.Linear((2 * SPLICE + 1) * bins, width)
        self.first_bn = nn.BatchNorm1d(width, eps=EPS, affine=False)
        self.fine = nn.ModuleList(Factored(width, bottleneck, *steps) for steps in FINE)
        self.coarse = nn.ModuleList(Factored(width, bottleneck, *steps) for steps in COARSE)
        self.out = nn.Linear(width, outputs)
        self.aux = nn.Linear(width, outputs)
        self.fine_back = sum(back for back, _ in FINE)
        self.back = SPLICE + self.fine_back + 3 * sum(back for back, _ in COARSE)
        self.ahead = (
            SPLICE + sum(ahead for _, ahead in FINE) + 3 * sum(ahead for _, ahead in COARSE)
        )

    def _dropout(
        self, rows: int, width: int, drop: float, like: torch.Tensor
    ) -> list[torch.Tensor]:
        """Return the factors of each layer's output: 1 ± *drop*, one a row and unit."""
        layers = 1 + len(self.fine) + len(self.coarse)
        random = torch.rand(layers, rows, 1, width, device=like.device)
        return list((1 + drop * (2 * random - 1)).to(like.dtype).unbind())

    def hidden(self, features: torch.Tensor, drop: float = 0.0) -> torch.Tensor:
        """Return what the last layer holds (B, ceil(T/3), width); edges are repeated."""
        first, last = features[:, :1], features[:, -1:]
        padding = first.expand(-1, self.back, -1), last.expand(-1, self.ahead, -1)
        x = normed(self.inbn, torch.cat([padding[0], features, padding[1]], 1))
        frames = x.shape[1] - 2 * SPLICE
        x = torch.cat([x[:, k : k + frames] for k in range(2 * SPLICE + 1)], -1)
        x = normed(self.first_bn, F.relu(self.first(x)))
        factors = self._dropout(len(x), x.shape[2], drop, x) if drop else []
        if factors:
            x = x * factors[0]
        for k, layer in enumerate([*self.fine, *self.coarse]):
            if k == len(self.fine):
                x = x[:, self.fine_back :: 3]
            x = layer(x)
            if factors:
                x = x * factors[1 + k]
        start = (self.back - SPLICE - self.fine_back) // 3
        return x[:, start : start + -(-features.shape[1] // 3)]

    def forward(
        self, features: torch.Tensor, drop: float = 0.0
    ) -> tuple[torch.Tensor, torch.Tensor]:
        """Return the outputs of both heads, (B, ceil(T/3), outputs) each."""
        h = self.hidden(features, drop)
        return self.out(h), self.aux(h)


Weights = dict[str, torch.Tensor]


def tdnn_of(weights: Weights) -> Tdnn:
    """Return the net that *weights* are of, in evaluation mode."""
    outputs, width = weights["out.weight"].shape
    net = Tdnn(outputs, width, weights["coarse.0.lin.weight"].shape[0])
    net.load_state_dict(weights)
    return net.eval()

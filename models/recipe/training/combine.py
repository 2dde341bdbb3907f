"""Derives a net from nets: widening (Net2Net) and parameter averaging.

A widened net gives the same outputs at first, and goes on learning with more units (Chen,
Goodfellow and Shlens, Net2Net, ICLR 2016; here the new units begin at random and their outputs are
ignored).
The average is of all parameters, of nets that come from the same one.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import torch

from recipe.training.layers import BOTTLENECK, WIDTH
from recipe.training.tdnn import Tdnn, Weights, tdnn_of

MAX_OFF = 1e-3
"""How far the outputs of a widened net may be from those of the net before."""


def widened(old: Weights, width: int, bottleneck: int) -> Weights:
    """Return *old* with so many units.

    Raises :class:`ArithmeticError` where its outputs would differ.
    """
    old_width, old_bottleneck = old["first.weight"].shape[0], old["coarse.0.lin.weight"].shape[0]
    torch.manual_seed(0)
    new = Tdnn(old["out.weight"].shape[0], width, bottleneck).state_dict()
    for name, fresh in new.items():
        weight = old[name]
        if name.endswith("lin.weight"):  # bottleneck × (width before, width now)
            both = fresh.view(bottleneck, 2, width)
            both[:old_bottleneck, :, old_width:] = 0
            both[:old_bottleneck, :, :old_width] = weight.view(old_bottleneck, 2, old_width)
        elif name.endswith("aff.weight"):  # width × (bottleneck now, bottleneck after)
            both = fresh.view(width, 2, bottleneck)
            both[:old_width, :, old_bottleneck:] = 0
            both[:old_width, :, :old_bottleneck] = weight.view(old_width, 2, old_bottleneck)
        elif name in ("out.weight", "aux.weight"):
            fresh.zero_()[:, :old_width] = weight
        elif fresh.shape == weight.shape:
            fresh.copy_(weight)
        else:
            fresh[:old_width] = weight
    features = 10 * torch.randn(2, 200, 40)
    off = (tdnn_of(old)(features)[0] - tdnn_of(new)(features)[0]).abs().max().item()
    if off > MAX_OFF:
        raise ArithmeticError(f"the outputs of the wider net are off by {off}")
    return new


def average(nets: Sequence[Weights]) -> Weights:
    """Return the mean of *nets*, weights and running means alike."""
    return {
        name: torch.stack([net[name].float() for net in nets]).mean(0).to(first.dtype)
        for name, first in nets[0].items()
    }


def main(arguments: Sequence[str] | None = None) -> None:
    """Widen a net, or average the parameters of several."""
    options = argparse.ArgumentParser(prog="recipe combine", description=main.__doc__)
    verbs = options.add_subparsers(dest="verb", required=True)
    widen = verbs.add_parser("widen")
    widen.add_argument("old", type=Path)
    widen.add_argument("new", type=Path)
    widen.add_argument("--width", type=int, default=WIDTH)
    widen.add_argument("--bottleneck", type=int, default=BOTTLENECK)
    mean = verbs.add_parser("average")
    mean.add_argument("new", type=Path)
    mean.add_argument("nets", type=Path, nargs="+")
    given = options.parse_args(arguments)
    if given.verb == "widen":
        old = torch.load(given.old, map_location="cpu")
        torch.save(widened(old, given.width, given.bottleneck), given.new)
    else:
        torch.save(average([torch.load(net, map_location="cpu") for net in given.nets]), given.new)

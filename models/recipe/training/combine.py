"""Derives a net from nets: python derive.py widen IN.pt OUT.pt [--wide W --narrow N] | mean OUT.pt IN.pt IN.pt …

``widen`` gives a net more units: it hears the same at first, and goes on learning with them
(Chen, Goodfellow and Shlens, Net2Net, ICLR 2016; here the new units begin at random and are
not listened to). ``mean`` takes the mean of all weights, of nets that come from the same one.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import torch
from net import NARROW, WIDE, Net
from units import OUTPUTS

Weights = dict[str, torch.Tensor]


def net_of(weights: Weights) -> Net:
    """Return the net that *weights* are of, ready to hear."""
    net = Net(OUTPUTS, weights["first.weight"].shape[0], weights["coarse.0.lin.weight"].shape[0])
    net.load_state_dict(weights)
    return net.eval()


def widened(old: Weights, wide: int, narrow: int) -> Weights:
    """Return *old* with so many units. Raises :class:`SystemExit` where it would hear otherwise."""
    was_wide, was_narrow = old["first.weight"].shape[0], old["coarse.0.lin.weight"].shape[0]
    torch.manual_seed(0)
    new = Net(OUTPUTS, wide, narrow).state_dict()
    for name, fresh in new.items():
        weight = old[name]
        if name.endswith("lin.weight"):  # narrow × (wide before, wide now)
            both = fresh.view(narrow, 2, wide)
            both[:was_narrow, :, was_wide:] = 0
            both[:was_narrow, :, :was_wide] = weight.view(was_narrow, 2, was_wide)
        elif name.endswith("aff.weight"):  # wide × (narrow now, narrow after)
            both = fresh.view(wide, 2, narrow)
            both[:was_wide, :, was_narrow:] = 0
            both[:was_wide, :, :was_narrow] = weight.view(was_wide, 2, was_narrow)
        elif name in ("out.weight", "aux.weight"):
            fresh.zero_()[:, :was_wide] = weight
        elif fresh.shape == weight.shape:
            fresh.copy_(weight)
        else:
            fresh[:was_wide] = weight
    features = 10 * torch.randn(2, 200, 40)
    apart = (net_of(old)(features)[0] - net_of(new)(features)[0]).abs().max().item()
    if apart > 1e-3:
        raise SystemExit(f"the wider net hears otherwise, by {apart}")
    return new


def mean(nets: list[Weights]) -> Weights:
    """Return the mean of *nets*, weights and running means alike."""
    return {name: torch.stack([net[name].float() for net in nets]).mean(0).to(first.dtype) for name, first in nets[0].items()}


def main() -> None:
    options = argparse.ArgumentParser()
    verbs = options.add_subparsers(dest="verb", required=True)
    widen = verbs.add_parser("widen")
    widen.add_argument("old", type=Path)
    widen.add_argument("new", type=Path)
    widen.add_argument("--wide", type=int, default=WIDE)
    widen.add_argument("--narrow", type=int, default=NARROW)
    blend = verbs.add_parser("mean")
    blend.add_argument("new", type=Path)
    blend.add_argument("nets", type=Path, nargs="+")
    a = options.parse_args()
    if a.verb == "widen":
        torch.save(widened(torch.load(a.old, map_location="cpu"), a.wide, a.narrow), a.new)
    else:
        torch.save(mean([torch.load(net, map_location="cpu") for net in a.nets]), a.new)


if __name__ == "__main__":
    main()

"""Reads the net back from a model, so that training can go on from what is in git."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import torch

from recipe.export.nnet3 import from_bytes
from recipe.training.tdnn import Weights, tdnn_of


def weights_of(model: Path) -> Weights:
    """Return the weights of a model folder, as PyTorch keeps them.

    They are those of the 8 bits a number that Vosk reads. The second head, which is used in
    training only and not exported, starts as a copy of the first. Raises
    :class:`recipe.export.nnet3.NotOurs`.
    """
    parameters = from_bytes((model / "am" / "final.mdl").read_bytes())
    weights = {name: torch.from_numpy(values).float() for name, values in parameters.items()}
    for part in ("weight", "bias"):
        weights[f"aux.{part}"] = weights[f"out.{part}"].clone()
    batches = torch.tensor(0)
    for name in [name for name in weights if name.endswith("running_mean")]:
        weights[name.replace("running_mean", "num_batches_tracked")] = batches.clone()
    tdnn_of(weights)
    return weights


def main(arguments: Sequence[str] | None = None) -> None:
    """Write the net of a model folder as PyTorch's weights, for ``train --init``."""
    options = argparse.ArgumentParser(prog="recipe read", description=main.__doc__)
    options.add_argument("model", type=Path)
    options.add_argument("net", type=Path)
    given = options.parse_args(arguments)
    torch.save(weights_of(given.model), given.net)

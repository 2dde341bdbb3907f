"""Writes the acoustic model of a Vosk folder, am/final.mdl and conf, and nothing else in it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import torch

from recipe.export.nnet3 import to_bytes
from recipe.training.tdnn import Weights

MFCC_CONF = """\
--use-energy=false
--num-mel-bins=40
--num-ceps=40
--low-freq=20
--high-freq=7600
--dither=0
--allow-upsample=true
--allow-downsample=true
"""
MODEL_CONF = """\
--min-active=200
--max-active=3000
--beam={beam}
--lattice-beam={lattice_beam}
--acoustic-scale=1.0
--frame-subsampling-factor=3
--endpoint.silence-phones=1
--endpoint.rule2.min-trailing-silence=0.6
--endpoint.rule3.min-trailing-silence=1.0
--endpoint.rule4.min-trailing-silence=2.0
--frames-per-chunk=42
"""
BEAM, LATTICE_BEAM = 11.0, 4.0


def export(
    weights: Weights, folder: Path, beam: float = BEAM, lattice_beam: float = LATTICE_BEAM
) -> None:
    """Write the net of *weights*, in 8 bits a number, and the configuration into *folder*."""
    for part in ("am", "conf"):
        (folder / part).mkdir(parents=True, exist_ok=True)
    parameters = {name: tensor.detach().cpu().numpy() for name, tensor in weights.items()}
    (folder / "am" / "final.mdl").write_bytes(to_bytes(parameters))
    (folder / "conf" / "mfcc.conf").write_text(MFCC_CONF)
    conf = MODEL_CONF.format(beam=beam, lattice_beam=lattice_beam)
    (folder / "conf" / "model.conf").write_text(conf)


def main(arguments: Sequence[str] | None = None) -> None:
    """Write the acoustic model of a Vosk folder from a trained net."""
    options = argparse.ArgumentParser(prog="recipe export", description=main.__doc__)
    options.add_argument("net", type=Path)
    options.add_argument("folder", type=Path)
    options.add_argument("--beam", type=float, default=BEAM)
    options.add_argument("--lattice-beam", type=float, default=LATTICE_BEAM)
    given = options.parse_args(arguments)
    weights = torch.load(given.net, map_location="cpu")
    export(weights, given.folder, given.beam, given.lattice_beam)

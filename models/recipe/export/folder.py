"""Assembles a Vosk model: python build.py NET.pt MODEL_FOLDER [--wide W --narrow N]"""

from __future__ import annotations

import argparse
import random
import shutil
from pathlib import Path

import graph
import nnet3
import torch
from lexicon import lexicon
from net import NARROW, WIDE, Net
from units import INDEX, OUTPUTS, UNITS

from cutmemo.language import phrases

MFCC = (
    "--use-energy=false\n--num-mel-bins=40\n--num-ceps=40\n--low-freq=20\n--high-freq=7600\n--dither=0\n"
    "--allow-upsample=true\n--allow-downsample=true\n"
)
CONF = (
    "--min-active=200\n--max-active=3000\n--beam={beam}\n--lattice-beam={lattice_beam}\n--acoustic-scale=1.0\n"
    "--frame-subsampling-factor=3\n--endpoint.silence-phones=1\n--endpoint.rule2.min-trailing-silence=0.6\n"
    "--endpoint.rule3.min-trailing-silence=1.0\n--endpoint.rule4.min-trailing-silence=2.0\n--frames-per-chunk=42\n"
)
SENTENCES = 300_000
GARBAGE_SHARE = 0.06
"""How many sentences are something else than a call."""

SILENT_SHARE = 0.05
"""How many are nothing at all, so that noise need not be a word."""


def sentences(number: int = SENTENCES, garbage: float = GARBAGE_SHARE, seed: int = 2) -> list[list[str]]:
    """Return calls as crews say them, and some that are garbage."""
    r = random.Random(seed)
    out = []
    for _ in range(number):
        pick = r.random()
        if pick < garbage:
            out.append([graph.GARBAGE] * r.choice([1, 2, 3, 4, 6]))
        elif pick < garbage + SILENT_SHARE:
            out.append([])
        else:
            out.append(phrases.phrase(r).split())
    return out


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("net", type=Path)
    options.add_argument("folder", type=Path)
    options.add_argument("--wide", type=int, default=WIDE)
    options.add_argument("--narrow", type=int, default=NARROW)
    options.add_argument("--order", type=int, default=4)
    options.add_argument("--garbage", type=float, default=GARBAGE_SHARE)
    options.add_argument("--garbage-phone-cost", type=float, default=2.2)
    options.add_argument("--silence", type=float, default=0.3)
    options.add_argument("--beam", type=float, default=11.0)
    options.add_argument("--lattice-beam", type=float, default=4.0)
    options.add_argument("--word-scale", type=float, default=1.0, help="how much the word graph weighs")
    options.add_argument("--discount", type=float, default=0.4)
    options.add_argument("--sentences", type=int, default=SENTENCES)
    options.add_argument("--least", type=int, default=2, help="how often three words and more in a row have to be sampled to be kept")
    options.add_argument("--seed", type=int, default=2, help="of the sampled calls")
    a = options.parse_args()
    net = Net(OUTPUTS, a.wide, a.narrow)
    net.load_state_dict(torch.load(a.net, map_location="cpu"))
    net.eval()
    said = sentences(a.sentences, a.garbage, a.seed)
    book = lexicon(sorted({word for sentence in said for word in sentence} - {graph.GARBAGE}))
    missing = {word for sentence in said for word in sentence} - set(book) - {graph.GARBAGE}
    if missing:
        raise SystemExit(f"no pronunciation for {sorted(missing)}")
    if a.folder.exists():
        shutil.rmtree(a.folder)
    for part in ("am", "conf", "graph"):
        (a.folder / part).mkdir(parents=True)
    (a.folder / "conf" / "mfcc.conf").write_text(MFCC)
    (a.folder / "conf" / "model.conf").write_text(CONF.format(beam=a.beam, lattice_beam=a.lattice_beam))
    nnet3.write(a.folder / "am" / "final.mdl", net, [(k + 1, 2 * INDEX[u], 2 * INDEX[u] + 1) for k, u in enumerate(UNITS)])
    graph.write(a.folder / "graph", graph.Tree(book, a.silence, a.garbage_phone_cost), graph.Ngrams(said, a.order, a.discount, a.least), a.word_scale)
    (a.folder / "cutmemo.graph").write_text("The word graph of this model was made from the grammar of calls.\n")


if __name__ == "__main__":
    main()

"""The training vocabulary: pronunciations and unigram shares, kept as JSON."""

from __future__ import annotations

import argparse
import csv
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from recipe.speech.shards import expand
from recipe.words.corpus import sentences, unigrams
from recipe.words.lexicon import Lexicon, pronunciations

SAMPLED = 100_000
"""How many sentences the shares are counted in."""
RAREST = 5e-5
"""A word of the grammar that is a smaller share of what is said is other speech to the objective,
whose kernel holds so many states; the word graph has all of them.
"""


@dataclass(frozen=True)
class Vocabulary:
    """What training needs to know of words."""

    pronunciations: Lexicon
    """Of all words in the shards, the scripts and the grammar."""
    shares: dict[str, float]
    """How often each word of the grammar is said among all words of calls."""
    filler_share: float
    """How often the filler word is."""

    def write(self, path: Path) -> None:
        """Write it as JSON."""
        path.write_text(json.dumps(asdict(self)), "utf-8")

    @staticmethod
    def read(path: Path) -> Vocabulary:
        """Return what :meth:`write` wrote."""
        return Vocabulary(**json.loads(path.read_text("utf-8")))


def texts(source: Path) -> list[str]:
    """Return the texts of a shard (.npz), a pack (.tsv) or a script (.jsonl)."""
    if source.suffix == ".npz":
        with np.load(source) as shard:
            return [str(text) for text in shard["text"]]
    with source.open(encoding="utf-8") as lines:
        if source.suffix == ".jsonl":
            return [json.loads(line)["text"] for line in lines]
        rows = csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)
        return [row["text"] for row in rows]


def make(sources: Sequence[Path], sampled: int = SAMPLED, rarest: float = RAREST) -> Vocabulary:
    """Return the vocabulary of the grammar and of all *sources*."""
    every, filler_share = unigrams(sentences(sampled))
    shares = {word: share for word, share in every.items() if share >= rarest}
    filler_share += sum(every.values()) - sum(shares.values())
    words = set(every)
    for source in sources:
        for file in expand(source):
            for text in texts(file):
                words |= set(text.split())
    return Vocabulary(pronunciations(sorted(words)), shares, filler_share)


def main(arguments: Sequence[str] | None = None) -> None:
    """Write the vocabulary of shards, packs and scripts."""
    options = argparse.ArgumentParser(prog="recipe vocabulary", description=main.__doc__)
    options.add_argument("out", type=Path)
    options.add_argument(
        "sources", type=Path, nargs="*", help=".npz, .tsv, .jsonl, or a folder of .npz"
    )
    options.add_argument("--sentences", type=int, default=SAMPLED)
    options.add_argument("--rarest", type=float, default=RAREST, help="share of a word that counts")
    given = options.parse_args(arguments)
    make(given.sources, given.sentences, given.rarest).write(given.out)

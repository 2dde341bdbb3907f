"""Builds the word graph of a model; needs no net, and touches nothing else in the folder."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe.graph.ngram import BackoffNgram
from recipe.graph.transducer import LexiconTransducer, phone_id
from recipe.words.corpus import (
    FILLER_SHARE,
    OTHER_TALK_SHARE,
    OUT_OF_GRAMMAR,
    SENTENCES,
    sentences,
)
from recipe.words.lexicon import Lexicon, pronunciations
from recipe.words.other_talk import WORDS
from recipe.words.units import UNITS

MARK = "cutmemo.graph"
"""The file by which the program knows a graph made from its own grammar."""
_KINDS = {"B": "begin", "E": "end", "I": "internal", "S": "singleton"}


@dataclass(frozen=True)
class GraphSettings:
    """How the graph is made; the defaults are those of the graph that ships."""

    sentences: int = SENTENCES
    filler_share: float = FILLER_SHARE
    seed: int = 3
    order: int = 4
    """Of the n-gram."""
    discount: float = 0.4
    min_count: int = 3
    """How often an n-gram of three words and more has to be sampled to be kept."""
    silence: float = 0.3
    """The probability of silence between words."""
    filler_phone_cost: float = 3.5
    """What each phone of the filler word costs."""
    common_word_cost: float = 9.0
    """What a common word costs as the filler word."""
    other_talk_share: float = OTHER_TALK_SHARE
    """Share of the sampled sentences that are other people's numbers."""
    word_scale: float = 1.0
    """How much the n-gram weighs."""


class NoPronunciation(ValueError):
    """The grammar has words that the lexicon lacks."""

    def __init__(self, words: Sequence[str]) -> None:
        """Keep the *words*."""
        self.words = words
        super().__init__(words)

    def __str__(self) -> str:
        """Name them."""
        return f"no pronunciation for: {', '.join(self.words)}"


def lexicon_of(sampled: Sequence[Sequence[str]]) -> Lexicon:
    """Return the pronunciations of all words of *sampled*. Raises :class:`NoPronunciation`."""
    words = {word for sentence in sampled for word in sentence} - {OUT_OF_GRAMMAR}
    lexicon = pronunciations(sorted(words))
    if missing := sorted(words - set(lexicon)):
        raise NoPronunciation(missing)
    return lexicon


def build(settings: GraphSettings) -> dict[str, bytes]:
    """Return the files of a Vosk model's folder that tell of words, by their paths in it."""
    sampled = sentences(
        settings.sentences, settings.filler_share, settings.seed, settings.other_talk_share
    )
    lexicon = lexicon_of(sampled)
    transducer = LexiconTransducer(
        lexicon,
        settings.silence,
        settings.filler_phone_cost,
        pronunciations(sorted(WORDS - set(lexicon))),
        settings.common_word_cost,
    )
    ngram = BackoffNgram(sampled, settings.order, settings.discount, settings.min_count)
    phones = "".join(f"{unit} {phone_id(unit)}\n" for unit in UNITS)
    boundaries = "".join(
        f"{phone_id(unit)} {'nonword' if unit == 'SIL' else _KINDS[unit[-1]]}\n" for unit in UNITS
    )
    return {
        "graph/HCLr.fst": transducer.to_bytes(),
        "graph/Gr.fst": ngram.to_bytes(transducer.labels, settings.word_scale),
        "graph/disambig_tid.int": f"{2 * len(UNITS) + 1}\n".encode(),
        "graph/phones.txt": f"<eps> 0\n{phones}".encode(),
        "graph/phones/word_boundary.int": boundaries.encode(),
        MARK: b"The word graph of this model was made from the grammar of calls.\n",
    }


def write(folder: Path, files: dict[str, bytes]) -> None:
    """Write *files* under *folder*, each in place of its forerunner."""
    for path, content in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(content)


def main(arguments: Sequence[str] | None = None) -> None:
    """Write the word graph of a model folder; no other file there is touched."""
    defaults = GraphSettings()
    options = argparse.ArgumentParser(prog="recipe graph", description=main.__doc__)
    options.add_argument("folder", type=Path)
    for name, default in vars(defaults).items():
        options.add_argument(f"--{name.replace('_', '-')}", type=type(default), default=default)
    given = vars(options.parse_args(arguments))
    folder = given.pop("folder")
    write(folder, build(GraphSettings(**given)))

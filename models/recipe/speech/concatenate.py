"""Single words of one real speaker, concatenated in strings of words.

Speech Commands and the Free Spoken Digit Dataset hold words said one by one; calls are words said
on end. The silence before and after each word is cut off, so that they follow each other as closely
as they do in speech. Whole sentences are joined in the same way: two by one speaker with a pause
between them are a call with a pause in it.
"""

from __future__ import annotations

import argparse
import csv
import random
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from recipe.speech import pauses
from recipe.speech.shards import RATE, Sound, Spoken, at_peak, hours, write_all

QUIET = 0.04
"""Share of a word's loudest frame below which a frame counts as silence."""
WORD_PEAK = 6000
PAUSES = (0, 0, 0.03, 0.1, 0.25)
"""Seconds between two words."""
MAX_WORDS = 6


def trimmed(word: Sound) -> Sound:
    """Return *word* without the silence around it, two frames left on each side."""
    return pauses.without_edges(word, QUIET, 2)


def words_of(table: Path) -> dict[str, list[tuple[str, Sound]]]:
    """Return what each speaker of a pack of single words says."""
    import soundfile

    sounds: dict[str, Sound] = {}
    said: dict[str, list[tuple[str, Sound]]] = defaultdict(list)
    with table.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE):
            name = row["file"]
            if name not in sounds:
                sounds[name] = soundfile.read(table.parent / name, dtype="int16")[0]
            start = int(row["start"])
            word = trimmed(sounds[name][start : start + int(row["samples"])])
            said[row["speaker"]].append((row["text"], word))
    return said


def strings(
    said: dict[str, list[tuple[str, Sound]]],
    number: int,
    seed: int,
    paused: float = 0.0,
    most_words: int = MAX_WORDS,
) -> list[Spoken]:
    """Return *number* strings of 2 to *most_words* words, each of one speaker.

    A share *paused* of them has a pause as somebody makes it inside a call, at one place.
    """
    r = random.Random(seed)
    speakers = [name for name, words in said.items() if len(words) > 1]
    clips = []
    for _ in range(number):
        name = r.choice(speakers)
        most = min(most_words, len(said[name]) + 1)
        words = [r.choice(said[name]) for _ in range(r.randint(2, most))]
        lengths = [r.choice(PAUSES) for _ in words]
        if paused and r.random() < paused:
            lengths[r.randrange(len(words) - 1)] = pauses.seconds_of(r)
        parts = []
        for (_, sound), length in zip(words, lengths, strict=True):
            pause = np.zeros(int(length * RATE), np.int16)
            parts += [at_peak(sound.astype(float), WORD_PEAK), pause]
        clips.append(Spoken(np.concatenate(parts), " ".join(text for text, _ in words), name))
    return clips


def main(arguments: Sequence[str] | None = None) -> None:
    """Write strings of words as shards."""
    options = argparse.ArgumentParser(prog="recipe concatenate", description=main.__doc__)
    options.add_argument("words", type=Path, help="the .tsv of a pack of words, or of short clips")
    options.add_argument("out", type=Path)
    options.add_argument("--clips", type=int, default=1500)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--paused", type=float, default=0.0, help="share with a pause inside")
    options.add_argument("--most", type=int, default=MAX_WORDS, help="words, or clips, of a string")
    given = options.parse_args(arguments)
    said = words_of(given.words)
    clips = strings(said, given.clips, given.seed, given.paused, given.most)
    write_all(given.out, f"joined_{given.words.stem}_{given.seed}", clips)
    speakers = len({clip.voice for clip in clips})
    print(f"{len(clips)} clips of {speakers} speakers, {hours(clips):.2f} h")

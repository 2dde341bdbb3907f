"""Joins single words of one real speaker into strings of words: python joined.py WORDS.tsv OUT_FOLDER --clips N --seed S

Speech Commands and the Free Spoken Digit Dataset hold words said one by one; calls are
words said on end. The quiet before and after each word is cut off, so that they follow
each other as closely as they do in speech.
"""

from __future__ import annotations

import argparse
import csv
import random
from collections import defaultdict
from pathlib import Path

import numpy as np
import soundfile
from speak import SHARD

FRAME = 160
QUIET = 0.04
"""Share of a word's loudest frame under which a frame counts as quiet."""


def trimmed(word: np.ndarray) -> np.ndarray:
    """Return *word* without the quiet around it, with two frames left on each side."""
    frames = np.abs(word[: len(word) // FRAME * FRAME].reshape(-1, FRAME).astype(float)).mean(1)
    loud = np.flatnonzero(frames > QUIET * frames.max())
    return word[max(0, loud[0] - 2) * FRAME : (loud[-1] + 3) * FRAME] if len(loud) else word


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("words", type=Path)
    options.add_argument("out", type=Path)
    options.add_argument("--clips", type=int, default=1500)
    options.add_argument("--seed", type=int, default=1)
    a = options.parse_args()
    r = random.Random(a.seed)
    sounds: dict[str, np.ndarray] = {}
    said: dict[str, list[tuple[str, np.ndarray]]] = defaultdict(list)
    with a.words.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE):
            if row["file"] not in sounds:
                sounds[row["file"]] = soundfile.read(a.words.parent / row["file"], dtype="int16")[0]
            begin = int(row["start"])
            said[row["speaker"]].append((row["text"], trimmed(sounds[row["file"]][begin : begin + int(row["samples"])])))
    speakers = [name for name, words in said.items() if len(words) > 1]
    clips, texts, names = [], [], []
    for _ in range(a.clips):
        name = r.choice(speakers)
        words = [r.choice(said[name]) for _ in range(r.randint(2, min(6, len(said[name]) + 1)))]
        parts = []
        for _, sound in words:
            loud = sound * (6000 / (np.abs(sound.astype(float)).max() + 1))
            parts += [loud.astype(np.int16), np.zeros(int(r.choice([0, 0, 0.03, 0.1, 0.25]) * 16000), np.int16)]
        clips.append(np.concatenate(parts))
        texts.append(" ".join(text for text, _ in words))
        names.append(name)
    a.out.mkdir(parents=True, exist_ok=True)
    for k in range(0, len(clips), SHARD):
        part, said_part, who = clips[k : k + SHARD], texts[k : k + SHARD], names[k : k + SHARD]
        np.savez(a.out / f"joined_{a.seed}_{k:05}.npz", pcm=np.concatenate(part), lens=np.array([len(c) for c in part]), text=np.array(said_part), voice=np.array(who))
    print(f"{len(clips)} clips of {len(speakers)} speakers, {sum(len(c) for c in clips) / 16000 / 3600:.2f} h")


if __name__ == "__main__":
    main()

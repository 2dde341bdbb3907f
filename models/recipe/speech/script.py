"""The script of the synthetic voices: what is said, in which blend of voices, how fast.

One clip a line of JSON: text, said (Kokoro's phoneme symbols), blend, speed, prosody, and for what
is said in two parts, PAUSE between them in said, the seconds of the pause.
"""

from __future__ import annotations

import argparse
import csv
import json
import random
import re
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe.speech import pauses
from recipe.speech.kokoro import HELD_OUT, Blend, from_espeak
from recipe.words import corpus

ENGLISH = ("af_", "am_", "bf_", "bm_")
VALIDATION = frozenset({"am_liam", "bf_emma", "af_kore"})
"""Voices kept for validation."""
VALIDATION_SHARE = 0.02
OTHER_PROSODY = 0.5
"""Share of the clips where one voice speaks in another's tune and rhythm."""
QUICK_AND = ("n", "ən", "ənd", "ænd", "ænd", "ænd")
"""How "and" is said on site."""
PAUSE = "|"
"""Between the two parts of what is said with a pause; no symbol of Kokoro's."""
SWALLOWED = 0.3
"""Share of the parts before a pause that lose the t at their end."""
MAX_WORDS = 16
"""Longer sentences of other speech are not said."""


@dataclass(frozen=True)
class Line:
    """One clip to be made."""

    text: str
    said: str
    blend: Blend
    speed: float
    prosody: Blend
    pause: float = 0.0
    """Seconds between the two parts of *said*."""


@dataclass(frozen=True)
class Broken:
    """How much of a script is not said in one breath, in shares of its texts."""

    paused: float = 0.0
    """Said in two parts with a pause between them; of two words and more."""
    halves: float = 0.0
    """What stands before or behind some word is left out."""


WHOLE = Broken()


def text_for(r: random.Random, words: list[str], sentences: list[str]) -> str:
    """Return something to say: calls mostly, words of the grammar out of order, other speech."""
    pick = r.random()
    if pick < 0.60 or not sentences:
        return corpus.phrase(r)
    if pick < 0.72:
        return corpus.length(r)
    if pick < 0.86:
        return corpus.shuffled(r, words)
    return r.choice(sentences)


def sentences_of(table: Path) -> list[str]:
    """Return the texts of a pack."""
    with table.open(encoding="utf-8") as lines:
        return [
            row["text"] for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)
        ]


def phonemes_of(texts: Sequence[str], accent: str) -> list[str]:
    """Return the phonemes of *texts*, in Kokoro's symbols; *accent* is ``a`` or ``b``."""
    language = "en-us" if accent == "a" else "en-gb"
    command = ["espeak-ng", "-q", "--ipa", "-v", language]
    given = "\n\n".join(texts)
    said = subprocess.run(command, input=given, capture_output=True, text=True, check=True)
    lines = re.split(r"\n\s*\n", said.stdout.strip())
    if len(lines) != len(texts):
        raise RuntimeError(f"espeak-ng gave {len(lines)} lines for {len(texts)} texts")
    return [from_espeak(line, accent) for line in lines]


def blend_of(voices: Sequence[str], r: random.Random) -> Blend:
    """Return shares of one, two or three of *voices*."""
    chosen = r.sample(voices, r.choice([1, 2, 2, 2, 3]))
    weights = [r.uniform(0.25, 1) for _ in chosen]
    return {name: round(w / sum(weights), 2) for name, w in zip(chosen, weights, strict=True)}


def _accent(blend: Blend) -> str:
    british = sum(share for name, share in blend.items() if name.startswith("b"))
    return "b" if british > 0.5 else "a"


def _said(phonemes: str, r: random.Random) -> str:
    """Return *phonemes* with "and" as said on site, pauses here and there, and an ending."""
    parts = [r.choice(QUICK_AND) if part in ("ænd", "and") else part for part in phonemes.split()]
    said = "".join(part + (", " if r.random() < 0.05 else " ") for part in parts).strip(" ,")
    return said + r.choice(["", "", ".", "!"])


def _half(text: str, r: random.Random) -> str:
    """Return what stands before or behind some word of *text*; all of it where it is one word."""
    words = text.split()
    if len(words) < 2:
        return text
    at = r.randrange(1, len(words))
    return " ".join(r.choice([words[:at], words[at:]]))


def _in_two(phonemes: str, r: random.Random) -> str:
    """Return *phonemes* in two parts, each said as a whole; what stands before a pause may lose its
    t.
    """
    words = phonemes.split()
    at = r.randrange(1, len(words))
    first = words[:at]
    if first[-1].endswith("t") and r.random() < SWALLOWED:
        first[-1] = first[-1][:-1]
    return f"{_said(' '.join(first), r)}{PAUSE}{_said(' '.join(words[at:]), r)}"


def write(
    voices: Sequence[str],
    number: int,
    seed: int,
    sentences: Sequence[str],
    broken: Broken = WHOLE,
) -> list[Line]:
    """Return *number* lines for *voices*; *sentences* are other speech."""
    r = random.Random(seed)
    words = corpus.vocabulary()
    short = [text for text in sentences if 1 <= len(text.split()) <= MAX_WORDS]
    usable = [name for name in voices if name not in HELD_OUT]
    english = [name for name in usable if name.startswith(ENGLISH) and name not in VALIDATION]
    foreign = [name for name in usable if not name.startswith(ENGLISH)]
    rows: list[tuple[str, Blend, Blend]] = []
    for _ in range(number):
        prosody: Blend = {}
        if r.random() < VALIDATION_SHARE:
            blend = {r.choice(sorted(VALIDATION)): 1.0}
        elif r.random() < 0.15:
            blend = blend_of([*r.sample(foreign, 2), r.choice(english)], r)
        else:
            blend = blend_of(english, r)
        if r.random() < OTHER_PROSODY and not VALIDATION & set(blend):
            prosody = blend_of(english, r)
        text = text_for(r, words, short)
        if broken.halves and r.random() < broken.halves:
            text = _half(text, r)
        rows.append((text, blend, prosody))
    symbols: dict[int, str] = {}
    for accent in "ab":
        mine = [k for k, (_, blend, _) in enumerate(rows) if _accent(blend) == accent]
        phonemes = phonemes_of([rows[k][0] for k in mine], accent)
        symbols |= dict(zip(mine, phonemes, strict=True))
    lines = []
    for k, (text, blend, prosody) in enumerate(rows):
        in_two = broken.paused > 0 and len(symbols[k].split()) > 1 and r.random() < broken.paused
        said = _in_two(symbols[k], r) if in_two else _said(symbols[k], r)
        speed = r.choice([r.uniform(0.75, 1.0), r.uniform(0.95, 1.3), r.uniform(1.0, 1.5)])
        pause = round(pauses.seconds_of(r), 2) if in_two else 0.0
        lines.append(Line(text, said, blend, round(speed, 2), prosody, pause))
    return lines


def read(path: Path) -> list[Line]:
    """Return the lines of a script."""
    rows = path.read_text("utf-8").splitlines()
    return [Line(**json.loads(row)) for row in rows]


def main(arguments: Sequence[str] | None = None) -> None:
    """Write a script for Kokoro's voices; needs espeak-ng."""
    options = argparse.ArgumentParser(prog="recipe script", description=main.__doc__)
    options.add_argument("out", type=Path)
    options.add_argument("--kokoro", type=Path, required=True, help="its folder")
    options.add_argument("--number", type=int, default=10_000)
    options.add_argument("--seed", type=int, required=True)
    options.add_argument("--read", type=Path, help="a pack whose sentences are said too")
    options.add_argument("--paused", type=float, default=0.0, help="share said in two parts")
    options.add_argument("--halves", type=float, default=0.0, help="share cut off at a word")
    given = options.parse_args(arguments)
    voices = sorted(file.stem for file in (given.kokoro / "voices").glob("*.bin"))
    sentences = sentences_of(given.read) if given.read else []
    broken = Broken(given.paused, given.halves)
    lines = write(voices, given.number, given.seed, sentences, broken)
    rows = "".join(json.dumps(vars(line), ensure_ascii=False) + "\n" for line in lines)
    given.out.write_text(rows, "utf-8")

"""Measures the calls of the model's card: python tests/bench/card.py VOICE

Prints the table of ``models/en/CARD.md``. VOICE is the folder of ``people``, ``speech`` and ``bench`` that the
recipe measures with (``models/recipe/README.md``); nobody and no voice of these calls was trained on, which is
checked. All is drawn by rule, so that the same folder gives the same calls: held-out people's single words joined
to calls and AN4's numbers, figures joined of three speakers of the Free Spoken Digit Dataset, calls of the grammar
by flite's four voices, four synthetic voices in noises of a site, and what is no call. Each is heard as the bench
is (``tests/site_hearing.py``), in quiet, or in pink noise or babble at 5 to 20 dB. Takes 45 minutes of one core.
"""

from __future__ import annotations

import argparse
import csv
import itertools
import math
import os
import random
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[2] / "models"))

import numpy as np
import site_sound
from hearing_figures import measured
from recipe.evaluation import bench
from recipe.speech.concatenate import words_of
from recipe.speech.shards import at_peak
from recipe.training.held_out import is_held_out
from site_hearing import Outcome
from site_sound import Clip, Making, Samples, Stream

from cutmemo.audio.chunk import RATE
from cutmemo.bundle import bundled
from cutmemo.language import sampler

FIGURES = frozenset("zero one two three four five six seven eight nine".split())
LEVELS = (20, 15, 10, 5)
EACH_PERSON = (18, 12)
"""Calls joined of one person's words: in quiet, in noise."""
EACH_FSDD = (192, 128)
EACH_FLITE = (144, 96)
FLITE = ("kal16", "slt", "awb", "rms")
LONGEST_SECONDS = 10.0
TALK = ("commonvoice13", "commonvoice1")
"""The packs of sentences by held-out people."""


def _pieces(table: Path) -> dict[str, list[tuple[str, Any]]]:
    return {
        name: [word for word in said if word[0] in FIGURES]
        for name, said in words_of(table).items()
        if is_held_out(name)
    }


def joined(
    words: list[tuple[str, Any]], lengths: Sequence[int], r: random.Random
) -> tuple[str, Samples]:
    """Return figures of one speaker, 50 ms between them, that are a call."""
    gap = np.zeros(RATE // 20, np.int16)
    while True:
        said = [r.choice(words) for _ in range(r.choice(lengths))]
        text = " ".join(text for text, _ in said)
        if said[0][0] != "zero" and bench.is_call(text):
            parts = [part for _, s in said for part in (at_peak(s.astype(float), 6000), gap)]
            return text, np.concatenate(parts[:-1]).astype(np.int64)


def people(voice: Path) -> Iterator[tuple[str, Clip]]:
    """Yield the calls of held-out people, each with whether it is for quiet or for noise."""
    packs = [*(voice / "people" / f"{n}.tsv" for n in ("audiomnist", "commands", "commands_odd"))]
    r = random.Random(31)
    for table in (*packs, voice / "speech" / "words.tsv"):
        for speaker, words in sorted(_pieces(table).items()):
            if speaker.startswith("fsdd") or len({text for text, _ in words}) < 3:
                continue
            for where, number in zip(("quiet", "noise"), EACH_PERSON, strict=True):
                for _ in range(number):
                    text, sound = joined(words, (2, 3, 3, 3, 3, 4), r)
                    yield where, Clip(sound, speaker, "call", text, ())
    # Of two clips the first word was cut off: the bench says what is left, and they are in it.
    whole = {(clip.speaker, clip.text) for clip in site_sound.clips()}
    for clip in bench.an4(voice / "people", None):  # type: ignore[arg-type]  # asks it nothing
        if clip.kind == "call" and (clip.speaker, clip.text) in whole:
            for where in ("quiet", "noise"):
                yield where, Clip(clip.sound.astype(np.int64), clip.speaker, "call", clip.text, ())


def figures(voice: Path) -> Iterator[tuple[str, Clip]]:
    """Yield figures joined of three speakers with accents."""
    r = random.Random(32)
    for speaker, words in sorted(_pieces(voice / "speech" / "words.tsv").items()):
        for where, number in zip(("quiet", "noise"), EACH_FSDD, strict=True):
            for _ in range(number if speaker.startswith("fsdd") else 0):
                text, sound = joined(words, (1, 2, 3, 3, 3, 4), r)
                yield where, Clip(sound, speaker, "call", text, ())


def flite(_voice: Path) -> Iterator[tuple[str, Clip]]:
    """Yield calls drawn from the grammar in flite's voices."""
    import soundfile

    phrases = (each for each in sampler.phrases(33) if bench.is_call(each))
    r = random.Random(33)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "clip.wav"
        for name, (where, number) in itertools.product(
            FLITE, zip(("quiet", "noise"), EACH_FLITE, strict=True)
        ):
            for text in itertools.islice(phrases, number):
                stretch = f"duration_stretch={r.uniform(0.85, 1.15):.2f}"
                command = ["flite", "-voice", name, "--setf", stretch, "-t", text, "-o", str(out)]
                subprocess.run(command, check=True, capture_output=True)
                sound, rate = soundfile.read(out, dtype="int16")
                if rate != RATE:
                    raise ValueError(f"flite's {name} speaks at {rate} Hz")
                yield where, Clip(sound.astype(np.int64), f"flite_{name}", "call", text, ())


def synthetic(voice: Path) -> Iterator[tuple[str, Clip]]:
    """Yield the calls of the four synthetic voices, whose noise is in them."""
    import soundfile

    with (voice / "bench" / "manifest.tsv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines, delimiter="\t"):
            words = row["words"].replace(",", "")
            if bench.is_call(words):
                sound = soundfile.read(voice / "bench" / row["path"], dtype="int16")[0]
                where = "quiet" if row["noise"] == "clean" else "noises of a site"
                yield where, Clip(sound.astype(np.int64), row["voice"], "call", words, ())


def no_calls(voice: Path) -> Iterator[tuple[str, Clip]]:
    """Yield what held-out people say that is no call: numbers, dates, spelled names, sentences."""
    found = [
        Clip(each.sound.astype(np.int64), each.speaker, each.kind, each.text, ())
        for each in bench.an4(voice / "people", None)  # type: ignore[arg-type]
        if each.kind != "call"
    ]
    for pack in TALK:
        for row, sound in bench._rows(voice / "people" / f"{pack}.tsv"):
            if len(sound) < LONGEST_SECONDS * RATE and not bench.is_call(row["text"]):
                found.append(Clip(sound.astype(np.int64), row["speaker"], "talk", row["text"], ()))
    return (("quiet", clip) for clip in found)


def babble(talks: Sequence[Clip], length: int, r: random.Random) -> Samples:
    """Return four people who talk at once."""
    out = np.zeros(length, np.int64)
    for _ in range(4):
        said = [r.choice(talks).samples for _ in range(length // (2 * RATE) + 2)]
        one = np.concatenate([each * 3000 // max(1, int(np.abs(each).max())) for each in said])
        out += np.resize(one, length)
    return out


def stream(clip: Clip, where: str, talks: Sequence[Clip], number: int) -> Stream:
    """Return one clip with the place around it, in quiet, in its own noise, or in pink noise and babble in turn."""
    if where != "noise":
        made = site_sound.alone(clip, None, number)
        return replace(made, place=where)
    decibels = LEVELS[number // 2 % len(LEVELS)]
    if number % 2:
        return replace(site_sound.alone(clip, decibels, number), place="noise")
    made = site_sound.alone(clip, None, number)
    noise = babble(talks, len(made.samples), random.Random(number))
    loudness = float(np.sqrt(np.mean(noise.astype(float) ** 2)))
    softer = site_sound._level(clip.samples) / loudness * 10 ** (-decibels / 20)
    return replace(made, samples=made.samples + (noise * softer).astype(np.int64), place="noise")


SETS: dict[str, Callable[[Path], Iterator[tuple[str, Clip]]]] = {
    "held-out people": people,
    "figures joined": figures,
    "flite": flite,
    "four synthetic voices": synthetic,
    "no calls": no_calls,
}


def streams(voice: Path, wanted: Sequence[str] = tuple(SETS)) -> list[tuple[str, Making]]:
    """Return how all streams of the card are made, each with the row that it counts in."""
    talks = [clip for clip in site_sound.clips() if clip.kind == "talk"]
    found: list[tuple[str, Making]] = []
    for name in wanted:
        for number, (where, clip) in enumerate(SETS[name](voice)):
            if not is_held_out(clip.speaker):
                raise ValueError(f"{clip.speaker} may be in training")
            kind = f"{name}, {where}"
            found.append((kind, partial(stream, clip, where, talks, number)))
    return found


def verdict(outcome: Outcome) -> str:
    """Return the column of the table that *outcome* counts in."""
    if outcome.what == "wrong":
        return "silent errors"
    if outcome.what == "right" or (outcome.what == "named" and outcome.deserved):
        return "correct"
    return "confirmation requested" if outcome.what == "named" else "other"


def rows_of(kind: str, stream: Stream) -> Iterator[str]:
    """Yield the rows of the table that a stream counts in."""
    yield kind
    words = stream.said.split()
    if kind.startswith(("held", "figures")) and FIGURES.issuperset(words) and len(words) == 3:
        yield f"{kind}: of these three figures"
    if kind.startswith("figures") and len(words) == 1:
        yield f"{kind}: of these one figure"


def limits(found: int, total: int) -> tuple[float, float]:
    """Return the 95 % limits of Clopper and Pearson (Biometrika, 1934), in %."""

    def tail(share: float, numbers: range) -> float:
        logs = (
            math.lgamma(total + 1)
            - math.lgamma(k + 1)
            - math.lgamma(total - k + 1)
            + k * math.log(share)
            + (total - k) * math.log1p(-share)
            for k in numbers
        )
        return sum(map(math.exp, logs))

    def where(numbers: range, rises: bool) -> float:
        low, high = 0.0, 1.0
        for _ in range(50):
            middle = (low + high) / 2
            low, high = (
                (middle, high) if (tail(middle, numbers) < 0.025) == rises else (low, middle)
            )
        return 100 * low

    return (
        where(range(found, total + 1), True) if found else 0.0,
        where(range(found + 1), False) if found < total else 100.0,
    )


def table(found: Iterator[tuple[str, Stream, Outcome]]) -> Iterator[str]:
    """Yield the lines of the table, and of what is no call what came of it."""
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    others: Counter[str] = Counter()
    for kind, stream, outcome in found:
        if not stream.calls:
            others["entered" if outcome.what == "wrong" else outcome.what] += 1
            continue
        for row in rows_of(kind, stream):
            counts[row][verdict(outcome)] += 1
    yield "| calls | correct | confirmation requested | other | silent errors |"
    yield "|---|---|---|---|---|"
    for row, each in counts.items():
        n, right, wrong = each.total(), each["correct"], each["silent errors"]
        low, high = limits(right, n)
        least, most = limits(wrong, n)
        yield (
            f"| {row} ({n}) | {right} ({100 * right / n:.1f} %; {low:.1f} to {high:.1f}) |"
            f" {each['confirmation requested']} | {each['other']} | {wrong} ({least:.1f} to {most:.1f} %) |"
        )
    yield f"no calls: {dict(others)}"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("voice", type=Path)
    options.add_argument("--only", choices=SETS, nargs="*", default=tuple(SETS))
    options.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    given = options.parse_args()
    made = streams(given.voice, given.only)
    for line in table(measured(bundled("model"), made, given.processes)):
        print(line)


if __name__ == "__main__":
    main()

"""The figures of hearing, by kind: what comes of the clips of the bench and of the streams that are made of them."""

from __future__ import annotations

import json
import math
import multiprocessing
import statistics
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import site_sound
from decodings import Answers, Decodings, fingerprint
from site_hearing import Outcome, hear, word_errors
from site_sound import BENCH, Making, Stream

from cutmemo.asr import load_model

FIGURES = BENCH / "figures.json"
"""What was measured last with ``python tests/bench/measure.py hearing --write``."""
DECODINGS = BENCH / "decodings.xz"
"""What the decoder answered then."""
EVERY = {"pauses": 20, "two": 26}
"""One in so many of them is decoded anew in every run of the tests."""
LETTERS = {"right": "r", "named": "n", "asked": "a", "refused": "f", "missed": "m", "wrong": "W"}
"""What came of a stream, a letter each."""
PAUSES, PAIRS = 576, 240


@dataclass
class Figures:
    """Counts of one kind."""

    right: int = 0
    named: int = 0
    asked: int = 0
    refused: int = 0
    missed: int = 0
    wrong: int = 0
    needed: int = 0
    """Questions that the words raise by themselves, or whose first reading is wrong."""
    needless: int = 0
    torn: int = 0
    """Streams in which a row asks because of what stands before or behind it."""
    word_errors: int = 0
    words: int = 0
    delays: list[float] = field(default_factory=list)

    @property
    def total(self) -> int:
        """Return how many streams there were."""
        return self.right + self.named + self.asked + self.refused + self.missed + self.wrong

    def add(self, stream: Stream, outcome: Outcome) -> None:
        """Count one stream."""
        setattr(self, outcome.what, getattr(self, outcome.what) + 1)
        if outcome.what in ("named", "asked"):
            self.needed += outcome.needed
            self.needless += not outcome.needed
        self.torn += outcome.torn
        self.delays += [round(each, 2) for each in outcome.delays if math.isfinite(each)]
        if stream.kind in ("call", "joined", "numbers") and stream.said:
            heard = " ".join(each.split(" = ")[0] for each in outcome.heard)
            errors, words = word_errors(stream.said, heard)
            self.word_errors += errors
            self.words += words


def upper_limit(found: int, total: int) -> float:
    """Return the upper end of the 95 % interval of Wilson (1927) for *found* among *total*."""
    z, n = 1.96, max(1, total)
    share = found / n
    middle = share + z * z / (2 * n)
    half = z * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    return (middle + half) / (1 + z * z / n)


def streams() -> list[tuple[str, Making]]:
    """Return how all streams are made, each with the kind it counts under."""
    found: list[tuple[str, Making]] = []
    for clip in site_sound.clips():
        who = "people" if clip.speaker.startswith(("an4", "ls", "sc")) else "voices"
        for noise in site_sound.NOISES if clip.kind == "call" else (None,):
            kind = f"{who}, {clip.kind}, {site_sound.place(noise)}"
            found.append((kind, partial(site_sound.alone, clip, noise, len(found))))
    found += [(f"pause inside, {place}", make) for place, make in site_sound.pauses(PAUSES)]
    found += [(f"two calls, {place}", make) for place, make in site_sound.pairs(PAIRS)]
    return found


def sample() -> list[int]:
    """Return which streams every run of the tests decodes anew: every clip alone once, and some with pauses and of two calls.

    Each call has one of its noises in turn, another one in the next voice, whose calls are the same.
    """
    found, calls, speakers, at = [], 0, set[str](), 0
    for clip in site_sound.clips():
        speakers.add(clip.speaker)
        noises = len(site_sound.NOISES) if clip.kind == "call" else 1
        found.append(at + (calls + len(speakers)) % noises)
        calls += clip.kind == "call"
        at += noises
    found += range(at, at + PAUSES, EVERY["pauses"])
    return [*found, *range(at + PAUSES, at + PAUSES + PAIRS, EVERY["two"])]


def measured(
    model: Path,
    which: list[tuple[str, Making]],
    processes: int = 1,
    decodings: Decodings | None = None,
) -> Iterator[tuple[str, Stream, Outcome]]:
    """Yield what comes of each of the streams, by what is kept of *decodings*, which gets what is not."""
    kept = Decodings(fingerprint(model)) if decodings is None else decodings
    if processes == 1:
        loaded = load_model(model)
        with kept.answer():
            for kind, make in which:
                stream = make()
                yield kind, _soundless(stream), hear(stream, loaded)
        return
    context = multiprocessing.get_context("fork")
    with context.Pool(processes, _begin, (model, which, kept)) as pool:
        for kind, stream, outcome, used in pool.imap(_hear_one, range(len(which)), 4):
            kept.used.update(used)
            yield kind, stream, outcome


_loaded: dict[str, Any] = {}


def _begin(model: Path, which: list[tuple[str, Making]], kept: Decodings) -> None:
    _loaded.update(model=load_model(model), which=which, kept=kept)


def _hear_one(number: int) -> tuple[str, Stream, Outcome, Answers]:
    kind, make = _loaded["which"][number]
    stream, kept = make(), _loaded["kept"]
    kept.used = {}
    with kept.answer():
        outcome = hear(stream, _loaded["model"])
    return kind, _soundless(stream), outcome, kept.used


def _soundless(stream: Stream) -> Stream:
    """Return *stream* without its sound, which takes more memory than all else."""
    return replace(stream, samples=np.zeros(0, np.int64))


def counted(found: Iterator[tuple[str, Stream, Outcome]]) -> dict[str, Figures]:
    """Return the figures of each kind."""
    figures: dict[str, Figures] = {}
    for kind, stream, outcome in found:
        figures.setdefault(kind, Figures()).add(stream, outcome)
    return figures


def told(figures: dict[str, Figures]) -> Iterator[str]:
    """Yield a line a kind."""
    yield f"{'':28} {'n':>4} right named asked refused missed wrong (at most)  needless needed torn  words  delay"
    for kind, each in sorted(figures.items()):
        share = f"{100 * upper_limit(each.wrong, each.total):.1f} %"
        errors = f"{100 * each.word_errors / each.words:.1f} %" if each.words else ""
        delay = f"{statistics.median(each.delays):.2f} s" if each.delays else ""
        yield (
            f"{kind:28} {each.total:4} {each.right:5} {each.named:5} {each.asked:5} {each.refused:7}"
            f" {each.missed:6} {each.wrong:5} ({share:>6})  {each.needless:8} {each.needed:6}"
            f" {each.torn:4} {errors:>6} {delay:>6}"
        )


def sums(outcomes: str) -> Counter[str]:
    """Return how many of *outcomes* were right, and how many wrong."""
    return Counter(right=outcomes.count(LETTERS["right"]), wrong=outcomes.count(LETTERS["wrong"]))


def kept() -> dict[str, Any]:
    """Return what is in the file: the figures of each kind, and what came of each stream."""
    found: dict[str, Any] = json.loads(FIGURES.read_text("utf-8"))
    return found


def keep(figures: dict[str, Figures], outcomes: str) -> None:
    """Write the figures of all streams into the file, and a letter for each."""
    plain = {"all": {kind: _plain(each) for kind, each in figures.items()}, "outcomes": outcomes}
    FIGURES.write_text(json.dumps(plain, indent=1, sort_keys=True) + "\n", "utf-8")


def _plain(figures: Figures) -> dict[str, Any]:
    plain = asdict(figures)
    delays = plain.pop("delays")
    return {**plain, "delay": round(statistics.median(delays), 2) if delays else None}

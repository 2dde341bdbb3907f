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

import site_sound
from site_hearing import Outcome, hear, word_errors
from site_sound import BENCH, Making, Stream

from cutmemo.asr import load_model

FIGURES = BENCH / "figures.json"
"""What was measured last with ``python tests/bench/measure.py hearing --write``."""
EVERY = {"alone": 15, "pauses": 20, "two": 26}
"""The sample that every run of the tests hears: one in so many."""
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


def sample(number: int) -> list[int]:
    """Return which of so many streams every run of the tests hears."""
    alone = number - PAUSES - PAIRS
    return [
        *range(0, alone, EVERY["alone"]),
        *range(alone, alone + PAUSES, EVERY["pauses"]),
        *range(alone + PAUSES, number, EVERY["two"]),
    ]


def measured(
    model: Path, which: list[tuple[str, Making]], processes: int = 1
) -> Iterator[tuple[str, Stream, Outcome]]:
    """Yield what comes of each of the streams."""
    if processes == 1:
        loaded = load_model(model)
        for kind, make in which:
            stream = make()
            yield kind, stream, hear(stream, loaded)
        return
    context = multiprocessing.get_context("fork")
    with context.Pool(processes, _begin, (model, which)) as pool:
        yield from pool.imap(_hear_one, range(len(which)), 4)


_loaded: dict[str, Any] = {}


def _begin(model: Path, which: list[tuple[str, Making]]) -> None:
    _loaded.update(model=load_model(model), which=which)


def _hear_one(number: int) -> tuple[str, Stream, Outcome]:
    kind, make = _loaded["which"][number]
    stream = make()
    return kind, replace(stream, samples=stream.samples[:0]), hear(stream, _loaded["model"])


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


def sums(figures: dict[str, Figures]) -> Counter[str]:
    """Return how many of all kinds were right, and how many wrong."""
    return Counter(
        {name: sum(getattr(each, name) for each in figures.values()) for name in ("right", "wrong")}
    )


def kept() -> dict[str, dict[str, Any]]:
    """Return the figures of the file: of all streams, and of the sample."""
    found: dict[str, dict[str, Any]] = json.loads(FIGURES.read_text("utf-8"))
    return found


def keep(**figures: dict[str, Figures]) -> None:
    """Write the figures of ``all`` streams, of the ``sample``, or of both, into the file; what is not given goes, since it is of another model."""
    plain = {name: _plain(each) for name, each in figures.items()}
    FIGURES.write_text(json.dumps(plain, indent=1, sort_keys=True) + "\n", "utf-8")


def _plain(figures: dict[str, Figures]) -> dict[str, Any]:
    found = {}
    for kind, each in figures.items():
        plain = asdict(each)
        delays = plain.pop("delays")
        found[kind] = {**plain, "delay": round(statistics.median(delays), 2) if delays else None}
    return found

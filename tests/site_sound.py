"""The bench of recorded calls: its clips, and the streams that are made of them by rule.

Noise is added up from whole numbers, so that it is the same on every machine.
"""

from __future__ import annotations

import csv
import functools
import itertools
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt

from cutmemo.audio.chunk import CHUNK_SAMPLES, RATE, SoundChunk

BENCH = Path(__file__).parent / "voice" / "bench"
PACKS = ("an4", "figures", "flite", "kokoro", "sentences")
PAUSES = (0.3, 0.5, 0.7, 0.9)
"""Seconds of a pause inside a call."""
APART = (0.8, 1.2, 1.8, 2.4, 3.0)
"""Seconds between two whole calls."""
NOISES = (None, 28, 15, 10)
"""Decibels that the speech stands above pink noise; none in a quiet place."""
LEAD, TRAIL = 1.0, 1.8
"""Seconds of the place before the first call and behind the last."""


def place(decibels: int | None) -> str:
    """Return the name of a place where speech stands so many decibels above the noise."""
    return "quiet" if decibels is None else f"{decibels} dB"


Samples = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Clip:
    """What somebody said, with the seconds at which each word ended; none where they are not known."""

    samples: Samples
    speaker: str
    kind: str
    text: str
    ends: tuple[float, ...]


@dataclass(frozen=True)
class Stream:
    """Sound as it comes from a microphone, and the calls that were said in it."""

    name: str
    kind: str
    samples: Samples
    calls: tuple[str, ...]
    said_until: tuple[float, ...]
    """When the last sound of each call ends, in seconds."""
    place: str = "quiet"
    said: str = ""
    """The words of a clip alone."""

    def chunks(self) -> Iterator[SoundChunk]:
        """Yield it as the microphone does."""
        pcm = self.samples.clip(-32768, 32767).astype("<i2").tobytes()
        for at in range(0, len(pcm), 2 * CHUNK_SAMPLES):
            yield SoundChunk(pcm[at : at + 2 * CHUNK_SAMPLES])


Making = Callable[[], Stream]
"""Makes a stream: only what is heard is made."""


@functools.cache
def clips() -> tuple[Clip, ...]:
    """Return the clips of all packs."""
    import soundfile

    found = []
    for pack in PACKS:
        whole = soundfile.read(BENCH / f"{pack}.ogg", dtype="int16")[0].astype(np.int64)
        with (BENCH / f"{pack}.tsv").open(encoding="utf-8") as lines:
            for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE):
                start, samples = int(row["start"]), int(row["samples"])
                ends = tuple(float(end) for end in row["ends"].split())
                clip = whole[start : start + samples]
                found.append(Clip(clip, row["speaker"], row["kind"], row["text"], ends))
    return tuple(found)


def _level(samples: Samples) -> float:
    """Return the root mean square of the samples above 2 % of the peak."""
    loud = samples[np.abs(samples) > np.abs(samples).max() // 50]
    return float(np.sqrt(np.mean(loud.astype(float) ** 2)))


def pink(length: int, seed: int) -> Samples:
    """Return noise that falls by about 3 dB an octave: white noises, each held twice as long as the last."""
    r = np.random.default_rng(seed)
    out = np.zeros(length, np.int64)
    for octave in range(9):
        held = r.integers(-1000, 1001, (length >> octave) + 1)
        out += np.repeat(held, 1 << octave)[:length]
    return out


def _room(clip: Clip, seconds: float, r: np.random.Generator) -> Samples:
    """Return the hiss of the place where *clip* was spoken, as loud as its quietest frames."""
    frames = clip.samples[: len(clip.samples) // 320 * 320].reshape(-1, 320)
    loudness = np.sqrt((frames.astype(float) ** 2).mean(1))
    return r.normal(0, max(2.0, float(np.quantile(loudness, 0.05))), int(seconds * RATE)).astype(
        np.int64
    )


def _with_noise(samples: Samples, level: float, decibels: int | None, seed: int) -> Samples:
    if decibels is None:
        return samples
    noise = pink(len(samples), seed)
    loudness = float(np.sqrt(np.mean(noise.astype(float) ** 2)))
    return samples + (noise * (level / loudness * 10 ** (-decibels / 20))).astype(np.int64)


def _cut(clip: Clip, word: int) -> int:
    """Return the sample of the quietest 20 ms within 0.1 s of the end of *word*."""
    frame, at = RATE // 50, int(clip.ends[word] * RATE)
    places = range(
        max(0, at - RATE // 10), min(len(clip.samples) - frame, at + RATE // 10), frame // 4
    )
    return min(places, key=lambda k: int(np.abs(clip.samples[k : k + frame]).sum())) + frame // 2


def boundary(clip: Clip, word: int) -> str:
    """Return between which kinds of words the pause behind *word* falls."""
    words = clip.text.split()
    left, right = words[word], words[word + 1]
    for name in ("at", "and", "hundred", "foot", "feet", "by", "minus", "oh"):
        if left == name:
            return f"behind {'foot' if name == 'feet' else name}"
        if right == name:
            return f"before {'foot' if name == 'feet' else name}"
    if right.startswith(("eighth", "sixteenth", "quarter", "half", "second", "thirty")):
        return "in a fraction"
    if clip.kind == "joined":
        return "between single figures"
    number = {"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
    return "before a number" if right in number else "before a word"


def alone(clip: Clip, decibels: int | None = None, seed: int = 0) -> Stream:
    """Return one clip as it is, with the place around it."""
    r = np.random.default_rng(seed)
    parts = [_room(clip, LEAD, r), clip.samples, _room(clip, TRAIL, r)]
    sound = _with_noise(np.concatenate(parts), _level(clip.samples), decibels, seed)
    until = LEAD + (clip.ends[-1] if clip.ends else len(clip.samples) / RATE)
    calls = (clip.text,) if clip.kind in ("call", "joined") else ()
    where = place(decibels)
    name = f"{clip.speaker}: {clip.text} ({where})"
    return Stream(name, clip.kind, sound, calls, (until,), where, clip.text)


def paused(clip: Clip, word: int, pause: float, decibels: int | None, seed: int) -> Stream:
    """Return *clip* with a pause behind *word* (from 0)."""
    r, at = np.random.default_rng(seed), _cut(clip, word)
    parts = [
        _room(clip, LEAD, r),
        clip.samples[:at],
        _room(clip, pause, r),
        clip.samples[at:],
        _room(clip, TRAIL, r),
    ]
    sound = _with_noise(np.concatenate(parts), _level(clip.samples), decibels, seed)
    words = clip.text.split()
    said = " ".join([*words[: word + 1], f"| {pause} s |", *words[word + 1 :]])
    where = place(decibels)
    until = LEAD + pause + clip.ends[-1]
    name = f"{clip.speaker}: {said} ({where})"
    return Stream(name, boundary(clip, word), sound, (clip.text,), (until,), where)


def two(first: Clip, second: Clip, apart: float, decibels: int | None, seed: int) -> Stream:
    """Return two whole calls with so many seconds between the last sound of one and the first of the next."""
    r = np.random.default_rng(seed)
    one = first.samples[: int((first.ends[-1] + 0.05) * RATE)]
    begins = int(np.flatnonzero(np.abs(second.samples) > np.abs(second.samples).max() // 20)[0])
    other = second.samples[max(0, begins - RATE // 50) :]
    parts = [
        _room(first, LEAD, r),
        one,
        _room(first, apart - 0.07, r),
        other,
        _room(second, TRAIL, r),
    ]
    sound = _with_noise(np.concatenate(parts), _level(first.samples), decibels, seed)
    where = place(decibels)
    name = f"{first.speaker}: {first.text} | {apart} s | {second.text} ({where})"
    ended = (
        LEAD + len(one) / RATE + apart - 0.07 + second.ends[-1] - max(0, begins - RATE // 50) / RATE
    )
    texts, ends = (first.text, second.text), (LEAD + first.ends[-1], ended)
    return Stream(name, "two calls", sound, texts, ends, where)


# --- which of them ------------------------------------------------------------------------------


def with_times(kinds: Sequence[str] = ("call", "joined")) -> list[Clip]:
    """Return the calls whose words are known in time."""
    return [clip for clip in clips() if clip.kind in kinds and len(clip.ends) > 1]


def pauses(number: int, seed: int = 1, inside: bool = True) -> list[tuple[str, Making]]:
    """Return how *number* streams with a pause inside a call are made, each with its place: every kind of boundary as often, every pause and noise in turn.

    Not *inside*: the same calls in the same noise, in one breath.
    """
    r = random.Random(seed)
    places: dict[str, list[tuple[Clip, int]]] = {}
    for clip in with_times():
        for word in range(len(clip.ends) - 1):
            places.setdefault(boundary(clip, word), []).append((clip, word))
    kinds = itertools.cycle(sorted(places))
    grid = itertools.cycle([(pause, noise) for noise in NOISES for pause in PAUSES])
    found: list[tuple[str, Making]] = []
    for n, kind, (pause, noise) in zip(range(number), kinds, grid, strict=False):
        (clip, word), by = r.choice(places[kind]), seed * 100_000 + n
        make = partial(paused, clip, word, pause, noise, by)
        found.append((place(noise), make if inside else partial(alone, clip, noise, by)))
    return found


def pairs(number: int, seed: int = 2) -> list[tuple[str, Making]]:
    """Return how *number* streams of two whole calls of one speaker are made, each with its place."""
    r = random.Random(seed)
    by_speaker: dict[str, list[Clip]] = {}
    for clip in with_times(("call",)):
        by_speaker.setdefault(clip.speaker, []).append(clip)
    speakers = sorted(name for name, said in by_speaker.items() if len(said) > 1)
    grid = itertools.cycle([(apart, noise) for noise in NOISES for apart in APART])
    found: list[tuple[str, Making]] = []
    for n, (apart, noise) in zip(range(number), grid, strict=False):
        first, second = r.sample(by_speaker[r.choice(speakers)], 2)
        found.append((place(noise), partial(two, first, second, apart, noise, seed * 100_000 + n)))
    return found

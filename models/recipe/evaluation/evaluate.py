"""How well a model hears, through the program's own hearing.

A manifest is a .tsv of path, words, noise; words that are no cut by the grammar do not count.
What can come of a call is a :class:`Verdict`.
"""

from __future__ import annotations

import argparse
import csv
import time
import wave
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from cutmemo.asr import (
    Interpretation,
    Recogniser,
    Recognition,
    interpret,
    load_model,
    phrases_for,
    split_recognition,
)
from cutmemo.audio.recording import recording
from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError
from cutmemo.language import Change, Reading, read

SETTINGS = Settings()
Readings = tuple[Reading, ...]
Hear = Callable[[Path], list[Recognition]]


class Verdict(StrEnum):
    """What came of a call."""

    CORRECT = "correct"
    """The very cut, with no question but what its words deserve."""
    CONFIRMATION = "confirmation requested"
    """A question that has the right cut among its readings."""
    WRONG_PROMPT = "wrong prompt"
    """A question without it, or several cuts where one was called."""
    REFUSED = "refused"
    MISSED = "missed"
    """Ignored as noise, or not heard at all (false reject)."""
    SILENT_ERROR = "silent error"
    """Another cut, entered without a question (false accept)."""


@dataclass(frozen=True)
class Call:
    """A recording and what its words mean."""

    path: Path
    meant: Readings
    noisy: bool


def listener(model: Path) -> Hear:
    """Return a function from a recording to what the program hears in it."""
    loaded, phrases = load_model(model), phrases_for(model)

    def hear(path: Path) -> list[Recognition]:
        events = Recogniser(loaded, phrases).hear(recording(path))
        return [event for event in events if isinstance(event, Recognition)]

    return hear


def seconds_of(path: Path) -> float:
    """Return how long a recording is."""
    with wave.open(str(path)) as file:
        return file.getnframes() / file.getframerate()


def meanings(readings: Readings) -> set[str]:
    """Return what *readings* mean, to be compared."""
    return {repr(reading.intent) for reading in readings}


def asks(readings: Readings) -> bool:
    """Return whether words of these *readings* make a question by themselves."""
    intent = readings[0].intent
    checked = isinstance(intent, Cut) and check(intent, (), SETTINGS).questions
    return len(readings) > 1 or bool(readings[0].doubts) or bool(checked)


def verdict(heards: Sequence[Recognition], meant: Readings, margin: float | None) -> Verdict:
    """Return what became of a call; *margin* stands in for the program's own."""
    calls: list[Interpretation] = []
    refused = listed = False
    for heard in heards:
        try:
            listed = listed or split_recognition(heard, SETTINGS) is not None
            judged = interpret(heard, SETTINGS, margin)
        except CutmemoError:
            refused = True
            continue
        if judged is not None and isinstance(judged.readings[0].intent, Cut | Change):
            calls.append(judged)
    right = meanings(meant)
    if not calls:
        return Verdict.WRONG_PROMPT if listed else Verdict.REFUSED if refused else Verdict.MISSED
    entered = [call for call in calls if not call.unsure and not asks(call.readings)]
    if any(not meanings(call.readings) <= right for call in entered):
        return Verdict.SILENT_ERROR
    found = meanings(calls[0].readings)
    if len(calls) > 1 or listed or not found & right:
        return Verdict.WRONG_PROMPT
    return Verdict.CORRECT if found == right and not calls[0].unsure else Verdict.CONFIRMATION


def calls_of(manifest: Path) -> Iterator[Call]:
    """Yield the calls of a manifest; words that are no cut are left out."""
    with manifest.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines, delimiter="\t"):
            try:
                meant = read(row["words"].replace(",", " "), by_voice=True)
            except CutmemoError:
                continue
            if isinstance(meant[0].intent, Cut | Change):
                noisy = row["noise"] not in ("clean", "")
                yield Call(manifest.parent / row["path"], meant, noisy)


def evaluate(hear: Hear, manifest: Path, margins: Sequence[float | None]) -> None:
    """Print what comes of the calls of *manifest* at each margin; None is the program's own."""
    heard, length, took = [], 0.0, 0.0
    for call in calls_of(manifest):
        length += seconds_of(call.path)
        begun = time.perf_counter()
        heard.append((call, hear(call.path)))
        took += time.perf_counter() - begun
    print(f"{len(heard)} calls, decoded in {took / max(length, 1e-9):.3f} of their length")
    names = " · ".join(Verdict)
    print(f"margin | clean: {names} | noisy: the same")
    for margin in margins:
        verdicts = [(call, each, verdict(each, call.meant, margin)) for call, each in heard]
        if margin is None:
            for call, each, what in verdicts:
                if what == Verdict.SILENT_ERROR:
                    said = [one.text for one in each]
                    print(f"{what}:", said, "meant", *(reading.intent for reading in call.meant))
        line = "   own" if margin is None else f"{margin:6.1f}"
        for noisy in (False, True):
            found = Counter(what for call, _, what in verdicts if call.noisy == noisy)
            total = max(1, found.total())
            line += " | " + " ".join(f"{100 * found[name] / total:5.1f}%" for name in Verdict)
        print(line)


def _what_of_noise(heard: Recognition) -> str:
    """Return what the program makes of what is no call."""
    try:
        listed = split_recognition(heard, SETTINGS)
        judged = None if listed else interpret(heard, SETTINGS)
    except CutmemoError:
        return "refused"
    if listed is not None:
        return "cut asked"
    if judged is None:
        return "ignored"
    kind = "cut" if isinstance(judged.readings[0].intent, Cut | Change) else "command"
    asked = judged.unsure or asks(judged.readings)
    return f"{kind} asked" if asked else f"{kind} ENTERED"


def evaluate_other(hear: Hear, files: Sequence[Path]) -> None:
    """Print what comes of recordings that hold no call."""
    found: Counter[str] = Counter()
    for path in files:
        found.update(_what_of_noise(heard) for heard in hear(path))
    hours = sum(map(seconds_of, files)) / 3600
    print(f"{hours:.3f} h: {dict(found)}")


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure a model on calls (--bench) and on what is no call (--other)."""
    options = argparse.ArgumentParser(prog="recipe evaluate", description=main.__doc__)
    options.add_argument("model", type=Path)
    options.add_argument("--bench", type=Path, help="a manifest")
    options.add_argument("--other", type=Path, nargs="+")
    margins = [1, 1.5, 2, 2.5, 3, 4]
    options.add_argument("--margins", type=float, nargs="*", default=margins, help="constant ones")
    given = options.parse_args(arguments)
    hear = listener(given.model)
    if given.bench:
        evaluate(hear, given.bench, [None, *given.margins])
    if given.other:
        evaluate_other(hear, given.other)

"""Measures how well a model hears, through the program's own hearing.

python measure.py MODEL --bench MANIFEST.tsv [--margins 1 2 3 …]   calls: right, asked, wrong, at the program's own margin and at constant ones
python measure.py MODEL --other FILE …                             speech and noise that are no calls

A manifest has the columns path, words, noise; words that are no cut by the grammar do not
count. "Right" is the very cut (with the question the words deserve, where they have two
meanings); "asked" a question that has the right cut among its readings; "astray" a question
without it; "wrong" another cut that counted without a question.
"""

from __future__ import annotations

import argparse
import csv
import time
import wave
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from cutmemo.checks import check
from cutmemo.cut import Cut
from cutmemo.errors import CutmemoError
from cutmemo.language import Change, Reading, read
from cutmemo.manner import Manner
from cutmemo.sound.recording import recording
from cutmemo.speech import Heard, Recogniser, judge, load_model, phrases_for, several_in

MANNER = Manner()


def hears(model: Path):  # type: ignore[no-untyped-def]
    loaded, phrases = load_model(model), phrases_for(model)
    return lambda path: [h for h in Recogniser(loaded, phrases).hear(recording(path)) if isinstance(h, Heard)]


def meanings(readings: tuple[Reading, ...]) -> set[str]:
    return {repr(reading.says) for reading in readings}


def asks(readings: tuple[Reading, ...]) -> bool:
    says = readings[0].says
    checked = isinstance(says, Cut) and check(says, (), MANNER).questions
    return len(readings) > 1 or bool(readings[0].doubts) or bool(checked)


def verdict(heards: list[Heard], meant: tuple[Reading, ...], margin: float | None) -> str:
    """Return what became of a call; *margin* stands in for the program's own."""
    taken, listed = [], False
    for heard in heards:
        try:
            listed = listed or several_in(heard, MANNER) is not None
            judged = judge(heard, MANNER, margin)
        except CutmemoError:
            taken.append(None)
            continue
        if judged is not None and isinstance(judged.readings[0].says, Cut | Change):
            taken.append(judged)
    calls = [each for each in taken if each is not None]
    if not calls:
        return "astray" if listed else "refused" if taken else "missed"
    stand = [call for call in calls if not call.unsure and not asks(call.readings)]
    wrong = [call for call in stand if not meanings(call.readings) <= meanings(meant)]
    if wrong:
        return "wrong"
    if len(calls) > 1 or listed:
        return "astray"
    call = calls[0]
    if meanings(call.readings) == meanings(meant) and not call.unsure:
        return "right"
    return "asked" if meanings(call.readings) & meanings(meant) else "astray"


def calls_of(manifest: Path) -> Iterator[tuple[Path, tuple[Reading, ...], str]]:
    """Yield (recording, what its words mean, clean or noisy) of every call in a manifest; words that are no cut are left out."""
    with manifest.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines, delimiter="\t"):
            try:
                meant = read(row["words"].replace(",", " "), by_voice=True)
            except CutmemoError:
                continue
            if isinstance(meant[0].says, Cut | Change):
                yield manifest.parent / row["path"], meant, "clean" if row["noise"] in ("clean", "") else "noisy"


def bench(model: Path, manifest: Path, margins: list[float | None]) -> None:
    hear = hears(model)
    rows, length, took = [], 0.0, 0.0
    for path, meant, kind in calls_of(manifest):
        with wave.open(str(path)) as file:
            length += file.getnframes() / file.getframerate()
        begun = time.perf_counter()
        heards = hear(path)
        took += time.perf_counter() - begun
        rows.append((kind, meant, heards))
    print(f"{len(rows)} calls, decoded in {took / length:.3f} of their length")
    print("margin | clean right asked astray refused missed wrong | noisy right asked astray refused missed wrong")
    for margin in margins:
        line = "   own" if margin is None else f"{margin:6.1f}"
        for noise, meant, heards in rows if margin is None else ():
            if verdict(heards, meant, margin) == "wrong":
                print("wrong:", noise, [heard.text for heard in heards], "meant", *(reading.says for reading in meant))
        for kind in ("clean", "noisy"):
            found = Counter(verdict(heards, meant, margin) for noise, meant, heards in rows if noise == kind)
            total = max(1, sum(found.values()))
            line += " | " + " ".join(f"{100 * found[name] / total:5.1f}%" for name in ("right", "asked", "astray", "refused", "missed", "wrong"))
        print(line)


def other(model: Path, files: list[Path]) -> None:
    hear = hears(model)
    hours = 0.0
    found: Counter[str] = Counter()
    for path in files:
        with wave.open(str(path)) as file:
            hours += file.getnframes() / file.getframerate() / 3600
        for heard in hear(path):
            try:
                listed = several_in(heard, MANNER)
                if listed is not None:
                    found["cut asked"] += len(listed.parts)
                    continue
                judged = judge(heard, MANNER)
            except CutmemoError:
                found["refused"] += 1
                continue
            if judged is None:
                found["ignored"] += 1
                continue
            kind = "cut" if isinstance(judged.readings[0].says, Cut | Change) else "command"
            found[f"{kind} {'asked' if judged.unsure or asks(judged.readings) else 'ENTERED'}"] += 1
    print(f"{hours:.3f} h: {dict(found)}")


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("model", type=Path)
    options.add_argument("--bench", type=Path)
    options.add_argument("--other", type=Path, nargs="+")
    options.add_argument("--margins", type=float, nargs="+", default=[1, 1.5, 2, 2.5, 3, 4], help="constant ones to compare with")
    a = options.parse_args()
    if a.bench:
        bench(a.model, a.bench, [None, *a.margins])
    if a.other:
        other(a.model, a.other)


if __name__ == "__main__":
    main()

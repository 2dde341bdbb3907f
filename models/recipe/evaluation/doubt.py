"""One calibrated measure of how likely a call is heard wrongly, compared with the rules that ask.

A manifest is that of ``evaluate`` with a column ``speaker``. The measure is a logistic regression,
fitted on the calls of half of the speakers and tried on those of the others. Calls whose words make
a question by themselves are left out of both.
Source of the fit: iteratively reweighted least squares (Hastie, Tibshirani and Friedman, The
Elements of Statistical Learning, 2009, 4.4.1), with a ridge penalty.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from cutmemo.asr import Recognition, interpret
from cutmemo.asr.confusions import TEENS_AND_TENS
from cutmemo.audio.level import snr_db
from cutmemo.domain.cut import Cut
from cutmemo.errors import CutmemoError
from cutmemo.language import Change, read
from recipe.evaluation.evaluate import SETTINGS, Hear, Readings, asks, listener, meanings

MAX_LEAD = 6.0
"""A lead (log-likelihood) beyond this tells no more."""
UNKNOWN_SNR, LOUD_SNR = 15.0, 22.0
"""Decibels: taken where nothing is known, and what is as good as quiet."""
NAMES = (
    "lead over another meaning",
    "no other meaning named",
    "lead over the filler word",
    "lead over silence",
    "lead over words that say nothing",
    "other meanings",
    "other meanings as likely",
    "noise",
    "words, logarithm",
    "words a second",
    "teens and tens",
)
EDGES = (0.0, 0.01, 0.03, 0.1, 0.3, 0.6, 1.0)
"""Of the bins of the calibration curve."""
Floats = npt.NDArray[np.float64]


def _readings(text: str) -> Readings:
    try:
        return read(text, SETTINGS, by_voice=True)
    except CutmemoError:
        return ()


def features(heard: Recognition, snr: float | None) -> list[float]:
    """Return what :data:`NAMES` says of a recognition whose best hypothesis is speech.

    *snr* is in decibels, or ``None`` where it is not known.
    """
    best, *others = heard.hypotheses
    meant, leads = meanings(_readings(best.text)), dict.fromkeys(NAMES[:5], MAX_LEAD)
    other = equal = 0
    for each in others:
        lead = best.log_likelihood - each.log_likelihood
        found = meanings(_readings(each.text)) if each.is_speech else set[str]()
        if each.is_speech and found and found == meant:
            continue
        name = NAMES[3] if not each.text else NAMES[2] if not each.is_speech else NAMES[4]
        if found:
            name, other, equal = NAMES[0], other + 1, equal + (lead <= 0)
        leads[name] = min(leads[name], lead)
    words = best.text.split()
    seconds = max(0.2, heard.end_seconds - heard.start_seconds)
    return [
        leads[NAMES[0]],
        float(leads[NAMES[0]] >= MAX_LEAD),
        *(leads[name] for name in NAMES[2:5]),
        float(other),
        float(equal),
        max(0.0, LOUD_SNR - (UNKNOWN_SNR if snr is None else snr)),
        math.log(len(words)),
        len(words) / seconds,
        float(sum(word in TEENS_AND_TENS for word in words)),
    ]


@dataclass(frozen=True)
class Logistic:
    """The probability that a call is heard wrongly, from its features."""

    bias: float
    weights: tuple[float, ...]

    def probability(self, rows: Floats) -> Floats:
        """Return one probability a row."""
        found: Floats = 1 / (1 + np.exp(-(rows @ np.array(self.weights) + self.bias)))
        return found

    @staticmethod
    def fitted(rows: Floats, wrong: npt.NDArray[np.bool_], ridge: float = 3.0) -> Logistic:
        """Return the measure that fits best; *ridge* holds the weights of scaled features small."""
        mean, scale = rows.mean(0), rows.std(0) + 1e-9
        given = np.hstack([np.ones((len(rows), 1)), (rows - mean) / scale])
        penalty = ridge * np.eye(given.shape[1])
        penalty[0, 0] = 0
        at = np.zeros(given.shape[1])
        for _ in range(50):
            p = 1 / (1 + np.exp(-(given @ at)))
            curvature = given.T @ (given * (p * (1 - p) + 1e-9)[:, None]) + penalty
            step = np.linalg.solve(curvature, given.T @ (wrong - p) - penalty @ at)
            at = at + step
            if np.abs(step).max() < 1e-8:
                break
        weights = at[1:] / scale
        return Logistic(float(at[0] - weights @ mean), tuple(float(each) for each in weights))


@dataclass(frozen=True)
class Comparison:
    """Rules and measure on the same calls."""

    calls: int
    wrong: int
    asked: int
    """Questions of the rules."""
    silent: int
    """Silent errors of the rules."""
    silent_at_same_share: int
    """Silent errors of the measure where it asks as often."""
    questions_needed: int
    """Questions of the measure until it has no more silent errors than the rules."""


def compare(
    probability: Floats, wrong: npt.NDArray[np.bool_], asked: npt.NDArray[np.bool_]
) -> Comparison:
    """Compare the measure's *probability* with what the rules *asked*."""
    doubtful_first = np.argsort(-probability, kind="stable")
    left = np.concatenate([[0], np.cumsum(wrong[doubtful_first][::-1])])[::-1]
    questions, silent = int(asked.sum()), int((wrong & ~asked).sum())
    needed = int(np.flatnonzero(left <= silent)[0])
    return Comparison(len(wrong), int(wrong.sum()), questions, silent, int(left[questions]), needed)


def calibration(
    probability: Floats, wrong: npt.NDArray[np.bool_]
) -> Iterator[tuple[float, float, int, float]]:
    """Yield (from, to, calls, share of wrong ones) of each bin that has a call."""
    for low, high in zip(EDGES, EDGES[1:], strict=False):
        inside = (probability >= low) & ((probability < high) | (high == EDGES[-1]))
        if inside.any():
            yield low, high, int(inside.sum()), float(wrong[inside].mean())


@dataclass(frozen=True)
class Example:
    """One recognition that reads as a cut or a change."""

    speaker: str
    features: list[float]
    wrong: bool
    asked: bool

    @property
    def to_fit(self) -> bool:
        """Return whether its speaker is of the half that is fitted on."""
        return zlib.crc32(f"half_{self.speaker}".encode()) % 2 == 0


def examples(hear: Hear, manifest: Path) -> Iterator[Example]:
    """Yield what is heard as a call in the recordings of *manifest*, right or wrong."""
    with manifest.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines, delimiter="\t"))
    for row in rows:
        right = meanings(_readings(row["words"].replace(",", " ")))
        for heard in hear(manifest.parent / row["path"]):
            readings = _readings(heard.text) if heard.hypotheses else ()
            if not readings or asks(readings) or not isinstance(readings[0].intent, Cut | Change):
                continue
            judged = interpret(heard, SETTINGS)
            asked = judged is None or judged.unsure or asks(judged.readings)
            wrong = not meanings(readings) <= right
            yield Example(row["speaker"], features(heard, snr_db(heard.pcm)), wrong, asked)


def _arrays(chosen: Sequence[Example]) -> tuple[Floats, npt.NDArray[np.bool_]]:
    rows = np.array([each.features for each in chosen], float).reshape(len(chosen), len(NAMES))
    return rows, np.array([each.wrong for each in chosen], bool)


def main(arguments: Sequence[str] | None = None) -> None:
    """Fit a measure of doubt on half of the speakers; compare it with the rules on the others."""
    options = argparse.ArgumentParser(prog="recipe doubt", description=main.__doc__)
    options.add_argument("model", type=Path)
    options.add_argument("manifest", type=Path, help="path, words, noise, speaker")
    options.add_argument("--out", type=Path, help="where the coefficients go, as JSON")
    given = options.parse_args(arguments)
    found = list(examples(listener(given.model), given.manifest))
    fit, test = ([each for each in found if each.to_fit == half] for half in (True, False))
    if not fit or not test:
        raise SystemExit("fit and test need calls of speakers of both halves: add speakers")
    measure = Logistic.fitted(*_arrays(fit))
    rows, wrong = _arrays(test)
    probability = measure.probability(rows)
    print(compare(probability, wrong, np.array([each.asked for each in test], bool)))
    for low, high, calls, share in calibration(probability, wrong):
        print(f"{low:4.2f} to {high:4.2f}: {calls:5} calls, {100 * share:5.1f} % wrong")
    if given.out:
        weights = dict(zip(NAMES, measure.weights, strict=True))
        given.out.write_text(json.dumps({"bias": measure.bias, "weights": weights}), "utf-8")

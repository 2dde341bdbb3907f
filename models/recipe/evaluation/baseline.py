"""The PyPI package pocketsphinx (its own English model, our phrases) measured on the same calls.

The same sample of calls becomes its language model (trigrams, ARPA), the same lexicon its
dictionary.
It gives one hypothesis without a usable margin, so that a wrong cut is a silent error wherever
its words have one meaning.
"""

from __future__ import annotations

import argparse
import math
import tempfile
import wave
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from cutmemo.domain.cut import Cut
from cutmemo.errors import CutmemoError
from cutmemo.language import Change, read
from recipe.evaluation.evaluate import SETTINGS, Readings, Verdict, asks, calls_of, meanings
from recipe.graph.ngram import START, BackoffNgram, History
from recipe.words.corpus import OUT_OF_GRAMMAR, sentences
from recipe.words.lexicon import Lexicon, pronunciations

SENTENCES = 60_000


def _log10(probability: float) -> str:
    return f"{math.log10(max(probability, 1e-9)):.4f}"


def arpa(ngram: BackoffNgram) -> str:
    """Return a back-off n-gram in the ARPA format."""
    grams: list[list[str]] = [[] for _ in range(ngram.order)]
    for history, follow in ngram.probability.items():
        for word, probability in follow.items():
            gram: History = (*history, word)
            known = gram in ngram.backoff and len(gram) < ngram.order
            backoff = f"\t{_log10(ngram.backoff[gram])}" if known else ""
            grams[len(history)].append(f"{_log10(probability)}\t{' '.join(gram)}{backoff}")
    grams[0].append(f"-99\t{START}\t{_log10(ngram.backoff.get((START,), 1.0))}")
    head = "".join(f"ngram {n}={len(each)}\n" for n, each in enumerate(grams, start=1))
    body = [f"\n\\{n}-grams:\n" + "\n".join(each) + "\n" for n, each in enumerate(grams, start=1)]
    return f"\\data\\\n{head}{''.join(body)}\n\\end\\\n"


def dictionary(lexicon: Lexicon) -> str:
    """Return a lexicon in CMU Sphinx's format."""
    lines = []
    for word, entries in lexicon.items():
        for k, phones in enumerate(entries, start=1):
            lines.append(f"{word}{f'({k})' if k > 1 else ''} {' '.join(phones)}\n")
    return "".join(lines)


def decoder(seed: int = 2) -> Any:
    """Return pocketsphinx with the language model and the lexicon of the grammar."""
    from pocketsphinx import Decoder

    sampled = [s for s in sentences(SENTENCES, 0.0, seed) if s and OUT_OF_GRAMMAR not in s]
    lexicon = pronunciations(sorted({word for sentence in sampled for word in sentence}))
    with tempfile.TemporaryDirectory() as folder:
        model, words = Path(folder, "calls.lm"), Path(folder, "calls.dict")
        model.write_text(arpa(BackoffNgram(sampled, 3, 0.4, min_count=1)))
        words.write_text(dictionary(lexicon))
        return Decoder(lm=str(model), dict=str(words), loglevel="FATAL")


def verdict(text: str, meant: Readings) -> str:
    """Return what became of a call heard as *text*."""
    try:
        readings = read(text, SETTINGS, by_voice=True) if text else ()
    except CutmemoError:
        readings = ()
    if not readings or not isinstance(readings[0].intent, Cut | Change):
        return "refused or missed"
    if meanings(readings) == meanings(meant):
        return Verdict.CORRECT
    return Verdict.CONFIRMATION if asks(readings) else Verdict.SILENT_ERROR


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure pocketsphinx on the calls of a manifest."""
    options = argparse.ArgumentParser(prog="recipe baseline", description=main.__doc__)
    options.add_argument("manifest", type=Path)
    given = options.parse_args(arguments)
    sphinx = decoder()
    found: dict[str, Counter[str]] = {"clean": Counter(), "noisy": Counter()}
    for call in calls_of(given.manifest):
        with wave.open(str(call.path)) as file:
            sound = file.readframes(file.getnframes())
        sphinx.start_utt()
        sphinx.process_raw(sound, full_utt=True)
        sphinx.end_utt()
        text = sphinx.hyp().hypstr if sphinx.hyp() else ""
        found["noisy" if call.noisy else "clean"][verdict(text, call.meant)] += 1
    for kind, each in found.items():
        total = max(1, each.total())
        print(kind, {name: f"{100 * n / total:.0f} %" for name, n in each.items()}, each.total())

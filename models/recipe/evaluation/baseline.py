"""Measures the PyPI package pocketsphinx (its own English model, our phrases) beside ours: python compare.py MANIFEST.tsv

The same sample of calls becomes its language model (trigrams, ARPA), the same dictionary
its pronunciations. It gives one hearing without a usable margin, so that a wrong cut
stands wherever the words have one meaning.
"""

from __future__ import annotations

import math
import sys
import tempfile
import wave
from collections import Counter
from pathlib import Path

from build import sentences
from graph import GARBAGE, Ngrams
from lexicon import lexicon
from measure import MANNER, asks, calls_of, meanings

from cutmemo.cut import Cut
from cutmemo.errors import CutmemoError
from cutmemo.language import Change, read


def arpa(ngrams: Ngrams, order: int) -> str:
    """Return the back-off n-gram in the ARPA format."""
    grams: list[list[str]] = [[] for _ in range(order)]

    def log(p: float) -> str:
        return f"{math.log10(max(p, 1e-9)):.4f}"

    for history, follow in ngrams.probability.items():
        for word, probability in follow.items():
            gram = (*history, word)
            backoff = f"\t{log(ngrams.backoff[gram])}" if gram in ngrams.backoff and len(gram) < order else ""
            grams[len(history)].append(f"{log(probability)}\t{' '.join(gram)}{backoff}")
    grams[0].append(f"-99\t<s>\t{log(ngrams.backoff.get(('<s>',), 1.0))}")
    head = "\\data\\\n" + "".join(f"ngram {n}={len(each)}\n" for n, each in enumerate(grams, start=1))
    body = "".join(f"\n\\{n}-grams:\n" + "\n".join(each) + "\n" for n, each in enumerate(grams, start=1))
    return f"{head}{body}\n\\end\\\n"


def main() -> None:
    from pocketsphinx import Decoder

    said = [sentence for sentence in sentences(60_000, 0.0) if sentence and GARBAGE not in sentence]
    book = lexicon({word for sentence in said for word in sentence})
    with tempfile.TemporaryDirectory() as folder:
        model, words = Path(folder, "calls.lm"), Path(folder, "calls.dict")
        model.write_text(arpa(Ngrams(said, 3, 0.4, least=1), 3))
        lines = [f"{word}{f'({k})' if k > 1 else ''} {' '.join(phones)}" for word, each in book.items() for k, phones in enumerate(each, 1)]
        words.write_text("\n".join(lines) + "\n")
        decoder = Decoder(lm=str(model), dict=str(words), loglevel="FATAL")
        found: dict[str, Counter[str]] = {"clean": Counter(), "noisy": Counter()}
        for path, meant, kind in calls_of(Path(sys.argv[1])):
            with wave.open(str(path)) as file:
                sound = file.readframes(file.getnframes())
            decoder.start_utt()
            decoder.process_raw(sound, full_utt=True)
            decoder.end_utt()
            text = decoder.hyp().hypstr if decoder.hyp() else ""
            try:
                readings = read(text, MANNER, by_voice=True) if text else ()
            except CutmemoError:
                readings = ()
            if not readings or not isinstance(readings[0].says, Cut | Change):
                found[kind]["refused or missed"] += 1
            elif meanings(readings) == meanings(meant):
                found[kind]["right"] += 1
            else:
                found[kind]["asked" if asks(readings) else "wrong"] += 1
    for kind, each in found.items():
        print(kind, {name: f"{100 * n / sum(each.values()):.0f} %" for name, n in each.items()}, sum(each.values()))


if __name__ == "__main__":
    main()

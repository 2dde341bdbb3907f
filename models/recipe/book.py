"""Writes what training needs to know of words as JSON: python book.py OUT.json PACK.tsv PACK.npz PLAN.jsonl …

``said`` are the pronunciations of all words in the packs, the plans and the grammar,
``share`` how often each word of the grammar is said in calls, ``garbage`` how often
something else is.
"""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path

import numpy as np
from build import sentences
from graph import GARBAGE
from lexicon import lexicon
from word_graph import grammar_share


def texts(pack: Path) -> list[str]:
    if pack.suffix == ".npz":
        return [str(text) for text in np.load(pack)["text"]]
    with pack.open(encoding="utf-8") as lines:
        if pack.suffix == ".jsonl":
            return [json.loads(line)["text"] for line in lines]
        return [row["text"] for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)]


def main() -> None:
    share, garbage = grammar_share(sentences(100_000), GARBAGE)
    words = set(share)
    for pack in sys.argv[2:]:
        for text in texts(Path(pack)):
            words |= set(text.split())
    Path(sys.argv[1]).write_text(json.dumps({"said": lexicon(sorted(words)), "share": share, "garbage": garbage}))


if __name__ == "__main__":
    main()

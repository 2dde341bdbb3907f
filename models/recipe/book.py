"""Writes the pronunciations of all words in some packs or plans as JSON: python book.py OUT.json PACK.tsv PACK.npz PLAN.jsonl …"""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path

import numpy as np
from lexicon import lexicon


def texts(pack: Path) -> list[str]:
    if pack.suffix == ".npz":
        return [str(text) for text in np.load(pack)["text"]]
    with pack.open(encoding="utf-8") as lines:
        if pack.suffix == ".jsonl":
            return [json.loads(line)["text"] for line in lines]
        return [row["text"] for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)]


def main() -> None:
    words: set[str] = set()
    for pack in sys.argv[2:]:
        for text in texts(Path(pack)):
            words |= set(text.split())
    Path(sys.argv[1]).write_text(json.dumps(lexicon(sorted(words))))


if __name__ == "__main__":
    main()

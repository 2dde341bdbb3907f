"""Writes the pronunciations of all words in some packs as JSON: python book.py OUT.json PACK.tsv …"""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path

from lexicon import lexicon


def main() -> None:
    words: set[str] = set()
    for pack in sys.argv[2:]:
        with Path(pack).open(encoding="utf-8") as lines:
            for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE):
                words |= set(row["text"].split())
    Path(sys.argv[1]).write_text(json.dumps(lexicon(sorted(words))))


if __name__ == "__main__":
    main()

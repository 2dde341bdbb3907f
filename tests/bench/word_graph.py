"""Searches the shipped word graph for 20,000 word strings that are read by voice: python tests/bench/word_graph.py

Prints how many are heard, asked about, missed and wrong, and those that are not heard.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS), str(TESTS / "voice"), str(TESTS.parent / "models")]


def main() -> None:
    from decoding_graph import DecodingGraph
    from test_word_graph import outcomes

    from cutmemo.bundle import bundled

    options = argparse.ArgumentParser()
    options.add_argument("--model", type=Path, default=bundled("model"))
    options.add_argument("--number", type=int, default=20_000)
    options.add_argument("--seed", type=int, default=19)
    given = options.parse_args()
    found = outcomes(DecodingGraph(given.model / "graph"), given.number, given.seed)
    count = Counter(found.values())
    print(f"{len(found)} different strings: {dict(count)}")
    for said, what in found.items():
        if what != "heard":
            print(f"{what}: {said}")


if __name__ == "__main__":
    main()

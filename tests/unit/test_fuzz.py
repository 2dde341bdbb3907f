"""Whatever comes in at any entry is taken whole or refused with a sentence, and breaks no list.

The same inputs in each run; ``tests/bench/fuzz.py`` looks for others. What it found stands in FOUND.
"""

from __future__ import annotations

import random
from itertools import islice
from pathlib import Path

import pytest
from entries import ENTRIES, Entries, changed, seeds

COUNT = {"say": 250, "hear": 250, "import": 150}
"""Inputs of an entry; of any other 100."""
FOUND: list[tuple[str, bytes]] = [
    # what no wood measures, called, corrected and reckoned: refused when it was written
    ("say", b"stairs rise 108 run 120120"),
    ("say", b"3 @ 99999999"),
    ("say", b"9999999 @ 36"),
    ("say", b"36 miter 95 long point"),
    ("say", b"36 plumb 99999/12 long point"),
    ("say", b"no, make that 99999999"),
    ("say", b"make it 9999999"),
    ("say", b"99999999 rafters span 24' pitch 7/12"),
    ("hear", b"four at nine nine nine nine nine nine nine nine"),
    ("wav", b"RIFF$\x04\x00\x00WAVEfm\n\x0b\x0c\r\x0e\x0f"),  # a part reaches past its whole
]
"""What broke a law once, by the entry."""


@pytest.fixture
def entries(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Entries:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "input.toml"))
    for name in ("MEMO", "STATION", "WHO", "LOG"):
        monkeypatch.delenv(f"CUTMEMO_{name}", raising=False)
    return Entries(tmp_path)


@pytest.mark.parametrize("name", ENTRIES)
def test_whatever_comes_in_is_taken_whole_or_refused(
    entries: Entries, name: str, tmp_path: Path
) -> None:
    taken = 0
    inputs = changed(random.Random(f"1 {name}"), seeds(name, tmp_path / "seed"))
    for data in islice(inputs, COUNT.get(name, 100)):
        taken += not entries.tried(name, data)
    entries.close()
    assert taken, "nothing at all was taken: the inputs try nothing"


@pytest.mark.parametrize("name, data", FOUND)
def test_what_was_found_once(entries: Entries, name: str, data: bytes) -> None:
    entries.tried(name, data)
    entries.close()

"""Looks for inputs that break a law, with inputs that reach new branches: python tests/bench/fuzz.py [MINUTES] [ENTRY ...]

Every entry of ``tests/entries.py`` in turn for its share of MINUTES (60), in a process of its own, by Atheris
(``pip install atheris``: coverage-guided changes to sound inputs). What breaks a law is written to a file
and printed; it belongs into ``FOUND`` of ``tests/unit/test_fuzz.py``. Inputs that take over 30 s are slow
and break the law that reading is bounded. The corpus is kept in a folder between runs where
CUTMEMO_CORPUS names one.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

SLOW_SECONDS = 30


def fuzz(name: str, seconds: float, folder: Path) -> None:
    """Try the entry *name*; ends the process."""
    import atheris

    with atheris.instrument_imports(include=["cutmemo", "wave"]):
        from entries import ENTRIES, PIECES, Entries, seeds

    assert name in ENTRIES
    corpus = Path(os.environ.get("CUTMEMO_CORPUS") or folder) / name
    corpus.mkdir(parents=True, exist_ok=True)
    for number, data in enumerate(seeds(name, folder / "seed")):
        (corpus / f"seed{number}").write_bytes(data)
    words = folder / "words"
    words.write_text(
        "\n".join('"' + "".join(f"\\x{b:02x}" for b in piece[:60]) + '"' for piece in PIECES)
    )
    entries = Entries(folder)
    tries = 0

    def one(data: bytes) -> None:
        nonlocal tries
        tries += 1
        entries.tried(name, data)
        if tries % 500 == 0:
            entries.check()

    options = [
        f"-max_total_time={int(seconds)}",
        "-max_len=4096",
        f"-timeout={SLOW_SECONDS}",
        f"-dict={words}",
        f"-artifact_prefix={folder}/{name}-",
        "-rss_limit_mb=0",  # the memo's opening freezes what it holds, so a process that opens thousands grows
        "-verbosity=0",
        "-print_final_stats=1",
    ]
    atheris.Setup([sys.argv[0], *options, str(corpus)], one)
    atheris.Fuzz()


def main(minutes: float, names: list[str]) -> int:
    """Try each entry for its share; return 1 where anything was found."""
    from entries import ENTRIES

    names = names or list(ENTRIES)
    found = 0
    for name in names:
        folder = Path(tempfile.mkdtemp(prefix=f"fuzz-{name}-"))
        own = {"CUTMEMO_FOLDER": str(folder), "CUTMEMO_CONFIG": str(folder / "input.toml")}
        ended = subprocess.run(
            [sys.executable, __file__, "--one", name, str(60 * minutes / len(names)), str(folder)],
            env=os.environ | own,
            capture_output=True,
            text=True,
        )
        stats = [line for line in ended.stderr.splitlines() if "number_of_executed" in line]
        print(name, *stats, "sound" if ended.returncode == 0 else "BROKEN", flush=True)
        if ended.returncode:
            found = 1
            # Atheris prints the exception on standard output, what libFuzzer makes of it on the other:
            # "fuzz target exited" stands for any exception.
            told = f"{ended.stdout}\n{ended.stderr}"
            (folder / "errors.txt").write_text(told)
            print(ended.stdout[-3000:], ended.stderr[-1000:], f"see {folder}", sep="\n", flush=True)
    return found


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        fuzz(sys.argv[2], float(sys.argv[3]), Path(sys.argv[4]))
    else:
        sys.exit(main(float(sys.argv[1]) if sys.argv[1:] else 60, sys.argv[2:]))

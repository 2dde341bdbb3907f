"""The sources of the model (data.toml), and whether what lies here is what was trained with."""

from __future__ import annotations

import argparse
import csv
import hashlib
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

TABLE = Path(__file__).parent / "data.toml"


@dataclass(frozen=True)
class Source:
    """One source of speech, words or noise, as data.toml describes it."""

    name: str
    licence: str
    licence_url: str
    use: str
    in_weights: bool
    """Whether today's weights or graph were made with it."""
    share_alike: bool = False
    url: str = ""
    pack: str = ""
    package: str = ""
    sha256: str = ""
    unknown: str = ""
    """What is not known of it."""


def sources() -> list[Source]:
    """Return all sources, in the order of the file."""
    with TABLE.open("rb") as file:
        return [Source(**each) for each in tomllib.load(file)["source"]]


def digest(table: Path) -> str:
    """Return the SHA-256 of a pack: of its table and then of the files it names, in their order.

    Raises :class:`OSError` where one of them is missing.
    """
    whole = hashlib.sha256(table.read_bytes())
    with table.open(encoding="utf-8") as lines:
        rows = csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)
        names = sorted({row["file"] for row in rows})
    for name in names:
        whole.update((table.parent / name).read_bytes())
    return whole.hexdigest()


def main(arguments: Sequence[str] | None = None) -> None:
    """List the sources; compare the packs that lie under the given folders with their checksums."""
    options = argparse.ArgumentParser(prog="recipe data", description=main.__doc__)
    options.add_argument("folders", type=Path, nargs="*")
    given = options.parse_args(arguments)
    wrong = 0
    for source in sources():
        print(f"{source.name}: {source.licence}{'' if source.in_weights else ' (not in use)'}")
        if source.pack:
            found = [f / f"{source.pack}.tsv" for f in given.folders]
            for table in filter(Path.is_file, found):
                same = digest(table) == source.sha256
                wrong += not same
                print(f"    {table}: {'as it was' if same else 'ANOTHER CHECKSUM'}")
    if wrong:
        raise SystemExit(f"{wrong} packs are not those that data.toml names")

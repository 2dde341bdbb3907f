"""Ordinary words that look like a slip of one that means something, and are none."""

from importlib.resources import files
from typing import Final


def _words() -> frozenset[str]:
    text = files(__package__).joinpath("ordinary.txt").read_text("utf-8")
    lines = (line for line in text.splitlines() if not line.startswith("#"))
    return frozenset(word for line in lines for word in line.split())


ORDINARY: Final = _words()
"""Hole, wet, pot: typed among the words of a line they are kept as they are."""

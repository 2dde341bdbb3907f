"""The parts that the site needs beyond the rest of the program."""

from __future__ import annotations

import pytest

PARTS = ("aiohttp", "cryptography", "zeroconf", "segno")


def needed() -> None:
    """Leave the module out, and say so, where a part is missing."""
    for part in PARTS:
        pytest.importorskip(
            part, reason=f"NOT TESTED: the site, without {part}. pip install '.[site]'"
        )

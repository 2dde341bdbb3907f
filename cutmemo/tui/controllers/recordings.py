"""Keeps the sound of the last calls, to be played again."""

from __future__ import annotations

from collections.abc import Iterable

MAX_RECORDINGS = 50
"""So many calls are kept; the oldest goes first."""


class Recordings:
    """The sound of the last calls, by the id of their rows."""

    def __init__(self) -> None:
        """Keep nothing yet."""
        self._kept: dict[str, bytes] = {}

    def keep(self, row_ids: Iterable[str], pcm: bytes) -> None:
        """Keep *pcm* as the sound of these rows."""
        for row_id in row_ids:
            self._kept[row_id] = pcm
        while len(self._kept) > MAX_RECORDINGS:
            del self._kept[next(iter(self._kept))]

    def of(self, row_id: str) -> bytes | None:
        """Return the sound of a row, or ``None`` where none is kept."""
        return self._kept.get(row_id)

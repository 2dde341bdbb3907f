"""A piece of sound as every part of the program passes it on."""

from __future__ import annotations

from dataclasses import dataclass

RATE = 16_000
"""Samples a second."""
CHUNK_SAMPLES = 1_600
"""A tenth of a second."""


@dataclass(frozen=True, slots=True)
class SoundChunk:
    """A short piece of sound, 16-bit little-endian mono at :data:`RATE`."""

    pcm: bytes
    cut_off: bool = False
    """True where the sound breaks off after it, perhaps in the middle of a word."""
    muted: bool = False
    """True where it is silence in the place of what nobody listened to."""

    @property
    def seconds(self) -> float:
        """Return how long it lasts."""
        return len(self.pcm) / (2 * RATE)

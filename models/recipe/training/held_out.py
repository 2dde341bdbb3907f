"""Speakers that no net is trained on: those of the benches, of validation over real people, and of
licences that ask too much.

A name is what a pack or shard gives as its speaker: ``an4_mjes``, ``flite_kal16``, or several
voices of a blend, joined with a plus sign.
"""

from __future__ import annotations

import re
import zlib

BENCH_VOICES = frozenset(
    {"slt", "awb", "rms", "bdl", "clb", "kal", "kal16", "joe", "puck", "lewis", "bella"}
)
"""Voices of other engines and of Kokoro with which this model is measured."""
MEASURE_ONLY = frozenset({"fsdd", "theo", "nicolas", "yweweler", "asterisk"})
"""The Free Spoken Digit Dataset, whose licence is share-alike, and a speaker of validation."""
_PERSON = re.compile(r"(an4|ls|sc|cv|cv1)_.+|am_\d+|ljspeech|requests.*")
_DEV_PARTS = 5
"""One real speaker in so many is for measuring."""


class HeldOut(ValueError):
    """A speaker who is for measuring only is among the speech to train on."""

    def __init__(self, speaker: str) -> None:
        """Keep the *speaker*."""
        self.speaker = speaker
        super().__init__(speaker)

    def __str__(self) -> str:
        """Name the speaker."""
        return f"{self.speaker} is for measuring only: leave these clips out (filter the table)"


def is_held_out(speaker: str) -> bool:
    """Return whether nothing may be trained on *speaker*."""
    name = speaker.lower()
    parts = set(re.split(r"[^a-z0-9]+", name))
    if parts & (BENCH_VOICES | MEASURE_ONLY):
        return True
    return _PERSON.fullmatch(name) is not None and (_is_odd_command(name) or _is_dev(speaker))


def _is_dev(speaker: str) -> bool:
    """Return whether a real speaker is of the part that is measured with."""
    return zlib.crc32(f"dev_{speaker}".encode()) % _DEV_PARTS == 0


def _is_odd_command(name: str) -> bool:
    """Return whether *name* is a speaker of Speech Commands whose first six hex digits are an odd
    number.
    """
    found = re.fullmatch(r"sc_([0-9a-f]{6})[0-9a-f]{2}", name)
    return found is not None and int(found[1], 16) % 2 == 1


def checked(speaker: str) -> str:
    """Return *speaker*. Raises :class:`HeldOut`."""
    if is_held_out(speaker):
        raise HeldOut(speaker)
    return speaker

"""The acoustic units: silence, and every phone in four places of a word, each with two outputs of the net.

A unit is first heard (forward output), then goes on (loop output), as in Kaldi's
chain topology. Unit u has outputs 2u and 2u+1.
"""

from __future__ import annotations

from collections.abc import Sequence

from lexicon import PHONES

PLACES = "BEIS"
"""Begin, end, inside of a word, or a word of one phone."""
UNITS = ("SIL", *(f"{phone}_{place}" for phone in PHONES for place in PLACES))
INDEX = {name: number for number, name in enumerate(UNITS)}
OUTPUTS = 2 * len(UNITS)


def placed(phones: Sequence[str]) -> list[str]:
    """Return *phones* of one word as units."""
    if len(phones) == 1:
        return [f"{phones[0]}_S"]
    return [f"{phones[0]}_B", *(f"{phone}_I" for phone in phones[1:-1]), f"{phones[-1]}_E"]

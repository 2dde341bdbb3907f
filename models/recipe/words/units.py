"""The acoustic units: silence, and every phone in four positions; each has two outputs of the net.

In Kaldi's chain topology a unit has a forward output, for its first frame, and a loop output, for
the frames after it. Unit u has outputs 2u and 2u+1.
"""

from __future__ import annotations

from collections.abc import Sequence

from recipe.words.lexicon import PHONES

POSITIONS = "BEIS"
"""Begin, end, inside of a word, or a word of one phone (singleton)."""
UNITS = ("SIL", *(f"{phone}_{position}" for phone in PHONES for position in POSITIONS))
INDEX = {name: number for number, name in enumerate(UNITS)}
OUTPUTS = 2 * len(UNITS)


def positioned(phones: Sequence[str]) -> list[str]:
    """Return the *phones* of one word as units."""
    if len(phones) == 1:
        return [f"{phones[0]}_S"]
    return [f"{phones[0]}_B", *(f"{phone}_I" for phone in phones[1:-1]), f"{phones[-1]}_E"]

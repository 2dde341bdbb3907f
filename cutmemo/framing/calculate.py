"""The one entry: a set as it was called in, its cuts out."""

from __future__ import annotations

from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import Assembly
from cutmemo.framing.roof import ROOFS
from cutmemo.framing.stairs import stairs
from cutmemo.framing.wall import wall
from cutmemo.language.intent import AssemblyCall

_SETS = {**ROOFS, "wall": wall, "stairs": stairs}


def calculate(called: AssemblyCall, settings: Settings) -> Assembly:
    """Return the cuts of *called*, worked out for one crew. Raises :class:`Refused` where something is missing or cannot be."""
    return _SETS[called.what](called, settings)

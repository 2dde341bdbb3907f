"""The one entry: a set as it was called in, its cuts out."""

from __future__ import annotations

from cutmemo.framing.frame import Frame
from cutmemo.framing.roof import ROOFS
from cutmemo.framing.stairs import stairs
from cutmemo.framing.wall import wall
from cutmemo.language.says import FramingCalled
from cutmemo.manner import Manner

_SETS = {**ROOFS, "wall": wall, "stairs": stairs}


def work_out(called: FramingCalled, manner: Manner) -> Frame:
    """Return the cuts of *called*, worked out for one crew. Raises :class:`Refused` where something is missing or cannot be."""
    return _SETS[called.what](called, manner)

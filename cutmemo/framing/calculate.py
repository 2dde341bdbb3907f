"""The one entry: the measures of a set in, its cuts out."""

from __future__ import annotations

from typing import assert_never

from cutmemo.domain.settings import Settings
from cutmemo.framing.assembly import Assembly
from cutmemo.framing.deck import deck
from cutmemo.framing.floor import floor
from cutmemo.framing.hips import hips
from cutmemo.framing.jacks import jacks
from cutmemo.framing.rake import rake
from cutmemo.framing.roof import rafters
from cutmemo.framing.specs import (
    DeckSpec,
    FloorSpec,
    HipSpec,
    JackSpec,
    RafterSpec,
    RakeSpec,
    Spec,
    StairSpec,
    WallSpec,
)
from cutmemo.framing.stairs import stairs
from cutmemo.framing.wall import wall


def calculate(spec: Spec, settings: Settings) -> Assembly:  # noqa: PLR0911 - one for each case
    """Return the cuts of *spec*, worked out for one crew. Raises :class:`MeasureError` where it
    cannot be built.
    """
    match spec:
        case RafterSpec():
            return rafters(spec, settings)
        case HipSpec():
            return hips(spec, settings)
        case JackSpec():
            return jacks(spec, settings)
        case RakeSpec():
            return rake(spec, settings)
        case WallSpec():
            return wall(spec, settings)
        case FloorSpec():
            return floor(spec, settings)
        case DeckSpec():
            return deck(spec, settings)
        case StairSpec():
            return stairs(spec, settings)
        case _:
            assert_never(spec)

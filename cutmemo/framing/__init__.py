"""Sets of cuts worked out from a few measures: roofs, walls, floors, stairs. Arithmetic only, never
a design.
"""

from cutmemo.framing.assembly import Assembly, Placed
from cutmemo.framing.calculate import calculate
from cutmemo.framing.remarks import Angle, MeasureError, Remark, RemarkKind, Value
from cutmemo.framing.slope import HipSlope, Pitch
from cutmemo.framing.specs import (
    DeckSpec,
    FloorOpeningSpec,
    FloorSpec,
    HeaderSpec,
    HipSpec,
    JackSpec,
    OpeningSpec,
    RafterSpec,
    RakeSpec,
    Spec,
    StairSpec,
    WallSpec,
)

__all__ = [
    "Angle",
    "Assembly",
    "DeckSpec",
    "FloorOpeningSpec",
    "FloorSpec",
    "HeaderSpec",
    "HipSlope",
    "HipSpec",
    "JackSpec",
    "MeasureError",
    "OpeningSpec",
    "Pitch",
    "Placed",
    "RafterSpec",
    "RakeSpec",
    "Remark",
    "RemarkKind",
    "Spec",
    "StairSpec",
    "Value",
    "WallSpec",
    "calculate",
]

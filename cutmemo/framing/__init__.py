"""Sets of cuts worked out from a few measures: rafters, walls, stairs. Arithmetic only, never a design."""

from cutmemo.framing.assembly import Assembly
from cutmemo.framing.calculate import calculate

__all__ = ["Assembly", "calculate"]

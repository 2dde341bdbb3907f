"""Sets of cuts worked out from a few measures: rafters, walls, stairs. Arithmetic only, never a design."""

from cutmemo.framing.frame import Frame
from cutmemo.framing.work_out import work_out

__all__ = ["Frame", "work_out"]

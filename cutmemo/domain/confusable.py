"""Numbers that sound alike."""

from __future__ import annotations

from typing import Final

ALIKE_BY_EAR: Final = {n + 10: n * 10 for n in range(3, 10)}
"""Teens that the ear takes for tens, and the other way round: 13/30 to 19/90."""

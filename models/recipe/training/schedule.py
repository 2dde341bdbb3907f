"""How rate, difficulty, dropout and boost run over a training, by its progress from 0 to 1."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Schedule:
    """What the curves run between."""

    rate: float = 1.5e-3
    """The highest learning rate; it falls by a cosine."""
    boost: float = 0.2
    """By how much a wrong unit has to be beaten in each frame, from 45 % of the training on."""
    difficulty: tuple[float, float] = (0.2, 1.0)
    """Of the noise (SNR curriculum), at the start and from the middle on."""
    fresh: bool = True
    """Whether the net starts from random weights: it warms up longer, and dropout begins softly."""

    def rate_at(self, step: int, progress: float) -> float:
        """Return the learning rate."""
        warm = min(1, (step + 1) / (300 if self.fresh else 60))
        return self.rate * warm * (0.5 * (1 + math.cos(math.pi * progress)) + 0.004)

    def difficulty_at(self, progress: float) -> float:
        """Return how loud the noise gets, from 0 to 1."""
        first, last = self.difficulty
        return first + (last - first) * min(1, progress / 0.5)

    def dropout_at(self, progress: float) -> float:
        """Return how far the factors of dropout lie from 1."""
        begun = min(1, progress * 5) if self.fresh else 1
        return 0.35 * begun * (1 if progress < 0.8 else 0.3)

    def boost_at(self, progress: float) -> float:
        """Return the boost of the denominator."""
        return self.boost * min(1.0, max(0.0, (progress - 0.15) / 0.3))

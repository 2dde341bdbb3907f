"""How often something may be done: buckets that fill again at a steady rate."""

from __future__ import annotations

from collections import OrderedDict


class Bucket:
    """Holds so many tries at most, and fills again at a steady rate."""

    __slots__ = ("_at", "_left", "_most", "_rate")

    def __init__(self, a_second: float, most: float) -> None:
        """Allow *most* at once, and *a_second* in the long run."""
        self._rate, self._most, self._left = a_second, most, most
        self._at: float | None = None

    def _fill(self, now: float) -> None:
        if self._at is not None:
            self._left = min(self._most, self._left + max(0.0, now - self._at) * self._rate)
        self._at = now

    def take(self, now: float) -> bool:
        """Use one try at *now* seconds; return whether there was one."""
        self._fill(now)
        if self._left < 1:
            return False
        self._left -= 1
        return True

    def has(self, now: float) -> bool:
        """Return whether there is a try at *now*, and use none."""
        self._fill(now)
        return self._left >= 1

    def wait(self, now: float) -> float:
        """Return how many seconds after *now* the next try is there."""
        self._fill(now)
        return max(0.0, (1 - self._left) / self._rate)


class Buckets:
    """A bucket for each of many names, the ones used last kept."""

    def __init__(self, a_second: float, most: float, kept: int = 4096) -> None:
        """Give each name a bucket of *most* that fills at *a_second*; remember *kept* names."""
        self._rate, self._most, self._kept = a_second, most, kept
        self._of: OrderedDict[str, Bucket] = OrderedDict()

    def of(self, name: str) -> Bucket:
        """Return the bucket of *name*."""
        bucket = self._of.setdefault(name, Bucket(self._rate, self._most))
        self._of.move_to_end(name)
        while len(self._of) > self._kept:
            self._of.popitem(last=False)
        return bucket

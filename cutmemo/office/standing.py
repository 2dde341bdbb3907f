"""What one end of an exchange holds, replica by replica, in a few numbers.

Two ends that hold the same events have equal standings; where they differ, the standing of the
first events of a replica tells whether one end only has to go on from the other.
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

_TAKEN = 8
"""Bytes of a hash that are summed up."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The events of one replica: how many, the last number, and the sum of their hashes."""

    events: int = 0
    last: int = 0
    sum: int = 0
    """Of the first 8 bytes of each hash, as signed whole numbers: no order matters to it."""


Standings = Mapping[str, Standing]
"""By replica."""


def part_of(found: str) -> int:
    """Return what the hash *found*, in hexadecimal figures, adds to the sum."""
    return int.from_bytes(bytes.fromhex(found)[:_TAKEN], "big", signed=True)


@dataclass(slots=True)
class Held:
    """The numbers of one replica that an end holds, with what their hashes come to."""

    numbers: list[int] = field(default_factory=list)
    parts: dict[int, list[int]] = field(default_factory=dict)
    """What is summed up, by number; mostly one each."""
    _sums: list[int] = field(default_factory=list)
    """Up to each of the numbers; empty where it has to be made anew."""

    def add(self, number: int, part: int) -> None:
        """Take in one event."""
        grows = not self.numbers or number > self.numbers[-1]
        if grows and len(self._sums) == len(self.numbers):
            self._sums.append((self._sums[-1] if self._sums else 0) + part)
        else:
            self._sums = []
        if grows:
            self.numbers.append(number)
        else:
            insort(self.numbers, number)
        self.parts.setdefault(number, []).append(part)

    def standing(self, upto: int | None = None) -> Standing:
        """Return the standing of the events whose number is at most *upto*, or of all."""
        count = len(self.numbers) if upto is None else bisect_right(self.numbers, upto)
        if not count:
            return Standing()
        if not self._sums:
            total, sums, place = 0, [], 0
            for number in sorted(self.parts):
                for part in self.parts[number]:
                    total, place = total + part, place + 1
                    sums.append(total)
            self._sums = sums
        return Standing(count, self.numbers[count - 1], self._sums[count - 1])


class Holding:
    """What one end holds of all replicas, kept up to date as events come."""

    def __init__(self, events: Iterable[tuple[str, int, str]] = ()) -> None:
        """Take in *events*: replica, number and hash of each."""
        self._held: dict[str, Held] = {}
        self.add(events)

    def add(self, events: Iterable[tuple[str, int, str]]) -> None:
        """Take in events that were not here."""
        for replica, number, found in events:
            self._held.setdefault(replica, Held()).add(number, part_of(found))

    def standings(self) -> dict[str, Standing]:
        """Return how all replicas stand."""
        return {replica: held.standing() for replica, held in self._held.items()}

    def standing(self, replica: str, upto: int | None = None) -> Standing:
        """Return how one replica stands, or how it stood with the number *upto*."""
        held = self._held.get(replica)
        return held.standing(upto) if held is not None else Standing()

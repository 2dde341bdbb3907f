"""Two ends that come to hold the same events: each is sent what it lacks, in batches.

A batch that arrived stays there, so an exchange that breaks off goes on where it was. What arrives
twice is taken once, by its id. The same id with other content is kept by neither end in place of
its own, and reported.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from cutmemo.memo.events import Event, Unreadable
from cutmemo.office.standing import Standing, Standings

BATCH = 500
"""Events sent at once: each batch is on the disk of the other end before the next is sent."""

UNREAD = Unreadable(newer=True, why="")
"""The payload of an event that is only carried from one end to the other."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What an end made of the events it was sent."""

    new: int = 0
    disputed: tuple[str, ...] = ()
    """The ids of those it has with other content."""
    refused: tuple[str, ...] = ()
    """The ids of those that are damaged."""


class End(Protocol):
    """A place that keeps events of one site: a file, a database, a tally."""

    def standings(self) -> Standings:
        """Return what it holds now, by replica."""

    def standing(self, replica: str, upto: int) -> Standing:
        """Return the standing of the events of *replica* with a number up to *upto*."""

    def read(self, replica: str, above: int, most: int) -> list[Event]:
        """Return the first events of *replica* with a number over *above*, at most *most*."""

    def hashes(self, replica: str) -> Mapping[str, str]:
        """Return the hash of each event of *replica*, by its id."""

    def named(self, ids: Sequence[str]) -> list[Event]:
        """Return the events with these ids."""

    def take(self, events: Sequence[Event]) -> Taken:
        """Keep those of *events* that are not here; all of them are on the disk then."""

    def note_disputed(self, events: Sequence[Event]) -> None:
        """Note, where that is possible, that the other end has *events* in place of what is here
        under their ids.
        """


@dataclass(slots=True)
class Exchanged:
    """What an exchange came to."""

    sent: int = 0
    received: int = 0
    disputed: set[str] = field(default_factory=set)
    """The ids of entries that the two ends have with different content."""
    refused: set[str] = field(default_factory=set)
    """The ids of entries that arrived damaged."""
    equal: bool = True
    """Whether both ends held the same when they were compared last."""
    there: Standings = field(default_factory=dict)
    """What the other end held then."""


Progress = Callable[[str, int], None]
"""Told after each batch that the other end took: replica, and the number up to which it has all."""


def exchange(
    here: End,
    there: End,
    progress: Progress = lambda replica, number: None,
    stop: Callable[[], bool] = lambda: False,
    batch: int = BATCH,
) -> Exchanged:
    """Let *here* and *there* come to hold the same; stop after a batch once *stop* says so."""
    done = Exchanged()
    ends = _Ends(here, there, done, progress, stop, batch)
    apart = _apart(here, there, done)
    for replica, (mine, theirs) in apart.items():
        if mine.last > theirs.last and here.standing(replica, theirs.last) == theirs:
            ends.send(replica, theirs.last)
        elif theirs.last > mine.last and there.standing(replica, mine.last) == mine:
            ends.fetch(replica, mine.last)
    if apart and not stop():
        still = _apart(here, there, done)
        for replica in still:
            ends.compare(replica)
        done.equal = not (still and _apart(here, there, done))
    return done


def _apart(here: End, there: End, done: Exchanged) -> dict[str, tuple[Standing, Standing]]:
    """Return the replicas of which the ends hold different events, with both standings."""
    mine, theirs = here.standings(), there.standings()
    done.there = theirs
    none = Standing()
    pairs = {
        replica: (mine.get(replica, none), theirs.get(replica, none))
        for replica in sorted({*mine, *theirs})
    }
    return {replica: pair for replica, pair in pairs.items() if pair[0] != pair[1]}


@dataclass(slots=True)
class _Ends:
    """The two ends of an exchange that is under way."""

    here: End
    there: End
    done: Exchanged
    progress: Progress
    stop: Callable[[], bool]
    batch: int

    def send(self, replica: str, above: int) -> None:
        """Send what the other end lacks behind the number *above*."""
        while not self.stop():
            events = self.here.read(replica, above, self.batch)
            if not events:
                return
            self.done.sent += self._note(self.there.take(events))
            above = events[-1].number
            self.progress(replica, above)

    def fetch(self, replica: str, above: int) -> None:
        """Take in what this end lacks behind the number *above*."""
        while not self.stop():
            events = self.there.read(replica, above, self.batch)
            if not events:
                return
            self.done.received += self._note(self.here.take(events))
            above = events[-1].number
            self.progress(replica, above)

    def compare(self, replica: str) -> None:
        """Compare the events of *replica* one by one, and carry over what either end lacks."""
        mine, theirs = self.here.hashes(replica), self.there.hashes(replica)
        differ = {each for each in mine.keys() & theirs.keys() if mine[each] != theirs[each]}
        self.done.disputed |= differ
        for ids in self._parts(differ):
            self.there.note_disputed(self.here.named(ids))
        for ids in self._parts(mine.keys() - theirs.keys()):
            self.done.sent += self._note(self.there.take(self.here.named(ids)))
        for ids in self._parts(theirs.keys() - mine.keys()):
            self.done.received += self._note(self.here.take(self.there.named(ids)))

    def _parts(self, ids: Collection[str]) -> list[list[str]]:
        listed = sorted(ids)
        parts = range(0, len(listed), self.batch)
        return [listed[at : at + self.batch] for at in parts if not self.stop()]

    def _note(self, taken: Taken) -> int:
        self.done.disputed.update(taken.disputed)
        self.done.refused.update(taken.refused)
        return taken.new

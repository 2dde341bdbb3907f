"""Days of a site made without a keyboard: as many events as a test or a bench asks for."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from fractions import Fraction

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.memo.codec import encode
from cutmemo.memo.events import CutAdded, Event, Payload, PiecesCleared, PieceSpoiled

SECTIONS = [Section(Fraction(2), Fraction(width)) for width in (4, 6, 10)]


@dataclass
class History:
    """What one copy of a memo writes: calls, each cut some calls later; one piece in 50 is spoiled."""

    seed: int
    start: datetime = datetime(2026, 5, 4, 7, tzinfo=UTC)
    step: timedelta = timedelta(seconds=30)
    stations: tuple[str, ...] = ("ladder", "saw", "deck", "gable", "yard")
    number: int = 0
    last: str = ""
    open: list[tuple[str, Cut]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.random = random.Random(self.seed)
        self.replica = f"{self.random.getrandbits(128):032x}"

    def next(self, at: datetime | None = None) -> Event:
        """Return the next event."""
        payload: Payload
        if len(self.open) > 8 or (self.open and self.random.random() < 0.45):
            row, cut = self.open.pop(self.random.randrange(len(self.open)))
            if self.random.random() < 0.02:
                payload = PieceSpoiled(row=row, reason="short", was_cut=False)
                self.open.append((row, cut))
            else:
                payload = PiecesCleared(row=row, pieces=cut.count, cut=cut)
        else:
            inches = Fraction(self.random.randrange(12 * 16, 190 * 16), 16)
            cut = Cut(
                Length(inches),
                self.random.choice((1, 1, 1, 2, 4)),
                section=self.random.choice(SECTIONS),
            )
            row = f"{self.random.getrandbits(128):032x}"
            payload = CutAdded(
                row=row,
                cut=cut,
                said=f"{cut.count} @ {inches}",
                by_voice=True,
                settings="pairs ask · bare ask · tape 1/16 · kerf 1/8",
            )
            self.open.append((row, cut))
        self.number += 1
        moment = at or self.start + self.step * self.number
        event = Event(
            f"{self.random.getrandbits(128):032x}",
            moment.isoformat(),
            self.random.choice(self.stations),
            "ann",
            payload.KIND,
            payload.VERSION,
            payload,
            encode(payload),
            self.replica,
            self.number,
            (self.last,) if self.last else (),
        )
        self.last = event.id
        return event

    def events(self, count: int) -> Iterator[Event]:
        """Yield the next *count* events."""
        return (self.next() for _ in range(count))

"""A store in memory, for laws that make many memos: nothing of it outlives the test."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from cutmemo.memo.codec import written
from cutmemo.memo.events import Event
from cutmemo.memo.store import Drafts, Receive


class MemoryStore:
    """Keeps events as :class:`cutmemo.memo.store.Store` promises, but for the disk."""

    gaps = ()
    path = Path("in memory")

    def __init__(self) -> None:
        self.replica, self.kept = uuid.uuid4().hex, list[Event]()

    def events(self, after: int = 0) -> list[Event]:
        return self.kept[after:]

    def _keep(self, event: Event) -> Event:
        self.kept.append(replace(event, seq=len(self.kept) + 1))
        return self.kept[-1]

    def record(
        self,
        after: int,
        at: str,
        station: str,
        who: str,
        drafts: Drafts,
        receive: Receive = lambda: None,
    ) -> list[Event]:
        seen = self.events(after)
        heads, fresh = drafts(seen)
        number = sum(event.replica == self.replica for event in self.kept)
        for draft in fresh:
            number += 1
            kind, version = draft.payload.KIND, draft.payload.VERSION
            facts = (draft.id, at, station, who, kind, version, draft.payload)
            event = Event(*facts, written(draft.payload), self.replica, number, tuple(heads))
            seen.append(self._keep(event))
            heads = (event.id,)
        return seen

    def take(self, events: Sequence[Event]) -> int:
        known = {event.id for event in self.kept}
        new = [event for event in {e.id: e for e in events}.values() if event.id not in known]
        for event in new:
            self._keep(event)
        return len(new)

    def keep_copy(self, now: datetime) -> Path | None:
        return None

    def last_good_copy(self) -> Path | None:
        return None

    def copy_ahead(self) -> None:
        return None

    def close(self) -> None:
        """Nothing is held."""

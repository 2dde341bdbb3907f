"""Everything that was ever said and done, appended to one file and never edited."""

from cutmemo.memo.events import Draft, Event, Kind
from cutmemo.memo.store import Journal, open_journal

__all__ = ["Draft", "Event", "Journal", "Kind", "open_journal"]

"""Everything that was ever said and done, appended to one file and never edited."""

from cutmemo.journal.events import Draft, Event, Kind
from cutmemo.journal.store import Journal, open_journal

__all__ = ["Draft", "Event", "Journal", "Kind", "open_journal"]

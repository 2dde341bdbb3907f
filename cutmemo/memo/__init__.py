"""The memo: its events, the state they come to, and what commands make of it."""

from cutmemo.memo.commands import Context
from cutmemo.memo.events import Draft, Event
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Result
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.memo.store import open_store

__all__ = ["Context", "Draft", "Event", "MemoState", "Projection", "Result", "Row", "open_store"]

"""One memo for all pages: one thread writes it, and what changed is shown to everybody."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Protocol, TypeVar

from cutmemo.errors import BadMemo
from cutmemo.memo import open_store
from cutmemo.memo.commands import Context
from cutmemo.memo.receipts import memo_id
from cutmemo.memo.rows import GOES_ON_SECONDS
from cutmemo.memo.store import SqliteStore
from cutmemo.office.link import Link
from cutmemo.service import Memo, now, open_memo
from cutmemo.site.planner import Planner
from cutmemo.site.protocol import message_text
from cutmemo.site.view import Views, trouble
from cutmemo.wording import office_line

_log = logging.getLogger(__name__)
T = TypeVar("T")

FOLLOW_SECONDS = 0.1
"""How often it is looked for what other programs wrote to the memo."""
COPY_SECONDS = 60.0
"""How often a copy may be made."""
RECEIPTS_KEPT = timedelta(days=60)


class Page(Protocol):
    """A page that is connected."""

    name: str
    ear: str
    looks_at: str

    def show(self, kind: str, text: str) -> None:
        """Send a message that takes the place of an older one of its *kind*."""

    def show_view(self, view: dict[str, Any]) -> None:
        """Send a view, which takes the place of an older one."""


class Hub:
    """The memo, and the pages that show it."""

    def __init__(self, path: Path, name: str = "", clock: Callable[[], datetime] = now) -> None:
        """Serve the memo at *path*, under *name* where it has another one."""
        self.path, self.name, self.clock = path, name or path.stem, clock
        self.memo_id = memo_id(path)
        """What a page tells this memo from others by."""
        self.memo_ids = frozenset({self.memo_id})
        """That, and those of the memos that this one goes on for."""
        self.pages: set[Page] = set()
        self._thread = ThreadPoolExecutor(1, "memo")
        self._views = Views(self.name)
        self._planner = Planner(self._plans_changed)
        self._changed = asyncio.Event()
        self._tasks: list[asyncio.Task[None]] = []
        self._store: SqliteStore
        self.memo: Memo
        self._rev = 0
        self._shown: dict[str, Any] = {}
        self._linked: tuple[Link, int] | None = None
        """How the link to the office stood when the view was made."""

    async def open(self) -> None:
        """Open the memo. Raises :class:`BadMemo`."""
        self._loop = asyncio.get_running_loop()
        await self.call(self._open)
        await self._make_view()
        self._tasks = [
            asyncio.create_task(each) for each in (self._follow(), self._show(), self._copy())
        ]

    def _open(self) -> None:
        self._store = open_store(self.path)
        self.memo = open_memo(self._store)
        self.memo_ids |= self._store.forebears()
        self._store.forget_receipts((self.clock() - RECEIPTS_KEPT).isoformat())

    async def close(self) -> None:
        """Let go of the memo."""
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        self._planner.close()
        await self.call(self._store.close)
        self._thread.shutdown()

    # --- the memo's thread ------------------------------------------------------------------------

    async def call(self, work: Callable[[], T]) -> T:
        """Return what *work* comes to, done on the memo's thread."""
        return await self._loop.run_in_executor(self._thread, work)

    def wait_for(self, work: Callable[[], T]) -> T:
        """Return what *work* comes to, done on the memo's thread; called on any other."""
        return self._thread.submit(work).result()

    def changed(self) -> None:
        """Show what changed to everybody. From any thread."""
        self._loop.call_soon_threadsafe(self._changed.set)

    # --- what everybody sees ----------------------------------------------------------------------

    @property
    def view(self) -> dict[str, Any]:
        """Return the newest view."""
        return {"rev": self._rev, **self._shown}

    @property
    def boards(self) -> str:
        """Return the boards as they are known now, as a message."""
        return self._planner.message

    def join(self, page: Page) -> None:
        """Show everything to *page* from now on."""
        self.pages.add(page)
        self.tell_crew()

    def leave(self, page: Page) -> None:
        """Show it nothing more."""
        self.pages.discard(page)
        self.tell_crew()

    def tell_crew(self) -> None:
        """Tell every page who is here, and how each of them hears; plan where somebody looks."""
        devices = [
            {"name": page.name, "ear": page.ear, "here": True}
            for page in sorted(self.pages, key=lambda each: each.name)
        ]
        text = message_text("crew", devices=devices)
        for page in self.pages:
            page.show("crew", text)
        self.look()

    def look(self) -> None:
        """Plan the boards where a page that shows them is up."""
        if any(page.looks_at in ("boards", "saw") for page in self.pages):
            self._planner.plan(self.memo.state)

    async def _make_view(self) -> None:
        def made() -> dict[str, Any]:
            memo, linked = self.memo.projection, self.memo.office()
            self._linked = linked
            shown = self._views.view(memo, self.clock(), self._planner.board_of)
            office = [] if linked is None else [office_line(*linked)]
            return shown | {"marks": [*shown["marks"], *office]}

        shown = await self.call(made)
        if shown != self._shown:
            self._shown = shown
            self._rev += 1

    async def trouble_of(self, page: Page) -> str:
        """Return what the device of *page* may tell trouble with, as a message."""
        context = Context(page.name, page.name, self.clock())
        return await self.call(
            lambda: message_text("trouble", **trouble(self.memo.projection, context))
        )

    async def _show(self) -> None:
        """Show every change; what may go on is looked at again once it can no longer."""
        while True:
            wait = GOES_ON_SECONDS if any(r["goes_on"] for r in self._shown["rows"]) else None
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(wait):  # "wait_for" of Python 3.11 may lose a cancel
                    await self._changed.wait()
            self._changed.clear()
            try:
                await self._show_view()
            except Exception:  # the end of a worker: the next change is shown all the same
                _log.exception("the memo could not be shown")

    async def _show_view(self) -> None:
        before = self._rev
        await self._make_view()
        if self._rev != before:
            view = self.view
            for page in list(self.pages):
                page.show_view(view)
                page.show("trouble", await self.trouble_of(page))
            self.look()

    async def _follow(self) -> None:
        """Take in what other programs wrote."""
        while True:
            await asyncio.sleep(FOLLOW_SECONDS)
            try:
                if await self.call(self._something_new):
                    self._changed.set()
            except BadMemo:
                _log.warning("the memo cannot be read", exc_info=True)

    def _something_new(self) -> bool:
        """Return whether others wrote anything, or the link to the office stands otherwise."""
        return self.memo.follow() or self.memo.office() != self._linked

    async def _copy(self) -> None:
        """Copy the memo where that is due, beside everything else."""
        while True:
            trouble = await asyncio.to_thread(self.memo.keep_copy, self.clock())
            if trouble:
                _log.warning("%s", trouble)
            await asyncio.sleep(COPY_SECONDS)

    # --- boards -----------------------------------------------------------------------------------

    def _plans_changed(self) -> None:
        """Show new boards to the pages that look at them. From any thread."""

        def show() -> None:
            for page in self.pages:
                if page.looks_at in ("boards", "saw"):
                    page.show("boards", self._planner.message)
            self._changed.set()

        self._loop.call_soon_threadsafe(show)

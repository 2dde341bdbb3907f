"""Exchanges with the office by itself, beside the work: nobody waits for it.

One program of a site does it at a time (a file lock), on one connection that is closed again.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Self

from filelock import Timeout

from cutmemo.errors import BadMemo, NoOffice, OfficeTrouble
from cutmemo.memo.closing import Closing
from cutmemo.memo.events import moment_of
from cutmemo.office.database.connect import connected, psycopg
from cutmemo.office.database.events import OfficeEnd
from cutmemo.office.exchange import Exchanged, Progress, exchange
from cutmemo.office.file_end import FileEnd
from cutmemo.office.link import Link, exchange_lock, keep_link, read_link
from cutmemo.office.passwords import password_for

_log = logging.getLogger(__name__)

LOOK_SECONDS = 1.0
"""How often it is seen whether anything is to be sent."""
COME_SECONDS = 60.0
"""How often it is asked whether anything came, where nothing is to be sent."""
RETRY_SECONDS, MOST_RETRY_SECONDS = 2.0, 300.0
"""After a failure, and doubled after each that follows."""


def now_as_text() -> str:
    """Return the time of day as the link keeps it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def exchange_now(
    memo: Path,
    here: FileEnd,
    progress: Progress = lambda replica, number: None,
    stop: Callable[[], bool] = lambda: False,
) -> Exchanged:
    """Exchange once with the office that *memo* is linked to, and note in the link how it went.

    Raises :class:`NoOffice`, and :class:`filelock.Timeout` where another program is at it.
    """
    with exchange_lock(memo):
        link = read_link(memo)
        if link is None:
            raise NoOffice(OfficeTrouble.NO_LINK)
        try:
            return _exchange(memo, here, link, progress, stop)
        except NoOffice as error:
            _log.info("no exchange: %s (%s)", error.trouble, error.why)
            latest = read_link(memo) or link
            since = latest.since or now_as_text()
            why = error.why
            keep_link(memo, replace(latest, trouble=error.trouble.value, why=why, since=since))
            raise


def _exchange(
    memo: Path,
    here: FileEnd,
    link: Link,
    progress: Progress,
    stop: Callable[[], bool],
) -> Exchanged:
    address = link.address
    sent = dict(link.sent)
    gone = threading.Event()

    def note(replica: str, number: int) -> None:
        sent[replica] = max(sent.get(replica, 0), number)
        if not keep_link(memo, replace(link, sent=dict(sent))):
            gone.set()  # disconnected meanwhile
        progress(replica, number)

    def ended() -> bool:
        return stop() or gone.is_set()

    with connected(address, password_for(address)) as connection:
        done = exchange(here, OfficeEnd(connection, address.user), note, ended)
    if not ended():
        # What the office said it has: more may have been written here since.
        sent = {replica: standing.last for replica, standing in done.there.items()}
        ok = replace(link, sent=sent, contact=now_as_text(), trouble="", why="", since="")
        keep_link(memo, replace(ok, disputed=len(done.disputed)))
    _log.info("office: %s", done)
    return done


class Exchanger(Closing):
    """Exchanges in a thread of its own until it is stopped."""

    def __init__(
        self,
        memo: Path,
        look_seconds: float = LOOK_SECONDS,
        come_seconds: float = COME_SECONDS,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Exchange for *memo*, once it has a link."""
        self._memo, self._look, self._come, self._clock = memo, look_seconds, come_seconds, clock
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="office", daemon=True)
        self._here: FileEnd | None = None
        self._next = 0.0
        self._retry = RETRY_SECONDS

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self, wait_seconds: float = 1.0) -> None:
        """End, after the batch that is under way; what was not sent is sent another time."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join(wait_seconds)

    def __enter__(self) -> Self:
        """Begin."""
        self.start()
        return self

    def close(self) -> None:
        """End."""
        self.stop()

    def _run(self) -> None:
        try:
            while not self._stop.wait(self._look):
                self.look()
        except Exception:  # the work goes on without the office; the log has why
            _log.exception("the exchange with the office ended")
        finally:
            if self._here is not None:
                self._here.close()

    def look(self) -> Exchanged | None:
        """Exchange if that is due; return what came of it, ``None`` where it was not or failed."""
        try:
            link = read_link(self._memo)
            if link is None or self._clock() < self._next or not self._due(link):
                return None
            done = exchange_now(self._memo, self._file(), stop=self._stop.is_set)
        except Timeout:
            return None  # another program of this site is at it
        except (NoOffice, BadMemo):
            self._next = self._clock() + self._retry
            self._retry = min(self._retry * 2, MOST_RETRY_SECONDS)
            return None
        # What differs at both ends and cannot be carried over is not tried again every second.
        stuck = not (done.equal or done.sent or done.received)
        self._next, self._retry = self._clock() + self._come if stuck else 0.0, RETRY_SECONDS
        return done

    def _file(self) -> FileEnd:
        if self._here is None:
            psycopg()  # without it there is nothing to open the file for
            self._here = FileEnd(self._memo)
        return self._here

    def _due(self, link: Link) -> bool:
        """Return whether there is something to send, or it was long since anything could come."""
        if not link.contact or link.trouble:
            return True
        standings = self._file().standings()
        if any(each.last > link.sent.get(name, 0) for name, each in standings.items()):
            return True
        since = (datetime.now(UTC) - moment_of(link.contact)).total_seconds()
        return not 0 <= since < self._come

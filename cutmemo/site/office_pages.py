"""What the one who orders sees in a browser, made anew beside everything else once something is
new.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from cutmemo.errors import CutmemoError
from cutmemo.office.known import Known, Sites
from cutmemo.office.sites import rows_to_lay
from cutmemo.office.yard import Layouts
from cutmemo.present.office import OfficeOrder, order_as_csv
from cutmemo.present.office_page import order_parts, site_parts
from cutmemo.service import now
from cutmemo.wording import explain_error
from cutmemo.wording import office_yard as words

_log = logging.getLogger(__name__)

TOGETHER, APART, HANDOFF = "together", "by-site", "handoff"
VIEWS = (TOGETHER, APART, HANDOFF)
LEAST_SECONDS = 1.0
"""Between two times that a view is made."""
REST = 3
"""A view that takes long to make is left alone so many times as long: others need the processor."""
RETRY_SECONDS = 5.0
"""After which the office is looked for that was away, and a view is made that could not be."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One view as it was made last."""

    parts: tuple[str, ...] = ()
    """HTML without style and script; empty as long as there is none."""
    csv: str = ""
    at: str = ""
    """The time of day of what it shows; empty as long as there is none."""
    doing: str = ""
    """What is under way, where nothing is shown yet."""
    trouble: str = ""
    """Why it is not newer; empty where it is."""


class OfficePages:
    """The views of one office. Only those that somebody looked at are made."""

    def __init__(self, sites: Sites, clock: Callable[[], datetime] = now) -> None:
        """Show *sites*; *clock* gives the time of day."""
        self._sites, self._clock = sites, clock
        self._told: list[Callable[[], None]] = []
        self._shown = {view: Shown(doing=words.READING) for view in VIEWS}
        self._news = 0
        """How often something was new."""
        self._made = dict.fromkeys(VIEWS, -1)
        """At which news each view was made."""
        self._wanted: dict[str, None] = {}
        """The views that somebody looks at, who waited longest first."""
        self._wake = threading.Condition()
        self._closed = False
        self._threads = [
            threading.Thread(target=each, name=f"office {name}", daemon=True)
            for name, each in (("news", self._watch), ("pages", self._work))
        ]

    def start(self) -> None:
        """Begin."""
        for thread in self._threads:
            thread.start()

    def close(self) -> None:
        """Make nothing more."""
        with self._wake:
            self._closed = True
            self._wake.notify_all()

    def tell(self, changed: Callable[[], None]) -> Callable[[], None]:
        """Call *changed*, on any thread, when a view was made; return what ends that."""
        self._told.append(changed)
        return lambda: self._told.remove(changed)

    def shown(self, view: str) -> Shown:
        """Return a view as it was made last, and have it made where it is old."""
        with self._wake:
            self._wanted.setdefault(view)
            self._wake.notify_all()
            return self._shown[view]

    # --- news -------------------------------------------------------------------------------------

    def _watch(self) -> None:
        """Note each time that something is new, until it is closed."""
        while not self._closed:
            try:
                for _ in self._sites.news(lambda: self._closed):
                    with self._wake:
                        self._news += 1
                        self._wake.notify_all()
            except CutmemoError as error:
                self._stuck(explain_error(error))
            except Exception as error:  # the end of a worker: whatever it was is shown
                _log.exception("the office cannot be watched")
                self._stuck(str(error))
            with self._wake:
                self._wake.wait_for(lambda: self._closed, RETRY_SECONDS)

    def _stuck(self, why: str) -> None:
        """Show with every view why it gets no newer."""
        for view in VIEWS:
            self._shown[view] = replace(self._shown[view], trouble=why)
        self._tell_all()

    def _tell_all(self) -> None:
        for told in list(self._told):
            told()

    # --- views ------------------------------------------------------------------------------------

    def _old(self) -> list[str]:
        return [each for each in self._wanted if self._made[each] < self._news]

    def _work(self) -> None:
        """Make the views that are old, one after the other, until it is closed."""
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._closed or (self._news and self._old()))
                if self._closed:
                    return
                view, news = self._old()[0], self._news
                del self._wanted[view]
            begun = time.monotonic()
            least = LEAST_SECONDS if self._show(view, news) else RETRY_SECONDS
            took = time.monotonic() - begun
            with self._wake:
                self._wake.wait_for(lambda: self._closed, max(least, REST * took))

    def _show(self, view: str, news: int) -> bool:
        """Show *view* as it stands at those *news*; return whether it could be made."""
        try:
            self._shown[view] = self._make(view)
            self._made[view] = news
        except CutmemoError as error:
            self._shown[view] = replace(self._shown[view], trouble=explain_error(error))
        except Exception as error:  # the end of a worker: whatever it was is shown
            _log.exception("the view %s cannot be made", view)
            self._shown[view] = replace(self._shown[view], trouble=str(error))
        self._tell_all()
        return self._made[view] == news

    def _make(self, view: str) -> Shown:
        """Return *view* as the sites stand now."""
        moment = self._clock()
        day, at = moment.date().isoformat(), moment.strftime("%H:%M:%S")
        if view == HANDOFF:
            with self._sites.memos() as memos:
                each = [part for name, memo in memos for part in site_parts(name, memo, day)]
            return Shown(tuple(each) or (words.NO_SITES,), "", at)
        known = self._sites.known()
        if not known.sites:
            return Shown((words.NO_SITES,), "", at)
        order = OfficeOrder(Layouts(known.sites, self._laying(view, known)), day, view == APART)
        parts = order_parts(order, known.days)
        return Shown(tuple(parts), order_as_csv(order), at)

    def _laying(self, view: str, known: Known) -> Callable[[int], None]:
        """Return what hears how many pieces were laid, and shows it where nothing is shown yet."""
        pieces = sum(row.left for site in known.sites for row in rows_to_lay(site.state))
        every, done, due = max(1, pieces if view == APART else 2 * pieces), 0, time.monotonic() + 1

        def laid(more: int) -> None:
            nonlocal done, due
            done += more
            if time.monotonic() >= due and not self._shown[view].at:
                told = f"{words.laying(pieces, len(known.sites))} {words.laid_so_far(done, every)}"
                self._shown[view] = replace(self._shown[view], doing=told)
                self._tell_all()
                due = time.monotonic() + 1

        return laid

"""All sites as the one who orders reads them: from the office's database, or from memos on this
machine.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Protocol

from cutmemo.errors import BadMemo, MemoFault
from cutmemo.memo import Projection, open_store
from cutmemo.memo.locations import memo_path
from cutmemo.memo.state import MemoState
from cutmemo.office.address import Address
from cutmemo.office.lines import Day, count_days
from cutmemo.office.reading import open_office, tallied_again
from cutmemo.office.sites import Site

LOOK_SECONDS = 1.0
"""How often it is looked whether a memo of this machine has changed."""


@dataclass(frozen=True, slots=True)
class Known:
    """All sites, and what was done on each day."""

    sites: tuple[Site, ...]
    days: dict[str, Day]
    """By day, as ``2026-05-04``."""


class Sites(Protocol):
    """Where all sites are read."""

    def known(self) -> Known:
        """Return all sites as they stand."""

    def memos(self) -> AbstractContextManager[Iterator[tuple[str, Projection]]]:
        """Read the memo of every site, one after the other, by what its site is called."""

    def news(self, stop: Callable[[], bool]) -> Iterator[None]:
        """Yield at once, and each time something may be new, until *stop* says so."""


class FromOffice:
    """The sites in the office's database."""

    def __init__(self, at: Address) -> None:
        """Read the office *at* this address."""
        self._at = at

    def check(self) -> None:
        """Raise :class:`NoOffice` where it cannot be read."""
        with open_office(self._at):
            pass

    def known(self) -> Known:
        """Return all sites as they stand. Raises :class:`NoOffice`."""
        with open_office(self._at) as reader:
            known = {site.name: site for site in reader.sites()}
            sites, days = dict[str, Site](), dict[str, Day]()
            for name, state in reader.states().items():
                called = _called(name, known[name].title, state, sites)
                sites[called] = Site(called, state, known[name].last)
            for each in reader.days():
                day = days.setdefault(each.day, Day())
                day.called, day.cut = day.called + each.called, day.cut + each.cut
                day.trouble += each.trouble
        return Known(tuple(sites.values()), days)

    @contextlib.contextmanager
    def memos(self) -> Iterator[Iterator[tuple[str, Projection]]]:
        """Read the memo of every site. Raises :class:`NoOffice`."""
        with open_office(self._at) as reader:
            titles = {site.name: site.title for site in reader.sites()}
            yield _each_called(titles, reader.memos())

    def news(self, stop: Callable[[], bool]) -> Iterator[None]:
        """Yield once the tally has something new. Raises :class:`NoOffice`."""
        return tallied_again(self._at, stop)


class FromMemos:
    """Memos on this machine, where there is no office."""

    def __init__(self, names: Sequence[str]) -> None:
        """Read the memos with these names or files. Raises :class:`BadMemo`."""
        self._paths = list(dict.fromkeys(map(path_of, names)))

    def known(self) -> Known:
        """Return all sites as they stand. Raises :class:`BadMemo`."""
        sites, days = [], dict[date, Day]()
        for name, memo in self._all():
            last = max((event.at for event in memo.log), default="")
            sites.append(Site(name, memo.state, last))
            count_days(memo, memo.log, days)
        return Known(tuple(sites), {day.isoformat(): each for day, each in days.items()})

    @contextlib.contextmanager
    def memos(self) -> Iterator[Iterator[tuple[str, Projection]]]:
        """Read every memo. Raises :class:`BadMemo`."""
        yield iter(self._all())

    def _all(self) -> list[tuple[str, Projection]]:
        """Return each memo with what its site is called: its own name, or that of the file."""
        found: dict[str, Projection] = {}
        for path in self._paths:
            with open_store(path) as store:
                memo = Projection(store.events())
            found[_called(path.stem, "", memo.state, found)] = memo
        return list(found.items())

    def news(self, stop: Callable[[], bool]) -> Iterator[None]:
        """Yield once a file has changed."""
        seen: list[object] = []
        while not stop():
            now = [_stamp(each) for path in self._paths for each in (path, _log_of(path))]
            if now != seen:
                seen = now
                yield
            time.sleep(LOOK_SECONDS)


def path_of(name: str) -> Path:
    """Return the file of a memo that is there. Raises :class:`BadMemo`."""
    path = memo_path(name)
    if not path.exists():
        raise BadMemo(path, MemoFault.NOT_THERE)
    return path


def _log_of(path: Path) -> Path:
    """Return the file in which SQLite keeps what was written last."""
    return path.with_name(f"{path.name}-wal")


def _stamp(path: Path) -> object:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_mtime_ns, status.st_size


def _called(name: str, title: str, state: MemoState, others: Collection[str]) -> str:
    """Return what a site calls itself, else its title or name; with its name where *others* are
    called the same.
    """
    called = state.settings.site or title or name
    return f"{called} ({name})" if called in others else called


def _each_called(
    titles: Mapping[str, str], memos: Iterable[tuple[str, Projection]]
) -> Iterator[tuple[str, Projection]]:
    """Yield each memo with what its site is called, which no other is."""
    found: set[str] = set()
    for name, memo in memos:
        called = _called(name, titles.get(name, ""), memo.state, found)
        found.add(called)
        yield called, memo

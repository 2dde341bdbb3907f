"""What the one who orders sees: the order and the hand-off of all sites, from the office's database
or from memos on this machine.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from cutmemo.cli.office import HERE, action
from cutmemo.cli.run import DONE, Options, Run, argument, print_json
from cutmemo.errors import BadMemo, BadPage, MemoFault
from cutmemo.memo import Projection, open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.locations import memo_path
from cutmemo.memo.moves import to_hand_over
from cutmemo.memo.state import MemoState
from cutmemo.office.address import Address
from cutmemo.office.lines import Day, count_days
from cutmemo.office.reading import open_office
from cutmemo.office.sites import Site, rows_to_lay
from cutmemo.office.yard import Layouts
from cutmemo.present.board_page import Heading
from cutmemo.present.handoff import handoff_as_plain, handoff_as_text
from cutmemo.present.office import OfficeOrder, order_as_csv, order_as_plain, order_as_text
from cutmemo.present.office_page import handoff_page, order_page
from cutmemo.service import Memo, now, this_person
from cutmemo.wording import office_yard as words

MANY_PIECES = 100
"""From here on laying them may take over a second."""
_MEMOS = argument("--from", dest="memos", nargs="+", default=[], metavar="MEMO")
_AT = argument("--at", default=HERE, metavar="ADDRESS")
_PAGE = argument("--page", type=Path, metavar="FILE")
_FROM: tuple[Options, ...] = (_MEMOS, _AT)


@dataclass(frozen=True, slots=True)
class _Known:
    """All sites, and what was done on each day."""

    sites: tuple[Site, ...]
    days: dict[str, Day]


def _path(name: str) -> Path:
    """Return the file of a memo that is there. Raises :class:`BadMemo`."""
    path = memo_path(name)
    if not path.exists():
        raise BadMemo(path, MemoFault.NOT_THERE)
    return path


def _memos(names: list[str]) -> list[tuple[str, Projection]]:
    """Return memos of this machine, each with what its site is called: its own name, or that of
    the file. Raises :class:`BadMemo`.
    """
    found: dict[str, Projection] = {}
    for path in dict.fromkeys(_path(name) for name in names):
        with open_store(path) as store:
            memo = Projection(store.events())
        found[_called(path.stem, "", memo.state, found)] = memo
    return list(found.items())


def _called(name: str, title: str, state: MemoState, others: Collection[str]) -> str:
    """Return what a site calls itself, else its title or name; with its name where *others* are
    called the same.
    """
    called = state.settings.site or title or name
    return f"{called} ({name})" if called in others else called


def _from_memos(names: list[str]) -> _Known:
    sites, days = [], dict[date, Day]()
    for name, memo in _memos(names):
        last = max((event.at for event in memo.log), default="")
        sites.append(Site(name, memo.state, last))
        count_days(memo, memo.log, days)
    return _Known(tuple(sites), {day.isoformat(): each for day, each in days.items()})


def _from_office(at: str) -> _Known:
    with open_office(Address.of(at)) as reader:
        known = {site.name: site for site in reader.sites()}
        sites, days = dict[str, Site](), dict[str, Day]()
        for name, state in reader.states().items():
            called = _called(name, known[name].title, state, sites)
            sites[called] = Site(called, state, known[name].last)
        for each in reader.days():
            day = days.setdefault(each.day, Day())
            day.called, day.cut = day.called + each.called, day.cut + each.cut
            day.trouble += each.trouble
    return _Known(tuple(sites.values()), days)


@action(
    "yard",
    argument("--by-site", action="store_true"),
    argument("--csv", action="store_true"),
    _PAGE,
    *_FROM,
)
def _yard(run: Run) -> int:
    a = run.arguments
    known = _from_memos(a.memos) if a.memos else _from_office(a.at)
    if not known.sites:
        print(words.NO_SITES, file=sys.stderr)
        return DONE
    order = OfficeOrder(_layouts(known.sites, a.by_site), now().date().isoformat(), a.by_site)
    if a.page is not None:
        _write(a.page, order_page(order, known.days, _heading(run, words.ORDER_PAGE)))
    if a.json:
        print_json(order_as_plain(order, known.days))
    elif a.csv:
        print(order_as_csv(order))
    elif a.page is None:
        print(order_as_text(order))
    return DONE


def _layouts(sites: tuple[Site, ...], apart: bool) -> Layouts:
    """Return the layouts of *sites*, which tell how far they are where that takes a while."""
    pieces = sum(row.left for site in sites for row in rows_to_lay(site.state))
    if pieces <= MANY_PIECES or not sys.stderr.isatty():
        return Layouts(sites)
    print(words.laying(pieces, len(sites)), file=sys.stderr)
    done, due, every = 0, time.monotonic() + 1, pieces if apart else 2 * pieces

    def laid(more: int) -> None:
        nonlocal done, due
        done += more
        if time.monotonic() >= due:
            print(words.laid(min(100 * done // every, 99)), file=sys.stderr)
            due = time.monotonic() + 1

    return Layouts(sites, laid)


@action("handoff", _PAGE, *_FROM)
def _handoff(run: Run) -> int:
    a, day = run.arguments, now().date().isoformat()
    with _projections(run) as memos:
        found = list(memos)
    if not found:
        print(words.NO_SITES, file=sys.stderr)
        return DONE
    if a.page is not None:
        _write(a.page, handoff_page(dict(found), day, _heading(run, words.HANDOFF_PAGE)))
    if a.json:
        print_json({name: handoff_as_plain(memo, day) for name, memo in found})
    elif a.page is None:
        texts = (f"{name.upper()}\n\n{handoff_as_text(memo, day)}" for name, memo in found)
        print("\n\n\n".join(texts))
    return DONE


@contextmanager
def _projections(run: Run) -> Iterator[Iterator[tuple[str, Projection]]]:
    """Read the memo of every site, one after the other."""
    a = run.arguments
    if a.memos:
        yield iter(_memos(a.memos))
        return
    with open_office(Address.of(a.at)) as reader:
        titles = {site.name: site.title for site in reader.sites()}
        yield _each_called(titles, reader.memos())


def _each_called(
    titles: Mapping[str, str], memos: Iterable[tuple[str, Projection]]
) -> Iterator[tuple[str, Projection]]:
    """Yield each memo with what its site is called, which no other is."""
    found: set[str] = set()
    for name, memo in memos:
        called = _called(name, titles.get(name, ""), memo.state, found)
        found.add(called)
        yield called, memo


@action("pass-on", argument("memos", nargs="+"))
def _pass_on(run: Run) -> int:
    """Tell memos on this machine of each other's loads, as an office does."""
    paths = {str(path): path for path in map(_path, run.arguments.memos)}
    logs, called = {}, {}
    for name, path in paths.items():
        with open_store(path) as store:
            memo = Projection(store.events())
        logs[name], called[name] = memo.log, (memo.state.settings.site or path.stem,)
    told = 0
    for name, events in to_hand_over(logs, called).items():
        if events:
            with open_store(paths[name]) as store:
                told += Memo(store).take_in(to_line(event) for event in events)
    if run.arguments.json:
        print_json({"passed_on": told})
    else:
        print(words.handed_over(told, len(paths)))
    return DONE


def _heading(run: Run, title: str) -> Heading:
    moment = now()
    date_and_time = moment.strftime("%Y-%m-%d %H:%M")
    return Heading(title, "", date_and_time, run.default("who") or this_person())


def _write(path: Path, page: str) -> None:
    """Write a page, whole or not at all."""
    beside = path.with_name(f"{path.name}.part")
    try:
        beside.write_text(page, encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        raise BadPage(path, error.strerror or str(error)) from error
    print(words.written(str(path)), file=sys.stderr)

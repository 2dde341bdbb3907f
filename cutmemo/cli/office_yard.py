"""What the one who orders sees: the order and the hand-off of all sites, from the office's database
or from memos on this machine.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from cutmemo.cli.office import HERE, action
from cutmemo.cli.run import DONE, Options, Run, argument, print_json
from cutmemo.errors import NoOffice, OfficeTrouble
from cutmemo.memo import Projection, open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.moves import to_hand_over
from cutmemo.office.address import Address
from cutmemo.office.known import FromMemos, FromOffice, Sites, path_of
from cutmemo.office.sites import Site, rows_to_lay
from cutmemo.office.yard import Layouts
from cutmemo.present.board_page import Heading
from cutmemo.present.handoff import handoff_as_plain, handoff_as_text
from cutmemo.present.office import OfficeOrder, order_as_csv, order_as_plain, order_as_text
from cutmemo.present.office_page import handoff_page, order_page
from cutmemo.present.page_file import write_page
from cutmemo.service import Memo, now, this_person
from cutmemo.wording import office_yard as words

MANY_PIECES = 100
"""From here on laying them may take over a second."""
_MEMOS = argument("--from", dest="memos", nargs="+", default=[], metavar="MEMO")
_AT = argument("--at", default=HERE, metavar="ADDRESS")
_PAGE = argument("--page", type=Path, metavar="FILE")
FROM: tuple[Options, ...] = (_MEMOS, _AT)
_NOT_HERE = (
    OfficeTrouble.NO_PACKAGE,
    OfficeTrouble.NO_NETWORK,
    OfficeTrouble.NOT_LET_IN,
    OfficeTrouble.NOT_PREPARED,
)
"""Why the database of this machine is not read where there is none, or not for who asks."""


def sites_of(run: Run) -> Sites:
    """Return where all sites are read: memos of this machine where they are named, else the
    office.
    """
    a = run.arguments
    return FromMemos(a.memos) if a.memos else FromOffice(Address.of(a.at))


@contextmanager
def telling_where(run: Run) -> Iterator[None]:
    """Say what to name where no office was named and this machine has none."""
    try:
        yield
    except NoOffice as error:
        if run.arguments.at == HERE and error.trouble in _NOT_HERE:
            raise NoOffice(OfficeTrouble.NOT_HERE, error.why or error.trouble.value) from error
        raise


@action(
    "yard",
    argument("--by-site", action="store_true"),
    argument("--as", dest="form", choices=("text", "csv", "html"), default="text"),
    argument("--csv", dest="form", action="store_const", const="csv"),
    _PAGE,
    *FROM,
)
def _yard(run: Run) -> int:
    a = run.arguments
    with telling_where(run):
        known = sites_of(run).known()
    if not known.sites:
        print(words.NO_SITES, file=sys.stderr)
        return DONE
    order = OfficeOrder(_layouts(known.sites, a.by_site), now().date().isoformat(), a.by_site)
    if a.page is not None:
        _write(a.page, order_page(order, known.days, _heading(run, words.ORDER_PAGE)))
    if a.json:
        print_json(order_as_plain(order, known.days))
    elif a.form == "csv":
        print(order_as_csv(order))
    elif a.form == "html":
        print(order_page(order, known.days, _heading(run, words.ORDER_PAGE)))
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


@action(
    "handoff",
    argument("--as", dest="form", choices=("text", "html"), default="text"),
    _PAGE,
    *FROM,
)
def _handoff(run: Run) -> int:
    a, day = run.arguments, now().date().isoformat()
    with telling_where(run), sites_of(run).memos() as memos:
        found = list(memos)
    if not found:
        print(words.NO_SITES, file=sys.stderr)
        return DONE
    if a.page is not None:
        _write(a.page, handoff_page(dict(found), day, _heading(run, words.HANDOFF_PAGE)))
    if a.json:
        print_json({name: handoff_as_plain(memo, day) for name, memo in found})
    elif a.form == "html":
        print(handoff_page(dict(found), day, _heading(run, words.HANDOFF_PAGE)))
    elif a.page is None:
        texts = (f"{name.upper()}\n\n{handoff_as_text(memo, day)}" for name, memo in found)
        print("\n\n\n".join(texts))
    return DONE


@action("pass-on", argument("memos", nargs="+"))
def _pass_on(run: Run) -> int:
    """Tell memos on this machine of each other's loads, as an office does."""
    paths = {str(path): path for path in map(path_of, run.arguments.memos)}
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
    """Write a page, and say where it is. Raises :class:`BadPage`."""
    write_page(path, page)
    print(words.written(str(path)), file=sys.stderr)

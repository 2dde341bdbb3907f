"""The verb about the office: connect a memo, send, and keep the database of all sites."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from filelock import Timeout

from cutmemo.cli.run import (
    COULD_NOT,
    DONE,
    Options,
    Run,
    argument,
    common_options,
    print_json,
    secret,
    verb,
)
from cutmemo.errors import NoOffice, OfficeTrouble
from cutmemo.office.address import Address
from cutmemo.office.background import exchange_now
from cutmemo.office.database.connect import OWNER, check_layout, connected
from cutmemo.office.database.roles import let_in, make_months, prepare, shut_out, utc_today
from cutmemo.office.file_end import FileEnd
from cutmemo.office.link import Link, drop_link, make_link, not_sent, read_link
from cutmemo.office.passwords import forget_password, keep_certificate, keep_password
from cutmemo.office.tally import Tally
from cutmemo.office.tally import run as keep_tally
from cutmemo.wording import explain_error
from cutmemo.wording import office as words
from cutmemo.wording.verbs import does

RETRY_SECONDS = 5.0
"""After which the tally looks for a server that was away."""
HERE = "postgresql:///cutmemo"
"""The database of the office on the machine that keeps it: over the local socket."""
_PASSING = (OfficeTrouble.NO_NETWORK, OfficeTrouble.NOT_PREPARED, OfficeTrouble.OLDER)
"""Troubles that end by themselves, or are ended at the office: the memo stays connected."""
_PASSING_OR_NEWER = (*_PASSING, OfficeTrouble.NEWER)


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that can be done about the office."""

    function: Callable[[Run], int]
    arguments: tuple[Options, ...] = ()


ACTIONS: dict[str, Action] = {}
"""Every action, by its name; its words are those of the verb."""


Function = Callable[[Run], int]


def action(name: str, *arguments: Options) -> Callable[[Function], Function]:
    """Register a function as an action of the verb ``office``."""

    def register(function: Function) -> Function:
        ACTIONS[name] = Action(function, arguments)
        return function

    return register


def _actions(parser: argparse.ArgumentParser) -> None:
    """Let *parser* take the actions."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    common = common_options()
    for name, each in ACTIONS.items():
        taken = actions.add_parser(name, parents=[common], help=does("office", name))
        for add in each.arguments:
            add(taken)


@verb("office", _actions)
def _office(run: Run) -> int:
    return ACTIONS[run.arguments.action].function(run)


_at = argument("--at", default=HERE, metavar="ADDRESS")


# --- at a site ------------------------------------------------------------------------------------


@action("connect", argument("address"), argument("--certificate", type=Path, metavar="FILE"))
def _connect(run: Run) -> int:
    address = Address.of(run.arguments.address)
    if run.arguments.certificate is not None:
        kept = keep_certificate(address, run.arguments.certificate)
        address = replace(address, sslrootcert=str(kept))
    if not address.user:
        raise NoOffice(OfficeTrouble.NO_ADDRESS, "postgresql://SITE@host/database")
    known = read_link(run.memo)
    if known is not None and known.url != str(address):
        raise NoOffice(OfficeTrouble.LINKED_ALREADY, known.url)
    with run.station():
        pass  # there is a memo, and it is sound enough to be opened
    password = "" if address.local else secret(words.ASK_PASSWORD)
    trouble = _try(address, password)
    if trouble is not None and trouble.trouble not in _PASSING_OR_NEWER:
        raise trouble
    where = keep_password(address, password) if password else ""
    make_link(run.memo, Link(str(address), sent=known.sent if known is not None else {}))
    if run.arguments.json:
        print_json({"office": str(address), "password": where or None})
    else:
        print(words.connected_to(str(address)))
        if where:
            print(words.password_kept(where))
    if trouble is not None:
        print(f"{explain_error(trouble)}\n{words.LATER}", file=sys.stderr)
    return DONE


def _try(address: Address, password: str) -> NoOffice | None:
    """Return why the office cannot be used now, or ``None`` where it can."""
    try:
        with connected(address, password or None) as connection:
            check_layout(connection)
    except NoOffice as error:
        return error
    return None


@action("disconnect")
def _disconnect(run: Run) -> int:
    link = _link(run)
    drop_link(run.memo)
    forget_password(link.address)
    if run.arguments.json:
        print_json({"office": None})
    else:
        print(words.disconnected_from(link.url))
    return DONE


@action("status")
def _status(run: Run) -> int:
    link = _link(run)
    with run.station() as station:
        waiting = not_sent(station.memo.projection.log, link)
    if run.arguments.json:
        plain: dict[str, Any] = {
            "office": link.url,
            "not_sent": waiting,
            "last_exchange": link.contact or None,
            "trouble": link.trouble or None,
            "why": link.why or None,
            "since": link.since or None,
            "disputed": link.disputed,
        }
        print_json(plain)
    else:
        print("\n".join(words.status_lines(link, waiting)))
    return DONE


@action("send")
def _send(run: Run) -> int:
    _link(run)
    with run.station() as station:
        log, due = station.memo.projection.log, time.monotonic() + 1

        def progress(replica: str, number: int) -> None:
            nonlocal due
            link = read_link(run.memo)
            if link is not None and time.monotonic() >= due:
                print(words.office_line(link, not_sent(log, link)), file=sys.stderr)
                due = time.monotonic() + 1

        try:
            with FileEnd(run.memo) as here:
                done = exchange_now(run.memo, here, progress)
        except Timeout:
            print(words.BUSY, file=sys.stderr)
            return COULD_NOT
    counts = {"sent": done.sent, "received": done.received}
    if run.arguments.json:
        print_json({**counts, "disputed": len(done.disputed), "refused": len(done.refused)})
    else:
        print(words.exchanged(done.sent, done.received))
        if done.disputed:
            print(words.disputed(len(done.disputed)))
        if done.refused:
            print(words.refused(len(done.refused)))
    return COULD_NOT if done.disputed or done.refused else DONE


def _link(run: Run) -> Link:
    link = read_link(run.memo)
    if link is None:
        raise NoOffice(OfficeTrouble.NO_LINK)
    return link


# --- at the office --------------------------------------------------------------------------------


@action("prepare", _at)
def _prepare(run: Run) -> int:
    address = Address.of(run.arguments.at)
    before = prepare(address, utc_today())
    if run.arguments.json:
        print_json({"office": str(address), "layout_before": before})
    else:
        print(words.prepared(str(address), new=before == 0))
    return DONE


@action("site", argument("name"), argument("--title", default=""), _at)
def _site(run: Run) -> int:
    address, name = Address.of(run.arguments.at), run.arguments.name
    password = let_in(address, name, run.arguments.title)
    if run.arguments.json:
        print_json({"site": name, "password": password})
    else:
        print("\n".join(words.let_in(name, address.database, password)))
    return DONE


@action("orderer", argument("name"), _at)
def _orderer(run: Run) -> int:
    name = run.arguments.name
    password = let_in(Address.of(run.arguments.at), name, orders=True)
    if run.arguments.json:
        print_json({"orderer": name, "password": password})
    else:
        print("\n".join(words.let_in_to_read(name, password)))
    return DONE


@action("bar", argument("name"), _at)
def _bar(run: Run) -> int:
    shut_out(Address.of(run.arguments.at), run.arguments.name)
    if run.arguments.json:
        print_json({"barred": run.arguments.name})
    else:
        print(words.shut_out(run.arguments.name))
    return DONE


@action(
    "tally",
    argument("--once", action="store_true"),
    argument("--anew", action="store_true"),
    _at,
)
def _tally(run: Run) -> int:
    address, anew = Address.of(run.arguments.at), run.arguments.anew
    while True:
        try:
            with connected(address, act_as=OWNER) as connection:
                check_layout(connection)
                tally = Tally(connection)
                if not tally.alone():
                    print(words.TALLY_ELSEWHERE, file=sys.stderr)
                    return COULD_NOT
                if anew:
                    tally.anew()
                if run.arguments.once:
                    make_months(connection, utc_today())
                    return _tally_once(run, tally)
                anew = False
                print(words.TALLY_RUNS, file=sys.stderr)
                keep_tally(
                    tally, lambda: False, hourly=lambda: make_months(connection, utc_today())
                )
        except NoOffice as error:
            if run.arguments.once or error.trouble != OfficeTrouble.NO_NETWORK:
                raise
            print(explain_error(error), file=sys.stderr)
            time.sleep(RETRY_SECONDS)


def _tally_once(run: Run, tally: Tally) -> int:
    """Tally all that is new, lay the boards of what changed, and tell how many sites there were."""
    folded = 0
    while count := tally.keep_up():
        folded += count
    while tally.lay_boards(quiet_seconds=0):
        pass
    if run.arguments.json:
        print_json({"sites": folded})
    else:
        print(words.tallied(folded))
    return DONE

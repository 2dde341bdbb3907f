"""Verbs about the whole memo: settings, order, sums, the day, the paper, and the way to other machines."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from cutmemo.cli.run import DONE, Run, no_options, print_json, verb
from cutmemo.domain.settings import SETTINGS
from cutmemo.errors import BadMemo
from cutmemo.memo.locations import memos
from cutmemo.memo.state import ORDERS
from cutmemo.present import (
    as_csv,
    as_plain,
    as_text,
)


def _manner_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("setting", nargs="?", choices=SETTINGS, help="which setting")
    parser.add_argument("value", nargs="?", help="its new value; inches as 1/8 or 14-1/2")


@verb("manner", _manner_options, "show or set how this crew speaks, measures and saws")
def _manner(run: Run) -> int:
    with run.session() as session:
        if run.arguments.value is not None:
            return run.tell(session.set_manner(run.arguments.setting, run.arguments.value), session)
        plain = session.queue.settings.to_plain()
        names = [run.arguments.setting] if run.arguments.setting else list(plain)
        if run.arguments.json:
            print_json({name: plain[name] for name in names})
        else:
            for name in names:
                print(f"{name:9} {'off' if plain[name] is None else plain[name]}")
        return DONE


@verb(
    "order",
    lambda p: p.add_argument(
        "order", choices=ORDERS, help="as called, longest first, by saw setting"
    ),
    "put the open rows in another order",
)
def _order(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.set_order(run.arguments.order), session)


@verb("sums", no_options, "what is open and cut, in pieces, lineal feet and board feet")
def _sums(run: Run) -> int:
    with run.session() as session:
        sums = session.queue.sums
        if run.arguments.json:
            print_json(
                {
                    name: str(value) if not isinstance(value, int) else value
                    for name, value in ((n, getattr(sums, n)) for n in sums.__slots__)
                }
            )
        else:
            print(session.totals())
        return DONE


@verb("day", no_options, "everything that happened: when, who, what")
def _day(run: Run) -> int:
    with run.session() as session:
        for event in session.queue.events:
            if run.arguments.json:
                print(event.to_line())
            else:
                undone = "" if session.queue.lives(event) else " (undone)"
                why = f" — {event.payload['why']}" if "why" in event.payload else ""
                print(
                    f"{event.at[:16].replace('T', ' ')}  {event.who} at {event.station}: {session.told(event)}{why}{undone}"
                )
        if not run.arguments.json:
            print(session.sums_by_day())
        return DONE


def _sheet_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--as", dest="form", choices=("text", "csv", "json"), default="text", help="what to write"
    )


@verb("sheet", _sheet_options, "the whole memo as a paper list, CSV or JSON")
def _sheet(run: Run) -> int:
    with run.session() as session:
        queue, settings = session.queue, session.queue.settings
        rows = [
            *queue.of_state("doubtful"),
            *queue.open_rows(),
            *queue.of_state("cut"),
            *queue.of_state("struck"),
        ]
        if run.arguments.form == "json" or run.arguments.json:
            print_json([as_plain(row, settings) for row in rows])
        else:
            print(
                as_csv(rows, settings) if run.arguments.form == "csv" else as_text(rows, settings)
            )
        return DONE


@verb("export", no_options, "write every event as JSON lines")
def _export(run: Run) -> int:
    with run.session() as session:
        for event in session.queue.events:
            print(event.to_line())
        return DONE


@verb(
    "import",
    lambda p: p.add_argument("file", help="file of JSON lines, or - for standard input"),
    "take in events another memo exported; twice changes nothing",
)
def _import(run: Run) -> int:
    name = run.arguments.file
    try:
        lines = sys.stdin.readlines() if name == "-" else Path(name).read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BadMemo(name, getattr(error, "strerror", None) or "it is no text") from error
    with run.session() as session:
        new = session.take_in(lines)
        if run.arguments.json:
            print_json({"new": new})
        else:
            print(f"{new} new.")
        return DONE


@verb("memos", no_options, "the memos on this machine")
def _memos(run: Run) -> int:
    found = memos()
    if run.arguments.json:
        print_json([str(path) for path in found])
    else:
        for path in found:
            print(f"{path.stem:20} {path}")
        if not found:
            print("No memo yet: “cutmemo say 36” makes one.", file=sys.stderr)
    return DONE

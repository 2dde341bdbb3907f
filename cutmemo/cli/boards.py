"""Verbs about boards: the rack, the plan, the yard, the kerf."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from cutmemo.errors import BadBoards
from cutmemo.memo.commands import AddBoards, Boards, ChangeBoards, ChangeSetting
from cutmemo.memo.decide.rack import planning_job
from cutmemo.memo.locations import memo_path
from cutmemo.present import (
    boards_as_csv,
    boards_as_html,
    boards_as_plain,
    boards_as_text,
    boards_from_csv,
    order_as_text,
    rack_as_plain,
    rack_as_text,
)
from cutmemo.present.racks import bad_of, count_of, inches_of, price_of, section_of
from cutmemo.service import Station

if TYPE_CHECKING:
    from cutmemo.planning import SectionPlan
from cutmemo.cli.run import DONE, Run, no_options, print_json, verb

MANY_PIECES = 100
"""From here on laying them may take over a second."""


def _rack_options(parser: argparse.ArgumentParser) -> None:
    actions = parser.add_subparsers(dest="action", metavar="ACTION")
    add = actions.add_parser("add", help="put boards on it: rack add 10 2x4 16'")
    add.add_argument("count", help="how many")
    add.add_argument("section", help="2x4, 5/4x6, LVL")
    add.add_argument("length", help="16', 92-5/8, 2438mm")
    add.add_argument("--price", default="", help="of one board")
    add.add_argument("--bad", default="", help="a part that cannot be used: 40 to 52")
    change = actions.add_parser(
        "change", help='other than thought: rack change 3 --length 96-1/2 --bad "40 to 52"'
    )
    change.add_argument("number", help="as “cutmemo rack” shows it")
    change.add_argument("--count", help="how many there are")
    change.add_argument("--length", help="how long they run")
    change.add_argument("--bad", help="a part that cannot be used: 40 to 52; empty for none")
    off = actions.add_parser("off", help="take boards off it: rack off 3")
    off.add_argument("number", help="as “cutmemo rack” shows it")
    load = actions.add_parser(
        "load", help="take in a CSV with the columns section, length, count, price, bad"
    )
    load.add_argument("file", type=Path, help="the CSV file")


@verb("rack", _rack_options, "the boards at hand: show, add, change, take off, load from CSV")
def _rack(run: Run) -> int:
    a = run.arguments
    with run.station() as station:
        if a.action == "add":
            boards = Boards(
                section_of(a.section),
                inches_of(a.length),
                count_of(a.count),
                price_of(a.price),
                tuple(bad_of(a.bad)),
            )
            station.execute(AddBoards((boards,)))
        elif a.action == "change":
            count = None if a.count is None else count_of(a.count)
            length = None if a.length is None else inches_of(a.length)
            bad = None if a.bad is None else tuple(bad_of(a.bad))
            station.execute(ChangeBoards(a.number, count, length, bad))
        elif a.action == "off":
            station.execute(ChangeBoards(a.number, count=0))
        elif a.action == "load":
            try:
                text = a.file.read_text("utf-8-sig")
            except (OSError, UnicodeDecodeError) as error:
                raise BadBoards(
                    f"{a.file} cannot be read: {getattr(error, 'strerror', None) or 'it is no text'}."
                ) from error
            station.execute(AddBoards(tuple(Boards(*line) for line in boards_from_csv(text))))
        rack, settings = station.state.rack, station.state.settings
        if a.json:
            print_json(rack_as_plain(rack))
        elif rack.lots:
            print(rack_as_text(rack, settings))
        else:
            print(
                "The rack is empty: “cutmemo rack add 10 2x4 16'” puts boards on it.",
                file=sys.stderr,
            )
        return DONE


def _planned(station: Station) -> list[SectionPlan]:
    """Return the plan, and say so where it takes a while."""
    pieces = station.state.sums.open_pieces
    if pieces > MANY_PIECES and sys.stderr.isatty():
        print(f"Laying {pieces} pieces onto boards …", file=sys.stderr)
    return planning_job(station.state).solve()


def _boards_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--as",
        dest="form",
        choices=("text", "csv", "html"),
        default="text",
        help="html is a page to print",
    )


@verb("boards", _boards_options, "which board to cut each piece from, with its marks")
def _boards(run: Run) -> int:
    with run.station() as station:
        plans, settings = _planned(station), station.state.settings
        if run.arguments.json:
            print_json(boards_as_plain(plans, settings))
        elif run.arguments.form == "csv":
            print(boards_as_csv(plans, settings))
        elif run.arguments.form == "html":
            print(
                boards_as_html(plans, settings, f"Boards of {memo_path(run.arguments.memo).stem}")
            )
        elif plans:
            print(boards_as_text(plans, settings))
            print("Best for what is called so far.", file=sys.stderr)
        else:
            print("Nothing is open.", file=sys.stderr)
        return DONE


@verb("yard", no_options, "what the yard has to bring for what is open")
def _yard(run: Run) -> int:
    with run.station() as station:
        plans = _planned(station)
        if run.arguments.json:
            print_json(boards_as_plain(plans, station.state.settings))
        else:
            print(
                order_as_text(plans, station.state.rack, station.state.settings)
                or "Nothing is short."
            )
        return DONE


def _kerf_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("board", help="the length of a scrap before the cut")
    parser.add_argument("parts", nargs=2, help="the lengths of its two parts after it")


@verb("kerf", _kerf_options, "measure what the saw eats: a scrap before the cut, and its two parts")
def _kerf(run: Run) -> int:
    whole, (one, two) = inches_of(run.arguments.board), map(inches_of, run.arguments.parts)
    kerf = whole - one - two
    if not 0 < kerf <= 1:
        raise BadBoards(
            f"{whole} less {one} and {two} leaves {kerf}: a kerf is more than nothing and at most 1 in. Measure again."
        )
    with run.station() as station:
        return run.tell(station.execute(ChangeSetting("kerf", str(kerf))), station)

"""Verbs about boards: the rack, the plan, the yard, the kerf."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from cutmemo.cli.run import DONE, Options, Run, argument, common_options, print_json, verb
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadBoards
from cutmemo.memo.commands import (
    AddBoards,
    Boards,
    ChangeBoards,
    ChangeSetting,
    PrintBoards,
    ReleaseBoards,
    SetOrderTerms,
    SetYard,
)
from cutmemo.memo.decide.rack import planning_job
from cutmemo.memo.locations import memo_path
from cutmemo.present import (
    Heading,
    boards_as_csv,
    boards_as_html,
    boards_as_plain,
    boards_as_text,
    boards_from_csv,
    labels_as_html,
    order_as_csv,
    order_as_html,
    order_as_text,
    orders_of,
    rack_as_plain,
    rack_as_text,
)
from cutmemo.present.racks import (
    Bare,
    all_there,
    bad_of,
    board_inches_of,
    count_of,
    inches_of,
    lengths_of,
    price_of,
    prices_of,
    section_of,
)
from cutmemo.service import Station
from cutmemo.wording import boards as words
from cutmemo.wording.lengths import inches_shown
from cutmemo.wording.verbs import does

if TYPE_CHECKING:
    from cutmemo.planning import SectionPlan

MANY_PIECES = 100
"""From here on laying them may take over a second."""


_FEET = argument("--feet", action="store_true")
_ACTIONS: dict[str, tuple[Options, ...]] = {
    "add": (
        argument("count"),
        argument("section"),
        argument("length"),
        argument("--price", default=""),
        argument("--bad", default=""),
        _FEET,
    ),
    "change": (
        argument("number"),
        argument("--count"),
        argument("--length"),
        argument("--bad"),
        _FEET,
    ),
    "off": (argument("number"),),
    "load": (argument("file", type=Path), argument("--again", action="store_true"), _FEET),
}
"""What can be done to the rack, and what each of it takes."""


def _actions(parser: argparse.ArgumentParser) -> None:
    """Let *parser* take the actions on the rack."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION")
    common = common_options()
    for name, arguments in _ACTIONS.items():
        action = actions.add_parser(name, parents=[common], help=does("rack", name))
        for add in arguments:
            add(action)


@verb("rack", _actions)
def _rack(run: Run) -> int:
    a = run.arguments
    with run.station() as station:
        bare: Bare = "feet" if getattr(a, "feet", False) else station.state.settings.bare_boards
        if a.action == "add":
            boards = Boards(
                section_of(a.section),
                board_inches_of(a.length, bare),
                count_of(a.count),
                price_of(a.price),
                bad_of(a.bad),
            )
            station.execute(AddBoards((boards,)))
        elif a.action == "change":
            count = None if a.count is None else count_of(a.count)
            length = None if a.length is None else board_inches_of(a.length, bare)
            bad = None if a.bad is None else bad_of(a.bad)
            station.execute(ChangeBoards(a.number, count, length, bad))
        elif a.action == "off":
            station.execute(ChangeBoards(a.number, count=0))
        elif a.action == "load":
            _load(station, a.file, a.again, bare)
        rack, settings = station.state.rack, station.state.settings
        if a.json:
            print_json(rack_as_plain(rack))
        elif rack.lots:
            print(rack_as_text(rack, settings))
        else:
            print(words.EMPTY_RACK, file=sys.stderr)
        return DONE


def _load(station: Station, file: Path, again: bool, bare: Bare) -> None:
    """Put the boards of a CSV on the rack, all or none.

    The same list a second time only where *again*.
    """
    try:
        text = file.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise BadBoards(words.unreadable(str(file), getattr(error, "strerror", None))) from error
    lines = boards_from_csv(text, bare)
    if not again and all_there(lines, station.state.rack.lots):
        raise BadBoards(words.already_there(len(lines)))
    station.execute(AddBoards(tuple(Boards(*line) for line in lines)))


def _planned(station: Station) -> list[SectionPlan]:
    """Return the plan, and say so where it takes a while."""
    pieces = station.state.sums.open_pieces
    if pieces > MANY_PIECES and sys.stderr.isatty():
        print(words.planning(pieces), file=sys.stderr)
    return planning_job(station.state).solve()


def _tell_proof(station: Station, plans: list[SectionPlan]) -> None:
    """Look for the proofs that are missing, where somebody sees that it takes a while."""
    job = planning_job(station.state)
    for plan in plans:
        if plan.standing == "best" or not sys.stderr.isatty():
            continue
        print(words.proving(plan), file=sys.stderr, flush=True)
        for each in job.of(plan.section).solve(thorough=True):
            print(words.proven_since(plan.proven_by(each)), file=sys.stderr)


def _heading(run: Run, station: Station, what: str) -> Heading:
    job = memo_path(run.arguments.memo).stem
    return Heading(
        words.page_title(what, job), job, station.clock().date().isoformat(), station.person
    )


@verb(
    "boards",
    argument("--as", dest="form", choices=("text", "csv", "html", "labels"), default="text"),
    argument("--draft", action="store_true"),
    argument("--replan", metavar="BOARD", nargs="?", const="", default=None),
)
def _boards(run: Run) -> int:
    a = run.arguments
    with run.station() as station:
        if a.replan is not None:
            station.execute(ReleaseBoards(a.replan or None))
        plans, settings = _planned(station), station.state.settings
        if a.form in ("html", "labels") and plans and not (a.draft or a.json):
            station.execute(PrintBoards())
            plans = _planned(station)
            print(words.KEPT_AS_PRINTED, file=sys.stderr)
        rack, form = station.state.rack, run.arguments.form
        if run.arguments.json:
            print_json(boards_as_plain(plans, settings, prices=rack.prices))
        elif form == "csv":
            print(boards_as_csv(plans, settings))
        elif form == "html":
            orders = orders_of(plans, settings, prices=rack.prices)
            print(
                boards_as_html(
                    plans, settings, _heading(run, station, words.BOARDS_PAGE), rack.lots, orders
                )
            )
        elif form == "labels":
            print(labels_as_html(plans, settings, _heading(run, station, words.LABELS_PAGE)))
        elif plans:
            print(boards_as_text(plans, settings))
            print(words.BEST_SO_FAR, file=sys.stderr)
            _tell_proof(station, plans)
        else:
            print(words.NOTHING_OPEN, file=sys.stderr)
        return DONE


def _set_yard(station: Station, a: argparse.Namespace) -> None:
    """Take in what was said of the yard and of the order."""
    if a.of is not None:
        terms = station.state.yard.of(section_of(a.of))
        bare = station.state.settings.bare_boards
        if a.lengths is not None:
            terms = replace(terms, lengths=lengths_of(a.lengths, bare))
        if a.precuts is not None:
            terms = replace(terms, precuts=lengths_of(a.precuts, bare))
        if a.prices is not None:
            terms = replace(terms, prices=prices_of(a.prices, bare))
        if a.minimum is not None:
            terms = replace(terms, minimum=count_of(a.minimum, least=1))
        station.execute(SetYard(terms))
    elif any(each is not None for each in (a.lengths, a.precuts, a.prices, a.minimum)):
        raise BadBoards(words.SECTION_NEEDED)
    if a.more is not None or a.budget is not None:
        more = None if a.more is None else Fraction(count_of(a.more), 100)
        budget = None if a.budget is None else price_of(a.budget)
        station.execute(SetOrderTerms(more, budget))


@verb(
    "yard",
    argument("--of", metavar="SECTION"),
    argument("--lengths"),
    argument("--precuts"),
    argument("--prices"),
    argument("--minimum"),
    argument("--more"),
    argument("--budget"),
    argument("--as", dest="form", choices=("text", "csv", "html"), default="text"),
)
def _yard(run: Run) -> int:
    with run.station() as station:
        _set_yard(station, run.arguments)
        plans, settings = _planned(station), station.state.settings
        rack, form, yard = station.state.rack, run.arguments.form, station.state.yard
        if run.arguments.json:
            print_json(boards_as_plain(plans, settings, yard, rack.prices))
        elif form == "csv":
            print(order_as_csv(plans, rack, settings, yard))
        elif form == "html":
            orders = orders_of(plans, settings, yard, rack.prices)
            print(
                order_as_html(
                    orders,
                    settings,
                    _heading(run, station, words.ORDER_PAGE),
                    yard.budget,
                    plans,
                )
            )
        else:
            print(order_as_text(plans, rack, settings, yard) or words.NOTHING_SHORT)
        held = sum(row.left for row in station.state.of_state("open") if row.held)
        if held and not run.arguments.json:
            print(words.on_hold(held), file=sys.stdout if form == "text" else sys.stderr)
        return DONE


@verb("kerf", argument("board"), argument("parts", nargs=2))
def _kerf(run: Run) -> int:
    whole, (one, two) = inches_of(run.arguments.board), map(inches_of, run.arguments.parts)
    kerf = whole - one - two
    if not 0 < kerf <= 1:
        measured = [inches_shown(each, Settings()) for each in (whole, one, two)]
        rest = inches_shown(kerf, Settings()) if kerf > 0 else words.NOTHING
        raise BadBoards(words.not_a_kerf(measured[0], measured[1], measured[2], rest))
    with run.station() as station:
        return run.tell(station.execute(ChangeSetting("kerf", str(kerf))), station)

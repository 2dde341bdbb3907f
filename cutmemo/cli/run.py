"""What every verb stands on: how one is registered, one run with its session, and how results and
errors are told.
"""

from __future__ import annotations

import argparse
import contextlib
import getpass
import json
import logging
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutmemo.cli.config import VARIABLES, Config
from cutmemo.domain.settings import Settings
from cutmemo.domain.signs import code_point, hidden_sign, visible_json
from cutmemo.errors import BadMemo, BadSound, CutmemoError, HiddenSign, Refused
from cutmemo.memo import open_store
from cutmemo.memo.commands import Command
from cutmemo.memo.decide.find import row_of
from cutmemo.memo.locations import memo_path
from cutmemo.memo.result import Result
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.present import as_plain, assembly_as_text
from cutmemo.service import Station, now, open_memo
from cutmemo.wording import (
    Told,
    choices,
    describe,
    explain,
    explain_error,
    explain_why,
    marks,
    office_line,
    tell,
)
from cutmemo.wording import verbs as words

DONE, COULD_NOT, MISUSED, INTERRUPTED = 0, 1, 2, 130

_log = logging.getLogger(__name__)

Verb = Callable[["Run"], int]
Options = Callable[[argparse.ArgumentParser], object]


@dataclass(frozen=True, slots=True)
class VerbOf:
    """One verb: what runs it, and what its parser takes; its words are
    :data:`cutmemo.wording.verbs.VERBS`.
    """

    function: Verb
    arguments: tuple[Options, ...] = ()

    def add_to(self, parser: argparse.ArgumentParser) -> None:
        """Let *parser* take the verb's arguments."""
        for add in self.arguments:
            add(parser)


VERBS: dict[str, VerbOf] = {}
"""Every verb, by its name."""


class Run:
    """One run of the program: its arguments, this machine's defaults, and the session they are
    for.
    """

    def __init__(self, arguments: argparse.Namespace, config: Config | None = None) -> None:
        """Keep the *arguments* and the defaults."""
        self.arguments, self.config = arguments, config or Config()

    def default(self, name: str) -> str | None:
        """Return what holds for *name*: its option, else the environment, else this machine's
        defaults.
        """
        return self.config.with_source(name, getattr(self.arguments, name, None))[0]

    def check_names(self) -> None:
        """Raise :class:`HiddenSign` where what holds has a sign that cannot be seen: names are
        shown to everybody.
        """
        for name in VARIABLES:
            value, source = self.config.with_source(name, getattr(self.arguments, name, None))
            sign = hidden_sign(value, name=True) if value is not None else None
            if sign is not None:
                raise HiddenSign(name if source == "option" else source, code_point(sign))

    @property
    def memo(self) -> Path:
        """Return the file of the memo."""
        return memo_path(self.default("memo"))

    @contextlib.contextmanager
    def station(self) -> Iterator[Station]:
        """Open the memo for as long as the verb runs."""
        with open_store(self.memo) as store:
            memo = open_memo(store)
            station = Station(memo, self.default("station"), self.default("who"))
            _log.info("memo %s, %s at %s", self.memo, station.person, station.name)
            for mark in marks(memo.projection):
                print(mark, file=sys.stderr)
            if (linked := memo.office()) is not None:
                print(office_line(*linked), file=sys.stderr)
            yield station
            trouble = memo.keep_copy(now())
            if trouble:
                print(trouble, file=sys.stderr)

    def act(self, command: Callable[[MemoState], Command]) -> int:
        """Carry out one *command* on the memo, and tell what came of it."""
        with self.station() as station:
            return self.tell(station.execute(command(station.state)), station)

    def row(self, state: MemoState) -> str | None:
        """Return the id of the row that was named, if one was."""
        return row_of(state, self.arguments.row).id if self.arguments.row else None

    def tell(self, result: Result | None, station: Station) -> int:
        """Print what came of a command; a question left open is no success."""
        if result is None:
            return DONE
        settings = station.state.settings
        told = tell(result, station.memo.projection)
        _log.info("%s: %s", told.happened, told.text)
        if self.arguments.json:
            plain = [as_plain(row, settings) for row in told.rows]
            several = {"rows": plain} if result.listed else {}
            row = as_plain(told.row, settings) if told.row is not None else None
            print_json({"happened": told.happened, "text": told.text, "row": row, **several})
        else:
            print(told.text)
            for asked in told.rows if told.happened == "asked" else ():
                if asked.state == "doubtful":
                    print_readings(asked, station.state)
            if told.assembly is not None:
                print(_assembly(told, settings))
        return COULD_NOT if told.happened == "asked" else DONE


def _assembly(told: Told, settings: Settings) -> str:
    """Return the assembly that was added, with its picture."""
    if told.assembly is None:
        return ""
    return assembly_as_text(
        told.assembly, lambda cut: describe(cut, settings), settings, told.cautions
    )


def print_json(value: Any) -> None:
    """Print *value* as one line of JSON."""
    print(visible_json(json.dumps(value, ensure_ascii=False)))


def print_readings(row: Row, state: MemoState) -> None:
    """Print what a question may mean, and how to answer it."""
    if row.assembly_id:
        print(words.HOW_TO_CONFIRM, file=sys.stderr)
        return
    for number, cut in enumerate(choices(row.readings, state.settings), start=1):
        print(words.reading(number, cut))
    print(words.how_to_answer(row.number), file=sys.stderr)


def secret(question: str) -> str:
    """Return what stays off the screen: asked for, or the first line of what is piped in."""
    if sys.stdin.isatty():
        return getpass.getpass(question)
    return sys.stdin.readline().rstrip("\r\n")


def verb(name: str, *arguments: Options) -> Callable[[Verb], Verb]:
    """Register a function as the verb *name*, which takes *arguments*."""

    def register(function: Verb) -> Verb:
        VERBS[name] = VerbOf(function, arguments)
        return function

    return register


def argument(*names: str, **how: Any) -> Options:
    """Return what adds one argument, told in the words of the verb or action that takes it; *names*
    and *how* are argparse's.
    """

    def add(parser: argparse.ArgumentParser) -> None:
        _program, *path = parser.prog.split()
        told = words.takes(path, names[-1].lstrip("-"))
        parser.add_argument(*names, help=told, **how)

    return add


def common_options() -> argparse.ArgumentParser:
    """Return a parent for the actions of a verb: what every verb takes is taken behind them too."""
    common = argparse.ArgumentParser(add_help=False, argument_default=argparse.SUPPRESS)
    common.add_argument("--memo", help=argparse.SUPPRESS)
    common.add_argument("--log", help=argparse.SUPPRESS)
    common.add_argument("--json", action="store_true", help=argparse.SUPPRESS)
    return common


row_option = argument("row", nargs="?")
row_needed = argument("row")
model_option = argument("--model", metavar="FOLDER")
attention_option = argument("--attention", metavar="WORDS")


def report(error: CutmemoError, as_json: bool) -> None:
    """Tell what went wrong."""
    cause = error if error.__cause__ is not None else None
    said = explain_error(error)
    _log.warning("%s (%s): %s", type(error).__name__, error.code, said, exc_info=cause)
    if as_json:
        facts = error.facts()
        if isinstance(error, Refused):
            facts["reasons"] = [explain(reason) for reason in error.reasons]
        if isinstance(error, BadMemo | BadSound):
            facts["why"] = explain_why(error)
        print_json({"error": type(error).__name__, "code": error.code, "text": said, **facts})
    else:
        print(said, file=sys.stderr)

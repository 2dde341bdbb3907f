"""What every verb stands on: how one is registered, one run with its session, and how results and errors are told."""

from __future__ import annotations

import argparse
import contextlib
import json
import logging
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutmemo.cli.config import Config
from cutmemo.errors import CutmemoError
from cutmemo.memo import open_journal
from cutmemo.memo.locations import memo_path
from cutmemo.memo.outcome import Outcome
from cutmemo.memo.state import Row
from cutmemo.present import as_plain, assembly_as_text
from cutmemo.service import Session
from cutmemo.wording import verbs as words

DONE, COULD_NOT, MISUSED, INTERRUPTED = 0, 1, 2, 130

_log = logging.getLogger(__name__)

Verb = Callable[["Run"], int]
Options = Callable[[argparse.ArgumentParser], object]


@dataclass(frozen=True, slots=True)
class Command:
    """One verb: what runs it, and what its parser takes; its words are :data:`cutmemo.wording.verbs.VERBS`."""

    function: Verb
    arguments: tuple[Options, ...] = ()

    def add_to(self, parser: argparse.ArgumentParser) -> None:
        """Let *parser* take the verb's arguments."""
        for add in self.arguments:
            add(parser)


def no_options(_parser: argparse.ArgumentParser) -> None:
    """Need nothing but the verb."""


VERBS: dict[str, Command] = {}
"""Every verb, by its name."""


class Run:
    """One run of the program: its arguments, this machine's defaults, and the session they are for."""

    def __init__(self, arguments: argparse.Namespace, config: Config | None = None) -> None:
        """Keep the *arguments* and the defaults."""
        self.arguments, self.config = arguments, config or Config()

    def default(self, name: str) -> str | None:
        """Return what holds for *name*: its option, else the environment, else this machine's defaults."""
        return self.config.default(name, getattr(self.arguments, name, None))

    @property
    def memo(self) -> Path:
        """Return the file of the memo."""
        return memo_path(self.default("memo"))

    @contextlib.contextmanager
    def session(self) -> Iterator[Session]:
        """Open the memo for as long as the verb runs."""
        with open_journal(self.memo) as journal:
            session = Session(journal, self.default("station"), self.default("who"))
            _log.info("memo %s, %s at %s", self.memo, session.who, session.station)
            yield session

    def act(self, action: Callable[[Session], Outcome]) -> int:
        """Do one *action* on the memo, and tell what came of it."""
        with self.session() as session:
            return self.tell(action(session), session)

    def row(self, session: Session) -> str | None:
        """Return the id of the row that was named, if one was."""
        return session.find(self.arguments.row).id if self.arguments.row else None

    def tell(self, outcome: Outcome, session: Session) -> int:
        """Print what happened; a question left open is no success."""
        _log.info("%s: %s", outcome.happened, outcome.text)
        if self.arguments.json:
            plain = [as_plain(row, session.queue.settings) for row in outcome.rows]
            several = {"rows": plain} if outcome.several else {}
            row = as_plain(outcome.row, session.queue.settings) if outcome.row is not None else None
            print_json({"happened": outcome.happened, "text": outcome.text, "row": row, **several})
        else:
            print(outcome.text)
            for asked in outcome.rows if outcome.happened == "asked" else ():
                if asked.state == "doubtful":
                    print_readings(asked, session)
            if outcome.frame is not None:
                print(assembly_as_text(outcome.frame, session.shown, session.queue.settings))
        return COULD_NOT if outcome.happened == "asked" else DONE


def print_json(value: Any) -> None:
    """Print *value* as one line of JSON."""
    print(json.dumps(value, ensure_ascii=False))


def print_readings(row: Row, session: Session) -> None:
    """Print what a question may mean, and how to answer it."""
    if row.of_set:
        print(words.HOW_TO_CONFIRM, file=sys.stderr)
        return
    for number, cut in enumerate(row.readings, start=1):
        print(words.reading(number, session.shown(cut)))
    print(words.how_to_answer(row.number), file=sys.stderr)


def verb(name: str, *arguments: Options | str) -> Callable[[Verb], Verb]:
    """Register a function as the verb *name*, which takes *arguments*."""
    options = tuple(each for each in arguments if not isinstance(each, str))

    def register(function: Verb) -> Verb:
        VERBS[name] = Command(function, options)
        return function

    return register


def argument(*names: str, **how: Any) -> Options:
    """Return what adds one argument, told in the words of the verb that takes it; *names* and *how* are argparse's."""

    def add(parser: argparse.ArgumentParser) -> None:
        key = names[-1].lstrip("-")
        parser.add_argument(*names, help=words.takes(parser.prog.split()[-1], key), **how)

    return add


row_option = argument("row", nargs="?")
row_needed = argument("row")
model_option = argument("--model", metavar="FOLDER")


def report(error: CutmemoError, as_json: bool) -> None:
    """Tell what went wrong."""
    cause = error if error.__cause__ is not None else None
    _log.warning("%s (%s): %s", type(error).__name__, error.code, error, exc_info=cause)
    if as_json:
        facts = error.facts()
        print_json({"error": type(error).__name__, "code": error.code, "text": str(error), **facts})
    else:
        print(error, file=sys.stderr)

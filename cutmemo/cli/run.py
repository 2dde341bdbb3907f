"""What every verb stands on: how one is registered, one run with its session, and how results and errors are told."""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
from collections.abc import Callable, Iterator
from typing import Any

from cutmemo.errors import CutmemoError, NotACall, Refused
from cutmemo.memo import open_journal
from cutmemo.memo.locations import memo_path
from cutmemo.memo.outcome import Outcome
from cutmemo.memo.state import Row
from cutmemo.present import as_plain, assembly_as_text
from cutmemo.service import Session

DONE, COULD_NOT, MISUSED, INTERRUPTED = 0, 1, 2, 130

Verb = Callable[["Run"], int]
VERBS: dict[str, tuple[Verb, Callable[[argparse.ArgumentParser], object], str]] = {}


class Run:
    """One run of the program: its arguments, and the session they are for."""

    def __init__(self, arguments: argparse.Namespace) -> None:
        """Keep the *arguments*."""
        self.arguments = arguments

    @contextlib.contextmanager
    def session(self) -> Iterator[Session]:
        """Open the memo for as long as the verb runs."""
        with open_journal(memo_path(self.arguments.memo)) as journal:
            yield Session(journal)

    def tell(self, outcome: Outcome, session: Session) -> int:
        """Print what happened; a question left open is no success."""
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
                print(assembly_as_text(outcome.frame, session.shown))
        return COULD_NOT if outcome.happened == "asked" else DONE


def print_json(value: Any) -> None:
    """Print *value* as one line of JSON."""
    print(json.dumps(value, ensure_ascii=False))


def print_readings(row: Row, session: Session) -> None:
    """Print what a question may mean, and how to answer it."""
    if row.of_set:
        print("  cutmemo answer takes all of it, “cutmemo say no” takes it back", file=sys.stderr)
        return
    for number, cut in enumerate(row.readings, start=1):
        print(f"  {number}: {session.shown(cut)}")
    print(f"  cutmemo answer 1 --row {row.number}, or cutmemo strike {row.number}", file=sys.stderr)


def no_options(_parser: argparse.ArgumentParser) -> None:
    """Need nothing but the verb."""


def verb(
    name: str, options: Callable[[argparse.ArgumentParser], object], told: str
) -> Callable[[Verb], Verb]:
    """Register a function as the verb *name*."""

    def register(function: Verb) -> Verb:
        VERBS[name] = (function, options, told)
        return function

    return register


def row_option(parser: argparse.ArgumentParser) -> None:
    """Take a row, or do without."""
    parser.add_argument("row", nargs="?", help="number of the row, as “cutmemo list” shows it")


def named(run: Run, session: Session) -> str | None:
    """Return the id of the row that was named, if one was."""
    return session.find(run.arguments.row).id if run.arguments.row else None


def row_needed(parser: argparse.ArgumentParser) -> None:
    """Take a row."""
    parser.add_argument("row", help="number of the row, as “cutmemo list” shows it")


def model_option(parser: argparse.ArgumentParser) -> None:
    """Take another model."""
    parser.add_argument("--model", help="another Vosk model folder (also CUTMEMO_MODEL)")


def report(error: CutmemoError, as_json: bool) -> None:
    """Tell what went wrong."""
    if as_json:
        facts: dict[str, Any] = {"error": type(error).__name__, "text": str(error)}
        if isinstance(error, NotACall):
            facts |= {
                "words": list(error.words),
                "at": error.at,
                "expected": sorted(error.expected),
            }
        if isinstance(error, Refused):
            facts |= {"reasons": list(error.reasons)}
        print_json(facts)
    else:
        print(error, file=sys.stderr)

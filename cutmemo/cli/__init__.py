"""The command line: one verb for everything a memo can do, fast, and without a screen or sound
unless it needs them.
"""

from __future__ import annotations

import logging
import os
import platform
import sys
from collections.abc import Sequence
from pathlib import Path

from cutmemo import __version__, log
from cutmemo.cli import (  # noqa: F401 - they register their verbs
    boards,
    calls,
    loads,
    machine,
    memo,
    office,
    office_page,
    office_yard,
    saw,
    shows,
    site,
)
from cutmemo.cli.config import read_config
from cutmemo.cli.output import visible_output
from cutmemo.cli.parser import build_parser, parse
from cutmemo.cli.run import COULD_NOT, DONE, INTERRUPTED, VERBS, Run, VerbOf, print_json, report
from cutmemo.errors import CutmemoError
from cutmemo.wording import verbs as words

__all__ = ["VERBS", "Run", "VerbOf", "build_parser", "main"]

_log = logging.getLogger(__name__)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line; return 0 done, 1 could not or a question is open, 2 misused, 130
    interrupted.
    """
    with visible_output():
        return _main(sys.argv[1:] if argv is None else argv)


def _main(argv: Sequence[str]) -> int:
    """Run one command line, and tell what went wrong."""
    try:
        arguments = parse(argv)
    except SystemExit as end:
        return int(end.code or 0)
    verb = arguments.verb or "screen"
    try:
        run = Run(arguments, None if verb == "config" else read_config())
        run.check_names()
        _start_log(run, argv)
        code = VERBS[verb].function(run)
        sys.stdout.flush()
        return code
    except CutmemoError as error:
        report(error, arguments.json)
        return COULD_NOT
    except KeyboardInterrupt:
        print(words.STOPPED, file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:  # whoever read along has gone; what waits to be written goes nowhere
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as error:  # the program's own fault: nothing may end in a traceback on site
        _log.exception("%s broke", verb)
        _tell_broke(error, arguments.json)
        return COULD_NOT
    finally:
        log.stop()


def _start_log(run: Run, argv: Sequence[str]) -> None:
    """Begin the log, where one is wished for."""
    path = run.default("log")
    if path:
        log.start(Path(path), run.default("log_level") or "debug")
        _log.info(
            "cutmemo %s, Python %s, %s", __version__, platform.python_version(), platform.platform()
        )
        _log.info("arguments: %s", list(argv))


def _tell_broke(error: Exception, as_json: bool) -> None:
    """Tell that the program itself is at fault."""
    file = log.file()
    text = words.broke(error, str(file) if file else None)
    if as_json:
        print_json({"error": type(error).__name__, "code": "internal", "text": text})
    else:
        print(text, file=sys.stderr)

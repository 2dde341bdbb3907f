"""The command line: one verb for everything a memo can do, fast, and without a screen or sound unless it needs them."""

from __future__ import annotations

import argparse
import difflib
import re
import sys
from collections.abc import Sequence
from typing import NoReturn

from cutmemo import __version__
from cutmemo.cli import boards, calls, memo, saw, shows  # noqa: F401 - they register their verbs
from cutmemo.cli.run import COULD_NOT, DONE, INTERRUPTED, MISUSED, VERBS, Run, report
from cutmemo.cli.shows import CAUTIONS
from cutmemo.errors import CutmemoError

EXAMPLES = """\
examples:
  cutmemo                                  open the screen on your memo
  cutmemo say "101-1/2"                    call one length
  cutmemo say "4 @ 14-5/8 2x6 header"      four, with the board and the piece
  cutmemo say "no, make that 15"           correct the last call
  cutmemo hear take1.wav                   hear a recording
  cutmemo list                             what is open and what asks a question
  cutmemo answer 2                         settle the last question with reading 2
  cutmemo clear                            one piece of the first open row is cut
  cutmemo rack add 10 2x4 16'              ten boards at hand
  cutmemo boards                           which board to cut each piece from
  cutmemo yard                             what is short, for tonight's order
  cutmemo undo                             take back the last thing done here
  cutmemo --memo porch.cutmemo list        the same for another memo
  cutmemo demo                             see it work, without touching your memo
"""


class _Parser(argparse.ArgumentParser):
    """Ends with 2 and one sentence on misuse."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and where help is."""
        unknown = re.match(r"argument VERB: invalid choice: (['\"])(.*?)\1 \(", message)
        if unknown is not None:
            close = difflib.get_close_matches(unknown[2], VERBS, 1)
            meant = (
                f"perhaps “{self.prog} {close[0]}”"
                if close
                else f"to call a length, “{self.prog} say …”"
            )
            message = f"“{unknown[2]}” is no verb: {meant}"
        self.exit(MISUSED, f"{self.prog}: {message}. Try “{self.prog} --help”.\n")


def build_parser() -> argparse.ArgumentParser:
    """Return the parser with every verb."""
    parser = _Parser(
        prog="cutmemo",
        description="Carries a list of lengths from the tape to the saw.",
        epilog=EXAMPLES + "\n" + CAUTIONS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"cutmemo {__version__}")
    parser.add_argument("--memo", help="name or file of the memo (also CUTMEMO_MEMO)")
    parser.add_argument("--json", action="store_true", help="results as JSON")
    commands = parser.add_subparsers(
        dest="verb", title="verbs", metavar="VERB", parser_class=_Parser
    )
    for name, (_, options, told) in VERBS.items():
        command = commands.add_parser(name, help=told, description=told.capitalize() + ".")
        command.add_argument(
            "--json", action="store_true", default=argparse.SUPPRESS, help="results as JSON"
        )
        command.add_argument("--memo", default=argparse.SUPPRESS, help="name or file of the memo")
        options(command)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line; return 0 done, 1 could not or a question is open, 2 misused, 130 interrupted."""
    try:
        arguments = build_parser().parse_args(argv)
    except SystemExit as end:
        return int(end.code or 0)
    try:
        return VERBS[arguments.verb or "screen"][0](Run(arguments))
    except CutmemoError as error:
        report(error, arguments.json)
        return COULD_NOT
    except KeyboardInterrupt:
        print("Stopped. All that was accepted is kept.", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        sys.stderr.close()
        return DONE

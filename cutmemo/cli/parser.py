"""The parser of the command line, made from the verbs and their words."""

from __future__ import annotations

import argparse
import difflib
import json
import re
from collections.abc import Sequence
from typing import Any, NoReturn

from cutmemo import __version__
from cutmemo.cli.run import MISUSED, VERBS
from cutmemo.domain.signs import code_point, hidden_sign, visible_json
from cutmemo.wording import verbs as words

_LIST_OF_VERBS = "VERB"
_COMMON: dict[str, Any] = {"json": False, "memo": None, "log": None}
"""What every verb takes, with its default."""

MAX_DIGITS = 300
"""Digits in a row: more is no number that anything measures, and no float holds it."""
_TOO_LONG = re.compile(rf"\d{{{MAX_DIGITS + 1}}}")


class _Parser(argparse.ArgumentParser):
    """Ends with 2 and one sentence on misuse."""

    as_json = False
    """Whether misuse is told as JSON too."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and where help is."""
        unknown = re.match(
            rf"argument {_LIST_OF_VERBS}: invalid choice: (['\"])(.*?)\1 \(", message
        )
        if unknown is not None:
            close = difflib.get_close_matches(unknown[2], VERBS, 1)
            message = words.no_verb(self.prog, unknown[2], close[0] if close else None)
        text = words.misused(self.prog, message)
        if _Parser.as_json:
            told = {"error": "Misused", "code": "misused", "text": text}
            print(visible_json(json.dumps(told, ensure_ascii=False)))
        self.exit(MISUSED, f"{text}\n")


def parse(argv: Sequence[str]) -> argparse.Namespace:
    """Return the arguments in *argv*. Raises :class:`SystemExit` on misuse, and after help or
    version.
    """
    _Parser.as_json = "--json" in argv
    parser = build_parser()
    arguments = parser.parse_args(argv)
    for word in argv:
        sign = hidden_sign(word)
        if sign is not None:
            parser.error(words.hidden_in_argument(word, code_point(sign)))
        if _TOO_LONG.search(word):
            parser.error(words.number_too_long(MAX_DIGITS))
    return arguments


def build_parser(repeat_common: bool = True) -> argparse.ArgumentParser:
    """Return the parser with every verb, in the order of their words.

    What every verb takes is told with each of them, or with *repeat_common* off only once.
    """
    parser = _Parser(
        prog="cutmemo",
        description=words.DESCRIPTION,
        epilog=f"{words.EXAMPLES}\n{words.CAUTIONS}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        add_help=False,
    )
    _add_help(parser)
    parser.add_argument(
        "--version",
        action="version",
        version=f"cutmemo {__version__}",
        help=words.EVERYWHERE["version"],
    )
    _add_common(parser, _COMMON)
    commands = parser.add_subparsers(
        dest="verb", title="verbs", metavar=_LIST_OF_VERBS, parser_class=_Parser
    )
    for name in sorted(VERBS, key=list(words.VERBS).index):
        does = words.does(name)
        command = commands.add_parser(
            name, help=does, description=f"{does[0].upper()}{does[1:]}.", add_help=False
        )
        _add_help(command)
        _add_common(command, dict.fromkeys(_COMMON, argparse.SUPPRESS), told=repeat_common)
        VERBS[name].add_to(command)
    return parser


def _add_help(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("-h", "--help", action="help", help=words.EVERYWHERE["help"])


def _add_common(
    parser: argparse.ArgumentParser, defaults: dict[str, Any], told: bool = True
) -> None:
    """Let *parser* take what every verb takes, and tell it in the help."""
    text = {name: words.EVERYWHERE[name] if told else argparse.SUPPRESS for name in _COMMON}
    parser.add_argument("--json", action="store_true", default=defaults["json"], help=text["json"])
    parser.add_argument("--memo", default=defaults["memo"], help=text["memo"])
    parser.add_argument("--log", metavar="FILE", default=defaults["log"], help=text["log"])

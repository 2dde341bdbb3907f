"""Verbs about the program on this machine: its defaults, its completion for a shell, its manual
page.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from cutmemo import __version__
from cutmemo.cli.config import VARIABLES, config_file, read_config
from cutmemo.cli.parser import build_parser
from cutmemo.cli.run import DONE, Run, argument, print_json, verb
from cutmemo.wording import verbs as words

_SHELLS = ("bash", "zsh", "tcsh")


@verb("config")
def _config(run: Run) -> int:
    path, config = config_file(), read_config()
    holds = {
        name: config.with_source(name, getattr(run.arguments, name, None)) for name in VARIABLES
    }
    if run.arguments.json:
        defaults = {name: {"value": v, "source": source} for name, (v, source) in holds.items()}
        print_json({"file": str(path), "exists": path.exists(), "defaults": defaults})
    else:
        print(words.defaults_file(str(path), path.exists()))
        for name, (value, source) in holds.items():
            print(words.default_line(name, value, source))
    return DONE


@verb("completion", argument("shell", choices=_SHELLS))
def _completion(run: Run) -> int:
    import shtab  # deferred: only this verb needs it

    parser = build_parser()
    for action in _actions(parser):
        if action.metavar == "FILE" or action.dest in ("file", "files"):
            action.complete = shtab.FILE  # type: ignore[attr-defined]  # shtab looks for it
        elif action.metavar == "FOLDER":
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
    print(shtab.complete(parser, run.arguments.shell))
    return DONE


@verb("man")
def _man(_run: Run) -> int:
    from argparse_manpage.manpage import Manpage  # deferred: only this verb needs it

    parser = build_parser(repeat_common=False)
    parser.epilog = None
    page = Manpage(parser)
    page.description, page.source = words.DESCRIPTION, f"cutmemo {__version__}"
    page.manual = words.MANUAL
    page.add_section("examples", ">", _as_it_stands(words.EXAMPLES.partition("\n")[2]))
    page.add_section("cautions", ">", _as_it_stands(words.CAUTIONS))
    print(page)
    return DONE


def _as_it_stands(text: str) -> str:
    """Return *text* for a manual page, its lines kept as they are."""
    return ".nf\n" + text.replace("\\", "\\e").replace("-", "\\-").rstrip("\n") + "\n.fi"


def _actions(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """Yield every argument of *parser* and of its verbs."""
    for action in parser._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for each in action.choices.values():
                yield from _actions(each)

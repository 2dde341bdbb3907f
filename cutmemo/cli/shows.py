"""Verbs that open something to look at: the screen, the browser, the demo, the cautions."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
from pathlib import Path

from cutmemo.cli.calls import recogniser_of
from cutmemo.cli.run import DONE, Run, model_option, no_options, verb
from cutmemo.memo import open_journal
from cutmemo.memo.locations import memo_path
from cutmemo.service import Session

CAUTIONS = """\
Guards work and are never pinned back. Hands stay 6 in. or more from the blade.
A piece too short to hold is clamped, or cut off a longer one. Never cut freehand.
Eyes and ears protected. Do not talk to the memo or look up in the middle of a cut.
Measure twice. This is arithmetic only, not engineering or code approval: plans,
local code, the inspector, a licensed designer and the saw's manual govern."""


def _demo_options(parser: argparse.ArgumentParser) -> None:
    model_option(parser)
    parser.add_argument(
        "--screen", action="store_true", help="open the screen on the demo afterwards"
    )
    parser.add_argument(
        "--keep", type=Path, metavar="FILE", help="keep the demo's memo in this new file"
    )


@verb(
    "demo",
    _demo_options,
    "hear the recordings that came with the program, without touching your memo",
)
def _demo(run: Run) -> int:
    from cutmemo.cli.demo import demo

    recogniser = recogniser_of(run.arguments.model)
    ask = sys.stdin.isatty() and not run.arguments.screen
    return demo(recogniser, ask=ask, screen=run.arguments.screen, keep=run.arguments.keep)


def _screen_options(parser: argparse.ArgumentParser) -> None:
    model_option(parser)
    parser.add_argument("--light", action="store_true", help="dark on light, for the sun")
    parser.add_argument("--station", help="what this screen is called in the memo")
    parser.add_argument("--who", help="who is at it")


@verb("screen", _screen_options, "open the screen (the same as no verb)")
def _screen(run: Run) -> int:
    from cutmemo.tui import run_screen

    chosen = vars(run.arguments)
    with open_journal(memo_path(run.arguments.memo)) as journal:
        session = Session(journal, chosen.get("station"), chosen.get("who"))
        return run_screen(session, model=chosen.get("model"), light=chosen.get("light", False))


def _browser_options(parser: argparse.ArgumentParser) -> None:
    model_option(parser)
    parser.add_argument("--port", type=int, default=8750, help="the port to serve on (8750)")
    parser.add_argument(
        "--site",
        action="store_true",
        help="open it to the site's own network, behind a pass phrase (asked for, or CUTMEMO_PHRASE)",
    )


@verb(
    "browser",
    _browser_options,
    "serve the screen to a browser: on this machine, or on the site's network with --site",
)
def _browser(run: Run) -> int:
    from cutmemo.browser import serve

    phrase = (
        (os.environ.get("CUTMEMO_PHRASE") or getpass.getpass("Pass phrase for the site: "))
        if run.arguments.site
        else None
    )
    memo = memo_path(run.arguments.memo)
    open_journal(memo).close()
    serve(str(memo), run.arguments.port, phrase, run.arguments.model)
    return DONE


@verb("cautions", no_options, "what to mind at the saw")
def _cautions(_run: Run) -> int:
    print(CAUTIONS)
    return DONE

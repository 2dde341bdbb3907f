"""Verbs that open something to look at: the screen, the browser, the demo, the guide, the
cautions.
"""

from __future__ import annotations

import argparse
import shutil
import sys
from pathlib import Path

from cutmemo.cli.calls import recogniser_of
from cutmemo.cli.run import DONE, Run, argument, model_option, print_json, verb
from cutmemo.errors import NoBrowser
from cutmemo.memo import open_store
from cutmemo.present.guide import guide_as_text, guide_page
from cutmemo.wording import guide
from cutmemo.wording import site as site_words
from cutmemo.wording import verbs as words


@verb(
    "demo",
    model_option,
    argument("--screen", action="store_true"),
    argument("--keep", type=Path, metavar="FILE"),
)
def _demo(run: Run) -> int:
    from cutmemo.cli.demo import demo

    recogniser = recogniser_of(run.default("model"))
    ask = sys.stdin.isatty() and not run.arguments.screen
    return demo(recogniser, ask=ask, screen=run.arguments.screen, keep=run.arguments.keep)


@verb(
    "screen",
    model_option,
    argument("--light", action="store_true"),
    argument("--station"),
    argument("--who"),
)
def _screen(run: Run) -> int:
    from cutmemo.tui import run_screen

    light = getattr(run.arguments, "light", False)  # absent where no verb was named
    with run.station() as station:
        return run_screen(station, model=run.default("model"), light=light)


def _port(text: str) -> int:
    """Return a port that can be opened. Raises :class:`argparse.ArgumentTypeError`."""
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 65_535):
        raise argparse.ArgumentTypeError(words.no_port(text))
    return int(text)


@verb(
    "browser",
    model_option,
    argument("--port", type=_port, default=8750),
    argument("--site", action="store_true"),
)
def _browser(run: Run) -> int:
    if run.arguments.site:
        raise NoBrowser(site_words.GO_TO_SITE)
    try:
        from cutmemo.site.run import serve_here  # deferred: only this verb needs a web server
    except ImportError as error:
        raise NoBrowser(site_words.parts_missing(error.name)) from error
    open_store(run.memo).close()
    serve_here(
        run.memo, run.arguments.port, run.default("model"), lambda text: print(text, flush=True)
    )
    return DONE


@verb("help", argument("topic", nargs="?", choices=tuple(guide.TOPICS)))
def _help(run: Run) -> int:
    topic = run.arguments.topic
    if run.arguments.json:
        print_json({"topic": topic, "text": guide_page(topic)} if topic else dict(guide.TOPICS))
    elif topic:
        print(guide_as_text(topic, shutil.get_terminal_size().columns))
    else:
        for name, about in guide.TOPICS.items():
            print(guide.topic_line(name, about))
        print(guide.ITS_VERBS)
    return DONE


@verb("cautions")
def _cautions(_run: Run) -> int:
    print(words.CAUTIONS)
    return DONE

"""Verbs that open something to look at: the screen, the demo, the guide, the cautions."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from cutmemo.cli.calls import recogniser_of
from cutmemo.cli.run import DONE, Run, argument, attention_option, model_option, print_json, verb
from cutmemo.present.guide import guide_as_text, guide_page
from cutmemo.wording import guide
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
    attention_option,
    argument("--light", action="store_true"),
    argument("--station"),
    argument("--who"),
)
def _screen(run: Run) -> int:
    from cutmemo.tui import run_screen

    light = getattr(run.arguments, "light", False)  # absent where no verb was named
    with run.station() as station:
        attention = run.default("attention")
        return run_screen(station, run.default("model"), light, attention)


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

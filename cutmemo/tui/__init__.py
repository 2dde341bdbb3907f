"""Draws the memo, turns keys and voice into station calls, and knows nothing else."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from cutmemo import log
from cutmemo.errors import NoTerminal
from cutmemo.wording import screens as words

if TYPE_CHECKING:
    from cutmemo.service import Station


def run_screen(
    station: Station,
    model: str | None = None,
    light: bool = False,
    attention: str | None = None,
) -> int:
    """Show the screen until the person leaves it; return the exit status. Raises
    :class:`NoTerminal`.
    """
    _refuse_no_terminal()
    from cutmemo.tui.app import MemoApp  # deferred: Textual costs 0.25 s

    app = MemoApp(station, model=model, light=light, attention=attention)
    with log.native_stderr():
        app.run()
    return app.return_code or 0


def _refuse_no_terminal() -> None:
    """Say so where nothing could be shown or typed."""
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise NoTerminal(words.NO_TERMINAL)
    if os.environ.get("TERM") == "dumb":
        raise NoTerminal(words.DUMB_TERMINAL)

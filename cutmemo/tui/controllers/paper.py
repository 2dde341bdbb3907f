"""Pages to print, written beside the memo and shown in a browser where one is at hand."""

from __future__ import annotations

import os
import sys
import webbrowser
from pathlib import Path

from cutmemo.present.page_file import write_page


def written(memo: Path, kind: str, page: str) -> Path:
    """Write *page*, whole or not at all, beside the *memo*, named after both; return where.

    Raises :class:`BadPage`.
    """
    path = memo.with_name(f"{memo.stem}-{kind}.html")
    write_page(path, page)
    return path


def opened(path: Path) -> bool:
    """Open *path* in a browser with a window of its own; return whether there is one.

    A browser in the terminal would take the screen away.
    """
    desktop = sys.platform in ("darwin", "win32") or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY")
    )
    try:
        return desktop and webbrowser.open(path.resolve().as_uri())
    except webbrowser.Error:
        return False

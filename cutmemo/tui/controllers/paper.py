"""Pages to print, written beside the memo and shown in a browser where one is at hand."""

from __future__ import annotations

import itertools
import os
import sys
import webbrowser
from collections.abc import Mapping
from pathlib import Path

from cutmemo.present.page_file import write_page


def written(memo: Path, pages: Mapping[str, str]) -> dict[str, Path]:
    """Write *pages*, by their kind, beside the *memo*; return where.

    They are named after both, and numbered alike where a page was printed before: a crew may be
    working from that one, so that nothing is written over. Each is written whole or not at all.

    Raises :class:`BadPage`.
    """
    for number in itertools.count(1):
        again = f"-{number}" if number > 1 else ""
        paths = {kind: memo.with_name(f"{memo.stem}-{kind}{again}.html") for kind in pages}
        if not any(path.exists() for path in paths.values()):
            break
    for kind, path in paths.items():
        write_page(path, pages[kind])
    return paths


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

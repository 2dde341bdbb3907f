"""Pages to print, written beside the memo and shown in a browser where one is at hand."""

from __future__ import annotations

import contextlib
import itertools
import os
import sys
import webbrowser
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from cutmemo.errors import BadPage
from cutmemo.present.page_file import write_page


def written(memo: Path, pages: Mapping[str, str]) -> dict[str, Path]:
    """Write *pages*, by their kind, beside the *memo*; return where.

    They are named after both, and numbered alike where a page was printed before: a crew may be
    working from that one, so that nothing is written over, not by two screens at once either.
    Either all are written, or none.

    Raises :class:`BadPage`.
    """
    for number in itertools.count(1):
        again = f"-{number}" if number > 1 else ""
        paths = {kind: memo.with_name(f"{memo.stem}-{kind}{again}.html") for kind in pages}
        if _made([*paths.values()]):
            break
    try:
        for kind, path in paths.items():
            write_page(path, pages[kind])
    except BadPage:
        _gone(paths.values())
        raise
    return paths


def _made(paths: Sequence[Path]) -> bool:
    """Make empty files at *paths*, or none where one is there; return whether they were made."""
    for made, path in enumerate(paths):
        try:
            path.open("x").close()
        except OSError as error:
            _gone(paths[:made])
            if isinstance(error, FileExistsError):
                return False
            raise BadPage(path, error.strerror or str(error)) from error
    return True


def _gone(paths: Iterable[Path]) -> None:
    for path in paths:
        with contextlib.suppress(OSError):
            path.unlink()


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

"""The program's log: off until a file is named, then all that is needed to report a fault on
site.
"""

from __future__ import annotations

import contextlib
import logging
import os
import sys
from collections.abc import Iterator
from pathlib import Path

from cutmemo.errors import BadLog

LEVELS = ("debug", "info", "warning", "error")
"""From all that happens to faults alone."""
_FORMAT = "%(asctime)s %(process)d %(levelname)s %(name)s: %(message)s"
_ROOT = logging.getLogger("cutmemo")
_ROOT.addHandler(logging.NullHandler())  # off: nothing is written to the terminal either


def start(path: Path, level: str = "debug") -> None:
    """Add everything from *level* on to the end of *path*, until :func:`stop`. Raises
    :class:`BadLog`.
    """
    stop()
    if level not in LEVELS:
        raise BadLog(path, f"there is no level “{level}”; there are {', '.join(LEVELS)}")
    try:
        handler = logging.FileHandler(path, encoding="utf-8", errors="backslashreplace")
    except OSError as error:
        raise BadLog(path, error.strerror or str(error)) from error
    handler.setFormatter(logging.Formatter(_FORMAT))
    _ROOT.addHandler(handler)
    _ROOT.setLevel(level.upper())


def stop() -> None:
    """Close the log."""
    for handler in [*_ROOT.handlers]:
        if isinstance(handler, logging.FileHandler):
            _ROOT.removeHandler(handler)
            handler.close()
    _ROOT.setLevel(logging.CRITICAL)


def file() -> Path | None:
    """Return the file that is written to, where the log is on."""
    for handler in _ROOT.handlers:
        if isinstance(handler, logging.FileHandler):
            return Path(handler.baseFilename)
    return None


@contextlib.contextmanager
def native_stderr() -> Iterator[None]:
    """Send what native libraries write on standard error to the log, or nowhere where it is off.

    For as long as a screen is up: they would write across it.
    ``sys.__stderr__`` still reaches the terminal, for whatever draws the screen.
    """
    target = os.open(file() or os.devnull, os.O_WRONLY | os.O_APPEND)
    kept, before = os.dup(2), sys.__stderr__
    os.dup2(target, 2)
    os.close(target)
    sys.__stderr__ = os.fdopen(kept, "w", closefd=False)  # type: ignore[misc]  # a screen draws on it
    try:
        yield
    finally:
        sys.__stderr__ = before  # type: ignore[misc]
        os.dup2(kept, 2)
        os.close(kept)

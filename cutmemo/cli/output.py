"""What the command line prints: nothing in it steers a terminal or hides what it says."""

from __future__ import annotations

import contextlib
import io
import sys
from collections.abc import Iterator
from typing import TextIO

from cutmemo.domain.signs import visible


class VisibleText(io.TextIOBase):
    """A stream of text on which every sign that cannot be seen is written out."""

    def __init__(self, stream: TextIO) -> None:
        """Write on *stream*."""
        self.stream = stream

    def write(self, text: str) -> int:
        """Write *text*."""
        self.stream.write(visible(text))
        return len(text)

    def flush(self) -> None:
        """Write what is waiting."""
        self.stream.flush()

    def isatty(self) -> bool:
        """Return whether somebody reads along."""
        return self.stream.isatty()

    def fileno(self) -> int:
        """Return the file that is written on."""
        return self.stream.fileno()

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """Return how signs are written."""
        return self.stream.encoding


@contextlib.contextmanager
def visible_output() -> Iterator[None]:
    """Write out every sign that cannot be seen, on both streams, for as long as a verb runs."""
    out, err = sys.stdout, sys.stderr
    with (
        contextlib.redirect_stdout(VisibleText(out)),
        contextlib.redirect_stderr(VisibleText(err)),
    ):
        yield


@contextlib.contextmanager
def as_it_is() -> Iterator[None]:
    """Leave what is written to a file or a pipe as it is: it is read by a program, and may be
    signed.
    """
    out = sys.stdout
    if isinstance(out, VisibleText) and not out.isatty():
        with contextlib.redirect_stdout(out.stream):
            yield
    else:
        yield

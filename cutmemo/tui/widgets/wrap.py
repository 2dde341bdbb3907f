"""Text wrapped to a width; a word too long for a line goes on in the next one, and nothing is
cut.
"""

from __future__ import annotations

from collections.abc import Iterator


def wrapped(text: str, width: int) -> Iterator[str]:
    """Yield *text* in lines of at most *width* cells; runs of blanks become one."""
    width = max(width, 1)
    line = ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > width:
            yield line
            line = word
        else:
            line = f"{line} {word}" if line else word
        while len(line) > width:
            yield line[:width]
            line = line[width:]
    if line:
        yield line

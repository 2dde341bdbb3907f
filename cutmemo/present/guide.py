"""The pages of the guide as plain text of any width: pictures are left out, tables are drawn with
lines.
"""

from __future__ import annotations

import io

from cutmemo.bundle import bundled

MAX_WIDTH = 100
"""Cells; wider lines are hard to follow."""


def guide_page(topic: str) -> str:
    """Return the page of a topic of :data:`cutmemo.wording.guide.TOPICS` as it is written, in
    Markdown.
    """
    return (bundled("guide") / f"{topic}.md").read_text("utf-8")


def guide_as_text(topic: str, width: int) -> str:
    """Return the page of a topic, laid out for *width* cells, at most :data:`MAX_WIDTH`."""
    from rich.console import Console  # deferred: not for verbs that show no page
    from rich.markdown import Markdown

    shown = "\n".join(
        line for line in guide_page(topic).splitlines() if not line.startswith(("![", "<!--"))
    )
    out = io.StringIO()
    Console(file=out, width=min(width, MAX_WIDTH), color_system=None, legacy_windows=False).print(
        Markdown(shown, hyperlinks=False)
    )
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines())

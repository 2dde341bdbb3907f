"""Writes a set of cuts with its picture, its facts and its cautions."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from cutmemo.domain.cut import Cut
from cutmemo.framing import Assembly


def assembly_as_text(
    frame: Assembly, shown: Callable[[Cut], str], cautions: Iterable[str] = ()
) -> str:
    """Return *frame* as lines of text; *shown* writes a cut in the crew's figures.

    *cautions* are what to mind about its cuts.
    """
    cuts = [f"  {shown(cut)}" for cut in frame.cuts]
    warnings = [f"! {warning}" for warning in (*cautions, *frame.warnings)]
    return "\n".join([frame.picture, "", *cuts, "", *frame.facts, "", *warnings])

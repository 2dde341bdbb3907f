"""Writes a set of cuts with its picture, its facts and its cautions."""

from __future__ import annotations

from collections.abc import Callable

from cutmemo.domain.cut import Cut
from cutmemo.framing import Assembly


def assembly_as_text(frame: Assembly, shown: Callable[[Cut], str]) -> str:
    """Return *frame* as lines of text; *shown* writes a cut in the crew's figures."""
    cuts = [f"  {shown(cut)}" for cut in frame.cuts]
    warnings = [f"! {warning}" for warning in frame.warnings]
    return "\n".join([frame.picture, "", *cuts, "", *frame.facts, "", *warnings])

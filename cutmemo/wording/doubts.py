"""Doubts, cautions and refusals in words."""

from __future__ import annotations

from collections.abc import Callable

from cutmemo.domain.doubts import Doubt, DoubtKind
from cutmemo.domain.settings import Settings

Sentence = Callable[[Doubt, Settings], str]


def _as_written(doubt: Doubt, settings: Settings) -> str:
    """Return the sentence that a memo of the first format kept."""
    return str(doubt.fact("text"))


_SENTENCES: dict[DoubtKind, Sentence] = {DoubtKind.AS_WRITTEN: _as_written}


def explain(doubt: Doubt, settings: Settings | None = None) -> str:
    """Return the sentence that says *doubt*, with lengths as *settings* show them."""
    return _SENTENCES[doubt.kind](doubt, settings or Settings())

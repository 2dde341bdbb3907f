"""Doubts, cautions and refusals in words."""

from __future__ import annotations

from typing import Final

from cutmemo.domain.doubts import Doubt, DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.framing.remarks import from_doubt
from cutmemo.wording import calls, checks
from cutmemo.wording.framing import remark_in_words
from cutmemo.wording.sentence import Sentence, template

SENTENCES: Final[dict[DoubtKind, Sentence]] = {
    DoubtKind.AS_WRITTEN: template("{text}"),
    DoubtKind.SET: lambda kept, settings: remark_in_words(from_doubt(kept), settings),
    **calls.SENTENCES,
    **checks.SENTENCES,
}


def explain(doubt: Doubt, settings: Settings | None = None) -> str:
    """Return the sentence that says *doubt*, with lengths as *settings* show them."""
    return SENTENCES[doubt.kind](doubt, settings or Settings())

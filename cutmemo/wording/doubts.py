"""Doubts, cautions and refusals in words."""

from __future__ import annotations

from typing import Final

from cutmemo.domain.doubts import Doubt, DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.framing.remarks import from_doubt
from cutmemo.wording import calls, checks, memo
from cutmemo.wording.framing import remark_in_words
from cutmemo.wording.sentence import Sentence, length_of, number_of, template

SENTENCES: Final[dict[DoubtKind, Sentence]] = {
    DoubtKind.AS_WRITTEN: template("{text}"),
    DoubtKind.SET: lambda kept, settings: remark_in_words(from_doubt(kept), settings),
    **calls.SENTENCES,
    **checks.SENTENCES,
    **memo.SENTENCES,
}


def explain(doubt: Doubt, settings: Settings | None = None) -> str:
    """Return the sentence that says *doubt*, with lengths as *settings* show them.

    What is doubtful about one of several readings names it.
    """
    settings = settings or Settings()
    sentence = SENTENCES[doubt.kind](doubt, settings)
    if "of" not in dict(doubt.lengths):
        return sentence
    count = number_of(doubt, "of_count")
    many = f"{count} × " if count != 1 else ""
    return f"{many}{length_of(doubt, 'of', settings)}: {sentence}"

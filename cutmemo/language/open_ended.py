"""Whether a call, as its words stand, may go on behind a pause."""

from __future__ import annotations

from cutmemo.language.lexicon.en import (
    ALLOWANCES,
    DEGREES,
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    EXACT,
    PIECES,
    PLURAL_PIECES,
    PLUS_MINUS,
)

_LAST = (ALLOWANCES, DEGREES, DENOMINATOR_PLURALS, DENOMINATORS, EXACT, PIECES)
_ENDS = frozenset(words[-1] for table in _LAST for words in table) | {"point", "ends", "end"}
_NO_ENDS = frozenset(words[-1] for words in PLUS_MINUS) | PLURAL_PIECES


def may_go_on(said: str) -> bool:
    """Return whether more may belong to *said*: it does not end in a fraction, an allowance, a
    piece or an end.

    "One hundred" may go on ("eight and a half"), and so may "sixteen blocks" ("at sixty two"),
    "twelve foot", "four at" and "two by six"; "ninety two and five eighths" may not.
    """
    words = said.split()
    return bool(words) and (words[-1] in _NO_ENDS or words[-1] not in _ENDS)

"""The number of a flat in a typed line is no length of it: unit 101, party wall 101/102."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutmemo.language.grammar.partial import MANY_PIECES
from cutmemo.language.grammar.tokens import HYPHEN, PLUS, Token
from cutmemo.language.lexicon.en import ROOMS, UNITS

NUMBERED_BY_THE_HUNDRED = frozenset("unit units suite apartment apt bldg building room".split())
"""What a house has floors of, and numbers by their hundreds (common practice)."""
LEAST, MOST = 100, 999


def with_numbers_of_units(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return *tokens* with the number of a unit as a mark of it, where another figure of the line
    is its length.
    """
    kept = list(tokens)
    for at in range(1, len(tokens)):
        if _may_be_one(tokens, at) and _measures([*tokens[:at], *tokens[at + 1 :]]):
            token = tokens[at]
            number = token.over if token.kind == "fraction" else int(token.value)
            kept[at] = replace(token, kind="word", word=f"u{number}")
    return tuple(kept)


def _may_be_one(tokens: Sequence[Token], at: int) -> bool:
    """Return whether a whole number of hundreds stands right behind a unit, or two with a slash
    behind a room, and nothing goes on.
    """
    token, before = tokens[at], tokens[at - 1].word
    if token.kind == "fraction":
        return before in ROOMS and min(token.over, token.under) >= LEAST and token.over <= MOST
    behind = tokens[at + 1] if at + 1 < len(tokens) else None
    goes_on = behind is not None and (
        behind.kind in ("fraction", "decimal")
        or behind.word in UNITS
        or behind.word in (HYPHEN, PLUS, "times")
    )
    whole = token.kind == "number" and LEAST <= token.value <= MOST
    return whole and before in NUMBERED_BY_THE_HUNDRED and not goes_on


def _measures(tokens: Sequence[Token]) -> bool:
    """Return whether a figure stands in *tokens* that is a length: with a part of an inch, a unit,
    or of more inches than pieces are called.
    """
    for at, token in enumerate(tokens):
        behind = tokens[at + 1].word if at + 1 < len(tokens) else ""
        part = token.kind in ("fraction", "decimal") and token.under != 12
        whole = token.kind == "number" and (token.value > MANY_PIECES or behind in UNITS)
        flat = at > 0 and tokens[at - 1].word in NUMBERED_BY_THE_HUNDRED
        if (part or whole) and not flat and token.over < LEAST:
            return True
    return False

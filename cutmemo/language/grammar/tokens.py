"""Spoken words and typed signs, brought to one kind of token."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

Kind = Literal["word", "number", "decimal", "fraction", "section", "mark"]


@dataclass(frozen=True, slots=True)
class Token:
    """One word or sign of a call."""

    text: str
    """As it was said, or as it was typed."""
    kind: Kind
    word: str = ""
    """The word in small letters; signs stand for words, so ``@`` is ``at``."""
    value: Fraction = Fraction(0)
    over: int = 0
    under: int = 0
    """Both parts of a typed fraction, as they were typed; of a section, thickness over 4 ths kept in ``value``."""
    span: tuple[int, int] = field(default=(0, 0), compare=False)
    """Where it stands in a typed line."""


_VULGAR = {
    "½": (1, 2),
    "¼": (1, 4),
    "¾": (3, 4),
    "⅛": (1, 8),
    "⅜": (3, 8),
    "⅝": (5, 8),
    "⅞": (7, 8),
    "⅓": (1, 3),
    "⅔": (2, 3),
    "⅕": (1, 5),
    "⅙": (1, 6),
}
_SIGNS = {
    "'": "foot",
    "′": "foot",
    "’": "foot",
    '"': "inch",
    "″": "inch",
    "”": "inch",
    "''": "inch",
    "@": "at",
    "°": "degrees",
    "&": "and",
    "+": "plus",
    "-": "minus",
    "−": "minus",
    "×": "times",
    "*": "times",
    ",": ",",
    ";": ",",
    "–": "minus",
}
_SHORT = {
    "ft": "foot",
    "in": "inch",
    "mm": "millimetres",
    "cm": "centimetres",
    "m": "metres",
    "deg": "degrees",
    "ea": "each",
    "pcs": "pieces",
    "pc": "pieces",
    "x": "times",
    "lp": "long_point",
    "sp": "short_point",
}
_TYPED = re.compile(
    r"""
    (?P<section>(?:[56]/4|(?<![/\d])(?:[1-6]|8|10|12))[x×](?:[1-6]|8|10|12|14)(?![\d/.]|-\d))
    |(?P<times>[x×*]\s?(?=\d))
    |(?P<hung>(?<=\d)-(?=\d+/\d))
    |(?P<fraction>\d+\s?/\s?\d+)
    |(?P<decimal>\d*\.\d+)
    |(?P<number>\d+(?=[x×]\d)|\d+(?![^\W\d_]*\d))
    |(?P<vulgar>[½¼¾⅛⅜⅝⅞⅓⅔⅕⅙])
    |(?P<word>[^\W\d_](?:[\w]|['’](?=\w))*|\d+[^\W\d_]\w*)
    |(?P<sign>''|\S)
    """,
    re.VERBOSE,
)
_SECTION = re.compile(r"((?:\d+/)?\d+)[x×](\d+)")


def spoken(said: str) -> tuple[Token, ...]:
    """Return the tokens of recognised words."""
    return tuple(Token(word, "word", word) for word in said.lower().replace("-", " ").split())


def typed(said: str) -> tuple[Token, ...]:
    """Return the tokens of a typed line; every character that is not white space is in one of them."""
    found: list[Token] = []
    for match in _TYPED.finditer(said):
        text, lower, before = match[0], match[0].lower(), len(found)
        match match.lastgroup:
            case "section":
                found.append(_section(lower, text))
            case "times":
                found.append(Token(text, "word", "times"))
            case "hung":
                pass  # the hyphen of 101-1/2 joins, it does not take away
            case "fraction":
                over, under = (int(part) for part in lower.split("/"))
                found.append(Token(text, "fraction", over=over, under=under))
            case "vulgar":
                over, under = _VULGAR[text]
                found.append(Token(text, "fraction", over=over, under=under))
            case "decimal":
                found.append(
                    Token(
                        text, "decimal", value=Fraction(lower if lower[0] != "." else f"0{lower}")
                    )
                )
            case "number":
                found.append(Token(text, "number", value=Fraction(lower)))
            case "sign":
                found.append(
                    Token(text, "mark" if text in ",;" else "word", _SIGNS.get(text, text))
                )
            case _:
                found += _word(lower, text)
        found[before:] = [replace(token, span=match.span()) for token in found[before:]]
    return tuple(found)


def _word(lower: str, text: str) -> list[Token]:
    """Return the tokens of a typed word: short forms are spelt out, 8ft comes apart, W3 stays whole."""
    glued = re.fullmatch(r"(\d+)(ft|in|mm|cm|m|deg|x)", lower)
    if glued:
        number = Token(glued[1], "number", value=Fraction(glued[1]))
        return [number, *_word(glued[2], glued[2])]
    lower = lower.replace("’", "'")
    return [Token(text, "word", part) for part in _SHORT.get(lower, lower).split("_")]


def _section(lower: str, text: str) -> Token:
    """Return a typed board size as one token: ``value`` is the thickness, ``over`` the width."""
    found = _SECTION.fullmatch(lower)
    if found is None or found[1].endswith("/0"):
        return Token(text, "word", lower)
    return Token(text, "section", value=Fraction(found[1]), over=int(found[2]))

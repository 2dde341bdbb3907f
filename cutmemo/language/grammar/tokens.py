"""Spoken words and typed signs, brought to one kind of token."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from typing import Literal

Kind = Literal["word", "number", "decimal", "fraction", "section", "mark"]

MINUS, PLUS, HYPHEN = "minus sign", "plus sign", "hyphen sign"
"""The words of signs that are no words: a dash between two spaces, a plus, and any other dash that
joins nothing.
"""
SIGNS: tuple[tuple[Literal[1, -1], str], ...] = ((1, PLUS), (-1, MINUS))
"""The signs that add and take off."""
MAX_FIGURES = 9
"""A number with more figures is no measure."""


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
    """Both parts of a typed fraction, as they were typed; of a section, thickness over 4 ths kept
    in ``value``.
    """
    span: tuple[int, int] = field(default=(0, 0), compare=False)
    """Where it stands in a typed line."""


THIN = "\u2009"
"""Any space that holds a number together: 2 440 mm."""
_SAME_SIGN = {
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d", "-"),
    **dict.fromkeys("\u2044\u2215\uff0f", "/"),
    **dict.fromkeys("\u2018\u2019\u201b\u2032\u02b9\uff07`´", "'"),
    **dict.fromkeys("\u201c\u201d\u201f\u2033\u02ba\uff02", '"'),
    **dict.fromkeys("\u00d7\u2715\u2a2f*", "x"),
    "\n": ";",
    **dict.fromkeys("\u00a0\u2007\u2008\u2009\u200a\u202f", THIN),
    "[": "(",
    "]": ")",
}
"""Signs that phones, office programs and copies of a plan put in the place of those on a
keyboard.
"""
_PLAIN = str.maketrans(_SAME_SIGN)
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
    '"': "inch",
    "''": "inch",
    "@": "at",
    "°": "degrees",
    "º": "degrees",
    "&": "and",
    "+": PLUS,
    "-": HYPHEN,
    ",": ",",
    ";": ",",
}
_FOOT_OR_INCH = frozenset({"foot", "feet", "ft", "inch", "inches", "in"})
_TYPED = re.compile(
    r"""
    (?P<pieces>(?<![\d/.-])(?:[2-9]|1\d)\s?/\s?(?=2x(?:[3468]|10|12)\b))
    |(?P<torn>(?<=')(?:[1-6]|8|10|12)x(?:[1-6]|8|10|12|14)(?![\d/]|\.\d|-\d))
    |(?P<section>(?:[56]/4|(?<![/\d'])(?:[1-6]|8|10|12)(?!"x)|(?<![/\d'])(?<!'\s)(?:[1-6]|8|10|12)")x(?:[1-6]|8|10|12|14)(?![\d/]|\.\d|-\d|\s\d+/\d+(?!\d|\s?(?:ply|osb|mdf))|\s?[½¼¾⅛⅜⅝⅞])"?(?:'s\b)?)
    |(?P<times>x\s?(?=\d))
    |(?P<plural>\d{1,3}'?s\b)
    |(?P<fraction>\d+\s?/\s?\d+)
    |(?P<decimal>\d*\.\d+)
    |(?P<apostrophe>(?<=\s)'n'?(?=\s))
    |(?P<thousands>\d{1,3}(?:\u2009\d{3})+(?=\s?mm\b))
    |(?P<ordinal>\d(?:st|nd|rd|th|fl)\b)
    |(?P<number>\d+(?=x\d)|\d+(?=(?:ft|in)\d)|\d+(?![^\W\d_]*\d))
    |(?P<vulgar>[½¼¾⅛⅜⅝⅞⅓⅔⅕⅙])
    |(?P<unit>(?<=\d)(?:ft|in)(?=\d))
    |(?P<grade>\#\d{1,3}(?!\d)|no\.\s?[12](?![\d/]|\s?['"-])|(?<=[^\s,;]\s)no\s[12](?=\s*(?:$|[,;\n])))
    |(?P<colon>:(?=\s)|(?<=[\w"'])\.(?=\s*$))
    |(?P<centers>o\.?\s?[./]?\s?c\b\.?)
    |(?P<dotted>(?:in|ft|mm|cm|ea|pcs?|deg)\.(?!\w)|(?<=\d)(?:ft|in)\.(?=\d))
    |(?P<word>[^\W\d_](?:[\w]|'(?=\w))*|\d+[^\W\d_]\w*)
    |(?P<sign>''|\S)
    """,
    re.VERBOSE | re.IGNORECASE,
)
_SECTION = re.compile(r"((?:\d+/)?\d+)x(\d+)")
_GLUED = re.compile(r"(\d+)(ft|in|mm|cm|m|deg|x|ea|pcs|pc|ply)")


def spoken(said: str) -> tuple[Token, ...]:
    """Return the tokens of recognised words."""
    return tuple(Token(word, "word", word) for word in said.lower().replace("-", " ").split())


def typed(said: str) -> tuple[Token, ...]:
    """Return the tokens of a typed line; every sign that is not white space counts.

    A dash joins what plans join by one (``8'-1/2"``, ``92–5/8``, ``forty-two``) and is then no
    token.
    """
    plain = _with_commas(_without_numbering(said).translate(_PLAIN))
    found: list[Token] = []
    for match in _TYPED.finditer(plain):
        begin, end = match.start(), match.start() + len(match[0].rstrip())
        found += [
            replace(token, span=(begin, end))
            for token in _tokens(match.lastgroup or "", match[0].lower(), said[begin:end])
        ]
    meant = _without_brackets(_without_joints(_without_equals(found)))
    return tuple(_with_points(_with_and(meant)))


def _without_equals(tokens: list[Token]) -> list[Token]:
    """Return *tokens* with "at" for the equals sign before a length, and a comma for that before
    how many: sill = 36, joists = 7 @ 144.
    """
    kept = list(tokens)
    several = sum(token.word == "=" for token in tokens) > 1
    begin = 2 if tokens and tokens[0].kind in ("number", "decimal") else 1
    for at in range(begin, len(tokens) - 1) if not several else ():
        if tokens[at].word != "=":
            continue
        number, behind = tokens[at + 1], tokens[at + 2] if at + 2 < len(tokens) else None
        counts = number.kind == "number" and behind is not None and behind.word in _COUNTING
        kept[at] = replace(tokens[at], word="," if counts else "at")
    return kept


_COUNTING = ("at", "of", "times", "pcs", "pc", "pieces", "ea", "each")
"""Behind these a number before them is how many."""


def _with_commas(plain: str) -> str:
    """Return *plain* with a comma for each bar, for each run of tabs of a line that has several, as
    tables have them, and for each slash between two spaces of a line that has several. Where a
    length goes on in the next cell, and elsewhere, they are spaces.
    """
    return ";".join(map(_line_with_commas, plain.split(";"))).replace("\t", " ")


def _line_with_commas(line: str) -> str:
    line = line.rstrip() + " " * (len(line) - len(line.rstrip()))
    for sign, least in (("|", 1), ("\t", 2), (" / ", 2)):
        if line.strip().count(sign) >= least:
            cells = line.split(sign)
            joined = [cells[0]]
            for cell in cells[1:]:
                blank = not joined[-1].strip() or not cell.strip()
                goes_on = blank or _goes_on(joined[-1], cell)
                joined.append(cell)
                joined[-2] += " " * len(sign) if goes_on else ",".center(len(sign))
            line = "".join(joined)
    return line


def _goes_on(cell: str, behind: str) -> bool:
    """Return whether a length at the end of *cell* goes on *behind*: 92 | 5/8, 8' | 2-1/2."""
    part = re.search(r"(?<![\d/.])\d+\s*$", cell) and re.match(r"\s*\d+/\d+(?!\S*x)", behind)
    feet = re.search(r"(?:'|ft\.?|feet|foot)\s*$", cell) and re.match(
        r"\s*\d+(?:[ -]\d+/\d+|/\d+|\s?(?:\"|in\b))", behind
    )
    return bool(part or feet)


_NUMBERING = re.compile(r"[ \t]*(?:(\d{1,3})[.)]|([a-z])\)|[-*•‣▪·])(?=\s+\S)", re.IGNORECASE)
"""What a line of a list may begin with: 1. 2) a) - • and an asterisk."""


def without_numbering(said: str) -> str:
    """Return a typed line with spaces for the number or the sign that a line of a list begins
    with.
    """
    found = _NUMBERING.match(said)
    return said if found is None else " " * found.end() + said[found.end() :]


def _without_numbering(said: str) -> str:
    """Return *said* without numbers and signs of a list at the head of its lines, where all of
    several begin with one, and the numbers or letters go up by one.
    """
    lines = re.split(r"([\n;])", said)
    meant = [line for line in lines[::2] if line.strip()]
    marks = [_NUMBERING.match(line) for line in meant]
    if len(meant) < 2 or not all(marks):
        return said
    ranks = [_rank(mark) for mark in marks if mark is not None]
    if any(behind - before != 1 for before, behind in pairwise(ranks)) and any(ranks):
        return said
    return "".join(without_numbering(line) if k % 2 == 0 else line for k, line in enumerate(lines))


def _rank(mark: re.Match[str]) -> int:
    """Return the number of a line of a list, or that of its letter; 0 of a sign."""
    number, letter = mark.groups()
    return int(number) if number else ord(letter.lower()) if letter else 0


def _tokens(kind: str, lower: str, text: str) -> list[Token]:  # noqa: PLR0911 - one for each kind
    """Return the tokens of one match of the pattern."""
    match kind:
        case "section":
            return [_section(lower, text)]
        case "times":
            return [Token(text, "word", "times")]
        case "fraction" | "decimal" | "thousands" | "number" | "vulgar":
            return [_figures(kind, lower, text)]
        case "pieces":  # 3/2x6
            figures = lower.rstrip("/ ")
            return [Token(figures, "number", value=Fraction(figures)), Token("/", "word", "at")]
        case "plural" | "colon" | "dotted" | "grade" | "centers" | "apostrophe":
            plain = {
                "plural": lower.replace("'", ""),
                "colon": ",",
                "dotted": lower.rstrip("."),
                "grade": "#" + lower.lstrip("#no. "),
                "centers": "oc",
                "apostrophe": "n",
            }
            return [Token(text, "word", plain[kind])]
        case "sign":
            word = _SIGNS.get(lower, lower)
            return [Token(text, "mark" if word == "," else "word", word)]
    return _word(lower, text)


def _figures(kind: str, lower: str, text: str) -> Token:
    """Return the token of a number or a fraction; of one with too many figures, a word that nothing
    takes.
    """
    figures = lower.replace(THIN, "")
    if any(len(part) > MAX_FIGURES for part in re.split(r"[./]", figures)):
        return Token(text, "word", lower)
    if kind == "thousands":
        return Token(text, "number", value=Fraction(figures))
    if kind == "number":
        return Token(text, "number", value=Fraction(lower))
    if kind == "decimal":
        return Token(text, "decimal", value=Fraction(f"0{lower}"))
    over, under = _VULGAR.get(lower) or (int(part) for part in lower.split("/"))
    return Token(text, "fraction", over=over, under=under)


def _without_joints(tokens: list[Token]) -> list[Token]:
    """Return *tokens* without the dashes that join; of the others, one between two spaces is a
    minus.
    """
    kept: list[Token] = []
    for at, token in enumerate(tokens):
        if token.word != HYPHEN:
            kept.append(token)
            continue
        before = tokens[at - 1] if at else None
        after = tokens[at + 1] if at + 1 < len(tokens) else None
        if before is None or after is None:
            kept.append(token)
        elif before.span[1] < token.span[0] and token.span[1] < after.span[0]:
            kept.append(replace(token, word=MINUS))
        elif not _joins(before, after):
            kept.append(token)
    return kept


def _with_and(tokens: list[Token]) -> list[Token]:
    """Return *tokens* with "and" for the n between a number and a fraction: 58 n a half."""
    kept = list(tokens)
    for at in range(1, len(tokens) - 1):
        before, behind = tokens[at - 1], tokens[at + 1]
        is_number = before.kind == "number" or (before.kind == "word" and before.text.isalpha())
        part = behind.kind == "fraction" or behind.word in ("a", "an", "half", "one", "three")
        if tokens[at].word == "n" and is_number and part:
            kept[at] = replace(tokens[at], word="and")
    return kept


def _with_points(tokens: list[Token]) -> list[Token]:
    """Return *tokens* with "point" for the pt behind "long" or "short", unless a size follows that
    it says to be treated.
    """
    kept = list(tokens)
    for at in range(1, len(tokens)):
        sized = at + 1 < len(tokens) and tokens[at + 1].kind == "section"
        word = {"pt": "point", "pts": "points"}.get(tokens[at].word)
        if word and not sized and tokens[at - 1].word in ("long", "short"):
            kept[at] = replace(tokens[at], word=word)
    return kept


def _without_brackets(tokens: list[Token]) -> list[Token]:
    """Return *tokens* without the brackets around words; around a number they count."""
    dropped: set[int] = set()
    opened: int | None = None
    for at, token in enumerate(tokens):
        if token.word == "(":
            opened = at
        elif token.word == ")" and opened is not None:
            if not (at == opened + 2 and tokens[opened + 1].kind == "number"):
                dropped |= {opened, at}
            opened = None
    return [token for at, token in enumerate(tokens) if at not in dropped]


def _joins(before: Token, after: Token) -> bool:
    """Return whether a dash between these two only holds them together."""
    if after.kind == "fraction":
        return before.kind == "number" or before.word in _FOOT_OR_INCH
    if before.word in ("foot", "feet", "ft"):
        return after.kind in ("number", "decimal")
    if _is_lettered(after):
        return _is_lettered(before) or before.kind in ("number", "fraction")
    return after.kind == "number" and _is_lettered(before) and len(before.word) < 3


def _is_lettered(token: Token) -> bool:
    """Return whether *token* is a word that was written with letters."""
    return token.kind == "word" and token.text[:1].isalnum()


def _word(lower: str, text: str) -> list[Token]:
    """Return the tokens of a typed word: 8ft comes apart, W3 stays whole."""
    glued = _GLUED.fullmatch(lower)
    if glued and len(glued[1]) <= MAX_FIGURES:
        number = Token(glued[1], "number", value=Fraction(glued[1]))
        return [number, *_word(glued[2], glued[2])]
    return [Token(text, "word", _IN_SHORT.get(lower, lower))]


_IN_SHORT = {"x": "times", "sq": "square"}
"""What is typed for a word."""


def _section(lower: str, text: str) -> Token:
    """Return a typed board size as one token: ``value`` is the thickness, ``over`` the width."""
    found = _SECTION.fullmatch(lower.replace('"', "").removesuffix("'s"))
    if found is None or found[1].endswith("/0"):
        return Token(text, "word", lower)
    return Token(text, "section", value=Fraction(found[1]), over=int(found[2]))

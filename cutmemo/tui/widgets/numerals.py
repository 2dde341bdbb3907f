"""Numerals drawn large in half blocks, with the fraction stacked, so that they are read from across
the saw.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, partial

from cutmemo.domain.length import FormattedLength
from cutmemo.tui.widgets import signs
from cutmemo.tui.widgets.signs import Dots

# Five by seven dots each, top row first. The nought has no stroke: at this size it would pass for
# an eight.
_DOTS = {
    "0": "01110 10001 10001 10001 10001 10001 01110",
    "1": "00100 01100 00100 00100 00100 00100 01110",
    "2": "01110 10001 00001 00110 01000 10000 11111",
    "3": "11111 00010 00100 00010 00001 10001 01110",
    "4": "00010 00110 01010 10010 11111 00010 00010",
    "5": "11111 10000 11110 00001 00001 10001 01110",
    "6": "00110 01000 10000 11110 10001 10001 01110",
    "7": "11111 00001 00010 00100 01000 01000 01000",
    "8": "01110 10001 10001 01110 10001 10001 01110",
    "9": "01110 10001 10001 01111 00001 00010 01100",
    "'": "11 11 01 10 00 00 00",
    '"': "11011 11011 01001 10010 00000 00000 00000",
    "m": "00000 00000 11010 10101 10101 10101 10101",
    "≈": "00000 01001 10110 00000 01001 10110 00000",
    " ": "00 00 00 00 00 00 00",
    "-": "0000 0000 0000 1111 0000 0000 0000",
    "/": "0001 0001 0010 0010 0100 0100 1000",
    "×": "00000 10001 01010 00100 01010 10001 00000",
    "?": "01110 10001 00001 00110 00100 00000 00100",
}

MAX_SCALE = 12
MAX_INLINE_SCALE = 2
"""Up to this scale a length is drawn with its fraction on one line too, where there is no height to
stack it.
"""
_ROWS = 7


def dots(text: str, scale: int) -> Dots:
    """Return *text* as rows of dots, each dot *scale* by *scale*; one dot of space between
    characters.
    """
    rows: Dots = [[] for _ in range(_ROWS * scale)]
    for sign in text:
        for number, line in enumerate(_DOTS[sign].split()):
            wide = [dot == "1" for dot in line for _ in range(scale)] + [False] * scale
            for k in range(scale):
                rows[number * scale + k] += wide
    return rows


def _beside(left: Dots, right: Dots) -> Dots:
    """Return two drawings side by side, each centred in height."""
    height = max(len(left), len(right))
    return [a + b for a, b in zip(_centred(left, height), _centred(right, height), strict=True)]


def _centred(drawing: Dots, height: int) -> Dots:
    width = len(drawing[0]) if drawing else 0
    above = (height - len(drawing)) // 2
    blank = [[False] * width for _ in range(height)]
    return blank[:above] + drawing + blank[: height - len(drawing) - above]


def _stack(over: str, under: str, scale: int) -> Dots:
    """Return a fraction: numerator, bar, denominator."""
    top, bottom = dots(over, scale), dots(under, scale)
    width = max(len(top[0]), len(bottom[0]))

    def middle(drawing: Dots) -> Dots:
        left = (width - len(drawing[0])) // 2
        return [[False] * left + row + [False] * (width - len(row) - left) for row in drawing]

    bar = [[True] * (width - scale) + [False] * scale for _ in range(scale)]
    gap = [[False] * width for _ in range(scale)]
    return middle(top) + gap + bar + gap + middle(bottom)


def draw(shown: FormattedLength, scale: int, lead: str = "") -> Dots:
    """Return a length as dots: whole figures at *scale*, the fraction stacked at half of it."""
    parts = [dots(f"{lead} ", scale)] if lead else []
    if shown.mark:
        parts.append(dots(shown.mark, max(scale // 2, 1)))
    if shown.feet:
        parts.append(dots(f"{shown.feet}'", scale))
    if shown.whole:
        parts.append(dots(shown.whole, scale))
    if shown.over:
        parts.append(_stack(shown.over, shown.under, max(scale // 2, 1)))
    parts.append(dots(shown.unit, max(scale // 2, 1)))
    whole = parts[0]
    for part in parts[1:]:
        whole = _beside(whole, part)
    return whole


def in_blocks(drawing: Dots) -> str:
    """Return dots as text, two rows of dots in a row of half blocks."""
    return "\n".join(signs.in_half_blocks(drawing))


class Drawings:
    """Every way to draw a length, the largest first; the last is plain text.

    Each of them is the whole length: the smaller ones put the fraction behind the figures
    instead of stacking it, and the smallest in block signs are three rows tall.
    """

    def __init__(self, shown: FormattedLength, lead: str = "") -> None:
        """Draw *shown* behind a *lead* (``4×``)."""
        self.text = f"{lead} {shown}".strip()
        self._ways: list[Callable[[], list[str]]] = []
        for scale in range(MAX_SCALE, 0, -1):
            self._ways.append(partial(self._stacked, shown, scale, lead))
            if scale <= MAX_INLINE_SCALE:
                self._ways.append(partial(self._inline, scale))
        self._ways += [self._small, self._narrow, lambda: [self.text]]
        self._made: dict[int, tuple[str, ...]] = {}

    @staticmethod
    def _stacked(shown: FormattedLength, scale: int, lead: str) -> list[str]:
        return signs.in_half_blocks(draw(shown, scale, lead))

    def _inline(self, scale: int) -> list[str]:
        return signs.in_half_blocks(dots(self.text, scale))

    def _small(self) -> list[str]:
        return signs.in_half_blocks(signs.dots(self.text))

    def _narrow(self) -> list[str]:
        return signs.in_quadrants(signs.dots(self.text))

    def __len__(self) -> int:
        """Return how many ways there are."""
        return len(self._ways)

    def __getitem__(self, way: int) -> tuple[str, ...]:
        """Return the lines of one way."""
        if way not in self._made:
            self._made[way] = tuple(self._ways[way]())
        return self._made[way]

    def largest(self, width: int, height: int) -> int:
        """Return the largest way that fits *width* by *height* cells; the last where none does."""
        # No drawing is lower than its figures are: those are not drawn in vain.
        least = max(MAX_SCALE - 2 * height // _ROWS, 0)
        for way in range(least, len(self)):
            lines = self[way]
            if len(lines) <= height and max(map(len, lines)) <= width:
                return way
        return len(self) - 1


@lru_cache(maxsize=64)
def drawings(shown: FormattedLength, lead: str = "") -> Drawings:
    """Return every way to draw a length, kept for the next size it is drawn at."""
    return Drawings(shown, lead)


def largest(shown: FormattedLength, width: int, height: int, lead: str = "") -> str:
    """Return the largest drawing of a length that fits *width* by *height* cells; plain text where
    none does.
    """
    every = drawings(shown, lead)
    return "\n".join(every[every.largest(width, height)])

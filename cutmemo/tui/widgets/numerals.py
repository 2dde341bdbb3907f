"""Numerals drawn large in half blocks, with the fraction stacked, so that they are read from across the saw."""

from __future__ import annotations

from cutmemo.domain.length import FormattedLength

# Five by seven dots each, top row first. The nought has no stroke: at this size it would pass for an eight.
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
    "×": "00000 10001 01010 00100 01010 10001 00000",
    "?": "01110 10001 00001 00110 00100 00000 00100",
}

Dots = list[list[bool]]
_ROWS = 7


def dots(text: str, scale: int) -> Dots:
    """Return *text* as rows of dots, each dot *scale* by *scale*; one dot of space between characters."""
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
    width = max((len(row) for row in drawing), default=0)
    rows = [row + [False] * (width - len(row)) for row in drawing]
    if len(rows) % 2:
        rows.append([False] * width)
    signs = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}
    return "\n".join(
        "".join(
            signs[upper, lower] for upper, lower in zip(rows[k], rows[k + 1], strict=True)
        ).rstrip()
        for k in range(0, len(rows), 2)
    )


def largest(shown: FormattedLength, width: int, height: int, lead: str = "") -> str:
    """Return the largest drawing of a length that fits *width* by *height* cells; plain text where none does."""
    for scale in range(12, 0, -1):
        drawing = draw(shown, scale, lead)
        if len(drawing[0]) <= width and (len(drawing) + 1) // 2 <= height:
            return in_blocks(drawing)
    return f"{lead} {shown}".strip()

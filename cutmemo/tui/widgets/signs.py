"""Words drawn five dots tall in block signs, so that they are read from two steps away; wrapped,
never cut.
"""

from __future__ import annotations

import unicodedata

Dots = list[list[bool]]
"""Rows of dots, the upper row first."""
ROWS = 5
"""Dots from the top of a sign to its foot."""
LINE_DOTS = ROWS + 1
"""Dots from one line to the next."""
LINE_ROWS = LINE_DOTS // 2
"""Rows of the terminal from one line to the next."""

# Five rows of dots a sign, the upper row first. A nought is square and a letter O is round.
_SIGNS = {
    "A": ".#. #.# ### #.# #.#",
    "B": "##. #.# ##. #.# ##.",
    "C": ".## #.. #.. #.. .##",
    "D": "##. #.# #.# #.# ##.",
    "E": "### #.. ##. #.. ###",
    "F": "### #.. ##. #.. #..",
    "G": ".### #... #.## #..# .###",
    "H": "#.# #.# ### #.# #.#",
    "I": "### .#. .#. .#. ###",
    "J": "..# ..# ..# #.# .#.",
    "K": "#..# #.#. ##.. #.#. #..#",
    "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#..# ##.# #.## #..# #..#",
    "O": ".##. #..# #..# #..# .##.",
    "P": "##. #.# ##. #.. #..",
    "Q": ".##. #..# #..# #.## .###",
    "R": "##. #.# ##. #.# #.#",
    "S": ".## #.. .#. ..# ##.",
    "T": "### .#. .#. .#. .#.",
    "U": "#.# #.# #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#.# #.# .#. #.# #.#",
    "Y": "#.# #.# .#. .#. .#.",
    "Z": "### ..# .#. #.. ###",
    "0": "### #.# #.# #.# ###",
    "1": ".#. ##. .#. .#. ###",
    "2": "### ..# ### #.. ###",
    "3": "### ..# .## ..# ###",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###",
    "7": "### ..# ..# .#. .#.",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    " ": ".. .. .. .. ..",
    "-": "... ... ### ... ...",
    "/": "..# ..# .#. #.. #..",
    "'": "# # . . .",
    '"': "#.# #.# ... ... ...",
    ".": ". . . . #",
    ",": ".. .. .. .# #.",
    ":": ". # . # .",
    "+": "... .#. ### .#. ...",
    "&": ".#.. #.#. .#.. #.## .###",
    "(": ".# #. #. #. .#",
    ")": "#. .# .# .# #.",
    "#": ".#.#. ##### .#.#. ##### .#.#.",
    "=": "... ### ... ### ...",
    "%": "#.# ..# .#. #.. #.#",
    "?": "##. ..# .#. ... .#.",
    "!": "# # # . #",
    "≈": ".... .#.# #.#. .#.# #.#.",
    "×": "... #.# .#. #.# ...",
    "°": "## ## .. .. ..",
    "·": ". . # . .",
    "–": "... ... ### ... ...",
    "“": "#.# #.# ... ... ...",
    "”": "#.# #.# ... ... ...",
    "’": "# # . . .",
}
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By the four dots of a cell: upper left 1, upper right 2, lower left 4, lower right 8."""


def plain(text: str) -> str:
    """Return *text* in capitals without accents, as it is drawn."""
    return "".join(
        sign
        for sign in unicodedata.normalize("NFD", text.upper())
        if not unicodedata.combining(sign)
    )


def can_draw(text: str) -> bool:
    """Return whether there is a sign for all of *text*."""
    return all(sign in _SIGNS for sign in plain(text))


def dots(text: str) -> Dots:
    """Return one line of *text* as dots, one dot between two signs. Raises :class:`KeyError` for a
    sign there is none of.
    """
    rows: Dots = [[] for _ in range(ROWS)]
    for k, sign in enumerate(plain(text)):
        for row, line in zip(rows, _SIGNS[sign].split(), strict=True):
            row += [False] * (k > 0) + [dot == "#" for dot in line]
    return rows


def _wrapped(text: str, width: int) -> list[str]:
    """Return *text* in lines of at most *width* dots; a word too long for a line goes on in the
    next one.
    """
    lines: list[str] = []
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and len(dots(joined)[0]) <= width:
            lines[-1] = joined
            continue
        lines.append("")
        for sign in word:
            if len(dots(lines[-1] + sign)[0]) > width:
                lines.append("")
            lines[-1] += sign
    return lines


def drawn(text: str, width: int, narrow: bool = False) -> list[str]:
    """Return *text* in block signs, at most *width* cells across; *narrow* signs take half a cell a
    dot.
    """
    lines = _wrapped(text, width * 2 if narrow else width)
    rows: Dots = []
    for line in lines:
        rows += dots(line)
        rows += [[]] * (LINE_DOTS - ROWS)
    rows = rows[: len(rows) - LINE_DOTS + ROWS]
    return in_quadrants(rows) if narrow else in_half_blocks(rows)


def in_half_blocks(drawing: Dots) -> list[str]:
    """Return dots as lines of text, a dot as wide as a cell and half as tall."""
    signs = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}
    rows = _even(drawing)
    return [
        "".join(signs[pair] for pair in zip(rows[k], rows[k + 1], strict=True)).rstrip()
        for k in range(0, len(rows), 2)
    ]


def in_quadrants(drawing: Dots) -> list[str]:
    """Return dots as lines of text, a dot half as wide and half as tall as a cell."""
    rows = _even(drawing)
    return [
        "".join(
            _QUADRANTS[upper[c] + 2 * upper[c + 1] + 4 * lower[c] + 8 * lower[c + 1]]
            for c in range(0, len(upper), 2)
        ).rstrip()
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    ]


def _even(drawing: Dots) -> Dots:
    """Return *drawing* with an even number of rows, all of one even width."""
    width = max((len(row) for row in drawing), default=0)
    width += width % 2
    rows = [row + [False] * (width - len(row)) for row in drawing]
    return rows + [[False] * width] * (len(rows) % 2)

"""What stands at the saw, laid out for any size: the length first, and never less than the whole of
it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import zip_longest
from typing import ClassVar, NamedTuple

from rich.text import Text
from textual.widget import Widget

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import FormattedLength
from cutmemo.tui.widgets import signs
from cutmemo.tui.widgets.numerals import drawings
from cutmemo.tui.widgets.piece import picture
from cutmemo.tui.widgets.wrap import wrapped

LENGTH_SHARE = 0.58
"""The length takes this share of the height before a drawing or what comes next takes any.

So on 18 rows there are nine for it, and its fraction is stacked.
"""
MARGIN, NARROW = 2, 44
"""Blank cells at either side, on a screen at least so wide."""
STYLED = (
    "now",
    "stop",
    "place",
    "facts",
    "ends",
    "refused",
    "alerts",
    "marks",
    "piece",
    "board",
    "then",
    "waiting",
    "told",
)
MIN_ROWS = 3
"""Rows of the smallest length in block signs."""


@dataclass(frozen=True, slots=True)
class AtSaw:
    """What there is to show at the saw. Empty parts take no row."""

    length: FormattedLength | None = None
    stop_block: str = ""
    """Drawn tall, as the place is."""
    place: str = ""
    facts: str = ""
    """How many, of what board, which piece."""
    ends: str = ""
    """How each end is cut, with the degrees for the saw."""
    alerts: tuple[str, ...] = ()
    """What to mind about this piece."""
    marks: tuple[str, ...] = ()
    """What every screen says of entries that cannot be read."""
    cut: Cut | None = None
    """The piece to draw."""
    board: str = ""
    following: tuple[str, ...] = ()
    """What comes next, the nearest first."""
    waiting: str = ""
    told: str = ""
    refused: bool = False
    """Whether *told* is that something could not be done: that never gives way."""


@dataclass(frozen=True, slots=True)
class Part:
    """Some lines of the sheet."""

    name: str
    lines: tuple[str, ...]
    drawn: bool = field(default=False)
    """Whether the lines are block signs."""


def lay_out(shown: AtSaw, width: int, height: int) -> list[Part]:
    """Return the parts of the sheet from top to bottom, together at most *height* lines of *width*
    cells.

    The length stands there whole, whatever else there is. The drawing gives way first, then what
    comes next, what waits, the board, and what was told; the rest gives way only where it would
    take the place of the length: signs get narrower, then plain, and at last lines go from below.
    """
    if shown.length is None:
        return _down_to(_facts(shown, width) + _extras(shown, width), height)
    extras = _extras(shown, width)
    every = drawings(shown.length)
    share = int(height * LENGTH_SHARE)
    large = len(every[every.largest(width, share)]) + _rows(extras)
    musts = _musts(shown, width, height, large)
    free = height - _rows(musts)
    goal = every.largest(width, min(share, free))
    while extras and every.largest(width, free - _rows(extras)) > goal:
        extras.remove(min(extras, key=lambda part: _WORTH.index(part.name)))
    if any(part.name == "piece" for part in extras):
        musts = [part for part in musts if part.name != "ends"]  # the drawing names them
    room = max(height - _rows(musts) - _rows(extras), min(height, MIN_ROWS))
    chosen = every.largest(width, room)
    lines = every[chosen] if chosen < len(every) - 1 else tuple(wrapped(str(shown.length), width))
    length = Part("now", lines, drawn=chosen < len(every) - 1)
    below = _down_to(
        musts + sorted(extras, key=lambda part: _ORDER.index(part.name)), height - len(lines)
    )
    spare = height - len(lines) - _rows(below)
    above = (Part("", ("",)),) if spare > 1 else ()
    gap = (Part("", ("",) * (spare - len(above))),) if spare > len(above) else ()
    return [*above, length, *gap, *below]


_WORTH = ("piece", "then 2", "then 1", "waiting", "board", "told")
"""What gives way to the length, the first first."""
_ORDER = ("piece", "board", "then 1", "then 2", "waiting", "told")


def _musts(shown: AtSaw, width: int, height: int, large: int) -> list[Part]:
    """Return what never gives way while there is height for the length: tall parts in the widest
    signs that leave it.

    Signs may take several lines only where they leave *large* rows: the length as large as it
    should be, and everything that can give way.
    """
    facts = _facts(shown, width)
    texts = (("stop", shown.stop_block), ("place", shown.place))
    tall = [(name, text) for name, text in texts if text]
    found: list[Part] = []
    for way in _WAYS:
        chosen = (way.stop, way.place)[2 - len(tall) :]
        found = [
            _tall(name, text, width, how) for (name, text), how in zip(tall, chosen, strict=True)
        ]
        if way.beside:
            found = _side_by_side(found, width)
        least = large if way.large else MIN_ROWS
        if _rows(found) + _rows(facts) + least <= height:
            break
    return found + facts


class _Way(NamedTuple):
    """How the stop block and the place are drawn."""

    stop: str
    place: str
    large: bool = False
    """Whether the length as large as it should be has to fit below, and not the least alone."""
    beside: bool = False


_WAYS = (
    _Way("wide", "wide", large=True),
    _Way("line", "line"),
    _Way("narrow", "line"),
    _Way("narrow", "narrow"),
    _Way("narrow", "narrow", beside=True),
    _Way("narrow", "plain"),
    _Way("plain", "plain"),
)
"""The best first."""
_GAP = 2
"""Cells between the stop block and the place where they stand side by side."""


def _side_by_side(parts: list[Part], width: int) -> list[Part]:
    """Return two parts in block signs as one, where there is the width for it."""
    if len(parts) < 2 or not all(part.drawn for part in parts):
        return parts
    left, right = parts
    column = max(map(len, left.lines)) + _GAP
    lines = tuple(
        (a.ljust(column) + b).rstrip()
        for a, b in zip_longest(left.lines, right.lines, fillvalue="")
    )
    fits = max(map(len, lines)) <= width
    return [Part(f"{left.name} {right.name}", lines, drawn=True)] if fits else parts


def _tall(name: str, text: str, width: int, way: str) -> Part:
    """Return *text* in block signs: wide ones, wide ones on one *line* or else narrow ones, or
    narrow ones.

    Where *plain* letters are the way, or where there is a letter without a sign, it is plain.
    """
    if way == "plain" or not signs.can_draw(text):
        return Part(name, tuple(wrapped(text.upper(), width)))
    lines = signs.drawn(text, width)
    if way == "narrow" or (way == "line" and len(lines) > signs.LINE_ROWS):
        lines = signs.drawn(text, width, narrow=True)
    return Part(name, tuple(lines), drawn=True)


def _facts(shown: AtSaw, width: int) -> list[Part]:
    refused = [shown.told if shown.refused else ""]
    return _parts(
        width,
        facts=[shown.facts],
        ends=[shown.ends],
        refused=refused,
        alerts=shown.alerts,
        marks=shown.marks,
    )


def _extras(shown: AtSaw, width: int) -> list[Part]:
    told = [] if shown.refused else [shown.told]
    following = {f"then {n}": [text] for n, text in enumerate(shown.following, start=1)}
    found = _parts(width, board=[shown.board], **following, waiting=[shown.waiting], told=told)
    if shown.cut is None or shown.length is None:
        return found
    drawing = picture(shown.cut, str(shown.length), width).split("\n")
    return [Part("piece", tuple(drawing)), *found] if max(map(len, drawing)) <= width else found


def _parts(width: int, **texts: Sequence[str]) -> list[Part]:
    """Return a part for each list of *texts* that says anything."""
    made = [
        Part(name, tuple(line for text in several for line in wrapped(text, width)))
        for name, several in texts.items()
    ]
    return [part for part in made if part.lines]


def _rows(parts: Sequence[Part]) -> int:
    return sum(len(part.lines) for part in parts)


def _down_to(parts: Sequence[Part], height: int) -> list[Part]:
    """Return *parts* without the lines that are below *height*."""
    out: list[Part] = []
    for part in parts:
        lines = part.lines[: max(height - _rows(out), 0)]
        if lines:
            out.append(Part(part.name, lines, part.drawn))
    return out


class SawSheet(Widget):
    """The sheet on the screen, laid out anew at every size and change."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"saw-sheet--{name}" for name in STYLED}

    def __init__(self) -> None:
        """Show nothing yet."""
        super().__init__(id="sheet")
        self._shown = AtSaw()

    @property
    def shown(self) -> AtSaw:
        """Return what is shown."""
        return self._shown

    def show(self, shown: AtSaw) -> None:
        """Show this from now on."""
        self._shown = shown
        self.refresh()

    def parts(self) -> list[Part]:
        """Return the sheet as it is laid out at this size."""
        return lay_out(self._shown, self.size.width - 2 * self._margin, self.size.height)

    @property
    def _margin(self) -> int:
        """Return the blank cells at either side; none where every cell counts."""
        return MARGIN if self.size.width >= NARROW else 0

    def render(self) -> Text:
        """Draw the sheet."""
        margin = " " * self._margin
        lines = []
        for part in self.parts():
            name = part.name.split(" ")[0]
            style = self.get_component_rich_style(
                f"saw-sheet--{name}" if name else "saw-sheet--now"
            )
            lines += [Text(margin + line, style=style, no_wrap=True) for line in part.lines]
        return Text("\n").join(lines)

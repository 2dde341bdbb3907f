"""A bar of keys that wraps to the width it has; a tap or a click on a key does what the key
does.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import ClassVar

from rich.text import Text
from textual.events import Click
from textual.geometry import Size
from textual.widget import Widget

from cutmemo.tui.widgets.wrap import wrapped
from cutmemo.wording.screens import NAMES_OF_KEYS

GAP = 2
"""Cells between two keys of a row."""


@dataclass(frozen=True, slots=True)
class KeyLabel:
    """One key and what it does; a label without a key is only read."""

    key: str
    label: str

    @property
    def name(self) -> str:
        """Return how the key is called."""
        return NAMES_OF_KEYS.get(self.key, self.key)

    def __str__(self) -> str:
        """Return what stands on a bar."""
        return f"{self.name} {self.label}".strip()


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a piece of a key's text stands."""

    row: int
    column: int
    text: str
    key: str
    bold: int = 0
    """So many signs of it are the key's name."""


class KeyBar(Widget):
    """Keys side by side, as many to a row as fit."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"key-bar--key"}
    DEFAULT_CSS = """
    KeyBar { height: auto; width: 1fr; }
    KeyBar > .key-bar--key { text-style: bold; }
    """

    def __init__(self, keys: Sequence[KeyLabel], id: str | None = None) -> None:  # noqa: A002 - Textual's name
        """Show *keys*."""
        super().__init__(id=id)
        self._keys = tuple(keys)

    def show(self, keys: Sequence[KeyLabel]) -> None:
        """Show other keys from now on."""
        if tuple(keys) != self._keys:
            self._keys = tuple(keys)
            self.refresh(layout=True)

    def spots(self, width: int) -> list[Spot]:
        """Return where every key stands on a bar of *width* cells."""
        out: list[Spot] = []
        row, column = 0, 0
        for key in self._keys:
            if column and column + len(str(key)) > width:
                row, column = row + 1, 0
            for k, text in enumerate(wrapped(str(key), width - column)):
                row, column = (row + 1, 0) if k else (row, column)
                out.append(Spot(row, column, text, key.key, 0 if k else len(key.name)))
            column += len(out[-1].text) + GAP
        return out

    def get_content_width(self, container: Size, viewport: Size) -> int:  # noqa: ARG002 - Textual gives both
        """Return how wide the keys are where each stands on one row."""
        spots = self.spots(container.width)
        return max((spot.column + len(spot.text) for spot in spots), default=0)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002 - Textual gives all
        """Return how many rows the keys take."""
        return max((spot.row + 1 for spot in self.spots(width)), default=0)

    def render(self) -> Text:
        """Draw the keys."""
        name = self.get_component_rich_style("key-bar--key")
        lines: list[Text] = []
        for _, spots in groupby(self.spots(self.size.width), key=lambda spot: spot.row):
            line = Text(no_wrap=True)
            for spot in spots:
                line.append(" " * (spot.column - line.cell_len))
                line.append(spot.text[: spot.bold], style=name)
                line.append(spot.text[spot.bold :])
            lines.append(line)
        return Text("\n").join(lines)

    def key_at(self, column: int, row: int) -> str:
        """Return the key at a cell of the bar; empty where there is none."""
        for spot in self.spots(self.size.width):
            if spot.row == row and spot.column <= column < spot.column + len(spot.text):
                return spot.key
        return ""

    def on_click(self, event: Click) -> None:
        """Do what the key does that was tapped."""
        offset = event.get_content_offset(self)
        key = self.key_at(offset.x, offset.y) if offset is not None else ""
        if key:
            event.stop()
            self.app.simulate_key(key)


class Choices(KeyBar):
    """Keys one below the other; the whole row of a key can be tapped."""

    def spots(self, width: int) -> list[Spot]:
        """Return where every key stands: each begins a row of its own."""
        out: list[Spot] = []
        for key in self._keys:
            name = f"[{key.name}] " if key.key else ""
            lines = list(wrapped(f"{name}{key.label}", width))
            out += [
                Spot(len(out) + k, 0, text, key.key, 0 if k else len(name))
                for k, text in enumerate(lines)
            ]
        return out

    def key_at(self, column: int, row: int) -> str:  # noqa: ARG002 - any column of the row will do
        """Return the key whose row it is."""
        return next((spot.key for spot in self.spots(self.size.width) if spot.row == row), "")


def labels(keys: Iterable[tuple[str, str]]) -> list[KeyLabel]:
    """Return keys and what they do as labels."""
    return [KeyLabel(key, label) for key, label in keys]

"""What the words of a verb are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class VerbText:
    """The words of one verb."""

    does: str
    """What it does, in one line that begins small, as the list of verbs shows it."""
    takes: Mapping[str, str] = field(default_factory=dict)
    """What each of its arguments is, by the argument's name without dashes."""
    actions: Mapping[str, VerbText] = field(default_factory=dict)
    """The words of its actions, where it has some, by their names."""
    order: str = ""
    """The order to the memo that it is, where it is no more than that."""
    row: Literal["", "may", "must"] = ""
    """Whether a row may or must be named with it, where it is an order."""
    told: str = ""
    """What came of it; ``{row}``, ``{cut}`` and ``{left}`` are its row, ``{which}`` row and cut."""
    key: str = ""
    """The key that does it to the row in hand, on the screens."""

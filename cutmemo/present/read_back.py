"""What is read back of what came of a call: a tone, and the words that are spelled out after it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cutmemo.domain.length import Display
from cutmemo.language import digits_of
from cutmemo.memo.rows import Row
from cutmemo.wording.results import TOLD_ONE_BY_ONE, Told

Tone = Literal["", "question", "answer"]
READ_BACK = ("added", "changed", "answered", "asked", "read back")
"""What is read back, by what happened."""


@dataclass(frozen=True, slots=True)
class Spelled:
    """A tone, and words behind it, each the name of a clip."""

    tone: Tone = ""
    words: tuple[str, ...] = ()


def read_back(told: Told, display: Display = "inches") -> tuple[Spelled, ...]:
    """Return what is read back of *told*, one after the other, lengths as the *display* shows
    them.
    """
    if is_one_tone(told):
        return (Spelled("question"),)
    answered = told.happened == "answered"
    return tuple(row_read_back(row, answered, display) for row in rows_read_back(told))


def is_one_tone(told: Told) -> bool:
    """Return whether one tone stands for all of it: a set, or a long list that asks."""
    many = len(told.rows) > TOLD_ONE_BY_ONE
    asks = told.assembly is not None or (many and told.happened == "asked")
    return asks and told.happened in READ_BACK


def rows_read_back(told: Told) -> tuple[Row, ...]:
    """Return the rows that are read back one by one."""
    few = len(told.rows) <= TOLD_ONE_BY_ONE and not is_one_tone(told)
    return tuple(told.rows) if few and told.happened in READ_BACK else ()


def row_read_back(row: Row, answered: bool = False, display: Display = "inches") -> Spelled:
    """Return how *row* is read back: as a question where it asks, else as it stands."""
    if row.state == "doubtful":
        words = tuple(word for cut in row.readings for word in (*digits_of(cut, display), "or"))[
            :-1
        ]
        return Spelled("question", words)
    return Spelled("answer" if answered else "", digits_of(row.cut, display))

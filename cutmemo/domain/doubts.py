"""Why a call asks, what to mind about it, or why it is refused: as values, never as sentences.

``wording`` turns them into what a person reads.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from cutmemo.domain.length import Length

Fact = str | int | Fraction | Length
"""What a doubt may carry: words, exact numbers, lengths."""


class Field(StrEnum):
    """The fields of a cut. A correction that names a field settles the doubts about it."""

    LENGTH = "length"
    COUNT = "count"
    ALLOWANCE = "allowance"
    SECTION = "section"
    PIECE = "piece"
    PLACE = "place"
    ENDS = "ends"
    NOTE = "note"


ANY_FIELD = frozenset(Field)


class DoubtKind(StrEnum):
    """Every kind of doubt, caution and refusal there is. The text is what a memo keeps: never change one."""

    AS_WRITTEN = "as written"
    """A sentence from a memo of the first format; its fact is ``text``."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """One thing that is not certain about a call, or that is wrong with it.

    The same value stands for a question, for a caution beside a row and for the reason of a
    refusal; which of them it is, is told by where it stands.
    """

    kind: DoubtKind
    about: frozenset[Field] = ANY_FIELD
    """The fields it is about: once one of them is said anew, it is settled."""
    words: tuple[tuple[str, str], ...] = ()
    numbers: tuple[tuple[str, Fraction], ...] = ()
    lengths: tuple[tuple[str, Length], ...] = ()
    """Its facts by name, apart by type, so that a memo can hold and check them."""

    def fact(self, name: str) -> Fact:
        """Return the fact called *name*, a whole number as an ``int``. Raises :class:`KeyError`."""
        facts: dict[str, Fact] = {**dict(self.words), **dict(self.lengths)}
        numbers = dict(self.numbers)
        if name in numbers:
            number = numbers[name]
            return int(number) if number.denominator == 1 else number
        return facts[name]


def doubt(kind: DoubtKind, *about: Field, **facts: Fact) -> Doubt:
    """Return a doubt of *kind* about some fields (all, where none is named) with its *facts*."""
    return Doubt(
        kind,
        frozenset(about) or ANY_FIELD,
        tuple((name, each) for name, each in facts.items() if isinstance(each, str)),
        tuple((n, Fraction(each)) for n, each in facts.items() if isinstance(each, int | Fraction)),
        tuple((name, each) for name, each in facts.items() if isinstance(each, Length)),
    )

"""What a sentence is made with: the facts of a doubt, and lengths as the crew's settings show
them.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from cutmemo.domain.doubts import Doubt
from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings

Sentence = Callable[[Doubt, Settings], str]
"""Makes the sentence that says one kind of doubt."""


def length_of(doubt: Doubt, name: str, settings: Settings) -> str:
    """Return the length called *name* among the facts, to the 64th, as *settings* show lengths."""
    length = doubt.fact(name)
    return str(format_length(length, settings.display, 64)) if isinstance(length, Length) else ""


def number_of(doubt: Doubt, name: str) -> Fraction:
    """Return the number called *name* among the facts."""
    number = doubt.fact(name)
    return Fraction(number) if isinstance(number, int | Fraction) else Fraction(0)


def template(text: str) -> Sentence:
    """Return the sentence *text*, in which ``{name}`` stands for a fact.

    Lengths are shown to the 64th, as the settings say; numbers as exact fractions.
    """

    def said(doubt: Doubt, settings: Settings) -> str:
        lengths = {name: length_of(doubt, name, settings) for name, _ in doubt.lengths}
        return text.format(**dict(doubt.words), **dict(doubt.numbers), **lengths)

    return said

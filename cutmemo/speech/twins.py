"""Teens and tens that run together by ear: "ninety fifteen sixteenths", "nineteen fifteen sixteenths"."""

from __future__ import annotations

_TEENS = {
    "thirteen": "thirty", "fourteen": "forty", "fifteen": "fifty", "sixteen": "sixty", "seventeen": "seventy",
    "eighteen": "eighty", "nineteen": "ninety",
}  # fmt: skip
_TEEN_OF = {ten: teen for teen, ten in _TEENS.items()}
_TWINS = _TEENS | _TEEN_OF
_BEFORE_F = ("five", "fifteen")
"""Numerators whose f swallows the end of the number before: -teen and -ty then differ by the vowel alone."""
_BELOW = ("eighths", "sixteenths", "thirty", "sixty")
"""What may follow such a numerator: eighths, sixteenths, thirty seconds, sixty fourths."""


def run_together(one: str, other: str) -> bool:
    """Return whether *one* and *other* differ only by teens and their tens, and by an "and" that such an end swallows.

    "Seventeen thirteen sixteenths" and "seventy and thirteen sixteenths" are the same sounds
    but for a vowel and its stress (common practice on any radio: such numbers are said twice).
    """
    return _folded(one) == _folded(other)


def _folded(text: str) -> list[str]:
    return [_TEEN_OF.get(word, word) for word in text.split() if word != "and"]


def twin_of(text: str) -> str | None:
    """Return *text* with a teen for its ten, or a ten for its teen, where the ear cannot part them; else ``None``.

    Only right before a fraction that begins with f and has no "and" before it: there the
    recogniser itself does not name the other.
    """
    words = text.split()
    for at, word in enumerate(words[:-2]):
        if word in _TWINS and words[at + 1] in _BEFORE_F and words[at + 2] in _BELOW:
            return " ".join([*words[:at], _TWINS[word], *words[at + 1 :]])
    return None

"""Teens and tens that run together by ear: "ninety fifteen sixteenths", "nineteen fifteen sixteenths"."""

from __future__ import annotations

_TEENS = {
    "thirteen": "thirty", "fourteen": "forty", "fifteen": "fifty", "sixteen": "sixty", "seventeen": "seventy",
    "eighteen": "eighty", "nineteen": "ninety",
}  # fmt: skip
_TWINS = _TEENS | {ten: teen for teen, ten in _TEENS.items()}
_BEFORE_F = ("five", "fifteen")
"""Numerators whose f swallows the end of the number before: -teen and -ty then differ by the vowel alone."""
_BELOW = ("eighths", "sixteenths", "thirty", "sixty")
"""What may follow such a numerator: eighths, sixteenths, thirty seconds, sixty fourths."""


def twin_of(text: str) -> str | None:
    """Return *text* with a teen for its ten, or a ten for its teen, where the ear cannot part them; else ``None``.

    Only right before a fraction that begins with f and has no "and" before it: measured on
    the validation split, where no margin reached it.
    """
    words = text.split()
    for at, word in enumerate(words[:-2]):
        if word in _TWINS and words[at + 1] in _BEFORE_F and words[at + 2] in _BELOW:
            return " ".join([*words[:at], _TWINS[word], *words[at + 1 :]])
    return None

"""What runs together by ear: "ninety fifteen sixteenths" and "nineteen fifteen sixteenths", wall B
and wall D.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from cutmemo.asr.hypotheses import Hypothesis, Recognition
from cutmemo.language import without_lead_in
from cutmemo.language.lexicon.en import ONES, PIECES, PLURALS, ROOMS, SIDES, SPOTS, TENS
from cutmemo.language.lexicon.numbers import NAMES_BELOW_20, NAMES_OF_TENS

_NUMBERS = frozenset({*ONES, *TENS})
_TEENS = {
    "thirteen": "thirty",
    "fourteen": "forty",
    "fifteen": "fifty",
    "sixteen": "sixty",
    "seventeen": "seventy",
    "eighteen": "eighty",
    "nineteen": "ninety",
}
_TEEN_OF = {ten: teen for teen, ten in _TEENS.items()}
TEENS_AND_TENS = _TEENS | _TEEN_OF
"""The ten of a teen, and the teen of a ten."""
_SAME_BY_EAR = _TEEN_OF | {"d": "b"}
_F_AND_S = {
    "fifty": ("sixty",),
    "sixty": ("fifty",),
    "fifteen": ("sixteen",),
    "sixteen": ("fifteen",),
}
FIFTY_SIXTY_MARGIN = 6.0
"""By this much (log-likelihood) one of them has to fit the sound better than its twin, or it asks.

What parts f from s lies mostly above what a telephone or a headset lets through. Set on our
validation calls; the figures are in DEVELOPERS.md.
"""
_EIGHTEEN = {"eighteen": ("fifteen", "sixteen"), "fifteen": ("eighteen",), "sixteen": ("eighteen",)}
EIGHTEEN_MARGIN = 8.0
"""By this much "eighteen" has to fit the sound better than "fifteen" and "sixteen", and they than
it, or it asks.

Said fast they are an i, a hiss or a stop, and the same end. Set as FIFTY_SIXTY_MARGIN was.
"""
SWALLOWED_AND_MARGIN = 3.0
"""By this much a teen or a ten right before an "and" has to fit the sound better than its twin, or
it asks.

The "and" hides the end that parts them. On 1,200 validation calls no right one led by less than
6, and the wrong ones that were seen were behind (DEVELOPERS.md).
"""
PLURAL_MARGIN = 5.0
"""By this much "sixteens" has to fit the sound better than "sixteen", or it asks: two of 16 in., or
216 in.

A breath after a number sounds like an s. Set on our validation calls; the figures are in
DEVELOPERS.md.
"""
FIGURE_MARGIN = 4.0
"""By this much figures said one by one have to fit the sound better than the same with one of them
otherwise, or it asks.

The graph knows some strings better than others. Of clean joined figures of three speakers never
trained on, four of six wrong ones led by less or were behind (``models/recipe/LOG.md``).
"""
LEAD_IN_MARGIN = 4.0
"""By this much "i need" and the like have to fit the sound better than any number in their place,
or it asks.

Of four calls that a number heard as one of them made wrong in silence, two led by less or were
behind; of 30 in which they were said, none (``models/recipe/LOG.md``).
"""
_COUNTS = ("a few", "few", "both", "a pair", "pair", "a couple", "couple")
_FIGURES = ("zero", "oh", *(NAMES_BELOW_20[n] for n in range(1, 10)))
_SINGULARS = {
    word: (NAMES_BELOW_20[n] if n < 20 else NAMES_OF_TENS[n]) for word, n in PLURALS.items()
}
_ONE_PART = {f"{part}s": part for part in ("half", "quarter", "third", "eighth", "sixteenth")}
"""Behind "a" or "an": "six and a halfs" are pieces of six and a half."""
_BEFORE_F = ("five", "fifteen")
"""Numerators whose f swallows the end of the number before: -teen and -ty then differ by the vowel
alone.
"""
_BELOW = ("eighths", "sixteenths", "thirty", "sixty")
"""What may follow such a numerator: eighths, sixteenths, thirty seconds, sixty fourths."""


def are_confusable(one: str, other: str) -> bool:
    """Return whether *one* and *other* differ only by teens and their tens, an "and" that such an
    end swallows, or b and d.

    "Seventeen thirteen sixteenths" and "seventy and thirteen sixteenths" are the same sounds
    but for a vowel and its stress (common practice on any radio: such numbers are said twice).
    """
    return _folded(one) == _folded(other)


def with_swallowed_and(text: str) -> tuple[str, ...]:
    """Return what the sounds of *text* may be as well where an "and" is swallowed.

    "Seventy and thirteen sixteenths" may be "seventeen thirteen sixteenths", and the other way
    round.
    A number after "a" or "an" does not count: nobody says "seventeen a half" for 17-1/2.
    """
    words, found = text.split(), []
    for at, word in enumerate(words[:-2]):
        if word in _TEEN_OF and words[at + 1] == "and" and words[at + 2] not in ("a", "an"):
            found.append([*words[:at], _TEEN_OF[word], *words[at + 2 :]])
        elif word in _TEENS and words[at + 1] in _NUMBERS:
            found.append([*words[:at], _TEENS[word], "and", *words[at + 1 :]])
    return tuple(" ".join(each) for each in found)


def with_f_for_s(text: str) -> tuple[str, ...]:
    """Return *text* with one "fifty" for "sixty" or "fifteen" for "sixteen", or the other way
    round; not in a fraction.
    """
    return _with_other_numbers(text, _F_AND_S)


def with_eighteen(text: str) -> tuple[str, ...]:
    """Return *text* with one "eighteen" for "fifteen" or "sixteen", or the other way round; not in
    a fraction.
    """
    return _with_other_numbers(text, _EIGHTEEN)


def _with_other_numbers(text: str, others: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Return *text* with each number in turn as one of *others*; one before a fourth or a sixteenth
    is part of a fraction.
    """
    words, found = text.split(), []
    for at, word in enumerate(words):
        if words[at + 1 : at + 2] not in (["fourth"], ["fourths"], ["sixteenth"], ["sixteenths"]):
            found += [
                " ".join([*words[:at], other, *words[at + 1 :]]) for other in others.get(word, ())
            ]
    return tuple(found)


def with_another_figure(text: str) -> tuple[str, ...]:
    """Return *text* with one of two or more figures in a row as another, and with "four" for the
    "foot" of a call of one figure and no more.
    """
    words, found = text.split(), []
    if len(words) == 2 and words[0] in _FIGURES and words[1] in ("foot", "feet"):
        return (f"{words[0]} four",)
    for at, word in enumerate(words):
        beside = (words[at - 1] if at else "", *words[at + 1 : at + 2])
        if word in _FIGURES and any(each in _FIGURES for each in beside):
            others = (each for each in _FIGURES if each != word)
            found += [" ".join([*words[:at], each, *words[at + 1 :]]) for each in others]
    return tuple(found)


def with_number_for_lead_in(text: str) -> tuple[str, ...]:
    """Return *text* with a ten, or with a count and "at", for what a call may begin with, and for
    that and the word behind it: "i need eight" may be "eighty eight".
    """
    rest = without_lead_in(text)
    if not rest or rest == text or not text.endswith(rest):
        return ()
    numbers = [*_TEEN_OF, "twenty", *(f"{NAMES_BELOW_20[n]} at" for n in range(1, 13))]
    rests = [rest, rest.partition(" ")[2]]
    return tuple(f"{number} {each}" for each in rests if each for number in numbers)


def with_number_for_count(text: str) -> tuple[str, ...]:
    """Return *text* with a number up to twelve for a count that is none: "both at" may be "four
    at", and "a pair of" "eight at".
    """
    for count in _COUNTS:
        for joint in ("at", "of"):
            if text.startswith(f"{count} {joint} "):
                rest = text.removeprefix(f"{count} {joint} ")
                return tuple(f"{NAMES_BELOW_20[n]} at {rest}" for n in range(1, 13))
    return ()


def before_and(text: str) -> tuple[str, ...]:
    """Return *text* with one teen for its ten, or one ten for its teen, right before an "and"."""
    words = text.split()
    return tuple(
        " ".join([*words[:at], TEENS_AND_TENS[word], *words[at + 1 :]])
        for at, (word, after) in enumerate(zip(words, words[1:], strict=False))
        if word in TEENS_AND_TENS and after == "and"
    )


def without_plural(text: str) -> tuple[str, ...]:
    """Return *text* with one number said as a plural ("two sixteens", "thirty six and a quarters")
    said plainly.
    """
    words = text.split()
    return tuple(
        " ".join([*words[:at], singular, *words[at + 1 :]])
        for at, (before, word) in enumerate(zip(["", *words], words, strict=False))
        if (singular := _ONE_PART.get(word) if before in ("a", "an") else _SINGULARS.get(word))
    )


def with_eighth(text: str) -> tuple[str, ...]:
    """Return *text* with "eighth" for the "eight" of "a strong eight", whose last sound nobody
    heard.
    """
    words = text.split()
    return tuple(
        " ".join([*words[:at], "eighth", *words[at + 1 :]])
        for at, word in enumerate(words)
        if word == "eight" and at > 1 and words[at - 2] in ("a", "an")
        if words[at - 1] not in _NUMBERS
    )


def is_of_several(text: str) -> bool:
    """Return whether *text* says pieces with a part of an inch as a plural: "six and a halfs"."""
    words = text.split()
    return any(
        before in ("a", "an") and word in _ONE_PART
        for before, word in zip(words, words[1:], strict=False)
    )


def add_confusable_hypotheses(
    heard: Recognition, rescore: Callable[[list[str]], Mapping[str, float]]
) -> Recognition:
    """Return *heard* with the twins of its words that fit the sound as well, as likely as the words
    themselves.

    How often something is said counts in a hearing: a rare twin may not be named at all, though by
    sound alone it would win. *fit* hears the sound once more with nothing but some texts to choose
    from, and gives the log-likelihood of those that it may be. A twin by an "and" that was
    swallowed
    has to fit at least as well; one by f and s within :data:`FIFTY_SIXTY_MARGIN`, one by "eighteen"
    within
    :data:`EIGHTEEN_MARGIN`, one before an "and" within :data:`SWALLOWED_AND_MARGIN` and one without
    a plural's s within
    :data:`PLURAL_MARGIN`, each heard alone; one by another figure within :data:`FIGURE_MARGIN`, one
    by a number in the place of "i need", "both" or "a pair" within :data:`LEAD_IN_MARGIN`.
    """
    if not heard.hypotheses or not heard.hypotheses[0].is_speech:
        return heard
    named = [each.text for each in heard.hypotheses]
    found: list[str] = []
    twins = [twin for twin in with_swallowed_and(heard.text) if twin not in named]
    if twins:
        fits = rescore([heard.text, *twins])
        best = fits.get(heard.text, -math.inf)
        found += [twin for twin in twins if twin in fits and fits[twin] >= best]
    kinds = (
        (with_f_for_s, FIFTY_SIXTY_MARGIN),
        (with_eighteen, EIGHTEEN_MARGIN),
        (before_and, SWALLOWED_AND_MARGIN),
        (without_plural, PLURAL_MARGIN),
    )
    leads = {twin: lead for twins_of, lead in kinds for twin in twins_of(heard.text)}
    if leads:
        best = rescore([heard.text]).get(heard.text, -math.inf)
        alone = {twin: rescore([twin]).get(twin) for twin in leads}
        found += [
            twin
            for twin, log_likelihood in alone.items()
            if log_likelihood is not None and log_likelihood >= best - leads[twin]
        ]
    for together, lead in (
        (with_another_figure(heard.text), FIGURE_MARGIN),
        (with_number_for_lead_in(heard.text), LEAD_IN_MARGIN),
        (with_number_for_count(heard.text), LEAD_IN_MARGIN),
    ):
        fits = rescore([heard.text, *together]) if together else {}
        least = fits.get(heard.text, max(fits.values(), default=math.inf)) - lead
        as_well = [twin for twin in together if fits.get(twin, -math.inf) >= least]
        found += sorted(as_well, key=lambda twin: -fits[twin])
    first, *others = heard.hypotheses
    likely = [Hypothesis(twin, first.log_likelihood) for twin in found]
    return (
        replace(
            heard, hypotheses=(first, *likely, *(each for each in others if each.text not in found))
        )
        if found
        else heard
    )


def _folded(text: str) -> list[str]:
    return [_SAME_BY_EAR.get(word, word) for word in text.split() if word != "and"]


def confusable_of(text: str) -> str | None:
    """Return what *text* may be by ear although the recogniser itself does not name it; else
    ``None``.

    A teen for its ten, or a ten for its teen, right before a fraction that begins with f and has
    no "and" before it; "eighteen" for an eight and a king stud; two figures for so many pieces of
    one figure: a breath behind "three seven" sounds like "three sevens"; and "for" for a "four"
    that ends a number right before a place: "one hundred four door three".
    """
    words = text.split()
    for_a_place = _with_for(words)
    if for_a_place:
        return for_a_place
    if len(words) == 2 and words[0] in _FIGURES and PLURALS.get(words[1], 10) < 10:
        return f"{words[0]} {_SINGULARS[words[1]]}"
    for at in range(len(words) - 1):
        if words[at] == "eight" and words[at + 1] in ("king", "kings"):
            return " ".join([*words[:at], "eighteen", *words[at + 2 :]])
    for at, word in enumerate(words[:-2]):
        if word in TEENS_AND_TENS and words[at + 1] in _BEFORE_F and words[at + 2] in _BELOW:
            return " ".join([*words[:at], TEENS_AND_TENS[word], *words[at + 1 :]])
    return None


def _with_for(words: list[str]) -> str:
    """Return *words* with "for" for the "four" between a number that may end before it and a place
    that no piece follows, for then the place is the piece's: thirty four closet stud; empty where
    there is none.
    """
    for at in range(1, len(words) - 1):
        end = at + 1
        while end < len(words) and words[end] in _PLACES:
            end += 1
        of_a_piece = any(words[end : end + len(each)] == [*each] for each in PIECES)
        open_before = words[at] == "four" and words[at - 1] in _MAY_GO_ON_WITH_FOUR
        if open_before and end > at + 1 and not of_a_piece:
            return " ".join([*words[:at], "for", *words[at + 1 :]])
    return ""


_PLACES = frozenset({*ROOMS.words(), *SIDES.words(), *SPOTS.words(), "w"})
_MAY_GO_ON_WITH_FOUR = frozenset({*TENS, "hundred", "foot", "feet"})

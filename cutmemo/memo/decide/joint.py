"""What two halves of a call may be together, by their sound and by their words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from cutmemo.asr import Hypothesis, Recognition, interpret
from cutmemo.asr.decide import MAX_READINGS, margin_for
from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Change, Reading, may_go_on, read, without_lead_in
from cutmemo.language.lexicon.en import ONES, TENS
from cutmemo.memo.rows import Row

MIN_TWO_FIGURES = 10
_END_IN_T = (["eight"], ["foot"], ["feet"])
_NUMBER_OF = {
    f"{part}{s}": number
    for part, number in (("eighth", "eight"), ("sixteenth", "sixteen"), ("fourth", "four"))
    for s in ("", "s")
}
"""The number that a part of an inch begins with."""
_UNLIKELY = frozenset({DoubtKind.TOO_MANY, DoubtKind.TOO_LONG, DoubtKind.A_FOOT_OF_INCHES})


@dataclass(frozen=True, slots=True)
class FirstHalf:
    """What this station heard moments before, and what came of it."""

    said: str
    row: Row | None = None
    """The row it stands for; ``None`` where it stands for none."""
    refused: bool = False
    """True where it was speech and no call."""
    earlier: Row | None = None
    """The row that was called moments before it, where it was an order or was not understood."""


def joint_cuts(  # noqa: PLR0913 - each is a fact of its own
    first: FirstHalf,
    recognition: Recognition,
    words: str,
    is_a_call: bool,
    settings: Settings,
    in_doubt: bool = False,
) -> tuple[Cut, ...]:
    """Return the cuts that both halves may be together, by their sound and by their words; those no
    saw can make left out.

    *is_a_call* is true where the second is one by itself: then the words of both count only where
    the first may go on, and what nobody calls does not. What was not understood has no words that
    could be read. *in_doubt* is true where what nobody calls may be meant as well: right behind
    each other one of the halves asks by itself, or later both.
    """
    open_ended = first.refused or first.row is None or may_go_on(first.said)
    open_ended = open_ended or _adds_words(first, words, settings)
    if words and recognition.right_behind:
        open_ended = open_ended or _may_go_on(recognition.follows)
        open_ended = open_ended or _says_again(first, recognition, settings)
    of_sound: Sequence[Reading] = ()
    by_words: list[Reading] = []
    if open_ended or not is_a_call or not _same_words(first, recognition, words):
        of_sound = by_sound(recognition, settings)
    if words and (open_ended or not is_a_call) and not _is_noise(first):
        by_words += readings_of(f"{first.said} {words}", settings)
        if recognition.right_behind or not is_a_call:
            for once in _said_once(first.said, words):
                by_words += readings_of(once, settings)
            by_words += readings_of(_and_for_ten(first.said, words), settings)
        by_words += _with_part(first, readings_of(words, settings))
        if of_sound or by_words or recognition.right_behind:
            by_words += _by_other_words(recognition, settings)
        if recognition.right_behind and not by_words:
            parted = end_is_in_doubt(recognition.follows) or len(readings_of(words, settings)) > 1
            by_words += readings_of(_without_beginning(first.said, words, parted), settings)
    # The best of each first: neither the sound of both nor their words knows better.
    found = [*of_sound[:1], *by_words[:1], *of_sound[1:], *by_words[1:]]
    if is_a_call and not (first.refused or in_doubt):
        found = [each for each in found if not _is_unlikely(each, settings)]
    cuts = [each for each in cuts_of(found, first.row) if not check(each, (), settings).refusals]
    cuts = [each for each in cuts if first.row is None or not _stands_for(first.row, each)]
    if not _is_figure_by_figure(f"{first.said} {words}"):
        cuts.sort(key=lambda each: _is_too_long(each, settings))
    return tuple(dict.fromkeys(cuts))[: MAX_READINGS - 1]


def _stands_for(row: Row, cut: Cut) -> bool:
    """Return whether *row* stands for *cut* or asks about it already."""
    return cut in (row.cut, *row.readings)


def _is_figure_by_figure(words: str) -> bool:
    """Return whether all numbers among *words* are single figures, which are one number however
    long that is: "eight thirty eight" may be eight pieces as well.
    """
    numbers = (each for each in words.split() if each in ONES or each in TENS)
    return all(ONES.get(each, MIN_TWO_FIGURES) < MIN_TWO_FIGURES for each in numbers)


def _is_too_long(cut: Cut, settings: Settings) -> bool:
    """Return whether no board is long enough for *cut*."""
    return any(each.kind is DoubtKind.TOO_LONG for each in check(cut, (), settings).questions)


def _by_other_words(recognition: Recognition, settings: Settings) -> list[Reading]:
    """Return what both halves may mean together by any of the words that either may be, the
    likeliest first; those left out that together are further behind than the margin.
    """
    first = recognition.follows
    if first is None or not first.hypotheses or not recognition.hypotheses:
        return []
    margin = max(margin_for(first), margin_for(recognition))
    behind = sorted(
        (
            first.hypotheses[0].log_likelihood
            - one.log_likelihood
            + recognition.hypotheses[0].log_likelihood
            - other.log_likelihood,
            text,
        )
        for one in first.hypotheses
        for other in recognition.hypotheses
        if one.is_speech and other.is_speech
        for text in (f"{one.text} {other.text}", *_said_once(one.text, other.text))
    )
    return [each for far, text in behind if far <= margin for each in readings_of(text, settings)]


def _said_once(one: str, other: str) -> list[str]:
    """Return both halves with a word that ends one and begins the *other* said once: "two oh eight"
    and "eight and five eighths".

    The number of a part of an inch begins it as well, with or without a unit behind: "sixty one
    and three sixteenths" and "sixteen foot light" are one call that a pause in "sixteenths" parted.
    """
    last, (begins, *rest) = one.split()[-1:], other.split() or [""]
    if last == [begins]:
        return [" ".join([one, *rest])]
    if not last or not begins or _NUMBER_OF.get(last[0]) != begins:
        return []
    return [" ".join([one, *rest])] + (
        [" ".join([one, *rest[1:]])] if rest[:1] in (["foot"], ["feet"]) else []
    )


def _and_for_ten(one: str, other: str) -> str:
    """Return both halves with "and" for the "ten" that the *other* begins with, where *one* ends in
    a t that a pause parts from it: "two oh eight", "'t and five eighths". Else empty.
    """
    last, (begins, *rest) = one.split()[-1:], other.split() or [""]
    return " ".join([one, "and", *rest]) if last in _END_IN_T and begins == "ten" else ""


def _without_beginning(one: str, other: str, parted: bool) -> str:
    """Return both halves without what the *other* begins with, where *one* may go on: the end of a
    word that the pause parted is heard as a word, or as "get me". A figure counts for such an end
    only where a doubt tells that a word was *parted*. Empty where nothing is left.
    """
    begins, _, rest = other.partition(" ")
    led = without_lead_in(other)
    if led != other:
        rest = led
    elif begins in TENS or (begins in ONES and not (parted and ONES[begins] < MIN_TWO_FIGURES)):
        return ""
    return f"{one} {rest}" if rest and may_go_on(one) else ""


def _with_part(first: FirstHalf, rest: Sequence[Reading]) -> list[Reading]:
    """Return the row of the first half, of whole inches, with the part of an inch that *rest* says
    by itself: "sixty one", "then three sixteenths".
    """
    row = first.row
    if row is None or row.cut.length.inches.denominator != 1 or not may_go_on(first.said):
        return []
    found = []
    for each in rest:
        part = each.intent
        if isinstance(part, Cut) and part.length.inches < 1 and part.count == 1:
            whole = replace(row.cut.length, inches=row.cut.length.inches + part.length.inches)
            said = {
                name: value
                for name in ("allowance", "section", "piece", "place", "note")
                if (value := getattr(part, name)) is not None
            }
            found.append(replace(each, intent=replace(row.cut, length=whole, **said)))
    return found


def _adds_words(first: FirstHalf, words: str, settings: Settings) -> bool:
    """Return whether *words* may say more of the first half's cut and leave its length as it is:
    "jack stud for wall two".
    """
    row = first.row
    if row is None or not words or words.split()[0] in (*ONES, *TENS):
        return False
    return any(
        (each.length, each.count) == (row.cut.length, row.cut.count)
        for each in cuts_of(readings_of(f"{first.said} {words}", settings), row)
    )


def _may_go_on(first: Recognition | None) -> bool:
    """Return whether *first* may as well be words behind which more may come: "three at" was heard
    as "three eighths".
    """
    return any(each.is_speech and may_go_on(each.text) for each in _others(first))


def _says_again(first: FirstHalf, recognition: Recognition, settings: Settings) -> bool:
    """Return whether the second half, by any of its words, begins with what the *first* ends in,
    and both are a call where that is said once.
    """
    others = (each.text for each in (*recognition.hypotheses[:1], *_others(recognition)))
    return any(
        readings_of(once, settings) for other in others for once in _said_once(first.said, other)
    )


def _same_words(first: FirstHalf, recognition: Recognition, words: str) -> bool:
    """Return whether the sound of both says no more than the words of one after the other."""
    return recognition.joined is not None and recognition.joined.text == f"{first.said} {words}"


def _is_noise(first: FirstHalf) -> bool:
    return first.row is None and not first.refused


def _is_unlikely(reading: Reading, settings: Settings) -> bool:
    """Return whether two calls are likelier than *reading* as one: 102 of a piece, 108 feet, twelve
    foot nineteen.
    """
    found = check(reading.intent, (), settings).questions if isinstance(reading.intent, Cut) else ()
    return any(each.kind in _UNLIKELY for each in (*reading.doubts, *reading.warnings, *found))


def end_is_in_doubt(first: Recognition | None) -> bool:
    """Return whether *first* may as well end in another word, or without its last: a word that a
    pause cut in two is heard in doubt.
    """
    return first is not None and any(
        each.text.split()[-1:] != first.text.split()[-1:] for each in _others(first)
    )


def _others(heard: Recognition | None) -> list[Hypothesis]:
    """Return what else *heard* may be as well as its likeliest words."""
    if heard is None or not heard.hypotheses:
        return []
    best, *others = heard.hypotheses
    margin = margin_for(heard)
    return [each for each in others if best.log_likelihood - each.log_likelihood <= margin]


def by_sound(recognition: Recognition, settings: Settings) -> tuple[Reading, ...]:
    """Return what the sound of both may mean.

    Nothing where the second adds nothing to what was heard as one before.
    """
    before = recognition.follows.joined if recognition.follows is not None else None
    if recognition.joined is None or (before and before.text == recognition.joined.text):
        return ()
    try:
        heard = interpret(recognition.joined, settings)
    except (NotACall, Refused):
        return ()
    return () if heard is None else heard.readings


def cuts_of(readings: Iterable[Reading], row: Row | None) -> list[Cut]:
    """Return the cuts among *readings*, a correction applied to *row*."""
    found = []
    for each in readings:
        if isinstance(each.intent, Cut):
            found.append(each.intent)
        elif isinstance(each.intent, Change) and row is not None:
            found.append(each.intent.applied(row.cut))
    return found


def readings_of(said: str, settings: Settings) -> tuple[Reading, ...]:
    """Return what *said* may mean; nothing where it is no call."""
    try:
        return read(said, settings, by_voice=True)
    except (NotACall, Refused):
        return ()

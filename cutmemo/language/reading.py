"""The one entry to the grammar: a call's words in, its readings out, or a refusal that says why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.domain.signs import code_point, hidden_sign, visible
from cutmemo.errors import NotACall, Refused
from cutmemo.language.grammar.alike import alike, spoken_alike
from cutmemo.language.grammar.boards import boards
from cutmemo.language.grammar.columns import parted_by_dashes
from cutmemo.language.grammar.commands import command
from cutmemo.language.grammar.corrections import changed_underway, correction
from cutmemo.language.grammar.cuts import all_fields, allowance_inside, cut
from cutmemo.language.grammar.ends import beveled_along
from cutmemo.language.grammar.framing import framing
from cutmemo.language.grammar.lengths import fraction
from cutmemo.language.grammar.partial import Parsed, Partial, finished
from cutmemo.language.grammar.places import numbers_one_of_its_kind
from cutmemo.language.grammar.row_by_words import row_by_words
from cutmemo.language.grammar.rows import from_row, on_row
from cutmemo.language.grammar.scan import Scan, TooTwistedError
from cutmemo.language.grammar.tokens import Token, spoken, typed
from cutmemo.language.grammar.units_of_a_house import with_numbers_of_units
from cutmemo.language.intent import Reading
from cutmemo.language.lexicon.en import (
    ANGLED,
    CHEEKS,
    FILLERS,
    LEAD_INS,
    ONES,
    PIECES,
    PITCHED,
    REACHES,
    TENS,
    VAGUE,
)

MAX_CHARACTERS = 8_000
"""A longer line is no list that somebody types or reads out."""
_VAGUE = frozenset(words[-1] for words in VAGUE)


def tokens_of(said: str, by_voice: bool) -> tuple[Token, ...]:
    """Return the tokens of *said*. Raises :class:`Refused` where it is too long for any call, or
    hides a sign.
    """
    if len(said) > MAX_CHARACTERS:
        too_long = doubt(DoubtKind.LINE_TOO_LONG, most=MAX_CHARACTERS)
        raise Refused(said[:MAX_ECHO], (too_long,))
    sign = hidden_sign(said)
    if sign is not None:
        raise Refused(visible(said), (doubt(DoubtKind.HIDDEN_SIGN, sign=code_point(sign)),))
    return spoken(said) if by_voice else with_numbers_of_units(parted_by_dashes(typed(said)))


MAX_ECHO = 40
"""So much of a line that is too long is said back."""


def read(
    said: str, settings: Settings | None = None, by_voice: bool = False
) -> tuple[Reading, ...]:
    """Return every reading of *said*, at least one.

    *by_voice* takes the words as a recogniser gives them; otherwise signs and
    figures are read as well. The time it takes grows with the length of *said*, no faster.
    Raises :class:`NotACall` where words are left over or nothing fits, and
    :class:`Refused` where the words are clear but no tape has such a length.
    """
    tokens = tokens_of(said, by_voice)
    words = tuple(token.text for token in tokens)
    scan = Scan(tokens, settings or Settings(), by_voice)
    try:
        found = _everything(scan) if tokens else []
        found = found or _of_a_row(scan) or _like_the_last(scan) or _with_words_kept(scan)
    except TooTwistedError as error:
        raise Refused(said, (doubt(DoubtKind.TOO_TWISTED),)) from error
    good = [each.reading for each in found if not each.refusals]
    if good:
        return _merged(good)
    if found:
        raise Refused(said, _reasons(found))
    vague = next((token.word for token in tokens if token.word in _VAGUE), None)
    if vague is not None:
        raise Refused(said, (doubt(DoubtKind.NO_NUMBER, Field.COUNT, word=vague),))
    ends = _only_ends(scan)
    if ends is not None:
        raise Refused(said, (doubt(ends, Field.ENDS),))
    raise NotACall(words, scan.furthest, scan.expected)


_OF_ENDS = frozenset({"square"}).union(
    *(each.words() for each in (REACHES, ANGLED, PITCHED, CHEEKS))
)
"""One of these says that ends are meant."""


def _only_ends(scan: Scan) -> DoubtKind | None:
    """Return what is missing where a typed line names ends and no length, or a cheek without its
    pitch; ``None`` elsewhere.
    """
    if scan.by_voice or not any(token.word in _OF_ENDS for token in scan.tokens):
        return None  # 45 45: two lengths as well
    words = ["", *(token.word for token in scan.tokens)]
    if any(word == "cheek" and before != "dormer" for before, word in pairwise(words)):
        return DoubtKind.CHEEK_WITHOUT_PITCH
    if any(end == len(scan.tokens) for _, end in scan.every(beveled_along, 0)):
        return DoubtKind.ENDS_WITHOUT_LENGTH
    for partial in all_fields(scan, 0, Partial()):
        if partial.ends and partial == Partial(ends=partial.ends):
            return DoubtKind.ENDS_WITHOUT_LENGTH
    return None


def good_readings(scan: Scan, keeps_words: bool = False) -> tuple[Reading, ...]:
    """Return every reading of all tokens of *scan* that a tape has; none where there is none."""
    try:
        found = _everything(scan) or (_with_words_kept(scan) if keeps_words else [])
        return _merged([each.reading for each in found if not each.refusals])
    except TooTwistedError:
        return ()


def _everything(scan: Scan) -> list[Parsed]:
    """everything = command | correction | boards | framing | cut, of all tokens; else of those that
    mean something
    """
    found = list(dict.fromkeys(_readings(scan)))
    if found or not scan.tokens:
        return found
    meant = _without_fillers(scan.tokens, scan.by_voice)
    if not meant or meant == scan.tokens:
        return []
    rest = Scan(meant, scan.settings, scan.by_voice, whole=scan.whole)
    found = [_perhaps_a_count(each) for each in dict.fromkeys(_readings(rest))]
    if scan.word(0) in _POINTING:
        found = [_perhaps_a_correction(each) for each in found]
    return _led(found, scan, meant)


def _led(found: list[Parsed], scan: Scan, meant: tuple[Token, ...]) -> list[Parsed]:
    """Return *found*, marked where "another", or "cut" by itself, stands before what is *meant*:
    "cut me 36" and "let's cut 36" ask for a piece.
    """
    led = [token.word for token in scan.tokens[: scan.tokens.index(meant[0])]]
    lead: Literal["", "cut", "another"] = "another" if "another" in led else ""
    for at, word in enumerate(led):
        beside = {*led[at + 1 : at + 2], *led[max(at - 1, 0) : at]}
        if word == "cut" and not beside & _CALLS_FOR_A_CUT:
            lead = "cut"
    return [replace(each, reading=replace(each.reading, lead=lead)) for each in found]


_CALLS_FOR_A_CUT = frozenset({"me", "us", "to", "let's"})
"""Beside "cut": a piece is asked for, and none is told to be cut."""


def _of_a_row(scan: Scan) -> list[Parsed]:
    """Return what a typed line says of a row that it names by words of its call."""
    if scan.by_voice or not scan.tokens:
        return []
    apart = Scan(scan.tokens, scan.settings, by_voice=False)  # what is sought here is not missed
    return list(dict.fromkeys(row_by_words(apart)))


def _like_the_last(scan: Scan) -> list[Parsed]:
    """Return what a line calls that is like the cut called last, but for what it says."""
    if scan.by_voice or not scan.tokens:
        return list(dict.fromkeys(spoken_alike(scan))) if scan.tokens else []
    apart = Scan(scan.tokens, scan.settings, by_voice=False)  # what is sought here is not missed
    return list(dict.fromkeys(alike(apart)))


def _with_words_kept(scan: Scan) -> list[Parsed]:
    """Return the cuts in which typed words of no table stand, where nothing else can be read.

    What could be read without them is so never read another way.
    """
    meant = () if scan.by_voice else _without_fillers(scan.tokens, by_voice=False)
    if not meant:
        return []
    rest = Scan(meant, scan.settings, by_voice=False, keeps_words=True, whole=scan.whole)
    found = dict.fromkeys(cut(rest))
    kept: dict[object, Parsed] = {}
    for each in map(_perhaps_how_many, found):
        said, doubts = each.reading.intent, each.reading.doubts
        asked = any(one.kind is DoubtKind.UNKNOWN_WORDS for one in doubts)
        if isinstance(said, Cut) and asked:  # what the words are kept as is worth no question
            kept.setdefault(replace(said, piece=None, place=None, note=None), each)
        else:
            kept[each] = each
    return _led(list(kept.values()), scan, meant)


def _perhaps_how_many(parsed: Parsed) -> Parsed:
    """Return *parsed*, doubtful where a number stands behind a place that has none of its own: of
    north wall 8 it may be how many.
    """
    cut = parsed.reading.intent
    place = cut.place if isinstance(cut, Cut) else None
    if place is None or not numbers_one_of_its_kind(place.lower()):
        return parsed
    asked = doubt(DoubtKind.UNKNOWN_WORDS, Field.COUNT, Field.PLACE, said=place)
    return replace(parsed, reading=replace(parsed.reading, doubts=(asked, *parsed.reading.doubts)))


_POINTING = ("that's", "it's")


def _perhaps_a_correction(parsed: Parsed) -> Parsed:
    """Return *parsed*, doubtful where it is a length and nothing else: "that's 58-3/4"."""
    cut = parsed.reading.intent
    if not isinstance(cut, Cut) or cut != Cut(cut.length):
        return parsed
    asked = doubt(DoubtKind.NEW_OR_CORRECTION, Field.LENGTH)
    return replace(parsed, reading=replace(parsed.reading, doubts=(*parsed.reading.doubts, asked)))


MAX_BARE_COUNT = 24
"""Up to here a bare number behind "give me" may be how many."""


def _perhaps_a_count(parsed: Parsed) -> Parsed:
    """Return *parsed*, doubtful where it is a bare small number behind "give me" and the like."""
    cut = parsed.reading.intent
    if not isinstance(cut, Cut) or cut != Cut(cut.length):
        return parsed
    inches = cut.length.inches
    if inches.denominator != 1 or inches > MAX_BARE_COUNT:
        return parsed
    asked = doubt(DoubtKind.COUNT_OR_LENGTH, Field.COUNT, Field.LENGTH, count=int(inches))
    doubts = (*parsed.reading.doubts, asked)
    return replace(parsed, reading=replace(parsed.reading, doubts=doubts))


def _without_fillers(tokens: tuple[Token, ...], by_voice: bool) -> tuple[Token, ...]:
    """Return *tokens* without what a call may begin with and without what may stand anywhere in
    it.
    """
    probe = Scan(tokens, Settings(), by_voice=False)
    start, begun = _past_and(probe, by_voice), True
    while begun:
        found = (*probe.find(LEAD_INS, start), *probe.find(FILLERS, start))
        leads = [end for _, end in found if not _is_no_lead_in(probe, end)]
        begun = bool(leads)
        start = max(leads, default=start)
        if begun and probe.word(start) == ",":
            start += 1
    kept: list[Token] = []
    at = start
    while at < len(tokens):
        fillers = [end for _, end in probe.find(FILLERS, at)]
        if fillers:
            at = max(fillers)
            continue
        article = at == start and tokens[at].word in ("a", "an")
        if article and (_is_number(tokens, at + 1) or probe.stands(PIECES, at + 1)):
            at += 1
            continue
        kept.append(tokens[at])
        at += 1
    while kept and kept[-1].word == ",":
        kept.pop()
    return tuple(kept)


def without_lead_in(said: str) -> str:
    """Return *said*, which was heard, without what a call may begin with: "get me" of "get me
    eight".
    """
    tokens = spoken(said)
    meant = _without_fillers(tokens, by_voice=True)
    return " ".join(token.word for token in meant)


def _is_no_lead_in(scan: Scan, at: int) -> bool:
    """Return whether the word before *at* leads in nothing: "cut row 4" is an order."""
    return at > 0 and (scan.word(at - 1), scan.word(at)) in (("cut", "row"), ("need", "no"))


def _past_and(scan: Scan, by_voice: bool) -> int:
    """Return the position after a typed "and" before a number that is no fraction: "and a 30-1/2".

    By voice it may be the rest of a call: "one hundred", "and thirty six".
    """
    if by_voice or scan.word(0) != "and":
        return 0
    number = 2 if scan.word(1) in ("a", "an") else 1
    fractions = [*scan.every(fraction, 1), *scan.every(fraction, number)]
    return 1 if _is_number(scan.tokens, number) and not fractions else 0


def _is_number(tokens: tuple[Token, ...], at: int) -> bool:
    """Return whether a number stands at *at* that "a" does not count: "a thirty and a half"."""
    if at >= len(tokens):
        return False
    token = tokens[at]
    return (
        token.kind in ("number", "decimal", "fraction", "section")
        or token.word in ONES
        or token.word in TENS
    )


def _readings(scan: Scan) -> Iterator[Parsed]:
    all_of_it = len(scan.tokens)
    orders = [order for order, end in command(scan) if end == all_of_it]
    yield from (Parsed(Reading(order)) for order in orders)
    for partial in correction(scan) if not orders else ():  # "scratch that one" is no 1 in.
        yield finished(partial, cut=False)
    for stock, end in boards(scan):
        if end == all_of_it:
            yield Parsed(stock)
    for called, end in scan.every(framing, 0):
        if end == all_of_it:
            yield Parsed(Reading(called))
    yield from on_row(scan)
    yield from from_row(scan)
    yield from cut(scan)
    yield from allowance_inside(scan)
    yield from changed_underway(scan)


def _merged(readings: list[Reading]) -> tuple[Reading, ...]:
    """Return one reading for each different meaning: the one with the fewest doubts."""
    best: dict[object, Reading] = {}
    for reading in readings:
        kept = best.get(reading.intent)
        if kept is None or len(reading.doubts) < len(kept.doubts):
            best[reading.intent] = reading
    return tuple(best.values())


def _reasons(found: list[Parsed]) -> tuple[Doubt, ...]:
    """Return each reason once."""
    return tuple(dict.fromkeys(reason for each in found for reason in each.refusals))

"""Whole calls: a length with its fields in any order, a correction, or a command."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import SQUARE, Cut, End
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.length import Length
from cutmemo.language.grammar.fields import (
    EndSaid,
    amount_words,
    any_number,
    count_after,
    count_before,
    end_said,
    exact,
    note,
    piece,
    place,
    section,
    shade,
)
from cutmemo.language.grammar.framing import framing
from cutmemo.language.grammar.lengths import PLURAL_ENDS, denominator, length, parts
from cutmemo.language.grammar.numbers import below_hundred, digit, spoken_below_hundred, whole
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.intent import Amount, BoardsCall, Change, Command, Reading, Trouble, Verb
from cutmemo.language.lexicon.en import PLURAL_PIECES, PLURALS, TENS

MAX_BOARD_FEET = 60
"""No board is longer: "three sixteen footers" is three of 16 ft."""
MANY = 12
"""From here on "make it n" may as well be a length."""


@dataclass(frozen=True, slots=True)
class Partial:
    """What has been read of a call so far."""

    change: Change = field(default_factory=Change)
    amount: Amount | None = None
    ends: tuple[EndSaid, ...] = ()
    exact: bool = False
    plural: str = ""
    """The piece as it was said, where that was more than one."""


@dataclass(frozen=True, slots=True)
class Parsed:
    """A reading with what cannot be right about it."""

    reading: Reading
    refusals: tuple[Doubt, ...] = ()


def sayings(scan: Scan) -> list[Parsed]:
    """Return every reading of all tokens; none where the call does not fit."""
    found = [said for said, end in _everything(scan) if end == len(scan.tokens)]
    return list(dict.fromkeys(found))


def _everything(scan: Scan) -> Iterator[tuple[Parsed, int]]:
    """everything = command | correction | boards | framing | cut"""
    for command, end in _command(scan):
        yield Parsed(Reading(command)), end
    for partial, end in _correction(scan):
        yield _said(partial, cut=False), end
    for stock, end in _boards(scan):
        yield Parsed(Reading(stock)), end
    for called, end in scan.every(framing, 0):
        yield Parsed(Reading(called)), end
    for partial in _fields(scan, 0, Partial()):
        if partial.amount is not None:
            yield _said(partial, cut=True), len(scan.tokens)
    yield from _changed_underway(scan)


def _changed_underway(scan: Scan) -> Iterator[tuple[Parsed, int]]:
    """changed_underway = cut [","] ("no" ["make that"] | "scratch that") fields, which replace what they name"""
    for spot in range(1, len(scan.tokens) - 1):
        if scan.word(spot) != "no" and scan.phrase(spot, ("scratch", "that")) is None:
            continue
        first = Scan(
            scan.tokens[: spot - 1 if scan.word(spot - 1) == "," else spot],
            scan.settings,
            scan.by_voice,
        )
        second = Scan(scan.tokens[spot:], scan.settings, scan.by_voice)
        before = [said for said in sayings(first) if not said.refusals]
        for partial, _ in _correction(second) if before else ():
            after = _said(partial, cut=False)
            for said in before:
                cut, change = said.reading.intent, after.reading.intent
                if isinstance(cut, Cut) and isinstance(change, Change):
                    doubts = _left_over(said, change) + after.reading.doubts
                    yield (
                        Parsed(
                            replace(after.reading, intent=change.applied(cut), doubts=doubts),
                            after.refusals,
                        ),
                        len(scan.tokens),
                    )


def _left_over(said: Parsed, change: Change) -> tuple[Doubt, ...]:
    """Return the doubts of *said* about what *change* does not replace."""
    named = change.named()
    return tuple(each for each in said.reading.doubts if not each.about & named)


def _uncounted(piece_said: str) -> tuple[Doubt, ...]:
    """Return the doubt about a piece that was said as more than one without a number; nothing for nothing."""
    if not piece_said:
        return ()
    return (doubt(DoubtKind.UNCOUNTED, Field.COUNT, Field.PIECE, said=piece_said),)


def _said(partial: Partial, cut: bool) -> Parsed:
    """Return the reading of a finished *partial*."""
    amount = partial.amount or Amount(Fraction(0))
    change = replace(
        partial.change,
        length=None if partial.amount is None else Length(amount.inches),
        ends=_both_ends(partial.ends),
    )
    uncounted = partial.plural if cut and change.count is None else ""
    doubts = amount.doubts + _uncounted(uncounted)
    return Parsed(
        Reading(change.cut() if cut else change, doubts, amount.warnings), amount.refusals
    )


def _both_ends(said: tuple[EndSaid, ...]) -> tuple[End, End] | None:
    """Return both ends of the piece from what was said of them, or ``None`` if nothing was."""
    if not said:
        return None
    ends: list[End] = []
    for each in said:
        if each.end is not None:
            ends += [each.end, each.end] if each.reach == "both" else [each.end]
    pair = [*ends, SQUARE, SQUARE][:2]
    points = next((each.points for each in said if each.points is not None), None)
    if points is not None:
        if len(ends) == 1:
            pair[1] = pair[0]
        pair = [replace(end, point=point) for end, point in zip(pair, points, strict=True)]
    return pair[0], pair[1]


def _fields(scan: Scan, at: int, sofar: Partial) -> Iterator[Partial]:
    """fields = { count | length | shade | section | piece | end | place | note | exact | "," } each at most once"""
    if at == len(scan.tokens):
        if sofar.amount is None:
            scan.missed(at, "a length")
        yield sofar
        return
    for partial, after in _field(scan, at, sofar):
        yield from _fields(scan, after, partial)


def _field(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """Yield *sofar* with one more field read at *at*."""
    if scan.word(at) == "," and at > 0:
        yield sofar, at + 1
        return
    yield from (
        _after_length(scan, at, sofar)
        if sofar.amount is not None
        else _length_or_count(scan, at, sofar)
    )
    for name, rule in _FIELDS.items():
        if getattr(sofar.change, name) is None:
            for found, after in scan.every(rule, at):
                last = scan.word(after - 1)
                plural = last if name == "piece" and last in PLURAL_PIECES else sofar.plural
                yield (
                    replace(sofar, change=replace(sofar.change, **{name: found}), plural=plural),
                    after,
                )
    if len(sofar.ends) < 3:
        for end, after in scan.every(end_said, at):
            if _room_for(sofar.ends, end):
                yield replace(sofar, ends=(*sofar.ends, end)), after


_FIELDS: dict[str, Callable[[Scan, int], Iterator[tuple[Any, int]]]] = {
    "section": section,
    "piece": piece,
    "note": note,
}
"""What may be named anywhere in a call, each once."""


def _length_or_count(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """length | count_before | counted_plural | "at" after a count"""
    change = sofar.change
    for amount, after in scan.every(length, at):
        yield replace(sofar, amount=amount), after
    if change.count is None:
        for (count, amount), after in scan.every(counted_plural, at):
            yield replace(sofar, amount=amount, change=replace(change, count=count)), after
        for number, after in scan.every(count_before, at):
            yield replace(sofar, change=replace(change, count=number)), after
    elif scan.word(at) == "at":  # six two by six at fourteen: the count came before the board
        yield sofar, at + 1


def _after_length(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """count_after | place | shade | exact: what only a length can be followed by"""
    change = sofar.change
    if change.count is None:
        for number, after in scan.every(count_after, at):
            yield replace(sofar, change=replace(change, count=number)), after
    if change.place is None:
        for found_place, after in scan.every(place, at):
            yield replace(sofar, change=replace(change, place=found_place)), after
    if sofar.exact or change.shade is not None:
        return
    for found_shade, after in scan.every(shade, at):
        yield replace(sofar, change=replace(change, shade=found_shade)), after
    even = exact(scan, at)
    if even is not None:
        yield replace(sofar, exact=True), even


def _room_for(ends: tuple[EndSaid, ...], more: EndSaid) -> bool:
    """Return whether *more* says something that was not said yet."""
    taken = sum(2 if each.reach == "both" else 1 for each in ends if each.end is not None)
    if more.only_point and any(each.end is not None and each.end.point is None for each in ends):
        return False
    if more.end is None:
        return all(each.points is None for each in ends)
    return taken + (2 if more.reach == "both" else 1) <= 2


def counted_plural(scan: Scan, at: int) -> Iterator[tuple[tuple[int, Amount], int]]:
    """counted_plural = amount plural length: "two forty twos", "four fourteen and a halfs" """
    for count, after in scan.every(spoken_below_hundred, at):
        for value, end in _plural_whole(scan, after):
            yield (count, Amount(Fraction(value))), end
        for number, middle in scan.every(whole, after):
            joined = scan.take(middle, "and") or middle
            if scan.word(joined) not in ("a", "an", "one"):
                continue
            for under, end in scan.every(denominator, joined + 1):
                if scan.word(end - 1) in PLURAL_ENDS:
                    part = parts(1, under)
                    yield (count, replace(part, inches=number.value + part.inches)), end
    yield from _count_or_run(scan, at)


def _plural_whole(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """[tens] plural: "fourteens", "forty twos", "nineties" """
    word = scan.word(at)
    if word in PLURALS:
        yield PLURALS[word], at + 1
    follow = PLURALS.get(scan.word(at + 1), 0)
    if word in TENS and 0 < follow < 10:
        yield TENS[word] + follow, at + 2


def _count_or_run(scan: Scan, at: int) -> Iterator[tuple[tuple[int, Amount], int]]:
    """digit length: "four fourteen and a half" may be four of 14-1/2, once 414 is past most boards"""
    count = digit(scan, at)
    if count is None or count < 3:
        return
    if any(
        number.value > 11
        for number, _ in scan.every(below_hundred, at + 1)
        if number.style != "typed"
    ):
        for amount, end in scan.every(length, at + 1):
            yield (count, amount), end


def _boards(scan: Scan) -> Iterator[tuple[BoardsCall, int]]:
    """boards = ["a" | amount ["of"]] ( [section] footers | footers section ), for the rack"""
    starts = [(1, 0), *([(1, 1)] if scan.word(0) in ("a", "an") else [])]
    for amount, after in scan.every(amount_words, 0):
        starts.append((amount, scan.take(after, "of", "pieces") or after))
    for count, start in starts:
        for inches, after in _footers(scan, start):
            yield BoardsCall(Length(inches), count), after
            for size, end in scan.every(section, after):
                yield BoardsCall(Length(inches), count, size), end
        for size, after in scan.every(section, start):
            for inches, end in _footers(scan, after):
                yield BoardsCall(Length(inches), count, size), end


def _footers(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """footers = number "footer" """
    for number, after in scan.every(any_number, at):
        if 0 < number <= MAX_BOARD_FEET and scan.word(after) in ("footer", "footers"):
            yield Fraction(number * 12), after + 1


def _correction(scan: Scan) -> Iterator[tuple[Partial, int]]:
    """correction = ("no" ["make that"] | "make that" | "change it to" …) fields | count_after"""
    leads = (
        ("no", "make", "that"),
        ("no", "make", "it"),
        ("no", "change", "it", "to"),
        ("no", "change", "that", "to"),
        ("make", "that"),
        ("change", "it", "to"),
        ("change", "that", "to"),
        ("no",),
        ("no", ","),
        ("no", ",", "make", "that"),
        ("no", ",", "make", "it"),
        ("scratch", "that"),
        ("scratch", "that", ","),
    )
    for lead in leads:
        after = scan.phrase(0, lead)
        if after is not None and after < len(scan.tokens):
            for partial in _fields(scan, after, Partial()):
                if partial != Partial() and not _counts_a_board(partial):
                    yield partial, len(scan.tokens)
    for lead in (("make", "it"), ("no", "make", "it")):
        after = scan.phrase(0, lead)
        if after is not None:
            yield from _make_it(scan, after)
    needed = scan.take(0, "need")
    if needed is not None:
        for count, end in scan.every(amount_words, needed):
            yield Partial(Change(count=count)), end


def _counts_a_board(partial: Partial) -> bool:
    """Return whether a number was taken for a count only because a board follows: "no, thirty six header" is a length"""
    change = partial.change
    named = change.piece is not None or change.section is not None
    return partial.amount is None and change.count is not None and named


def _make_it(scan: Scan, at: int) -> Iterator[tuple[Partial, int]]:
    """ "make it" count; from a dozen on it may as well be a length, and with a fraction it is one"""
    for count, end in scan.every(amount_words, at):
        yield Partial(Change(count=count)), end
    for amount, end in scan.every(length, at):
        if amount.inches.denominator != 1 or amount.inches >= MANY or end > at + 1:
            yield Partial(amount=amount), end


_COMMANDS: dict[str, tuple[Verb, int]] = {
    **dict.fromkeys(
        (
            "scratch that",
            "scratch the last one",
            "cancel that",
            "cancel the last one",
            "cancel",
            "strike that",
            "strike it",
        ),
        ("strike", 0),
    ),
    **dict.fromkeys(("undo", "undo that"), ("undo", 0)),
    **dict.fromkeys(("redo", "redo that"), ("redo", 0)),
    **dict.fromkeys(("say again", "read it back", "read that back"), ("read back", 0)),
    "same again": ("same", 0),
    **dict.fromkeys(("put it back", "put that back"), ("put back", 0)),
    **dict.fromkeys(
        ("next", "next piece", "next one", "done", "cut", "that's cut", "clear", "clear it"),
        ("clear", 0),
    ),
    "clear all": ("clear all", 0),
    **dict.fromkeys(("the first", "first"), ("answer", 1)),
    **dict.fromkeys(("the second", "second"), ("answer", 2)),
    **dict.fromkeys(("the third", "third"), ("answer", 3)),
    **dict.fromkeys(("yes", "correct"), ("yes", 0)),
    "no": ("no", 0),
    **dict.fromkeys(("listen", "resume"), ("listen", 0)),
    **dict.fromkeys(("pause", "stop"), ("pause", 0)),
    **dict.fromkeys(("hold", "hold it"), ("hold", 0)),
    **dict.fromkeys(("release", "release it"), ("release", 0)),
    **dict.fromkeys(("skip", "skip it"), ("skip", 0)),
    **dict.fromkeys(("how many left", "how many"), ("how many", 0)),
    "what's next": ("what next", 0),
    "play it again": ("play", 0),
    "total": ("total", 0),
    "ten four": ("acknowledge", 0),
}
_TROUBLES: dict[str, Trouble] = {
    **dict.fromkeys(("cut short", "too short"), "short"),
    **dict.fromkeys(("cut long", "too long"), "long"),
    **dict.fromkeys(("wrong angle", "bad angle"), "wrong angle"),
    **dict.fromkeys(("bad stock", "bad board"), "bad stock"),
}
COMMAND_WORDS = (*_COMMANDS, *_TROUBLES)


def _command(scan: Scan) -> Iterator[tuple[Command, int]]:
    """command = one of the fixed phrases | number "more" | ("cancel" | "scratch" | "strike") "the" length"""
    said = " ".join(token.word for token in scan.tokens)
    if said in _COMMANDS:
        verb, number = _COMMANDS[said]
        yield Command(verb, number), len(scan.tokens)
    if said in _TROUBLES:
        yield Command("trouble", reason=_TROUBLES[said]), len(scan.tokens)
    for number, after in scan.every(any_number, 0):
        end = scan.take(after, "more", fits="more")
        if end is not None and number:
            yield Command("more", number), end
    for lead in (("cancel", "the"), ("scratch", "the"), ("strike", "the")):
        start = scan.phrase(0, lead)
        if start is not None:
            for amount, end in scan.every(length, start):
                yield Command("strike", length=Length(amount.inches)), end

"""Lengths the way crews say and write them, every reading there is."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.units import Unit, to_inches
from cutmemo.language.grammar.numbers import (
    Whole,
    below_hundred,
    four_figures,
    spoken_below_hundred,
    whole,
)
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import (
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    ONES,
    TAPE_DENOMINATORS,
    TENS,
    UNITS,
)

Found = Iterator[tuple[Amount, int]]

_HALF = Fraction(1, 2)
PLURAL_ENDS = frozenset(DENOMINATOR_PLURALS) | {"seconds"}
"""After "a" or "one" these are the cue for several pieces, not part of a length."""
_LONG_RUN = 480
"""Past 40 feet "five eleven" is no run of figures but five foot eleven."""


_FRACTION_ENDS = PLURAL_ENDS | frozenset(DENOMINATORS) | {"second"}


def unit(scan: Scan, at: int, name: Unit) -> int | None:
    """Return the position after *name* in any of its forms, or ``None``."""
    return scan.take(at, *UNITS[name], fits=name if name != "inch" else "inches")


def after_inch(scan: Scan, at: int) -> Iterator[int]:
    """[ "inch" | "inches" ]: both where it may go on, said or not."""
    yield at
    after = unit(scan, at, "inch")
    if after is not None:
        yield after


def parts(over: int, under: int) -> Amount:
    """Return *over*/*under* of an inch, refused where no tape has it."""
    refusals: tuple[Doubt, ...] = ()
    if under not in TAPE_DENOMINATORS:
        refusals = (doubt(DoubtKind.NOT_ON_A_TAPE, Field.LENGTH, over=over, under=under),)
    elif over == 0:
        refusals = (doubt(DoubtKind.NO_PARTS, Field.LENGTH, under=under),)
    elif over >= under:
        refusals = (doubt(DoubtKind.AN_INCH_OR_MORE, Field.LENGTH, over=over, under=under),)
    return Amount(Fraction(over, under) if under else Fraction(0), refusals=refusals)


def denominator(scan: Scan, at: int) -> Iterator[tuple[int, int]]:
    """denominator = "half" … "sixteenth(s)" | "thirty second(s)" | "sixty fourth(s)" """
    word = scan.word(at)
    found = DENOMINATORS.get(word, DENOMINATOR_PLURALS.get(word))
    if found is not None:
        yield found, at + 1
    if word == "thirty" and scan.word(at + 1) in ("second", "seconds"):
        yield 32, at + 2
    if word == "sixty" and scan.word(at + 1) in ("fourth", "fourths"):
        yield 64, at + 2
    scan.missed(at, "eighths")


def fraction(scan: Scan, at: int) -> Found:
    """fraction = ["a"] "half" | "quarter" | ( "a" | "an" | number ) denominator | typed 5/8"""
    token = scan.token(at)
    if token is None:
        scan.missed(at, "a fraction")
        return
    if token.kind == "fraction":
        yield parts(token.over, token.under), at + 1
        return
    if token.word == "half" or (
        token.word == "quarter" and not _counts(scan.word(at - 1) if at else "")
    ):
        yield Amount(Fraction(1, DENOMINATORS[token.word])), at + 1
    heads = [(1, at + 1)] if token.word in ("a", "an") else []
    heads += scan.every(spoken_below_hundred, at)
    for over, after in heads:
        for under, end in scan.every(denominator, after):
            if over > 1 or scan.word(end - 1) not in PLURAL_ENDS:
                yield parts(over, under), end
    if not heads:
        scan.missed(at, "a fraction")


def _counts(word: str) -> bool:
    """Return whether a fraction right after *word* has it for its numerator: three quarter is 3/4, not 3-1/4."""
    return word in ONES or word in TENS


def fraction_of_inch(scan: Scan, at: int) -> Found:
    """fraction [ "inch" | "of an inch" ]"""
    for amount, after in scan.every(fraction, at):
        for end in after_inch(scan, after):
            yield amount, end
        of_inch = scan.phrase(after, ("of", "an", "inch"))
        if of_inch is not None:
            yield amount, of_inch


def bare_part(scan: Scan, at: int) -> Found:
    """bare_part = "and" 1 … 15, with the eighths or sixteenths left off"""
    after = scan.take(at, "and")
    if after is None:
        return
    for over, end in scan.every(spoken_below_hundred, after):
        yield from ((amount, end) for amount in _left_off(scan, over))


def _left_off(scan: Scan, over: int) -> Iterator[Amount]:
    """Return what a bare number after the inches may be under the crew's settings."""
    bare = scan.settings.bare
    for under, name in ((8, "eighths"), (16, "sixteenths")):
        if 0 < over < under and bare in ("ask", name):
            doubts = (doubt(DoubtKind.PARTS_LEFT_OFF, Field.LENGTH),) if bare == "ask" else ()
            yield Amount(Fraction(over, under), doubts)


def tail(scan: Scan, at: int, bare: bool = True) -> Found:
    """tail = [ inches ] [ ["and"] fraction ] | [ inches ] bare_part: what may follow whole inches"""
    for middle in after_inch(scan, at):
        yield Amount(Fraction(0)), middle
        yield from scan.every(fraction_of_inch, middle)
        joined = scan.take(middle, "and")
        if joined is not None:
            yield from scan.every(fraction_of_inch, joined)
        if bare and middle == at:
            yield from scan.every(bare_part, at)


def figures(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """figures = [ number ] "point" digit … | typed decimal"""
    token = scan.token(at)
    if token is not None and token.kind == "decimal":
        yield token.value, at + 1
    heads: list[tuple[int, int]] = [(0, at)]
    heads += [
        (number.value, after) for number, after in scan.every(whole, at) if number.style != "typed"
    ]
    for head, after in heads:
        if scan.word(after) != "point":
            continue
        said = ""
        spot = after + 1
        while scan.word(spot) == "oh" or ONES.get(scan.word(spot), 10) < 10:
            said += str(ONES.get(scan.word(spot), 0))
            spot += 1
            yield Fraction(f"{head}.{said}"), spot
        scan.missed(spot, "a digit")


def inches(scan: Scan, at: int) -> Found:
    """inches = whole tail | ["an"|"a"] "inch" ["and" fraction] | fraction | figures | two bare numbers"""
    yield from scan.every(fraction_of_inch, at)
    for number, after in scan.every(whole, at):
        if number.style == "run" and _is_feet_run(number.value):
            continue
        open_hundred = number.style == "hundred" and number.value % 100 == 0
        for rest, end in tail(scan, after, bare=not open_hundred):
            yield rest.carrying(Amount(Fraction(0)), number.value + rest.inches), end
    yield from _improper(scan, at)
    yield from _one_inch(scan, at)
    for value, after in scan.every(figures, at):
        for end in after_inch(scan, after):
            yield Amount(value), end
    yield from two_numbers(scan, at)


def _is_feet_run(value: int) -> bool:
    """Return whether "five eleven" is past any board, so that only five foot eleven is left."""
    return value % 100 in (10, 11) and value > _LONG_RUN


def _improper(scan: Scan, at: int) -> Found:
    """tens digit denominator: "thirty three eighths" may be 33/8 as well as 30-3/8"""
    for number, after in scan.every(below_hundred, at):
        if after != at + 2 or number.style != "plain":
            continue
        for under, end in scan.every(denominator, after):
            if under in TAPE_DENOMINATORS and number.value > under:
                yield Amount(Fraction(number.value, under)), end


def _one_inch(scan: Scan, at: int) -> Found:
    """["a" | "an"] "inch" [ "and" fraction ]"""
    start = at + 1 if scan.word(at) in ("a", "an") else at
    after = scan.take(start, "inch")
    if after is None:
        return
    yield Amount(Fraction(1)), after
    joined = scan.take(after, "and")
    if joined is not None:
        for rest, end in scan.every(fraction, joined):
            yield rest.carrying(Amount(Fraction(0)), 1 + rest.inches), end


def two_numbers(scan: Scan, at: int) -> Found:
    """two_numbers = number number [ ["and"] fraction ]: feet and inches, a run of digits, or bare sixteenths"""
    for first, middle in scan.every(below_hundred, at):
        second_is_oh = scan.word(middle) == "oh"
        seconds = (
            [(Whole(0, "plain"), middle + 1)] if second_is_oh else scan.every(below_hundred, middle)
        )
        for second, after in seconds:
            is_one_number = first.style == "tens" and second.value < 10 and second.style == "plain"
            if first.value == 0 or second.value > 15 or (is_one_number and not second_is_oh):
                continue
            for rest, end in scan.every(_fraction_only, after):
                for amount in _pair_readings(scan, first, second, rest.inches > 0):
                    yield rest.carrying(amount, amount.inches + rest.inches), end


def _fraction_only(scan: Scan, at: int) -> Found:
    """[ ["and"] fraction ] [ inches ]"""
    yield Amount(Fraction(0)), at
    yield from scan.every(fraction_of_inch, at)
    joined = scan.take(at, "and")
    if joined is not None:
        yield from scan.every(fraction_of_inch, joined)


def _pair_readings(scan: Scan, first: Whole, second: Whole, has_fraction: bool) -> Iterator[Amount]:
    """Return what two bare numbers may be under the crew's settings."""
    settings, spoken = scan.settings, first.style != "typed"
    feet = Fraction(first.value * 12 + second.value)
    is_run = spoken and first.value < 20 and second.value < 10
    is_hundreds = spoken and first.value < 3 and second.value > 9
    sixteenths = not has_fraction and second.value > 0 and settings.bare in ("ask", "sixteenths")
    if is_run:
        if settings.pairs != "feet":
            yield Amount(Fraction(first.value * 10 + second.value))
        sixteenths = sixteenths and settings.bare == "sixteenths"
    if sixteenths and not (is_hundreds and settings.bare == "ask"):
        doubts = (
            (doubt(DoubtKind.SIXTEENTHS_LEFT_OFF, Field.LENGTH),) if settings.bare == "ask" else ()
        )
        yield Amount(first.value + Fraction(second.value, 16), doubts)
    settled = (
        settings.bare == "sixteenths"
        and (first.value > 19 or settings.pairs == "inches")
        and not has_fraction
    )
    if is_hundreds or settled or (is_run and settings.pairs == "inches"):
        return
    if second.value < 12:
        unusual = settings.pairs == "ask" and (first.value > 19 or not spoken)
        yield Amount(feet, doubts=(doubt(DoubtKind.PERHAPS_FEET, Field.LENGTH),) if unusual else ())
    elif first.value > 19 and second.value == 12:
        yield Amount(feet, doubts=(doubt(DoubtKind.FEET_AND_TWELVE, Field.LENGTH),))


def feet(scan: Scan, at: int) -> Found:
    """feet = whole "foot" [["and"] inches] | whole "and" fraction "feet" | figures "feet" """
    yield from _fraction_of_feet(scan, at)
    for value, after in scan.every(figures, at):
        end = unit(scan, after, "foot")
        if end is not None:
            warning = doubt(
                DoubtKind.DECIMAL_FEET, Field.LENGTH, feet=value, inches=to_inches(value, "foot")
            )
            yield Amount(to_inches(value, "foot"), warnings=(warning,)), end
    heads: list[tuple[int, int]] = [
        (number.value, after) for number, after in scan.every(whole, at)
    ]
    if scan.word(at) == "a":
        heads.append((1, at + 1))
    for number, after in heads:
        end = unit(scan, after, "foot")
        if end is not None:
            yield from _inches_after_feet(scan, number, end)


def _fraction_of_feet(scan: Scan, at: int) -> Found:
    """whole "and" fraction "feet": eight and a half feet"""
    for number, after in scan.every(whole, at):
        joined = scan.take(after, "and")
        for start in (after, joined) if joined is not None else (after,):
            for part, middle in scan.every(fraction, start):
                end = unit(scan, middle, "foot")
                if end is not None:
                    yield (
                        part.carrying(
                            Amount(Fraction(0)), to_inches(number.value + part.inches, "foot")
                        ),
                        end,
                    )


def _inches_after_feet(scan: Scan, value: int, at: int) -> Found:
    """what follows "eight foot": nothing, inches, or a fraction that may be of the foot or of the inch"""
    base = to_inches(Fraction(value), "foot")
    yield Amount(base), at
    joined = scan.take(at, "and")
    for start in (at,) if joined is None else (at, joined):
        for part, end in scan.every(fraction, start):
            yield part.carrying(Amount(Fraction(0)), base + part.inches), end
            marked = unit(scan, end, "inch")
            if marked is not None:
                yield part.carrying(Amount(Fraction(0)), base + part.inches), marked
            elif scan.by_voice or scan.tokens[end - 1].kind != "fraction":
                yield (
                    part.carrying(Amount(Fraction(0)), to_inches(value + part.inches, "foot")),
                    end,
                )
        yield from _whole_inches_after_feet(scan, base, start)


def _whole_inches_after_feet(scan: Scan, base: Fraction, at: int) -> Found:
    """0 … 23 tail, twelve and over with a warning"""
    numbers = [(0, at + 1)] if scan.word(at) == "oh" else []
    numbers += [(number.value, after) for number, after in scan.every(below_hundred, at)]
    for number, after in numbers:
        if number > 23:
            continue
        warnings: tuple[Doubt, ...] = ()
        if number > 11:
            warnings = (
                doubt(DoubtKind.A_FOOT_OF_INCHES, Field.LENGTH, inches=number, all=base + number),
            )
        for rest, end in tail(scan, after):
            yield (
                rest.carrying(Amount(Fraction(0), warnings=warnings), base + number + rest.inches),
                end,
            )
    for value, after in scan.every(figures, at):
        if value < 12:
            for end in after_inch(scan, after):
                yield Amount(base + value), end


_METRIC: tuple[Unit, ...] = ("millimetre", "centimetre", "metre")


def metric(scan: Scan, at: int) -> Found:
    """metric = ( whole | four_figures | figures ) ( "millimetres" | "centimetres" | "metres" )"""
    heads: list[tuple[Fraction, int]] = list(scan.every(figures, at))
    heads += [(Fraction(number.value), after) for number, after in scan.every(whole, at)]
    heads += [(Fraction(number.value), after) for number, after in scan.every(four_figures, at)]
    for value, after in heads:
        for name in _METRIC:
            end = unit(scan, after, name)
            if end is not None:
                yield Amount(to_inches(value, name)), end


def plain(scan: Scan, at: int) -> Found:
    """plain = inches | feet | metric: a length without reckoning"""
    yield from scan.every(inches, at)
    yield from scan.every(feet, at)
    yield from scan.every(metric, at)


def length(scan: Scan, at: int) -> Found:
    """length = plain [ burning ] | plain ( "plus" | "minus" | "less" ) small | small "under" plain | "between" …"""
    for amount, after in scan.every(plain, at):
        yield amount, after
        yield from _burning(scan, amount, after)
        for sign, words in ((1, ("plus",)), (-1, ("minus", "less"))):
            joined = scan.take(after, *words)
            if joined is not None:
                for small, end in scan.every(fraction_of_inch, joined):
                    yield amount.carrying(small, amount.inches + sign * small.inches), end
        if scan.word(after - 1) in _FRACTION_ENDS:
            joined = scan.take(after, "and")
            if joined is not None:
                for small, end in scan.every(fraction_of_inch, joined):
                    yield amount.carrying(small, amount.inches + small.inches), end
    for small, after in scan.every(fraction_of_inch, at):
        yield from _off_a_length(scan, small, after)
    yield from _between(scan, at)


def _off_a_length(scan: Scan, small: Amount, at: int) -> Found:
    """small ( "under" | "over" | "shy of" | "short of" | "less than" | "more than" ) plain"""
    for sign, words in (
        (-1, ("under",)),
        (1, ("over",)),
        (-1, ("shy", "of")),
        (-1, ("short", "of")),
        (1, ("past",)),
        (-1, ("less", "than")),
        (1, ("more", "than")),
        (-1, ("off",)),
    ):
        joined = scan.phrase(at, words)
        if joined is not None:
            for amount, end in scan.every(plain, joined):
                yield amount.carrying(small, amount.inches + sign * small.inches), end


def _between(scan: Scan, at: int) -> Found:
    """ "between" plain "and" plain: the middle of both"""
    start = scan.take(at, "between", fits="a length")
    if start is None:
        return
    for low, middle in scan.every(plain, start):
        joined = scan.take(middle, "and")
        if joined is not None:
            for height, end in scan.every(plain, joined):
                yield low.carrying(height, (low.inches + height.inches) * _HALF), end


def _burning(scan: Scan, amount: Amount, at: int) -> Found:
    """ "burning" ( "an inch" | "one" | "ten" ): taken off already, or still to take off"""
    start = scan.take(at, "burning", "burned", "burnt", "burn", fits="burning an inch")
    if start is None:
        return
    an_inch = scan.phrase(start, ("an", "inch"))
    burned = (
        [(1, an_inch)] if an_inch is not None else list(scan.every(spoken_below_hundred, start))
    )
    for off, end in burned:
        asked = Amount(Fraction(0), (doubt(DoubtKind.BURNED_MARK, Field.LENGTH, off=off),))
        yield amount.carrying(asked, amount.inches), end
        yield amount.carrying(asked, amount.inches - off), end

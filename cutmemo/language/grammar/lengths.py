"""Lengths the way crews say and write them, every reading there is."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
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
from cutmemo.language.grammar.tokens import HYPHEN
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import (
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    HALF_ROOMS,
    MATERIALS,
    NOUGHT,
    ONES,
    PIECES,
    TAPE_DENOMINATORS,
    TENS,
    UNITS,
)

Found = Iterator[tuple[Amount, int]]

_LONG_RUN = 480
"""Past 40 feet "five eleven" is no run of figures but five foot eleven."""
FRACTION_ENDS = frozenset(
    words[-1] for words in (*DENOMINATORS.meanings, *DENOMINATOR_PLURALS.meanings)
)


def unit(scan: Scan, at: int, name: Unit) -> int | None:
    """Return the position after *name* in any of its forms, or ``None``."""
    found = scan.find(UNITS, at)
    if found and found[0][0] == name and not is_the_lower_end(scan, at):
        return found[0][1]
    scan.missed(at, UNITS.name(name))
    return None


def is_the_lower_end(scan: Scan, at: int) -> bool:
    """Return whether "foot" at *at* is the lower end of something: 35-1/2 foot of stair; but 8 foot
    of 2x4.
    """
    if scan.word(at) != "foot" or scan.word(at + 1) != "of":
        return False
    begin = at + 3 if scan.word(at + 2) in ("a", "the") else at + 2
    behind = scan.token(begin)
    sold = scan.find(PIECES, begin) or scan.find(MATERIALS, begin)
    return behind is not None and behind.kind == "word" and not (sold or behind.word in _NUMBERS)


_NUMBERS = frozenset({*ONES, *TENS})


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


def denominator(scan: Scan, at: int) -> Iterator[tuple[tuple[int, bool], int]]:
    """denominator = "half" … "sixty fourth", or a plural of it; yields the number and whether it
    was a plural
    """
    for under, end in scan.find(DENOMINATORS, at):
        yield (under, False), end
    for under, end in scan.find(DENOMINATOR_PLURALS, at):
        yield (under, True), end


def fraction(scan: Scan, at: int) -> Found:
    """fraction = ["a"] "half" | "quarter" | ( "a" | "an" | number ) denominator | typed 5/8"""
    token = scan.token(at)
    if token is None:
        scan.missed(at, "a fraction")
        return
    if token.kind == "fraction":
        yield parts(token.over, token.under), at + 1
        return
    before = scan.word(at - 1) if at else ""
    if token.word == "half" or (token.word == "quarter" and not _counts(before)):
        of_a_room = not scan.by_voice and before not in ("and", "a") and scan.stands(HALF_ROOMS, at)
        asked = (doubt(DoubtKind.AND_SWALLOWED, Field.LENGTH),) if of_a_room else ()
        yield Amount(Fraction(1, DENOMINATORS.get(token.word) or 1), asked), at + 1
    heads = [(1, at + 1)] if token.word in ("a", "an") else []
    heads += scan.every(spoken_below_hundred, at)
    if before == "and" and token.kind == "number":  # 48 and 3 eighths
        heads.append((int(token.value), at + 1))
    for over, after in heads:
        for (under, plural), end in scan.every(denominator, after):
            if over > 1 or not plural:
                yield parts(over, under), end
    if not heads:
        scan.missed(at, "a fraction")


def _counts(word: str) -> bool:
    """Return whether a fraction right after *word* has it for its numerator: three quarter is 3/4,
    not 3-1/4.
    """
    return word in ONES or word in TENS


def swallowed(scan: Scan, number: int, begin: int, at: int) -> Found:
    """A denominator right behind *number*, where an "and a" may have been swallowed: "fifty six
    quarter" is 56-1/4.

    A fraction in lowest terms and in the plural is one; so is "three quarter", which everybody
    says.
    """
    for (under, plural), end in scan.every(denominator, at):
        if under not in TAPE_DENOMINATORS or under == 2 or number < 2 or (number, under) == (3, 4):
            continue
        hundred, before, last = (scan.word(at - k) if at >= k else "" for k in (3, 2, 1))
        swallows = scan.by_voice and hundred == "hundred"  # a hundred and one quarter
        one_part = (before, last) == ("and", "one") and not swallows
        if one_part or (last == "sixty" and scan.word(at).startswith("fourth")):
            continue  # one sixty fourth
        whole_parts = number < under and math.gcd(number, under) == 1
        joined = any(token.word == "and" for token in scan.tokens[begin:at])
        if not plural or not (whole_parts or joined):
            asked = (doubt(DoubtKind.AND_SWALLOWED, Field.LENGTH),)
            yield Amount(number + Fraction(1, under), asked), end


def fraction_of_inch(scan: Scan, at: int) -> Found:
    """fraction [ "inch" | ["of"] "an" "inch" ]"""
    for amount, after in scan.every(fraction, at):
        for end in after_inch(scan, after):
            yield amount, end
        of = scan.take(after, "of") or after
        an = scan.take(of, "an")
        inch = unit(scan, an, "inch") if an is not None else None
        if inch is not None:
            yield amount, inch


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


def dashed(scan: Scan, at: int) -> Found:
    """dashed = number "-" number ["-"] fraction | number "-" number "-" number | number "-" number:
    plans and hasty hands

    Feet, inches and a fraction (7-8-5/8), or a fraction written with dashes (92-5-8), or with its
    eighths or sixteenths left off (92-5).
    """
    first, second = scan.token(at), scan.token(at + 2)
    if first is None or second is None or scan.word(at + 1) != HYPHEN:
        return
    if first.kind != "number" or second.kind != "number":
        return
    whole_part, over = int(first.value), int(second.value)
    settled = scan.settings.pairs == "feet"
    asked = () if settled else (doubt(DoubtKind.PERHAPS_FEET, Field.LENGTH),)
    if over < 12:
        for rest, end in scan.every(_fraction_only, at + 3):
            inches_in_all = to_inches(Fraction(whole_part), "foot") + over + rest.inches
            yield rest.carrying(Amount(Fraction(0), asked), inches_in_all), end
    third = scan.token(at + 4)
    if scan.word(at + 3) == HYPHEN and third is not None and third.kind == "number":
        part = parts(over, int(third.value))
        unclear = Amount(Fraction(0), (doubt(DoubtKind.DASHED_FRACTION, Field.LENGTH),))
        yield part.carrying(unclear, whole_part + part.inches), at + 5
        return
    for amount in _left_off(scan, over):
        yield amount.carrying(Amount(Fraction(0)), whole_part + amount.inches), at + 3


def _spaced(scan: Scan, at: int) -> Found:
    """spaced = number number number: 32 5 8, a fraction without its slash"""
    figures = [scan.token(at + n) for n in range(3)]
    numbers = [int(each.value) for each in figures if each is not None and each.kind == "number"]
    if len(numbers) == 3 and numbers[1] % 2 and numbers[1] < numbers[2] in TAPE_DENOMINATORS:
        asked = (doubt(DoubtKind.DASHED_FRACTION, Field.LENGTH),)
        yield Amount(numbers[0] + Fraction(numbers[1], numbers[2]), asked), at + 3


def tail(scan: Scan, at: int, bare: bool = True) -> Found:
    """tail = [ inches ] [ ["and"] fraction ] | [ inches ] bare_part: what may follow whole
    inches
    """
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
    """inches, and of a crew whose figures are millimetres as many of these where a fraction but no
    unit is said
    """
    for amount, end in _inches(scan, at):
        yield amount, end
        said = scan.settings.figures == "mm" and amount.inches > 1 and not amount.refusals
        if said and _has_a_fraction_and_no_unit(scan, at, end):
            yield replace(amount, inches=to_inches(amount.inches, "millimetre")), end


def _has_a_fraction_and_no_unit(scan: Scan, at: int, end: int) -> bool:
    """Return whether a fraction is said from *at* to *end*, and no unit."""
    if any(scan.stands(UNITS, spot) for spot in range(at, end)):
        return False
    return any(
        scan.tokens[spot].kind == "fraction" or scan.word(spot) in FRACTION_ENDS
        for spot in range(at, end)
    )


def _inches(scan: Scan, at: int) -> Found:
    """inches = whole tail | ["an"|"a"] "inch" ["and" fraction] | fraction | figures | two bare
    numbers
    """
    yield from scan.every(fraction_of_inch, at)
    for number, after in scan.every(whole, at):
        if number.style == "run" and _is_feet_run(scan, number.value):
            continue
        open_hundred = number.style == "hundred" and number.value % 100 == 0
        for rest, end in tail(scan, after, bare=not open_hundred):
            if end == after:
                yield from ((amount, end) for amount in _without_unit(scan, Fraction(number.value)))
            else:
                yield rest.carrying(Amount(Fraction(0)), number.value + rest.inches), end
        yield from swallowed(scan, number.value, at, after)
    yield from dashed(scan, at)
    if scan.keeps_words:
        yield from _spaced(scan, at)
    yield from _improper(scan, at)
    yield from one_inch(scan, at)
    for value, after in scan.every(figures, at):
        for end in after_inch(scan, after):
            amounts = [Amount(value)] if end > after else _without_unit(scan, value)
            yield from ((amount, end) for amount in amounts)
    if scan.settings.figures == "mm":
        for number, after in scan.every(four_figures, at):
            yield Amount(to_inches(Fraction(number.value), "millimetre")), after
    else:
        yield from two_numbers(scan, at)


def _without_unit(scan: Scan, number: Fraction) -> list[Amount]:
    """Return what *number* without a unit is: inches or millimetres, or either where lengths are
    shown metric.
    """
    settings = scan.settings
    readings = [Amount(number)] if settings.figures == "inches" else []
    if settings.figures == "mm" or settings.display == "mm":
        readings.append(Amount(to_inches(number, "millimetre")))
    if settings.figures == "mm" and number.denominator > 1 and number < MOST_METRES:
        readings.append(Amount(to_inches(number, "metre")))  # 5.4
    return readings


MOST_METRES = 15
"""A tenth behind fewer may be said of metres: no board is longer."""


def _is_feet_run(scan: Scan, value: int) -> bool:
    """Return whether "two eleven" can only be feet and inches: past any board, or as the crew says
    pairs.
    """
    return value % 100 in (10, 11) and (value > _LONG_RUN or scan.settings.pairs == "feet")


def _improper(scan: Scan, at: int) -> Found:
    """tens digit denominator: "thirty three eighths" may be 33/8 as well as 30-3/8"""
    for number, after in scan.every(below_hundred, at):
        if after != at + 2 or number.style != "plain":
            continue
        for (under, _), end in scan.every(denominator, after):
            if under in TAPE_DENOMINATORS and number.value > under:
                yield Amount(Fraction(number.value, under)), end


def one_inch(scan: Scan, at: int) -> Found:
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
    """two_numbers = number number [ ["and"] fraction ]: feet and inches, a run of digits, or bare
    sixteenths
    """
    for first, middle in scan.every(below_hundred, at):
        second_is_oh = scan.word(middle) == NOUGHT.name(0)
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
    feet_or_hundreds = is_hundreds and second.value < 12
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
    if settled or (settings.pairs == "inches" and (is_run or is_hundreds)):
        return
    if is_hundreds and not feet_or_hundreds:
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
    if scan.token(at) is not None and scan.tokens[at].text.lower() == "foot":  # foot and a half
        heads.append((1, at))
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
    """what follows "eight foot": nothing, inches, or a fraction that may be of the foot or of the
    inch
    """
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
    numbers = [(0, at + 1)] if scan.word(at) in ("oh", "nothing") else []
    numbers += [(number.value, after) for number, after in scan.every(below_hundred, at)]
    for number, after in numbers:
        if number > 23:
            continue
        warnings: tuple[Doubt, ...] = ()
        if number > 11:
            warnings = (
                doubt(DoubtKind.A_FOOT_OF_INCHES, Field.LENGTH, inches=number, all=base + number),
            )
        for rest, end in (*tail(scan, after), *_swallowed_rest(scan, number, after)):
            yield (
                rest.carrying(Amount(Fraction(0), warnings=warnings), base + number + rest.inches),
                end,
            )
    for value, after in scan.every(figures, at):
        if value < 12:
            for end in after_inch(scan, after):
                yield Amount(base + value), end


def _swallowed_rest(scan: Scan, number: int, at: int) -> Found:
    """The same as :func:`swallowed`, less the *number*."""
    for amount, end in swallowed(scan, number, at, at):
        yield amount.carrying(Amount(Fraction(0)), amount.inches - number), end


_METRIC: tuple[Unit, ...] = ("millimetre", "centimetre", "metre")


def metric(scan: Scan, at: int) -> Found:
    """metric = ( whole | four_figures | figures ) ( "millimetres" | "centimetres" | "metres" )"""
    heads: list[tuple[Fraction, int]] = list(scan.every(figures, at))
    heads += [(Fraction(number.value), after) for number, after in scan.every(whole, at)]
    heads += [(Fraction(number.value), after) for number, after in scan.every(four_figures, at)]
    heads += scan.every(_mixed, at)
    yield from scan.every(thousands_apart, at)
    for value, after in heads:
        for name in _METRIC:
            end = unit(scan, after, name)
            if end is not None:
                yield Amount(to_inches(value, name)), end
                if name == "metre":
                    yield from _centimetres_after_metres(scan, value, end)


def _mixed(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """whole ["and"] fraction | fraction ["of"] ["a"]: three and a half metres, half a metre"""
    for part, after in scan.every(fraction, at):
        of = scan.take(after, "of") or after
        yield part.inches, scan.take(of, "a") or of
    for number, after in scan.every(whole, at):
        for part, end in scan.every(fraction, scan.take(after, "and") or after):
            yield number.value + part.inches, end


def thousands_apart(scan: Scan, at: int) -> Found:
    """thousands_apart = 1 … 99 three figures "millimetres", typed with a space between: 2 440 mm; a
    metric crew leaves the unit off
    """
    thousands, rest = scan.token(at), scan.token(at + 1)
    if thousands is None or rest is None or (thousands.kind, rest.kind) != ("number", "number"):
        return
    if not 0 < thousands.value < 100 or len(rest.text) != 3:
        return
    end = unit(scan, at + 2, "millimetre")
    if end is None and scan.settings.figures == "mm":
        end = at + 2
    if end is not None:
        yield Amount(to_inches(1000 * thousands.value + rest.value, "millimetre")), end


def _centimetres_after_metres(scan: Scan, metres: Fraction, at: int) -> Found:
    """["and"] 1 … 99: two metres forty; a single figure may be tenths, or millimetres"""
    for start in (at, scan.take(at, "and")):
        for number, end in scan.every(below_hundred, start) if start is not None else ():
            whole_metres = to_inches(metres, "metre")
            if number.style == "plain" and 0 < number.value < 10:  # 2 metres 9: 2.9, or 9 mm more
                tenths = to_inches(Fraction(number.value, 10), "metre")
                yield Amount(whole_metres + tenths), end
                yield Amount(whole_metres + tenths / 100), end
            if number.value > 9:
                yield Amount(whole_metres + to_inches(Fraction(number.value), "centimetre")), end


def plain(scan: Scan, at: int) -> Found:
    """plain = inches | feet | metric: a length without reckoning"""
    yield from scan.every(inches, at)
    yield from scan.every(feet, at)
    yield from scan.every(metric, at)

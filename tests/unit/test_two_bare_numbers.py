"""Two numbers without a unit, under every setting of a crew: figures one by one, feet and inches, or sixteenths left off."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import product

import pytest

from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.language.grammar.lengths import two_numbers
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import spoken, typed

ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
    " sixteen seventeen eighteen nineteen"
).split()
TENS = {20: "twenty", 30: "thirty", 40: "forty", 90: "ninety"}
FIRST = [1, 2, 3, 8, 19, 20, 21, 36, 90]
CREWS = [
    Settings(pairs=pairs, bare=bare)  # type: ignore[arg-type]  # of these
    for pairs, bare in product(("ask", "feet", "inches"), ("ask", "no", "eighths", "sixteenths"))
]


def said(number: int) -> str:
    """Return *number* as it is said; nought behind another number is an oh."""
    if number < 20:
        return ONES[number] if number else "oh"
    tens, ones = divmod(number, 10)
    return TENS[10 * tens] + (f" {ONES[ones]}" if ones else "")


def amounts(text: str, crew: Settings, by_voice: bool) -> dict[F, set[DoubtKind]]:
    """Return what both numbers of *text* may be together, with what is asked."""
    scan = Scan(spoken(text) if by_voice else typed(text), crew, by_voice)
    return {
        amount.inches: {each.kind for each in amount.doubts}
        for amount, end in two_numbers(scan, 0)
        if end == len(scan.tokens)
    }


def expected(
    first: int, second: int, crew: Settings, by_voice: bool, part: F
) -> dict[F, set[DoubtKind]]:
    """Return what they may be, kind by kind (common practice); *part* is a fraction behind them."""
    found: dict[F, set[DoubtKind]] = {}
    short, sixteenths_said = first < 20, crew.bare == "sixteenths"
    run = by_voice and short and second < 10  # "three nine" is 39
    hundred = (
        by_voice and first < 3 and second > 9
    )  # "two ten" is 210: a whole number, read elsewhere
    if run and crew.pairs != "feet":
        found[10 * first + second + part] = set()
    if second and not part and sixteenths_said:
        found[first + F(second, 16)] = set()
    if second and not part and crew.bare == "ask" and not run and not hundred:
        found[first + F(second, 16)] = {DoubtKind.SIXTEENTHS_LEFT_OFF}
    # Feet and inches: unless the crew says figures, or settled that what follows is sixteenths.
    by_figures = crew.pairs == "inches" and (run or hundred)
    by_sixteenths = sixteenths_said and not part and (not short or crew.pairs == "inches")
    if by_figures or by_sixteenths:
        return found
    if second < 12:
        rare = crew.pairs == "ask" and (not short or not by_voice)
        found[12 * first + second + part] = {DoubtKind.PERHAPS_FEET} if rare else set()
    elif second == 12 and not short:
        found[12 * first + second + part] = {DoubtKind.FEET_AND_TWELVE}
    return found


@pytest.mark.parametrize("crew", CREWS, ids=lambda crew: f"{crew.pairs}-{crew.bare}")
@pytest.mark.parametrize("by_voice", [True, False], ids=["said", "typed"])
def test_two_bare_numbers_are_what_the_crew_may_mean(crew: Settings, by_voice: bool) -> None:
    for first, second in product(FIRST, range(17)):
        one_number = first % 10 == 0 and first > 10 and 0 < second < 10  # "thirty six"
        if (by_voice and one_number) or (not by_voice and not second):
            continue
        text = f"{said(first)} {said(second)}" if by_voice else f"{first} {second}"
        for part, words in ((F(0), ""), (F(1, 2), " and a half" if by_voice else " 1/2")):
            wanted = expected(first, second, crew, by_voice, part) if second < 16 else {}
            assert amounts(text + words, crew, by_voice) == wanted, text + words


@pytest.mark.parametrize("crew", CREWS[:2], ids=lambda crew: crew.bare)
def test_a_ten_and_a_figure_are_one_number_and_nought_begins_none(crew: Settings) -> None:
    for text in ("thirty six", "twenty one", "oh nine", "zero nine", "thirty", "thirty and a half"):
        assert not amounts(text, crew, by_voice=True), text
    for text in ("0 9", "36", "36 1/2"):
        assert not amounts(text, crew, by_voice=False), text

"""Laws of numbers and lengths: every number said and typed, fractions, feet, metric lengths, two bare numbers."""

from __future__ import annotations

import unicodedata
from fractions import Fraction as F

import pytest
from said_lengths import (
    FRACTIONS,
    ONES,
    cuts,
    hundreds,
    lengths,
    part,
    refused,
    words,
)

from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import read
from cutmemo.language.grammar.numbers import whole
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import spoken


@pytest.mark.parametrize("number", [*range(1, 100)])
def test_a_number_below_a_hundred_is_itself_said_and_typed(number: int) -> None:
    if number > 3:
        assert lengths(f"{words(number)} inches") == {F(number)}
    assert lengths(f"{number} inches", by_voice=False) == {F(number)}
    assert lengths(f'{number}"', by_voice=False) == {F(number)}


@pytest.mark.parametrize(
    "number", [*range(100, 125), 144, 199, 200, 201, 209, 210, 211, 219, 220, 288, 300, 312]
)
def test_a_number_of_hundreds_is_itself_however_it_is_said(number: int) -> None:
    for said in hundreds(number):
        assert F(number) in lengths(said), said
        assert F(number) in lengths(f"{said} inches"), said
        asked = {*lengths(f"{said} and a half")}
        assert F(number) + F(1, 2) in asked, said
        assert {length for length in asked if length > 100} <= {
            F(number) + F(1, 2),
            F(12 * (number // 100) + number % 100) + F(1, 2),
        }, said


def test_figures_run_together_from_ten_on() -> None:
    """Two eleven is 211, two nine 29 or 2 ft 9 in. and never 209: the oh is said."""

    def values(said: str) -> set[int]:
        scan = Scan(spoken(said), Settings(), by_voice=True)
        return {number.value for number, end in whole(scan, 0) if end == len(scan.tokens)}

    for first in (1, 2, 3):
        for rest in range(1, 100):
            run = values(f"{ONES[first]} {words(rest)}")
            assert (100 * first + rest in run) is (rest > 9), (first, rest)
        assert values(f"{ONES[first]} oh nine") >= {100 * first + 9}
    for rest in range(1, 100):
        assert values(f"a buck {words(rest)}") == ({100 + rest} if rest > 9 else set())
        if rest < 10:
            assert values(f"a buck oh {ONES[rest]}") == {100 + rest}
    assert values("one four four") >= {144}
    assert values("one thousand two hundred") >= {1200}


@pytest.mark.parametrize("fraction", FRACTIONS, ids=str)
def test_a_fraction_is_said_and_typed_in_many_ways_and_means_one_length(fraction: F) -> None:
    over, under = fraction.numerator, fraction.denominator
    for number in (7, 20, 36, 92, 114):
        first = words(number) if number < 100 else "a hundred and fourteen"
        for said in part(over, under):
            assert lengths(f"{first} and {said}") >= {number + fraction}, said
            assert lengths(f"{first} inches and {said}") == {number + fraction}, said
            assert lengths(f"{first} inch and {said}") == {number + fraction}, said
        for typed in (
            f"{number}-{fraction}",
            f"{number} {fraction}",
            f'{number}-{fraction}"',
            f"{number} and {fraction}",
            f"{number} {fraction} inches",
        ):
            assert lengths(typed, by_voice=False) == {number + fraction}, typed
    for said in part(over, under):
        assert fraction in lengths(f"{said} of an inch")
    assert lengths(f"{fraction}", by_voice=False) == {fraction}


def test_a_fraction_that_no_tape_has_is_refused_and_one_that_is_no_part_too() -> None:
    for typed, there in (
        ("36-31/32", True),
        ("36-63/64", True),
        ("36-5/7", False),
        ("36-127/128", False),
        ("36-8/8", False),
        ("36-7/8", True),
        ("36-9/8", False),
        ("36-0/8", False),
        ("36-1/0", False),
    ):
        assert refused(typed, by_voice=False) is not there, typed


@pytest.mark.parametrize("feet", [1, 2, 3, 8, 10, 12, 16, 20])
@pytest.mark.parametrize("inches", [*range(12)])
def test_feet_and_inches_are_one_length(feet: int, inches: int) -> None:
    for fraction in (F(0), F(1, 2), F(5, 8), F(15, 16)):
        length = 12 * feet + inches + fraction
        behind = f" and {part(fraction.numerator, fraction.denominator)[0]}" if fraction else ""
        if inches:
            assert lengths(f"{words(feet)} foot {words(inches)}{behind}") >= {length}
            assert lengths(f"{words(feet)} feet {words(inches)} inches{behind}") == {length}
            assert lengths(f"{words(feet)} foot and {words(inches)} inches{behind}") == {length}
        typed = f"{inches}-{fraction}" if fraction and inches else str(fraction or inches)
        for said in (
            f"{feet}'{typed}\"",
            f"{feet}' {typed}\"",
            f"{feet}'-{typed}\"",
            f"{feet} ft {typed} in",
        ):
            assert lengths(said, by_voice=False) == {length}, said
    assert lengths(f"{words(feet)} foot even") == {F(12 * feet)}


def test_inches_behind_feet_end_at_a_foot_with_a_warning_and_at_two_for_good() -> None:
    for inches, warned in ((11, False), (12, True), (23, True)):
        (reading,) = cuts(f"eight foot {words(inches)} inches").values()
        assert reading.intent.length.inches == 96 + inches  # type: ignore[union-attr]  # a cut
        assert bool(reading.warnings) is warned
    assert refused("eight foot twenty four inches")
    assert lengths("8 ft 11.5 in", by_voice=False) == {F(215, 2)}
    assert F(217, 2) not in lengths("8 ft 12.5 in", by_voice=False)


def test_dashes_between_figures_are_read_as_plans_have_them_or_asked_about() -> None:
    assert lengths("7-8-5/8", by_voice=False) == {F(7 * 12 + 8) + F(5, 8)}
    assert lengths("7-11-5/8", by_voice=False) == {F(7 * 12 + 11) + F(5, 8)}
    assert F(7 * 12 + 12) + F(5, 8) not in lengths("7-12-5/8", by_voice=False)
    assert lengths("92-5-8", by_voice=False) == {F(741, 8)}
    assert all(reading.doubts for reading in cuts("92-5-8", False).values())
    assert refused("92-8-8", by_voice=False)
    assert refused("92-5-7", by_voice=False)
    assert refused("92-5-8.5", by_voice=False)
    for said in ("92-5-stud", "92-5 stud"):
        assert {each.piece for each in cuts(said, by_voice=False)} == {"stud"}
        assert all(reading.doubts for reading in cuts(said, by_voice=False).values())
        assert {F(741, 8), F(1477, 16)} <= lengths(said, by_voice=False)
    for bare, under in (("eighths", 8), ("sixteenths", 16)):
        crew = Settings(bare=bare)  # type: ignore[arg-type]  # one of the two
        for over in range(1, 17):
            read_as = lengths(f"92-{over}", False, crew)
            assert (92 + F(over, under) in read_as) is (over < under), (bare, over)


def test_metric_lengths_are_exact() -> None:
    # An inch is 25.4 mm exactly (NIST SP 811).
    inch = F(10, 254)
    for said, millimetres in (
        ("2440 mm", 2440),
        ("244 cm", 2440),
        ("2.44 m", 2440),
        ("45 mm", 45),
        ("1200 millimetres", 1200),
    ):
        assert lengths(said, by_voice=False) == {millimetres * inch}, said
    assert lengths("two metres forty") == {2400 * inch}
    assert lengths("two metres and forty") == {2400 * inch}
    assert lengths("two metres ten") == {2100 * inch}
    assert 2090 * inch not in lengths("two metres nine")
    assert lengths("three and a half metres") == {3500 * inch}
    assert lengths("half a metre") == {500 * inch}
    crew = Settings(figures="mm")
    assert lengths("2440", False, crew) == {2440 * inch}
    assert lengths("twenty four forty", True, crew) >= {2440 * inch}


def test_two_bare_numbers_are_what_the_crew_says_they_are() -> None:
    """Eight four: 8 ft 4 in., 84, or 8-4/16; twelve inches and more are no inches behind feet."""
    for crew, expected in (
        (Settings(pairs="feet"), {F(100)}),
        (Settings(pairs="inches"), {F(84)}),
    ):
        assert lengths("eight four", settings=crew) == expected, crew
    for second in range(1, 16):
        asked = lengths(f"thirty six {words(second)}", settings=Settings(bare="sixteenths"))
        assert 36 + F(second, 16) in asked
    for first, second, feet in ((9, 11, True), (9, 12, False), (19, 11, True)):
        said = f"{words(first)} {words(second)}"
        asked = lengths(said)
        assert (F(12 * first + second) in asked) is feet, said


def test_every_fraction_that_is_one_sign_is_what_unicode_says_it_is() -> None:
    """Unicode Character Database, Numeric_Value of what decomposes to a fraction; no other is read."""
    signs = [
        chr(n)
        for n in range(0x110000)
        if unicodedata.decomposition(chr(n)).startswith("<fraction>")
        and unicodedata.numeric(chr(n), 0)
    ]
    read_so: dict[F, str] = {}
    for sign in signs:
        part = F(unicodedata.numeric(sign)).limit_denominator(10)
        try:
            read_so |= {each.intent.length.inches - 36: sign for each in read(f"36{sign}")}  # type: ignore[union-attr]  # a cut
        except NotACall:
            continue
        except Refused as why:  # thirds and fifths stand on no tape, and that is told
            (told,) = why.reasons
            assert F(*(int(told.fact(side)) for side in ("over", "under"))) == part, sign
        else:
            assert read_so.get(part) == sign
    assert set(read_so) == {F(n, 8) for n in range(1, 8)}

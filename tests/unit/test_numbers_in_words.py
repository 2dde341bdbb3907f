"""Whole numbers as they are said and typed, one by one, and sizes of boards: which words are which, and which are none."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction as F
from itertools import product
from typing import Any

import pytest

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.language.grammar.lengths import metric
from cutmemo.language.grammar.numbers import below_hundred, four_figures, whole
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import both_sides, section
from cutmemo.language.grammar.tokens import spoken, typed

ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
    " sixteen seventeen eighteen nineteen"
).split()
TENS = ". ten twenty thirty forty fifty sixty seventy eighty ninety".split()
Rule = Callable[[Scan, int], Iterator[tuple[Any, int]]]


def words(number: int) -> str:
    if number < 20:
        return ONES[number]
    return TENS[number // 10] + (f" {ONES[number % 10]}" if number % 10 else "")


def all_of(rule: Rule, said: str, by_voice: bool = True, crew: Settings | None = None) -> set[Any]:
    """Return what *rule* reads *said* as, all of it."""
    scan = Scan(spoken(said) if by_voice else typed(said), crew or Settings(), by_voice)
    return {found for found, end in rule(scan, 0) if end == len(scan.tokens)}


def values(said: str, rule: Rule = whole, by_voice: bool = True) -> set[int]:
    return {number.value for number in all_of(rule, said, by_voice)}


@pytest.mark.parametrize("number", range(100))
def test_below_a_hundred(number: int) -> None:
    assert values(words(number), below_hundred) == {number}
    assert values(words(number)) == {number}
    assert values(str(number), by_voice=False) == {number}
    assert values(str(number), below_hundred, by_voice=False) == {number}


@pytest.mark.parametrize("head", [1, 2, 9, 12, 19, 20, 48, 90])
def test_hundreds_are_said_of_any_number_below_a_hundred(head: int) -> None:
    said = words(head)
    assert values(f"{said} hundred") == {100 * head}
    for rest in (1, 9, 10, 11, 40, 99):
        for joined in ("", "and "):
            assert values(f"{said} hundred {joined}{words(rest)}") == {100 * head + rest}
        oh = values(f"{said} hundred oh {words(rest)}")
        assert oh == ({100 * head + rest} if rest < 10 else set())
    assert not values(f"{said} hundred zero")
    assert not values(f"{said} hundred and")
    assert not values(f"{said} hundred and oh nine")


def test_a_hundred_and_hundred_alone_are_one_hundred() -> None:
    for lead in ("a hundred", "hundred", "one hundred"):
        assert values(lead) == {100}
        assert values(f"{lead} and twelve") == {112}
        assert values(f"{lead} oh two") == {102}
    assert not values("zero hundred")
    assert not values("an hundred")


@pytest.mark.parametrize("head", [1, 2, 9])
def test_thousands(head: int) -> None:
    for lead in {words(head), "a" if head == 1 else words(head)}:
        assert values(f"{lead} thousand") == {1000 * head}
        for rest in (1, 12, 99):
            assert values(f"{lead} thousand {words(rest)}") == {1000 * head + rest}
            assert values(f"{lead} thousand and {words(rest)}") == {1000 * head + rest}
        assert values(f"{lead} thousand two hundred") == {1000 * head + 200}
        assert values(f"{lead} thousand two hundred and nine") == {1000 * head + 209}
        assert values(f"{lead} thousand nine hundred ninety nine") == {1000 * head + 999}
        assert not values(f"{lead} thousand ten hundred")
        assert values(f"{lead} thousand two forty") == {1000 * head + 240}
        assert values(f"{lead} thousand two four four") == {1000 * head + 244}
        assert values(f"{lead} thousand two oh nine") == {1000 * head + 209}
    assert not values("ten thousand")
    assert not values("zero thousand")
    assert not values("thousand")


@pytest.mark.parametrize("first", range(10))
def test_three_figures_one_by_one_are_a_number_but_for_an_oh_before_a_figure(first: int) -> None:
    """One four four is 144, one oh oh 100; one oh nine is read as an oh."""
    for second, third in product(range(10), repeat=2):
        said = " ".join("oh" if figure == 0 else ONES[figure] for figure in (first, second, third))
        found = all_of(whole, said)
        number = 100 * first + 10 * second + third
        assert {each.value for each in found} == ({number} if first else set())
        style = "oh" if second == 0 and third != 0 else "digits"
        assert {each.style for each in found} == ({style} if first else set())


@pytest.mark.parametrize("first", range(1, 12))
def test_a_figure_and_ten_or_more_run_together(first: int) -> None:
    for rest in range(1, 100):
        runs = all_of(whole, f"{words(first)} {words(rest)}")
        expected = {100 * first + rest} if first < 10 and rest > 9 else set()
        assert {each.value for each in runs if each.style == "run"} == expected


def test_a_buck_is_a_hundred() -> None:
    for rest in range(1, 100):
        assert values(f"a buck {words(rest)}") == ({100 + rest} if rest > 9 else set())
        assert values(f"a buck oh {words(rest)}") == ({100 + rest} if rest < 10 else set())
    for said in ("a buck", "one buck twenty", "buck twenty", "a buck zero"):
        assert not values(said), said


@pytest.mark.parametrize("head", [1, 9, 10, 11, 24, 99])
@pytest.mark.parametrize("rest", [1, 9, 10, 11, 40, 99])
def test_four_figures_are_two_pairs_from_ten_on_or_an_oh_between(head: int, rest: int) -> None:
    pairs = values(f"{words(head)} {words(rest)}", four_figures)
    assert pairs == ({100 * head + rest} if head > 9 and rest > 9 else set())
    oh = values(f"{words(head)} oh {words(rest)}", four_figures)
    assert oh == ({100 * head + rest} if head > 9 and rest < 10 else set())
    assert values(f"{words(head)} zero {words(rest)}", four_figures) == oh
    assert not values(f"{head} {rest}", four_figures, by_voice=False)


def test_metres_and_a_part_of_any_number_are_exact() -> None:
    # An inch is 25.4 mm exactly (NIST SP 811).
    inch = F(10, 254)
    for said, millimetres in (
        ("two and a half metres", 2500),
        ("twelve and a quarter metres", 12_250),
        ("twenty and a half metres", 20_500),
        ("twenty two and a half metres", 22_500),
        ("a hundred and two and a half metres", 102_500),
        ("twenty two and a half centimetres", 225),
        ("half a metre", 500),
        ("three quarters of a metre", 750),
    ):
        amounts = {amount.inches for amount in all_of(metric, said)}
        assert amounts == {millimetres * inch}, said


# --- sizes ----------------------------------------------------------------------------------------------


def sizes(said: str, by_voice: bool = False, crew: Settings | None = None) -> set[Section]:
    return all_of(section, said, by_voice, crew)


@pytest.mark.parametrize("treated", ["", "treated "])
def test_sawn_sizes_are_said_by_by_and_typed_by_an_x(treated: str) -> None:
    wanted = {Section(F(2), F(6), treated=bool(treated))}
    for said in ("2x6", "2 x 6", "2 by 6", "2x6s"):
        assert sizes(treated + said) == wanted, said
    for said in ("two by six", "two by sixes"):
        assert sizes(treated + said, by_voice=True) == wanted, said
    if treated:
        assert sizes("2x6 treated") == wanted
        assert not sizes("treated 2x6 treated")


def test_boards_by_the_quarter_and_sheets_by_their_thickness() -> None:
    for said in ("5/4x6", "5/4 x 6", "5/4 by 6"):
        assert sizes(said) == {Section(F(5, 4), F(6))}, said
    assert sizes("6/4x6") == {Section(F(3, 2), F(6))}
    for said in ("7/4x6", "5/8x6", "3/4x6"):
        assert not sizes(said), said
    for said in ("five quarter by six", "five quarters by six"):
        assert sizes(said, by_voice=True) == {Section(F(5, 4), F(6))}, said
    assert not sizes("six quarter by six", by_voice=True)
    for said in ("3/4 plywood", "3/4 inch plywood", "3/4 ply", "3/4 in ply"):
        assert sizes(said) == {Section(F(3, 4), None, "plywood")}, said
    assert sizes("three quarter inch plywood", True) == {Section(F(3, 4), None, "plywood")}
    assert not sizes("3/4")


@pytest.mark.parametrize(
    ("thick", "wide", "fits"),
    [
        (12, 300, True),
        (11, 300, False),
        (12, 301, False),
        (45, 95, True),
        (95, 45, True),
        (300, 12, True),
        (300, 11, False),
    ],
)
def test_sizes_in_millimetres_are_12_to_300_in_either_order(
    thick: int, wide: int, fits: bool
) -> None:
    thin, broad = sorted((thick, wide))
    wanted = {Section(F(thin), F(broad), metric=True)} if fits else set()
    for crew in (Settings(figures="mm"), Settings(display="mm")):
        assert sizes(f"{thick}x{wide}", crew=crew) == wanted
        assert sizes(f"{thick} by {wide}", crew=crew) == wanted
    assert not sizes(f"{thick}x{wide}")


def test_engineered_boards_are_named_before_and_behind_their_sides() -> None:
    deep = {"7/2": "3-1/2", "19/2": "9-1/2", "95/8": "11-7/8", "45/4": "11-1/4"}
    for exact, said in deep.items():
        both = Section(F(7, 4), F(exact), "LVL")
        for text in (f"1-3/4x{said} LVL", f"1-3/4 by {said} LVL", f"LVL 1-3/4x{said}"):
            assert both in sizes(text), text
        assert Section(None, F(exact), "LVL") in sizes(f"{said} LVL")
        assert Section(None, F(exact), "LVL") in sizes(f"LVL {said}")
        assert Section(None, F(exact), "LVL") in sizes(f"{said} in LVL")
    for other in ("9-3/8", "10", "9", "14-1/2"):
        assert not sizes(f"{other} LVL"), other
    assert all_of(both_sides, "one and three quarter by nine and a half") == {(F(7, 4), F(19, 2))}
    assert all_of(both_sides, "1-3/4x9-1/2", by_voice=False) == {(F(7, 4), F(19, 2))}
    assert all_of(both_sides, "3/4x9", by_voice=False) == {(F(3, 4), F(9))}

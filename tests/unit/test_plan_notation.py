"""Dashes, marks and dots as plans, phones and office programs write them (common practice unless a source is named)."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import read, split_calls
from cutmemo.wording import explain_error

# Unicode: hyphen, non-breaking hyphen, figure dash, en dash, em dash, horizontal bar, minus sign.
DASHES = ["-", "\u2010", "\u2011", "\u2012", "\u2013", "\u2014", "\u2015", "\u2212"]


def lengths(typed: str, settings: Settings | None = None) -> list[F]:
    return [
        reading.intent.length.inches
        for reading in read(typed, settings)
        if isinstance(reading.intent, Cut)
    ]


@pytest.mark.parametrize("dash", DASHES)
@pytest.mark.parametrize(
    ("written", "inches"),
    [
        ("92{}5/8", F(741, 8)),
        ("92 {}5/8", F(741, 8)),
        ("92{} 5/8", F(741, 8)),
        ('92{}5/8"', F(741, 8)),
        ("92{}⅝", F(741, 8)),
        ("8'{}1/2\"", F(193, 2)),
        ("12'{}3/4\"", F(579, 4)),
        ("12'{}0\"", F(144)),
        ("7'{}8 5/8\"", F(741, 8)),
        ("7'{}8{}5/8\"", F(741, 8)),
        ("7' {}8 5/8\"", F(741, 8)),
        ("0'{}11 1/2\"", F(23, 2)),
        ("7ft{}8 5/8in", F(741, 8)),
        ("ninety{}two and five{}eighths", F(741, 8)),
        ("one hundred and one{}quarter", F(401, 4)),
    ],
)
def test_a_dash_joins_what_plans_join_by_one(dash: str, written: str, inches: F) -> None:
    typed = written.replace("{}", dash)
    assert lengths(typed) == [inches]
    assert not read(typed)[0].doubts


@pytest.mark.parametrize(
    ("typed", "inches"),
    [
        ("92\u20445/8", None),
        ("92 5\u20448", F(741, 8)),
        ("92 5\u22158", F(741, 8)),
        ("7\u20198\u201d", F(92)),
        ("7\u20328 5/8\u2033", F(741, 8)),
        ("92-5/8 in.", F(741, 8)),
        ("7 ft. 8 5/8 in.", F(741, 8)),
        ("2438 mm.", F(24380, 254)),
        ("10'.", F(120)),
        ("10' 6\".", F(126)),
        ("92 5/8”.", F(741, 8)),
        ("92\u00a05/8", F(741, 8)),
    ],
)
def test_signs_of_phones_and_office_programs(typed: str, inches: F | None) -> None:
    if inches is None:
        with pytest.raises(NotACall):
            read(typed)
    else:
        assert lengths(typed) == [inches]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("92 - 5/8", {F(731, 8), F(741, 8)}),
        ("7' - 8\"", {F(76), F(92)}),
        ("7' - 8 5/8\"", {F(84) - F(69, 8), F(741, 8)}),
        ("ninety two - 5/8", {F(731, 8), F(741, 8)}),
    ],
)
def test_a_dash_between_two_spaces_that_may_join_asks(typed: str, meant: set[F]) -> None:
    assert set(lengths(typed)) == meant


@pytest.mark.parametrize(
    ("typed", "inches"),
    [
        ("36 1/2 - 1/8", F(291, 8)),
        ("48 - 1-1/2", F(93, 2)),
        ("14-1/2 + 3-1/2", F(18)),
        ("92 minus 5/8", F(731, 8)),
        ("thirty six minus three and a half", F(65, 2)),
        ("thirty six less an inch", F(35)),
        ("forty eight minus inch and a half", F(93, 2)),
        ('8\' - 3-1/2" + 1/4"', None),
    ],
)
def test_sums_of_any_lengths(typed: str, inches: F | None) -> None:
    found = lengths(typed)
    assert found == [inches] if inches is not None else F(92.75) in found


@pytest.mark.parametrize(
    ("typed", "inches"),
    [("7-8-5/8", F(741, 8)), ("7-8 5/8", F(741, 8)), ("92-5-8", F(741, 8)), ("6-2", F(74))],
)
def test_dashes_for_marks_ask_with_the_right_one_first(typed: str, inches: F) -> None:
    readings = read(typed)
    assert readings[0].intent == Cut(Length(inches))
    assert readings[0].doubts


def test_feet_by_the_crew_settle_dashes_for_marks() -> None:
    assert not read("7-8-5/8", Settings(pairs="feet"))[0].doubts


@pytest.mark.parametrize(
    "typed",
    ["36-", "36 -", "8'-", "4 @ 36-", "36+", "36 +", "92--5/8", "92_5/8", "92.5/8", "-36", "- 36"],
)
def test_a_call_that_is_not_finished_or_not_clear_is_refused(typed: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(typed)
    assert split_calls(typed) is None


def test_lists_are_written_as_plans_are() -> None:
    found = split_calls("8'-1/2\", 7'-3/4\", 92–5/8")
    assert found is not None
    assert [lengths(part.said) for part in found.parts] == [[F(193, 2)], [F(339, 4)], [F(741, 8)]]


@pytest.mark.parametrize(
    ("said", "among"),
    [
        ("fifty six quarter", F(225, 4)),
        ("sixty four quarter", F(257, 4)),
        ("one forty four eighth", F(1153, 8)),
        ("one forty four sixteenth", F(2305, 16)),
        ("one twenty three eighth", F(985, 8)),
        ("sixteen quarter", F(65, 4)),
        ("fifty six quarters", F(225, 4)),
        ("eight foot two eighth", F(785, 8)),
    ],
)
def test_a_swallowed_and_a_asks_with_the_number_and_the_fraction_among_the_readings(
    said: str, among: F
) -> None:
    readings = read(said, by_voice=True)
    assert among in [
        reading.intent.length.inches for reading in readings if isinstance(reading.intent, Cut)
    ]
    assert len(readings) > 1 or readings[0].doubts


def test_an_and_before_the_fraction_settles_it() -> None:
    (reading,) = read("one hundred and five eighths", by_voice=True)
    assert reading.intent == Cut(Length(F(805, 8)))
    assert not reading.doubts


@pytest.mark.parametrize("said", ["36 minus 36", "36 less 40"])
def test_what_leaves_nothing_is_refused(said: str) -> None:
    with pytest.raises(Refused):
        read(said)


@pytest.mark.parametrize("under", ["quarter", "eighth", "sixteenth"])
def test_no_number_with_a_part_behind_it_stands_without_a_question(under: str) -> None:
    """But for three quarters, which everybody says so, and one of anything."""
    from cutmemo.language.lexicon.numbers import below_hundred

    silent = []
    for n in range(2, 100):
        readings = read(f"{below_hundred(n)} {under}", by_voice=True)
        if len(readings) == 1 and not readings[0].doubts:
            silent.append(n)
    assert silent == ([3] if under == "quarter" else [])


@pytest.mark.parametrize("times", [16, 200])
def test_a_call_that_is_changed_over_and_over_is_refused(times: int) -> None:
    with pytest.raises((NotACall, Refused)):
        read("36 " + "no 36 " * times)


def test_a_line_has_a_most_length_and_its_refusal_does_not_echo_it() -> None:
    with pytest.raises(Refused) as caught:
        read("36 " * 3000)
    assert len(explain_error(caught.value)) < 200
    assert read("36" + " " * 7998)
    with pytest.raises(Refused):
        read("36" + " " * 7999)


def test_what_can_be_read_in_too_many_ways_is_refused() -> None:
    opening = "door thirty three eighths wide thirty three eighths high at thirty three eighths "
    with pytest.raises(Refused):
        read("wall 30' high 97-1/8 " + opening * 20)


@pytest.mark.parametrize("typed", ["9" * 5000, "1/" + "9" * 5000, "." + "9" * 5000, "9" * 10])
def test_a_number_that_no_tape_has_is_no_measure(typed: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(typed)

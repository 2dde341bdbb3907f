"""Laws of reading: calls put together from words of our own, whose meaning is known, and each limit on both sides.

Nothing here is taken from the lexicon: how a number, a fraction, a board, an end or a place is said stands
below (common practice).
"""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import SQUARE, Cut, End, Rise, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Change, Command, FromRow, OnRow, Reading, read
from cutmemo.language.grammar.numbers import whole
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import spoken
from cutmemo.language.lexicon import en
from cutmemo.language.lexicon.table import Table

ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
    " sixteen seventeen eighteen nineteen"
).split()
TENS = ". ten twenty thirty forty fifty sixty seventy eighty ninety".split()
PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second"}


def words(number: int) -> str:
    """Return *number* below a hundred as it is said."""
    if number < 20:
        return ONES[number]
    return TENS[number // 10] + (f" {ONES[number % 10]}" if number % 10 else "")


def hundreds(number: int) -> list[str]:
    """Return *number* from 100 to 999 as it is said."""
    over, rest = divmod(number, 100)
    found = [f"{ONES[over]} hundred", "a hundred"] if not rest and over == 1 else []
    found += [f"{ONES[over]} hundred"] if not rest else []
    if rest:
        found += [f"{ONES[over]} hundred {words(rest)}", f"{ONES[over]} hundred and {words(rest)}"]
    if 0 < rest < 10:
        found.append(f"{ONES[over]} oh {ONES[rest]}")
    if rest > 11:
        found.append(f"{ONES[over]} {words(rest)}")
    return found


def part(over: int, under: int) -> list[str]:
    """Return a fraction in lowest terms as it is said."""
    if under == 2:
        return ["a half", "one half"]
    if over == 1:
        return [f"{'an' if under == 8 else 'a'} {PARTS[under]}", f"one {PARTS[under]}"]
    return [f"{words(over)} {PARTS[under]}s"]


FRACTIONS = [F(n, 16) for n in range(1, 16)] + [F(n, 32) for n in (1, 5, 9, 31)]


def found(said: str, by_voice: bool = True, settings: Settings | None = None) -> list[Reading]:
    return list(read(said, settings, by_voice))


def cuts(said: str, by_voice: bool = True, settings: Settings | None = None) -> dict[Cut, Reading]:
    """Return the cuts that *said* may be, with their readings; none where it is refused."""
    try:
        readings = found(said, by_voice, settings)
    except (NotACall, Refused):
        return {}
    return {each.intent: each for each in readings if isinstance(each.intent, Cut)}


def lengths(said: str, by_voice: bool = True, settings: Settings | None = None) -> set[F]:
    return {each.length.inches for each in cuts(said, by_voice, settings)}


def refused(said: str, by_voice: bool = True, settings: Settings | None = None) -> bool:
    try:
        read(said, settings, by_voice)
    except (NotACall, Refused):
        return True
    return False


# --- numbers and lengths ----------------------------------------------------------------------------


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


# --- whole calls ---------------------------------------------------------------------------------------

SIZES = {
    "two by four": Section(F(2), F(4)),
    "two by six": Section(F(2), F(6)),
    "two by ten": Section(F(2), F(10)),
    "four by four": Section(F(4), F(4)),
    "one by twelve": Section(F(1), F(12)),
}
TYPED_SIZES = {"2x4": Section(F(2), F(4)), "2x12": Section(F(2), F(12)), "1x6": Section(F(1), F(6))}
NAMES = ("stud", "king stud", "trimmer", "joist", "header", "sill", "cripple", "block")
PLACES = {
    "for the kitchen": "kitchen",
    "for bedroom two": "bedroom 2",
    "for north wall": "north wall",
}
TYPED_PLACES = {
    "for kitchen": "kitchen",
    "for bedroom 2": "bedroom 2",
    "for north wall": "north wall",
}


def angled(degrees: F | int) -> End:
    return End("angled", miter=F(degrees))


ENDINGS: dict[str, tuple[End, End]] = {
    "mitered forty five": (angled(45), SQUARE),
    "forty five degree miter": (angled(45), SQUARE),
    "forty five both ends": (angled(45), angled(45)),
    "both ends forty five": (angled(45), angled(45)),
    "thirty degrees one end": (angled(30), SQUARE),
    "bevel thirty": (End("angled", bevel=F(30)), SQUARE),
    "plumb cut seven twelve": (End("plumb", Rise(F(7))), SQUARE),
    "plumb cut six in twelve": (End("plumb", Rise(F(6))), SQUARE),
}


@pytest.mark.parametrize("seed", range(120))
def test_a_call_put_together_from_known_words_means_these(seed: int) -> None:
    r = random.Random(seed)
    by_voice = seed % 2 == 0
    number, fraction = r.randrange(25, 95), r.choice(FRACTIONS[:15])
    called = Cut(Length(number + fraction))
    if by_voice:
        length = f"{words(number)} and {part(fraction.numerator, fraction.denominator)[0]}"
    else:
        length = f"{number}-{fraction}"
    said = [length]
    if r.random() < 0.5:
        size = r.choice(list(SIZES if by_voice else TYPED_SIZES))
        called = replace(called, section=(SIZES if by_voice else TYPED_SIZES)[size])
        said.append(size)
    if r.random() < 0.5:
        name = r.choice(NAMES)
        called = replace(called, piece=name)
        said.append(name)
    if r.random() < 0.4:
        ending = r.choice(list(ENDINGS))
        if by_voice:
            said.append(ending)
            called = replace(called, ends=ENDINGS[ending])
    behind = []
    if r.random() < 0.4:
        count = r.randrange(2, 24)
        behind.append(f"{words(count) if by_voice else count} pieces")
        called = replace(called, count=count)
    if r.random() < 0.4:
        places = PLACES if by_voice else TYPED_PLACES
        place = r.choice(list(places))
        behind.append(place)
        called = replace(called, place=places[place])
    text = " ".join([*said, *behind])
    readings = found(text, by_voice)
    assert called in [each.intent for each in readings], text
    sure = [each.intent for each in readings if not each.doubts]
    assert not by_voice or len(sure) <= 1 or called in sure, text
    assert all(isinstance(each, Cut) and each.length == called.length for each in sure), text


@pytest.mark.parametrize("ending", ENDINGS)
def test_ends_are_read_before_and_behind_the_board_alike(ending: str) -> None:
    ends = ENDINGS[ending]
    for said in (
        f"thirty six and a half {ending}",
        f"thirty six and a half two by six {ending}",
        f"thirty six and a half {ending} two by six",
    ):
        assert ends in {each.ends for each in cuts(said)}, said
        assert all(each.length.inches == F(73, 2) for each in cuts(said) if each.ends == ends)


def test_two_angles_on_one_end_are_a_compound_cut_in_either_order() -> None:
    both = End("angled", miter=F(45), bevel=F(30))
    for said in (
        "36 miter 45 bevel 30",
        "36 bevel 30 miter 45",
        "36 miter 45 and bevel 30",
        "36 bevel 30 and miter 45",
    ):
        assert (both, SQUARE) in {each.ends for each in cuts(said, by_voice=False)}, said
    for said in ("36 miter 45 miter 30", "36 bevel 45 bevel 30"):
        for each in cuts(said, by_voice=False):
            assert all(end.miter is None or end.bevel is None for end in each.ends or ()), said


def test_a_lead_announces_every_way_an_end_is_said() -> None:
    square = End()
    for said, end in (
        ("36 with 45", angled(45)),
        ("36 with a 45", angled(45)),
        ("36 with 45 degree miter", angled(45)),
        ("36 with a 45 degree bevel", End("angled", bevel=F(45))),
        ("36 with a plumb cut 7/12", End("plumb", Rise(F(7)))),
        ("36 with a seat cut 7/12", End("seat", Rise(F(7)))),
        ("36 with a 22-1/2 degree miter", angled(F(45, 2))),
    ):
        assert (end, square) in {each.ends for each in cuts(said, by_voice=False)}, said
    pointed = replace(angled(45), point="long")
    assert (pointed, square) in {
        each.ends for each in cuts("36 with 45 long point", by_voice=False)
    }


def test_an_angle_past_75_degrees_and_a_roof_past_24_in_12_are_none() -> None:
    for degrees, there in ((75, True), (76, False), (1, True), (0, False)):
        said = f"36 {degrees} degrees"
        assert (not refused(said, False) and any(each.ends for each in cuts(said, False))) is there
    for rise, there in ((24, True), (25, False), (1, True), (0, False)):
        said = f"36 plumb cut {rise} in 12"
        ends = {each.ends for each in cuts(said, False)}
        assert any(end.rise for pair in ends for end in pair or ()) is there
    assert not any(
        end.rise for each in cuts("36 plumb cut 7 in 13", by_voice=False) for end in each.ends or ()
    )


def test_points_belong_to_their_ends() -> None:
    for said, points in (
        ("36 45 both ends long point", ("long", "long")),
        ("36 45 both ends short point", ("short", "short")),
        ("36 45 both ends long to short", ("long", "short")),
        ("36 45 both ends short to long", ("short", "long")),
        ("36 45 both ends long to long", ("long", "long")),
    ):
        pointed = [
            tuple(end.point for end in each.ends)
            for each in cuts(said, by_voice=False)
            if each.ends
        ]
        assert points in pointed, said


# --- boards and counts -------------------------------------------------------------------------------


@pytest.mark.parametrize("thick", range(1, 17))
def test_only_sizes_that_are_sawn_are_sizes(thick: int) -> None:
    # PS 20 nominal sizes: 1, 2, 3, 4, 5, 6, 8, 10, 12, 14, 16.
    for wide in range(1, 17):
        sawn = {1, 2, 3, 4, 6, 8, 10, 12}
        said = f"36-1/2 {thick}x{wide}"
        sections = {each.section for each in cuts(said, False)}
        there = Section(F(thick), F(wide)) in sections
        if thick in {1, 2, 4, 6} and wide in sawn and wide >= thick and wide > 1:
            assert there, said
        if wide in {7, 9, 11, 13, 15}:
            assert not there, said
            spoken_size = f"thirty six and a half {words(thick)} by {words(wide)}"
            voiced = {each.section for each in cuts(spoken_size)}
            assert Section(F(thick), F(wide)) not in voiced


def test_treated_is_said_once_before_or_behind_the_size() -> None:
    size = Section(F(2), F(6), treated=True)
    for said in ("36 treated 2x6", "36 2x6 treated", "treated 2x6 36", "2x6 treated 36"):
        assert {each.section for each in cuts(said, by_voice=False)} == {size}, said
    for said in ("36 2x6 treated joist", "36 joist treated 2x6"):
        assert {(each.section, each.piece) for each in cuts(said, by_voice=False)} == {
            (size, "joist")
        }


def test_engineered_boards_have_the_depths_they_are_made_in() -> None:
    for said, section in (
        ("36 1-3/4x11-7/8 LVL", Section(F(7, 4), F(95, 8), "LVL")),
        ("36 1-3/4x9-1/2 LVL", Section(F(7, 4), F(19, 2), "LVL")),
        ("36 LVL 1-3/4x11-7/8", Section(F(7, 4), F(95, 8), "LVL")),
        ("36 LVL", Section(material="LVL")),
    ):
        assert section in {each.section for each in cuts(said, by_voice=False)}, said
    for depth, made in (("9-1/2", True), ("11-7/8", True), ("14-1/2", False), ("9-3/8", False)):
        said = f"{depth} LVL 36"
        sections = {each.section for each in cuts(said, False)}
        whole_part, _, over = depth.partition("-")
        assert (Section(None, F(whole_part) + F(over), "LVL") in sections) is made, said


def test_a_panel_of_up_to_twelve_by_twelve_may_be_feet() -> None:
    for wide, long, feet in (
        (4, 8, True),
        (4, 12, True),
        (12, 12, True),
        (4, 13, False),
        (13, 4, False),
    ):
        found_lengths = lengths(f"{wide} by {long} plywood", by_voice=False)
        assert found_lengths == ({F(long), F(12 * long)} if feet else {F(long)})
        notes = {each.note for each in cuts(f"{wide} by {long} plywood", by_voice=False)}
        assert notes == {f'{wide}" wide', *([f'{12 * wide}" wide'] if feet else [])}
    assert F(191, 4) in lengths("23-1/2 by 47-3/4 plywood", by_voice=False)
    assert lengths("4 by 3 plywood", by_voice=False) >= {F(3)}
    assert F(2) not in lengths("4 by 2 plywood", by_voice=False)


def test_a_count_before_lengths_in_the_plural_and_none_where_the_length_is_doubtful() -> None:
    for said, count, length in (
        ("10 92-5/8 studs", 10, F(741, 8)),
        ("10 12 studs", 10, F(12)),
        ("10 36-1/2 2x4s", 10, F(73, 2)),
    ):
        assert (count, length) in {(e.count, e.length.inches) for e in cuts(said, False)}, said
    # 8-4-1/2 is 8 ft 4-1/2 only where the crew says pairs so: no count stands before what is asked about.
    assert refused("10 8-4-1/2 studs", by_voice=False)
    sure = Settings(pairs="feet")
    assert (10, F(201, 2)) in {
        (e.count, e.length.inches) for e in cuts("10 8-4-1/2 studs", False, sure)
    }
    for said in ("10 11 studs", "10 11-1/2 studs"):
        asked = cuts(said, False)
        assert not any(each.count == 10 and each.length.inches < 12 for each in asked), said


def test_a_number_before_a_board_counts_and_from_a_dozen_on_asks() -> None:
    for number, asks in ((2, False), (11, False), (12, True), (24, True)):
        readings = cuts(f"{words(number)} stud forty and a half")
        counted = [
            r for e, r in readings.items() if (e.count, e.length.inches) == (number, F(81, 2))
        ]
        assert len(counted) == 1
        assert bool(counted[0].doubts) is asks, number
    for number, asks in ((24, False), (25, True)):
        readings = cuts(f"{number} 2x4 40-1/2", by_voice=False)
        counted = [
            r for e, r in readings.items() if (e.count, e.length.inches) == (number, F(81, 2))
        ]
        assert [bool(each.doubts) for each in counted] == [asks], number
    # A plural says that it counts.
    for said in ("twelve studs forty and a half", "fifty two by fours forty and a half"):
        readings = cuts(said)
        assert any(e.count in (12, 50) and not r.doubts for e, r in readings.items()), said


# --- places ----------------------------------------------------------------------------------------------


def test_a_typed_place_has_its_number_behind_a_room_or_a_letter() -> None:
    for said, place in (
        ("36 for north bedroom 2", "north bedroom 2"),
        ("36 for bedroom 24", "bedroom 24"),
        ("36 for bedroom twenty two", "bedroom 22"),
        ("36 for the south kitchen", "south kitchen"),
        ("36 for window B 3", "window B 3"),
    ):
        assert {each.place for each in cuts(said, by_voice=False)} == {place}, said
        assert lengths(said, by_voice=False) == {F(36)}
    for said in ("36 for bedroom north 2", "36 for bedroom 2 2", "36 for ab 2"):
        places = {each.place for each in cuts(said, False)}
        assert not any(place and place.endswith("2") for place in places), said
    assert {each.place for each in cuts("thirty six for bedroom twenty two")} == {"bedroom 22"}


def test_a_number_past_24_or_with_a_unit_behind_a_room_is_the_length() -> None:
    for said, place, length in (
        ("stud for kitchen 25", "kitchen", F(25)),
        ("stud for kitchen 20 inches", "kitchen", F(20)),
        ("stud for kitchen 20 ft", "kitchen", F(240)),
    ):
        asked = cuts(said, False)
        assert {(each.place, each.length.inches) for each in asked} == {(place, length)}, said
    assert refused("stud for kitchen 24", by_voice=False)
    assert {(e.place, e.count) for e in cuts("2x4 for bedroom 2 pieces 36", False)} == {
        ("bedroom", 2)
    }


# --- corrections ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "changes, read_as", [(1, True), (4, True), (5, True), (8, True), (9, False)]
)
def test_a_call_is_changed_underway_up_to_eight_times(changes: int, read_as: bool) -> None:
    said = " no ".join(str(36 + k) for k in range(changes + 1))
    assert refused(said, by_voice=False) is not read_as
    if read_as:
        assert lengths(said, by_voice=False) == {F(36 + changes)}
    spoken_call = " no ".join(words(36 + k) for k in range(changes + 1))
    if read_as:
        assert F(36 + changes) in lengths(spoken_call)


def test_a_change_underway_replaces_what_it_names_and_nothing_else() -> None:
    (each,) = cuts("36 2x4 stud for kitchen, no 37", by_voice=False)
    assert (each.length.inches, each.section, each.piece, each.place) == (
        F(37),
        Section(F(2), F(4)),
        "stud",
        "kitchen",
    )
    (each,) = cuts("36 2x4 stud, no 2x6", by_voice=False)
    assert (each.length.inches, each.section, each.piece) == (F(36), Section(F(2), F(6)), "stud")


def test_make_it_a_dozen_may_be_a_length_and_eleven_only_a_count() -> None:
    for number, length in ((11, False), (12, True)):
        asked = [each.intent for each in found(f"make it {number}", by_voice=False)]
        assert Change(count=number) in asked
        assert (Change(length=Length(F(number))) in asked) is length
    asked = [each.intent for each in found("make it 11-1/2", by_voice=False)]
    assert asked == [Change(length=Length(F(23, 2)))]


# --- reckoning, rows and loads -------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(40))
def test_up_to_three_lengths_are_added_or_taken_off(seed: int) -> None:
    r = random.Random(seed)
    total = F(r.randrange(100 * 8, 200 * 8), 8)
    typed, voiced = _mixed(total), _spoken(total)
    for _ in range(r.choice([1, 2, 3])):
        other = F(r.randrange(2 * 8, 12 * 8), 8)
        sign = r.choice([1, -1])
        typed += f" {'plus' if sign > 0 else 'minus'} {_mixed(other)}"
        voiced += f" {'plus' if sign > 0 else r.choice(['minus', 'less'])} {_spoken(other)}"
        total += sign * other
    assert total in lengths(typed, by_voice=False), typed
    assert total in lengths(voiced), voiced
    four = "100 plus 1 plus 1 plus 1"
    assert lengths(four, by_voice=False) == {F(103)}
    assert not lengths(f"{four} plus 1", by_voice=False)


def _mixed(length: F) -> str:
    whole_part, rest = divmod(length, 1)
    return f"{whole_part}-{rest}" if rest else str(whole_part)


def _spoken(length: F) -> str:
    whole_part, rest = divmod(length, 1)
    said = words(int(whole_part)) if whole_part < 100 else hundreds(int(whole_part))[0]
    return f"{said} and {part(rest.numerator, rest.denominator)[0]}" if rest else said


def test_lengths_that_are_worked_out_from_others() -> None:
    for said, length in (
        ("half of 36-1/2", F(73, 4)),
        ("a third of 36", F(12)),
        ("twice 36-1/2", F(73)),
        ("between 36 and 36-1/2", F(145, 4)),
        ("half under 36", F(71, 2)),
        ("an inch over 36", F(37)),
        ("1/4 shy of 36", F(143, 4)),
        ("1/4 more than 36", F(145, 4)),
        ("36 less a kerf", F(287, 8)),
        ("36 plus one kerf", F(289, 8)),
        # A two-by is 1-1/2 thick (PS 20).
        ("96 less 3 plates", F(183, 2)),
        ("96 less a plate", F(189, 2)),
    ):
        assert length in lengths(said, by_voice=False), said
    assert F(585, 16) in lengths("thirty six and a half and a sixteenth")
    assert lengths("36 less a kerf", False, Settings(kerf=F(1, 16))) == {F(575, 16)}
    for said in ("36 minus 36", "36 minus 37"):
        assert not lengths(said, by_voice=False), said
    assert F(1) in lengths("36 minus 35", by_voice=False)


def test_a_burned_inch_is_asked_about() -> None:
    for said, off in (("burning an inch", 1), ("burning one", 1), ("burning ten", 10)):
        readings = cuts(f"thirty six and a half {said}")
        assert {each.length.inches for each in readings} == {F(73, 2), F(73, 2) - off}
        assert all(each.doubts for each in readings.values())


def test_a_row_is_named_by_its_number_and_what_is_said_of_it_changes() -> None:
    longer = Change(length=Length(F(73, 2)))
    for said, change in (
        ("row 4 36-1/2", longer),
        ("row 4 is 36-1/2", longer),
        ("row number 4 36-1/2", longer),
        ("change row 4 to 36-1/2", longer),
        ("row 4, 36-1/2", longer),
        ("row 4 2x6", Change(section=Section(F(2), F(6)))),
        ("row 4 make it 3", Change(count=3)),
        ("row 4 3 pieces", Change(count=3)),
        ("clear row 4", Command("clear")),
    ):
        intents = [each.intent for each in found(said, by_voice=False)]
        assert OnRow(4, change) in intents, said
        assert {each.row for each in intents if isinstance(each, OnRow)} == {4}
    assert refused("row 4", by_voice=False)


def test_a_cut_may_be_worked_out_from_a_row() -> None:
    for said, derived in (
        ("half of row 4", FromRow(4, factor=F(1, 2))),
        ("twice row 4", FromRow(4, factor=F(2))),
        ("row 4 plus 2", FromRow(4, more=F(2))),
        ("row 4 minus 1/2", FromRow(4, more=F(-1, 2))),
        ("half of row 4 plus 2", FromRow(4, factor=F(1, 2), more=F(2))),
        ("same as row 4", FromRow(4, same=True)),
        ("same as row 4 but 2 longer", FromRow(4, more=F(2), same=True)),
        ("same as row 4 but 2-1/2 shorter", FromRow(4, more=F(-5, 2), same=True)),
    ):
        plain = {
            replace(each.intent, change=Change())
            for each in found(said, by_voice=False)
            if isinstance(each.intent, FromRow)
        }
        assert replace(derived, change=Change()) in plain, said


def test_rows_and_boards_are_sent_to_a_site() -> None:
    for said, order in (
        ("send row four to house twenty two", OnRow(4, Command("send", to="house 22"))),
        ("send row four to the yard", OnRow(4, Command("send", to="yard"))),
        ("send two of row four to bedroom two", OnRow(4, Command("send", to="bedroom 2", count=2))),
        (
            "send the forty inch left over to house two",
            Command("send boards", length=Length(F(40)), to="house 2"),
        ),
        (
            "send the forty two by four left over to the north house",
            Command(
                "send boards",
                length=Length(F(40)),
                to="north house",
                section=Section(F(2), F(4)),
            ),
        ),
        ("load two arrived", Command("arrived", 2)),
        ("refuse load two", Command("refuse load", 2)),
    ):
        assert [each.intent for each in found(said)] == [order], said


# --- what means nothing ------------------------------------------------------------------------------------


@pytest.mark.parametrize("filler", ["please", "um", "uh", "thanks", "thank you"])
def test_what_means_nothing_changes_nothing(filler: str) -> None:
    plain = {*cuts("thirty six and a half stud")}
    for said in (
        f"{filler} thirty six and a half stud",
        f"thirty six and a half {filler} stud",
        f"thirty six and a half stud {filler}",
        f"{filler} {filler} thirty six and a half stud {filler}",
    ):
        assert {*cuts(said)} == plain, said
    assert refused(filler)
    begins = [form for form in en.FILLERS if form[0] == filler.split()[0]]
    assert len(begins) == 1  # one at most ends behind a word


@pytest.mark.parametrize("number, asks", [(1, True), (24, True), (25, False)])
def test_a_bare_number_behind_give_me_may_be_how_many_up_to_two_dozen(
    number: int, asks: bool
) -> None:
    readings = cuts(f"give me {number}", by_voice=False)
    assert [bool(each.doubts) for each in readings.values()] == [asks] * len(readings)
    assert not any(each.doubts for each in cuts(f"give me {number}-1/2", by_voice=False).values())
    assert not any(each.doubts for each in cuts(f"give me {number + 30} stud", False).values())


# --- tables of words ---------------------------------------------------------------------------------------


def _tables() -> list[tuple[str, Table[object]]]:
    return [(name, each) for name, each in vars(en).items() if isinstance(each, Table)]


@pytest.mark.parametrize("name, table", _tables(), ids=[name for name, _ in _tables()])
def test_of_two_forms_that_begin_alike_the_longer_is_tried_first(
    name: str, table: Table[object]
) -> None:
    """King stud before king: what is found first is what is taken where only one may be."""
    for form in table:
        forms = table.beginning(form[0])
        assert form in forms
        assert [len(each) for each in forms] == sorted((len(each) for each in forms), reverse=True)


def test_a_table_finds_the_longest_form_whatever_the_order_it_was_written_in() -> None:
    for text in ("king, king stud, king stud left", "king stud left, king stud, king"):
        table = Table({1: text})
        assert table.beginning("king") == [("king", "stud", "left"), ("king", "stud"), ("king",)]
        assert table.beginning("stud") == []
        assert table.name(1) == text.split(",")[0]
        assert "king" in table
        assert "stud" not in table
        assert table.get("king") == 1
    weighed = Table({1: "one*3, uno*0", 2: "two"})
    assert weighed.said_aloud() == ["one", "two"]
    drawn = {weighed.draw(random.Random(seed)) for seed in range(30)}
    assert drawn == {"one", "two"}
    assert {weighed.draw(random.Random(seed), 1) for seed in range(9)} == {"one"}
    with pytest.raises(ValueError, match="twice"):
        Table({1: "one, one"})

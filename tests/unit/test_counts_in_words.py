"""How many pieces, by a figure, a plural, a dozen or a sign: what counts and what is the length, on both sides of each limit."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import product

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Reading, read

ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
    " sixteen seventeen eighteen nineteen"
).split()
TENS = {20: "twenty", 40: "forty", 60: "sixty", 90: "ninety"}
PLURALS = {2: "twos", 5: "fives", 6: "sixes", 9: "nines", 14: "fourteens", 20: "twenties", 90: "nineties"}  # fmt: skip


def words(number: int) -> str:
    if number < 20:
        return ONES[number]
    return TENS[number // 10 * 10] + (f" {ONES[number % 10]}" if number % 10 else "")


def found(said: str, by_voice: bool = False) -> set[tuple[int, F]]:
    """Return the counts and lengths that *said* may be; none where it is no cut."""
    try:
        readings = read(said, Settings(), by_voice)
    except (NotACall, Refused):
        return set()
    cuts = [each.intent for each in readings]
    return {(cut.count, cut.length.inches) for cut in cuts if isinstance(cut, Cut)}


# --- typed signs -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [1, 2, 12, 23, 24, 25, 33, 40])
def test_an_x_close_to_a_number_up_to_24_counts_by_it_and_past_it_either_may(number: int) -> None:
    """5x 33 and 33 x5 are five of 33; 25x 33 may as well be 33 of 25 in."""
    both = {(number, F(63)), (63, F(number))}
    near = {(number, F(63))}
    assert found(f"{number}x 63") == (near if number <= 24 else both)
    assert found(f"63 x{number}") == (near if number <= 24 else both)
    assert found(f"{number} x 63") == both
    assert found(f"{number}x63") == both
    assert found(f"63x {number}") == both
    assert found(f"{number} x63") == both


def test_counts_are_typed_in_brackets_with_words_and_in_dozens() -> None:
    for said, count in (
        ("(5) 33", 5),
        ("33 (5)", 5),
        ("need 5 33", 5),
        ("5 pcs 33", 5),
        ("33 5 pieces", 5),
        ("33 5 of them", 5),
        ("a dozen 33", 12),
        ("half a dozen 33", 6),
        ("2 dozen 33", 24),
        ("2 dozen at 33", 24),
        ("9 dozen 33", 108),
        ("33 a dozen", 12),
        ("both at 33", 2),
        ("both 33", 2),
        ("33 both", 2),
        ("a pair of 33", 2),
        ("a couple 33", 2),
        ("need a dozen 33", 12),
        ("5 at 33", 5),
        ("5 @ 33", 5),
        ("need both at 33", 2),
    ):
        assert found(said) == {(count, F(33))}, said
    for said in ("(5 33", "5) 33", "33 (", "33 (5", "10 dozen 33", "make both 33"):
        assert not found(said), said


# --- spoken counts ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "tens", "ones"), [*product((1, 2, 14, 40, 99), (20, 60, 90), (2, 5, 6, 9))]
)
def test_a_plural_says_that_the_number_before_it_counts(count: int, tens: int, ones: int) -> None:
    said = f"{words(count)} {TENS[tens]} {PLURALS[ones]}"
    assert found(said, by_voice=True) == {(count, F(tens + ones))}, said
    of = f"{words(count)} of {TENS[tens]} {PLURALS[ones]}"
    assert found(of, by_voice=True) == {(count, F(tens + ones))}, of


def test_plurals_of_teens_and_tens_of_figures_and_of_fractions() -> None:
    for said, count, length in (
        ("ten fourteens", 10, F(14)),
        ("two nineties", 2, F(90)),
        ("two twenties", 2, F(20)),
        ("a pair of sixty fives", 2, F(65)),
        ("a dozen forty twos", 12, F(42)),
        ("two 42s", 2, F(42)),
        ("four fourteen and a halfs", 4, F(29, 2)),
        ("two ninety two and an eighths", 2, F(737, 8)),
        ("two ninety two one eighths", 2, F(737, 8)),
        ("two ninety two and one sixteenths", 2, F(1473, 16)),
    ):
        assert found(said, by_voice=True) == {(count, length)}, said
    assert found("10 42s") == {(10, F(42))}
    assert found("2 of 42s") == {(2, F(42))}
    for said in (
        "a hundred forty twos",
        "two forty tens",
        "two forty twenties",
        "zero forty twos",
        "two two and two eighthss",
    ):
        assert not {each for each in found(said, by_voice=True) if each[0] > 1}, said
    # Two eighths are parts of one length: no count.
    assert found("two ninety two two eighths", by_voice=True) == {(1, F(1169, 4))}


@pytest.mark.parametrize("count", range(1, 10))
@pytest.mark.parametrize("inches", [9, 10, 11, 12, 13, 14, 19, 22, 40])
def test_a_figure_from_three_on_before_a_length_past_eleven_may_count(
    count: int, inches: int
) -> None:
    """Four fourteen and a half is 414-1/2, past most boards, or four of 14-1/2."""
    said = f"{words(count)} {words(inches)} and a half"
    counted = {each for each in found(said, by_voice=True) if each[0] > 1}
    may = count >= 3 and inches > 11
    assert counted == ({(count, inches + F(1, 2))} if may else set()), said


# --- sums -----------------------------------------------------------------------------------------------


def test_a_dash_between_spaces_takes_off_or_joins() -> None:
    for said, lengths in (
        ("92 - 5/8", {F(731, 8), F(741, 8)}),
        ("36 - 1/2", {F(71, 2), F(73, 2)}),
        ("7' - 8 1/2", {F(151, 2), F(185, 2)}),
        ("7' - 11", {F(73), F(95)}),
        ("7' - 11-1/2", {F(145, 2), F(191, 2)}),
        ("7' - 12", {F(72)}),
        ("7' - 13", {F(71)}),
        ("36-1/2 - 1/4", {F(145, 4)}),
        ("36 - 35", {F(1)}),
        ("36 - 36", set()),
    ):
        assert {length for _, length in found(said)} == lengths, said


def test_thicknesses_shares_and_middles() -> None:
    # A two-by is 1-1/2 thick (PS 20).
    for said, lengths in (
        ("12' less a plate", {F(285, 2)}),
        ("12' less one stud", {F(285, 2), F(143)}),
        ("12' less 2 plates", {F(141), F(142)}),
        ("96 less 3 studs", {F(183, 2), F(93)}),
        ("12' less 2", {F(142)}),
        ("96 plus 2 plates", {F(99), F(98)}),
        ("half of 36", {F(18)}),
        ("a third of 36", {F(12)}),
        ("3/4 of 36", {F(27)}),
        ("3/3 of 36", set()),
        ("twice 36", {F(72), F(36)}),
        ("half of 36 plus 2", {F(20)}),
        ("between 36 and 37", {F(73, 2)}),
        ("between 37 and 36", {F(73, 2)}),
        ("between 36 and 37-1/16", set()),
        ("1/2 under 36", {F(71, 2)}),
        ("1/2 over 36", {F(73, 2)}),
        ("an inch short of 36", {F(35)}),
        ("an inch shy of 36", {F(35)}),
    ):
        assert {length for _, length in found(said)} == lengths, said


@pytest.mark.parametrize(
    ("said", "count", "asks"),
    [
        ("posts 95-3/4 4", 4, False),
        ("studs 104-5/8 north 11", 11, False),
        ("studs 104-5/8 12", 12, True),  # from a foot on it may be a length
        ("studs 104-5/8 north 24", 24, True),
        ("blocks 14-1/2 6", 6, True),  # a block may be as short
        ("stud 92-5/8 6", 6, False),
        ("stud 92-5/8 11", 11, False),
        ("2x4 92-5/8 6", 6, True),
        ("kings 116-5/8 six", 6, False),
    ],
)
def test_a_bare_number_behind_a_piece_and_its_length_counts(
    said: str, count: int, asks: bool
) -> None:
    found = read(said)
    assert [each.intent.count for each in found if isinstance(each.intent, Cut)] == [count]
    assert any(each.doubts for each in found) is asks


@pytest.mark.parametrize(
    "said",
    [
        "stud 7' 6",  # 7 ft 6 in.
        "header 51-3/4 wall 5",
        "common rafter 61-3/8 gable 2",
        "14 loft joists 2x10 48",
        "studs 92-5/8 2 ply",
    ],
)
def test_a_number_that_belongs_to_something_else_counts_nothing(said: str) -> None:
    assert {each.intent.count for each in taken(said) if isinstance(each.intent, Cut)} <= {1, 14}


def taken(said: str) -> tuple[Reading, ...]:
    """Return every reading of *said*; none where it is refused."""
    try:
        return read(said)
    except NotACall:
        return ()


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("7 pairs rafters 73-3/4", 14),
        ("rafters 73-3/4 7 pairs", 14),
        ("rafters 73-3/4 5 pr", 10),
        ("block 14-1/2 x 12 ea", 12),
        ("backing 13-1/8 pcs 3", 3),
        ("13-1/8 2x8 3 of", 3),
        ("5 bench legs 2x4 16-1/4", 5),
        ("13 coat rails 2x4 16-1/4", 13),
    ],
)
def test_pairs_and_counts_in_short(said: str, count: int) -> None:
    (found,) = read(said)
    assert isinstance(found.intent, Cut)
    assert found.intent.count == count


@pytest.mark.parametrize("said", ["36 fats 40", "36 coat rails 16", "2 shorts 40"])
def test_unknown_words_behind_a_number_ask_where_they_may_measure(said: str) -> None:
    assert all(each.doubts for each in taken(said))


@pytest.mark.parametrize(
    ("said", "count", "inches"),
    [
        ("sleeper 2x6 2 89-1/4", 2, F(357, 4)),
        ("linen plates 2x4 3 - 50-1/4", 3, F(201, 4)),
        ("studs 92 6", 6, F(92)),  # 92-6/16
        ("rim 2x10 192 1", 1, F(192)),
        ("1 40 2x10 header", 1, F(40)),  # 140?
        ("26 170 2x10 joist", 26, F(170)),
        ("6 10-3/8 2x4 block", 6, F(83, 8)),  # 6 ft 10-3/8?
        ("4 16' 2x4", 4, F(192)),  # boards for the rack?
    ],
)
def test_a_count_apart_from_its_length_asks(said: str, count: int, inches: F) -> None:
    found = [each for each in taken(said) if isinstance(each.intent, Cut)]
    assert all(each.doubts for each in found)
    assert (count, inches) in [
        (each.intent.count, each.intent.length.inches)
        for each in found
        if isinstance(each.intent, Cut)
    ]


@pytest.mark.parametrize(
    ("said", "count", "inches"),
    [
        ("2 40 2x10 header", 2, F(40)),
        ("24 25 2x4 stud", 24, F(25)),
        ("2 46-1/2 2x6 sill", 2, F(93, 2)),
        ("3 46 1/4 2x10 joist", 3, F(185, 4)),
        ("8 12 1/2 2x4 block", 8, F(25, 2)),
        ("12 81 trimmer", 12, F(81)),
        ("4 16' 2x10 rim", 4, F(192)),
        ("2 12' 6 2x6 plate", 2, F(150)),
        ("block 2x8 21 5/8 1", 1, F(173, 8)),
        ("top rail 2x4 66 5/8 2 left side", 2, F(533, 8)),
    ],
)
def test_a_number_that_can_be_nothing_but_how_many_asks_nothing(
    said: str, count: int, inches: F
) -> None:
    (found,) = taken(said)
    assert isinstance(found.intent, Cut)
    assert (found.intent.count, found.intent.length.inches, found.doubts) == (count, inches, ())


def test_a_count_and_a_dash_at_the_head_of_several_pieces_ask_nothing() -> None:
    (reading,) = taken("11 - 92 5/8 2x4 studs")
    cut = reading.intent
    assert isinstance(cut, Cut)
    assert (cut.count, cut.length.inches, reading.doubts) == (11, F(741, 8), ())


def test_a_number_of_its_kind_before_a_count_may_be_how_many() -> None:
    doubts = {each.kind for reading in taken("1x8 stud 15 ten at 174") for each in reading.doubts}
    assert DoubtKind.COUNTED_TWICE in doubts


def test_a_number_inside_a_length_is_no_count_of_its_piece() -> None:
    found = taken("2x4 header 14-1/2 medicine cabinet")
    assert {each.intent.length.inches for each in found if isinstance(each.intent, Cut)} == {
        F(29, 2)
    }


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("plate 2x6 16' 4", {(4, F(192)), (1, F(196))}),  # four of 16 ft, or 16 ft 4 in.
        ("brace 2x4 16' 12", {(12, F(192)), (1, F(204))}),
        ("plate 2x6 16'4", {(1, F(196))}),
        ("plate 2x6 13' 7", {(1, F(163))}),  # no lumber is sold so long
        ("2 plates 2x6 16' 4", {(2, F(196))}),  # counted already
        ("plate 2x6 16' 4-1/2", {(1, F(393, 2))}),
    ],
)
def test_a_bare_number_behind_the_feet_of_lumber_may_be_how_many(
    said: str, found: set[tuple[int, F]]
) -> None:
    cuts = [each.intent for each in taken(said) if isinstance(each.intent, Cut)]
    assert {(cut.count, cut.length.inches) for cut in cuts} == found


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ("8 plates 157 times", True),  # eight plates, or 157 of 8 in.
        ("14 joists 2x4 x 16", True),
        ("8 blocks 4 pcs", True),
        ("25 blocks x 4", False),  # nobody calls so many for a length
        ("8 block x 4", False),
        ("block 14-1/2 x 4", False),
    ],
)
def test_a_small_number_right_before_several_pieces_may_count_them(said: str, asks: bool) -> None:
    found = read(said)
    assert any(each.doubts for each in found) is asks

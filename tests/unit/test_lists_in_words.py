"""Several calls on one line: how long a list and each of its cuts may be, where one ends, and what is said for all of them."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import Refused
from cutmemo.language import read, split_calls
from cutmemo.language.reading import tokens_of
from cutmemo.language.split import CallList

STUD = Section(F(2), F(4))


def cuts(found: CallList | None) -> list[set[Cut]]:
    """Return what each part of a list may be."""
    assert found is not None
    return [
        {each.intent for each in part.readings if isinstance(each.intent, Cut)}
        for part in found.parts
    ]


def counted(said: str, by_voice: bool = False) -> list[set[tuple[int, F]]]:
    found = split_calls(said, by_voice=by_voice)
    return [{(cut.count, cut.length.inches) for cut in part} for part in cuts(found)]


def size(said: str) -> int:
    return len(tokens_of(said, by_voice=False))


def test_without_commas_a_list_has_sixty_words_and_signs_at_most() -> None:
    part = "36-1/2 stud"
    each = size(part)
    assert 60 % each == 0
    sixty = " ".join([part] * (60 // each))
    assert size(sixty) == 60
    found = split_calls(sixty)
    assert found is not None
    assert (len(found.parts), found.marked) == (60 // each, False)
    more = sixty.replace(part, "36-1/2 2x4 stud", 1)
    assert size(more) == 61
    assert split_calls(more) is None
    # With commas it is as long as somebody types it.
    commas = split_calls(", ".join([part] * 60))
    assert commas is not None
    assert (len(commas.parts), commas.marked) == (60, True)


@pytest.mark.parametrize(("words", "fits"), [(28, True), (29, False)])
def test_a_cut_of_a_list_has_thirty_words_and_signs_at_most(words: int, fits: bool) -> None:
    place = " ".join(["barn"] * words)
    part = f"36 for {place}"
    assert size(part) == words + 2
    for said in (f"48, {part}", f"{part}, 48"):
        try:
            found = split_calls(said)
        except Refused:
            found = None
        assert (found is not None and found.marked) is fits, said


def test_one_cut_is_no_list_and_commas_at_the_ends_part_nothing() -> None:
    for said in ("36", "36,", ", 36", ",", "", "flub, flub", "36, flub"):
        assert split_calls(said) is None, said
    for said in ("36, 48", "36; 48", ", 36, 48,", "36,, 48", "36\n48", "36,\n\n48"):
        assert counted(said) == [{(1, F(36))}, {(1, F(48))}], said


def test_a_comma_parts_figures_only_with_a_space_beside_it() -> None:
    for said in ("36,48", "2,400 mm", "36 1,5"):
        with pytest.raises(Refused):
            split_calls(said)
    for said in ("36 ,48", "36, 48", "36;48"):
        assert len(counted(said)) == 2, said
    assert len(counted("36 stud,48 stud")) == 2


def test_and_parts_what_a_count_and_its_pieces_follow() -> None:
    for said, by_voice in (
        ("twelve at fourteen and a half and six at twenty two and a quarter", True),
        ("12 at 14-1/2 and 6 at 22-1/4", False),
    ):
        found = split_calls(said, by_voice=by_voice)
        assert found is not None
        assert not found.marked
        assert counted(said, by_voice) == [{(12, F(29, 2))}, {(6, F(89, 4))}]
    assert counted("6 studs 36 and 4 headers 48") == [{(6, F(36))}, {(4, F(48))}]
    assert counted("6 at 36 and 4 2x4 48")[1] >= {(4, F(48))}


def test_what_is_said_before_a_list_is_for_all_of_it_and_behind_it_perhaps() -> None:
    for said in ("2x4 36, 40, 44", "2x4: 36, 40, 44", "2x4 @ 36, 40, 44"):
        parts = cuts(split_calls(said))
        assert [{cut.section for cut in part} for part in parts] == [{STUD}] * 3, said
    for said, name, value in (
        ("stud 36, 40, 44", "piece", "stud"),
        ("W3 36, 40, 44", "place", "W3"),
        ("for kitchen 36, 40, 44", "place", "kitchen"),
    ):
        parts = cuts(split_calls(said))
        assert [{getattr(cut, name) for cut in part} for part in parts] == [{value}] * 3, said
    # A section behind the last, and a count before the first, may be for the others too.
    behind = cuts(split_calls("36, 40, 44 2x4"))
    assert [{cut.section for cut in part} for part in behind] == [{None, STUD}] * 2 + [{STUD}]
    before = counted("6 at 36, 40, 44")
    assert before == [{(6, F(36))}, {(1, F(40)), (6, F(40))}, {(1, F(44)), (6, F(44))}]
    # What each names is its own.
    own = cuts(split_calls("2x4 36, 2x6 40"))
    assert [{cut.section for cut in part} for part in own] == [{STUD}, {Section(F(2), F(6))}]
    assert counted("6 at 36, 2 at 40") == [{(6, F(36))}, {(2, F(40))}]
    mixed = cuts(split_calls("36 2x4, 40, 44 2x6"))
    assert [{cut.section for cut in part} for part in mixed] == [
        {STUD},
        {None},
        {Section(F(2), F(6))},
    ]


def test_a_list_that_can_be_parted_in_two_ways_is_refused() -> None:
    for said in ("8' 6, 2x6 header, 90", "14-1/2 king stud 2 at 90-3/8"):
        with pytest.raises(Refused):
            split_calls(said)


def test_each_part_keeps_its_words_as_they_were_typed() -> None:
    found = split_calls("4 @ 14-5/8 2x6  header;2 at 90 ; 8' 6 1/2\"")
    assert found is not None
    assert [part.said for part in found.parts] == [
        "4 @ 14-5/8 2x6  header",
        "2 at 90",
        "8' 6 1/2\"",
    ]


@pytest.mark.parametrize("said", ["one by the stove pipe, 88-1/4", "6 W3, 40 W4"])
def test_a_few_inches_with_a_place_beside_another_cut_may_be_how_many(said: str) -> None:
    found = split_calls(said)
    assert found is not None
    first, second = found.parts
    assert [each.kind for each in first.readings[0].doubts] == [DoubtKind.COUNT_OR_LENGTH]
    assert second.readings[0].doubts == ()


@pytest.mark.parametrize(
    ("said", "lengths"),
    [
        ("ridge 2x12 192 and 120", [192, 120]),
        ("2x6 48 and 191", [48, 191]),
        ("plates 2x4 71 & 26-1/2", [71, F(53, 2)]),
    ],
)
def test_and_between_two_lengths_parts_them_and_asks(said: str, lengths: list[F]) -> None:
    found = split_calls(said)
    assert found is not None
    assert not found.marked
    cuts = [part.readings[0].intent for part in found.parts]
    assert [cut.length.inches for cut in cuts if isinstance(cut, Cut)] == lengths


def test_and_before_a_part_of_an_inch_parts_nothing() -> None:
    (found,) = read("92 and 5/8")
    assert isinstance(found.intent, Cut)
    assert found.intent.length.inches == F(741, 8)
    assert split_calls("48 and 3 eighths") is None
    (found,) = read("48 and 3 eighths")
    assert isinstance(found.intent, Cut)
    assert found.intent.length.inches == F(387, 8)


def test_a_size_behind_lengths_with_and_between_may_be_of_both() -> None:
    first, second = cuts(split_calls("144 and 133 pt 2x6 sole back wall"))
    assert {str(cut.section or "") for cut in first} == {"", "2x6 treated"}
    assert {str(cut.section) for cut in second} == {"2x6 treated"}


@pytest.mark.parametrize(
    "said", ["2 sisters 2x8 9' 8\", 1 sister 2x8 7' 2\"", "4 @ 116 2x8, one 2x8 86"]
)
def test_one_said_before_a_cut_is_not_the_count_of_the_first(said: str) -> None:
    assert [{count for count, _ in part} for part in counted(said)][1] == {1}

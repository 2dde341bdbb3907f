"""Typed words of no table: a place or a quality is kept, what may change the cut is asked about or refused."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import OnRow, Reading, read, split_calls


def cut_of(reading: Reading) -> Cut:
    assert isinstance(reading.intent, Cut)
    return reading.intent


def cuts(said: str, by_voice: bool = False, settings: Settings | None = None) -> list[Cut]:
    return [cut_of(each) for each in read(said, settings, by_voice)]


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("92-5/8 stud at the chimney", "chimney"),
        ("stud at the chimney 92-5/8", "chimney"),
        ("at the chimney stud 92-5/8", "chimney"),
        ("at the old brick chimney stud 92-5/8", "old brick chimney"),
        ("92-5/8 stud by the bulkhead", "bulkhead"),
        ("92-5/8 stud under the sill", "under the sill"),
        ("92-5/8 stud below sill", "below sill"),
        ("92-5/8 stud behind our gazebo", "behind our gazebo"),
        ("92-5/8 stud next to the cistern", "next to the cistern"),
        ("92-5/8 stud at the end of the trellis", "end of the trellis"),
        ("92-5/8 stud at the corner post", "corner post"),
        ("stud left side 92-5/8", "left side"),
        ("stud 92-5/8 corner W1", "corner W1"),
        ("stud W1/W2 92-5/8", "W1 / W2"),
        ("W3 stud at the gazebo 92-5/8", "W3, gazebo"),
        ("gable end stud 92-5/8", "gable end"),
    ],
)
def test_a_place_of_any_nouns_stands_behind_what_says_where(said: str, place: str) -> None:
    (reading,) = read(said)
    found = cut_of(reading)
    assert (found.length.inches, found.count, found.piece) == (F(741, 8), 1, "stud")
    assert (found.place, reading.doubts) == (place, ())


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("thirty six under the sill", "under the sill"),
        ("thirty six at the chimney", "chimney"),
        ("at the chimney thirty six", "chimney"),
        ("over the header thirty six", "over the header"),
    ],
)
def test_a_place_by_a_piece_is_heard(said: str, place: str) -> None:
    (found,) = cuts(said, by_voice=True)
    assert (found.length.inches, found.place) == (F(36), place)


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("twin board 2x10 93", "twin board"),
        ("twin stud 93", "twin"),
        ("duoble stud 93", "duoble"),
        ("93 2x6 unsure", "unsure"),
        ("joist hanger side 93", "hanger side"),
        ("93 for flue 4", "flue 4"),
        ("door wide 93", "wide"),
    ],
)
def test_other_words_are_kept_and_asked_about(said: str, kept: str) -> None:
    for reading in read(said):
        found = cut_of(reading)
        assert (found.length.inches, found.count) == (F(93), 1)
        assert kept in (found.piece, found.place, found.note)
        assert DoubtKind.UNKNOWN_WORDS in [each.kind for each in reading.doubts]


CHANGING = (
    "double each every half twin quad minus less longer shorter about nearly per of off past to "
    "from not no or and sxity fourty twlve inchs twice both pair same high deep"
).split()


@pytest.mark.parametrize("word", CHANGING)
@pytest.mark.parametrize("frame", ["36 at the {}", "stud at the {} 36", "2x4 {} 36", "{} 2x4 36"])
def test_a_word_that_may_change_the_cut_is_never_kept_in_silence(word: str, frame: str) -> None:
    try:
        found = read(frame.format(word))
    except (NotACall, Refused):
        return
    kept = [
        word in f"{cut.place} {cut.piece} {cut.note}".split()
        for each in found
        if isinstance(cut := each.intent, Cut)
    ]
    assert not any(kept) or all(each.doubts for each in found)


@pytest.mark.parametrize(
    "said",
    [
        "36 corner 1/2",
        "36 gazebo 1/2",
        "36 at the gazebo 1/2",
        "bath 13 at the gazebo 72",
        "36 at the gazebo 40 stud",
        "36 gazebo 40",
        "4 at the gazebo 36 40",
        "stud at the gazebo",
        "at the gazebo",
    ],
)
def test_a_kept_word_joins_and_hides_no_number(said: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(said)


@pytest.mark.parametrize(
    "said",
    [
        "at the gazebo 4 2x6 93",
        "at the post 4 2x6 93",
        "inside the window 4 cleat 93",
        "inside the window 4 cleat left chimney 93",
    ],
)
def test_a_number_between_a_place_and_a_board_may_count_or_be_the_places(said: str) -> None:
    assert {each.count for each in cuts(said)} == {1, 4}


@pytest.mark.parametrize("said", ["both windows", "each bath", "every gazebo", "all closets"])
def test_a_place_that_is_several_asks_how_many(said: str) -> None:
    (reading,) = read(f"36 for {said}")
    assert [each.kind for each in reading.doubts] == [DoubtKind.UNCOUNTED]
    assert read(f"4 @ 36 for {said}")[0].doubts == ()


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("man door header 2x6 40 x 2", {(2, F(40))}),
        ("stair treads 36 x 8", {(8, F(36))}),
        ("balusters 34 x 46", {(46, F(34)), (34, F(46))}),
        ("blocks 30 x 8", {(8, F(30)), (30, F(8))}),
        ("rip 3-1/4 x 96", {(96, F(13, 4)), (1, F(96))}),
        ("post 3 37-7/8", {(3, F(303, 8)), (1, F(303, 8))}),
        ("3/2x6 77-1/2", {(3, F(155, 2))}),
        ("32 5 8", {(1, F(261, 8))}),
    ],
)
def test_two_numbers_are_a_length_and_a_count(said: str, meant: set[tuple[int, F]]) -> None:
    assert {(each.count, each.length.inches) for each in cuts(said)} == meant


def test_a_thin_length_before_a_count_asks() -> None:
    (reading,) = read("shim 1/4 x 14")
    assert [each.kind for each in reading.doubts] == [DoubtKind.COUNT_OR_LENGTH]


def test_a_room_that_there_is_one_of_may_be_numbered_behind_the_length() -> None:
    (found,) = cuts("forty one for garage two", by_voice=True)
    assert (found.length.inches, found.place) == (F(41), "garage 2")


def test_a_small_amount_over_a_piece_is_no_cut_of_its_own() -> None:
    for said in ("1/16 over the header", "1/2 under the gazebo", "a half over the sill"):
        with pytest.raises((NotACall, Refused)):
            read(said)


@pytest.mark.parametrize(
    ("said", "piece", "asks"),
    [
        ("manger board 2x10 93", "manger board", []),
        ("2x10 dwang 93", "dwang", []),
        ("4x4 workbench legs 93", "workbench legs", [DoubtKind.UNCOUNTED]),
        ("4x4 workbench legs 93 x 4", "workbench legs", []),
    ],
)
def test_words_beside_a_size_say_which_piece_it_is(
    said: str, piece: str, asks: list[DoubtKind]
) -> None:
    (reading,) = read(said)
    assert cut_of(reading).piece == piece
    assert [each.kind for each in reading.doubts] == asks


@pytest.mark.parametrize(("said", "asks"), [("28-1/2, 2", True), ("28-1/2, 14", False)])
def test_a_few_inches_behind_a_comma_may_be_how_many(said: str, asks: bool) -> None:
    listed = split_calls(said)
    assert listed is not None
    doubts = [each.kind for each in listed.parts[1].readings[0].doubts]
    assert doubts == ([DoubtKind.COUNT_OR_LENGTH] if asks else [])


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ("3, 48-1/2", True),
        ("1, 45-1/2", True),
        ("12, 92-5/8", False),
        ("3-1/2, 48", False),
        ('3", 48-1/2', False),
        ("3, 4 @ 48", False),
        ("4, 5", False),
        ("3' 4, 48", False),
    ],
)
def test_a_few_inches_before_a_comma_may_be_how_many(said: str, asks: bool) -> None:
    listed = split_calls(said)
    assert listed is not None
    doubts = [each.kind for each in listed.parts[0].readings[0].doubts]
    assert doubts == ([DoubtKind.COUNT_OR_LENGTH] if asks else [])


@pytest.mark.parametrize("said", ["12 flub", "36 dwangs", "36, flub", "flub 12"])
def test_a_word_that_a_bare_number_may_count_is_refused(said: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(said)
    listed = split_calls(said)
    assert listed is None


def test_a_half_that_counts_or_sizes_a_wall_is_no_length_in_silence() -> None:
    for reading in read("half wall"):
        assert DoubtKind.AND_SWALLOWED in {each.kind for each in reading.doubts}


def test_a_miter_and_a_fraction_may_be_one_length() -> None:
    lengths = {cut.length.inches for cut in cuts("miter 15-13/16 for W3")}
    assert lengths == {F(13, 16), F(253, 16)}


def test_a_list_has_its_places() -> None:
    listed = split_calls("36 at the gazebo, 40 stud by the trellis; 4 @ 22")
    assert listed is not None
    found = [cut_of(part.readings[0]) for part in listed.parts]
    assert [(each.count, each.length.inches, each.place) for each in found] == [
        (1, F(36), "gazebo"),
        (1, F(40), "trellis"),
        (4, F(22), None),
    ]


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ("window 36", True),
        ("door 80", True),
        ("window 36 header", True),
        ("bath window 36 2x6 sill", True),
        ("garage door 96 header", True),
        ("window 2 36 header", False),
        ("36 window header", False),
        ("window 36-1/2 header", False),
        ("window 36-1/2", False),
        ("window 36 2x4", False),
        ("4 @ 36 window", False),
        ("kitchen 36", False),
        ("W3 36", False),
        ("unit 4 36", False),
        ("north wall 36", False),
        ("at the gazebo 24", True),
        ("at the gazebo 25", False),
    ],
)
def test_a_bare_number_that_may_be_the_places_own_asks(said: str, asks: bool) -> None:
    (reading,) = read(said)
    assert [each.kind for each in reading.doubts] == ([DoubtKind.PLACE_OR_LENGTH] if asks else [])


@pytest.mark.parametrize(
    ("said", "length", "place"),
    [
        ("north wall one twenty one and three eighths", F(971, 8), "north wall"),
        ("for the stairs twenty seven and a quarter", F(109, 4), "stairs"),
    ],
)
def test_a_place_that_there_is_one_of_has_no_number(said: str, length: F, place: str) -> None:
    (found,) = cuts(said, by_voice=True)
    assert (found.length.inches, found.place) == (length, place)


@pytest.mark.parametrize(
    ("said", "note", "allowance"),
    [
        ("short block 36", "short", None),
        ("four short studs at 36", "short", None),
        ("long stud 36", "long", None),
        ("stud flat 36", "flat", None),
        ("2x4 flat 36", "flat", None),
        ("stud 36 short", None, "short"),
        ("36 short stud", None, "short"),
        ("36 bare", None, "bare"),
        ("proud 36", None, "proud"),
        ("2x6 on edge 36", "on edge", None),
        ("let-in brace 36", "let in", None),
        ("white pine 1x12 36", "white pine", None),
    ],
)
def test_a_quality_is_of_the_piece_before_the_length_and_of_the_length_behind_it(
    said: str, note: str | None, allowance: str | None
) -> None:
    (found,) = cuts(said)
    assert found.length.inches == 36
    assert (found.note, str(found.allowance or "") or None) == (note, allowance)


@pytest.mark.parametrize(
    ("said", "count", "length"),
    [
        ("94-1/8 twice", 2, F(753, 8)),
        ("six lengths of 2x4 at 36", 6, F(36)),
        ("58 n a half", 1, F(117, 2)),
        ("58 n 1/2", 1, F(117, 2)),
        ("75.5/2", 1, F(151, 4)),
        ("75-1/2 / 2", 1, F(151, 4)),
        ("a block 14-1/2", 1, F(29, 2)),
        ("12 nogs 22", 12, F(22)),
    ],
)
def test_counts_and_lengths_of_a_day(said: str, count: int, length: F) -> None:
    (found,) = cuts(said)
    assert (found.count, found.length.inches) == (count, length)


@pytest.mark.parametrize(
    ("said", "piece"), [("2x6 bottom 36", "sole plate"), ("2x6 36 top", "top plate")]
)
def test_top_and_bottom_beside_a_size_may_be_plates(said: str, piece: str) -> None:
    found = cuts(said)
    assert {(each.piece, each.place) for each in found} == {
        (piece, None),
        (None, said.split()[-1] if said.endswith("top") else "bottom"),
    }


def test_a_row_is_named_by_a_sign_past_the_grades() -> None:
    (reading,) = read("#4 58-3/4")
    assert isinstance(reading.intent, OnRow)
    assert reading.intent.row == 4
    assert cuts("#2 58-3/4")[0].note == "#2"
    (order,) = read("strike #2")
    assert isinstance(order.intent, OnRow)
    assert order.intent.row == 2


@pytest.mark.parametrize("said", ["that's 58-3/4", "it's 58-3/4"])
def test_that_is_a_length_asks_whether_it_corrects(said: str) -> None:
    (reading,) = read(said)
    assert [each.kind for each in reading.doubts] == [DoubtKind.NEW_OR_CORRECTION]
    (counted,) = read(said.replace("58", "4 @ 58"))
    assert counted.doubts == ()


METRIC = Settings(figures="mm")


@pytest.mark.parametrize(
    ("said", "by_voice", "millimetres"),
    [
        ("12 600", False, {F(12600), F(600)}),
        ("63-1/2", False, {F(127, 2) * F(254, 10), F(127, 2)}),
        ("sixty three and a half", True, {F(127, 2) * F(254, 10), F(127, 2)}),
        ("two four three five", True, {F(2435)}),
        ("one two oh five", True, {F(1205)}),
        ("three metres six", True, {F(3600), F(3006)}),
        ("two metres forty", True, {F(2400)}),
        ("5.4", False, {F(5400), F(54, 10)}),
        ("235.5", False, {F(2355, 10)}),
    ],
)
def test_a_metric_crew_is_understood_or_asked(
    said: str, by_voice: bool, millimetres: set[F]
) -> None:
    found = {each.length.inches * F(254, 10) for each in cuts(said, by_voice, METRIC)}
    assert found == millimetres

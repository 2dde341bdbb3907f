"""Orders and corrections for a row in a crew's words: which row is meant, and what becomes of it."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from fractions import Fraction as F

import pytest
from desk import Desk, refused
from memory_store import MemoryStore

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.domain.cut import Change, Cut, Section
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError, NotACall, NothingToDo, Refused
from cutmemo.language import Command, OnRow, read
from cutmemo.memo.commands import Hear

TWO_BY_SIX, TWO_BY_FOUR = Section(F(2), F(6)), Section(F(2), F(4))


@pytest.fixture
def desk() -> Desk:
    """Three rows: 4 studs, 1 header, 2 blocks."""
    desk = Desk(MemoryStore())
    for said in ("4 2x6 studs @ 92-5/8", "header 39-1/2", "2 blocks 14-1/2"):
        desk.call(said)
    return desk


def heard(desk: Desk, said: str) -> None:
    assert desk.told(Hear(Recognition((Hypothesis(said, -10.0),)))) is not None


@pytest.mark.parametrize(
    ("said", "typed", "done"),
    [
        ("cut row one", "cut row 1", 1),
        ("cut two of row one", "cut 2 of row 1", 2),
        ("two of row one done", "2 of row 1 done", 2),
        ("cut all of row one", "cut all of row 1", 4),
        ("row one is done", "row 1 done", 4),
        ("row one is cut", "row 1 cut", 4),
        ("done with row one", "done with row 1", 4),
    ],
)
def test_pieces_of_a_row_are_cut_by_its_number(said: str, typed: str, done: int) -> None:
    spoken, by_hand = (Desk(MemoryStore()) for _ in range(2))
    for each in (spoken, by_hand):
        each.call("4 2x6 studs @ 92-5/8")
    heard(spoken, said)
    by_hand.call(typed)
    assert spoken.find("1").done == by_hand.find("1").done == done


def test_no_more_pieces_are_cut_than_are_left(desk: Desk) -> None:
    with refused(NothingToDo, "Row 1 has only 4 left"):
        desk.call("cut 5 of row 1")
    assert desk.find("1").done == 0


@pytest.mark.parametrize("said", ["cut 36", "cut 4 @ 36", "cut 36 1/2"])
def test_a_length_behind_cut_stays_a_cut_and_asks_where_a_row_of_it_waits(said: str) -> None:
    assert all(isinstance(each.intent, Cut) for each in read(said, Settings()))
    desk = Desk(MemoryStore())
    assert [row.state for row in desk.call(said).rows] == ["open"]
    (again,) = desk.call(said).rows
    asks = {each.kind for each in again.doubts}
    assert asks == {DoubtKind.SAID_TWICE, DoubtKind.DONE_OR_NEW}


@pytest.mark.parametrize(
    ("hold", "release"),
    [
        ("hold row two", "release row two"),
        ("put row two on hold", "take row two off hold"),
        ("row two on hold", "row two off hold"),
        ("hold off on row two", "let row two go"),
        ("set row two aside", "row two can go"),
        ("hold row two for now", "let go of row two"),
        ("hold the header", "release the header"),
    ],
)
def test_a_row_is_held_and_let_go_in_any_words(desk: Desk, hold: str, release: str) -> None:
    heard(desk, hold)
    assert [row.number for row in desk.state.rows.values() if row.held] == [2]
    heard(desk, release)
    assert not any(row.held for row in desk.state.rows.values())


@pytest.mark.parametrize(
    "said",
    ["hold that", "hold that one", "put that on hold", "put it on hold", "hold the last one"],
)
def test_the_row_called_last_is_held_and_at_the_saw_the_one_in_hand(desk: Desk, said: str) -> None:
    heard(desk, said)
    assert desk.find("3").held
    desk.release("3")
    desk.at_saw, desk.in_hand = True, desk.find("1").id
    heard(desk, said)
    assert [row.number for row in desk.state.rows.values() if row.held] == [1]


@pytest.mark.parametrize("said", ["hold", "hold it"])
def test_hold_by_itself_means_the_listening(desk: Desk, said: str) -> None:
    desk.call(said)
    assert not any(row.held for row in desk.state.rows.values())


@pytest.mark.parametrize(
    "said",
    [
        "delete last one",
        "delete the last one",
        "drop that",
        "scratch the last row",
        "strike that one",
        "scratch that one",
        "cancel it",
        "take that off",
    ],
)
def test_the_last_call_is_struck_with_and_without_the_article(desk: Desk, said: str) -> None:
    desk.call(said)
    assert [row.number for row in desk.state.rows.values() if row.state == "struck"] == [3]


def test_a_piece_that_two_rows_have_names_none(desk: Desk) -> None:
    desk.call("header 63")
    with refused(NothingToDo, "Rows 2, 4 are called header"):
        desk.call("hold the header")
    with refused(NothingToDo, "No open row is called rafter"):
        desk.call("hold the rafters")


@pytest.mark.parametrize(
    ("said", "counts"),
    [
        ("no 26 studs", {26, None}),
        ("make that twenty six studs", {26, None}),
        ("sorry, 6 trimmers", {6, None}),
        ("no 24 2x4", {24, None}),
        ("no 25 2x4", {None}),
        ("no one header", {1, None}),
        ("no 11 header", {11, None}),
        ("no 12 header", {None}),
        ("no 80-1/2 trimmers", {None}),
        ('no 80" trimmers', {None}),
    ],
)
def test_a_number_before_several_pieces_may_correct_how_many(
    said: str, counts: set[int | None]
) -> None:
    found = [each.intent for each in read(said) if isinstance(each.intent, Change)]
    assert {each.count for each in found} == counts
    assert all((each.length is None) != (each.count is None) for each in found)


def test_no_length_is_lost_to_a_corrected_count() -> None:
    desk = Desk(MemoryStore())
    desk.call("24 studs 92-5/8")
    desk.call("make that 26 studs")
    assert desk.find("1").state == "doubtful"
    readings = {(each.count, each.length.inches) for each in desk.find("1").readings}
    assert readings == {(26, F(741, 8)), (24, F(26))}


@pytest.mark.parametrize("said", ["strike the ridge", "hold the ridge", "make the ridge 2x12"])
def test_a_piece_is_not_named_by_a_word_that_a_later_kind_of_it_has_too(said: str) -> None:
    desk = Desk(MemoryStore())
    desk.call("ridge 222")
    desk.call("ridge board 192")
    with refused(NothingToDo, "Rows 1, 2 are called ridge"):
        desk.call(said)


@pytest.mark.parametrize(
    ("calls", "said", "struck"),
    [
        (["ceiling joist 147", "joist 168"], "strike the joist", 2),
        (["rim 191", "trimmer 80-1/4"], "strike the rim", 1),
        (["ridge 222", "ridge board 192", "strike the ridge board"], "strike the ridge", 1),
    ],
)
def test_a_piece_is_named_where_no_later_one_may_be_meant(
    calls: list[str], said: str, struck: int
) -> None:
    desk = Desk(MemoryStore())
    for each in calls:
        desk.call(each)
    desk.call(said)
    assert desk.find(str(struck)).state == "struck"


@pytest.mark.parametrize("said", ["hold off on 2", "put 2 on hold", "hold 2", "wait on 2"])
def test_a_typed_number_without_row_is_held(desk: Desk, said: str) -> None:
    desk.call(said)
    assert [row.number for row in desk.state.rows.values() if row.held] == [2]


@pytest.mark.parametrize("said", ["cut 2", "take 2 off", "2 done"])
def test_a_typed_number_without_row_is_not_cut_or_struck(desk: Desk, said: str) -> None:
    with suppress(CutmemoError):
        desk.call(said)
    rows = [row for row in desk.state.rows.values() if row.number <= 3]
    assert [(row.state, row.done, row.cut.count) for row in rows] == [
        ("open", 0, count) for count in (4, 1, 2)
    ]


@pytest.mark.parametrize(
    ("said", "section"),
    [
        ("the header is 2x6", TWO_BY_SIX),
        ("make the header 2x6", TWO_BY_SIX),
        ("change the header to a 2x4", TWO_BY_FOUR),
    ],
)
def test_a_row_is_changed_by_its_piece(desk: Desk, said: str, section: Section) -> None:
    desk.call(said)
    assert desk.find("2").cut.section == section
    desk.call("the header should be 40-1/4")
    assert desk.find("2").cut.length.inches == F(161, 4)
    assert len(desk.state.rows) == 3


@pytest.mark.parametrize("said", ["twenty six of them", "i need twenty six of those"])
def test_a_spoken_number_is_not_parted_into_a_length_and_a_count(desk: Desk, said: str) -> None:
    desk.call("22-1/2")
    heard(desk, said)
    assert desk.find("4").cut == replace(desk.find("4").cut, count=26)
    assert (len(desk.state.rows), desk.find("4").cut.length.inches) == (4, F(45, 2))


@pytest.mark.parametrize("said", ["actually, two more", "wait 2 more", "make that two more"])
def test_more_behind_a_lead_adds_pieces(desk: Desk, said: str) -> None:
    desk.call(said)
    assert desk.find("3").cut.count == 4


@pytest.mark.parametrize(
    "said",
    [
        "not 59-1/2",
        "no two of",
        "sorry, 3 at",
        "take off 3",
        "take off 14-1/2",
        "not 14-1/2",
        "row 1 10 of",
        "cut row 1 40-1/2",
    ],
)
def test_what_is_not_over_or_names_no_row_changes_nothing(desk: Desk, said: str) -> None:
    for each in ("59", "14"):
        desk.call(each)
    before = [(row.cut, row.state) for row in desk.state.rows.values()]
    with pytest.raises(CutmemoError):
        desk.call(said)
    assert [(row.cut, row.state) for row in desk.state.rows.values()] == before


@pytest.mark.parametrize("tens", ["twenty", "thirty", "ninety"])
def test_the_number_of_a_row_is_not_parted_into_a_row_and_a_length(tens: str) -> None:
    with pytest.raises(CutmemoError):
        read(f"row {tens} two", Settings(), by_voice=True)
    rows = {
        each.intent.row
        for each in read(f"row {tens} six foot two", Settings(), by_voice=True)
        if isinstance(each.intent, OnRow)
    }
    assert len(rows) == 2  # row 20 of 6' 2", or row 26: it is asked which


@pytest.mark.parametrize(
    ("said", "by_voice"), [("need 31-1/2", False), ("need thirty one and a half", True)]
)
def test_need_before_a_length_counts_nothing(said: str, by_voice: bool) -> None:
    (reading,) = read(said, Settings(), by_voice)
    assert isinstance(reading.intent, Cut)
    assert (reading.intent.count, reading.intent.length.inches) == (1, F(63, 2))


def test_a_bare_number_behind_make_may_be_a_length(desk: Desk) -> None:
    assert desk.call("no, make 22").happened == "asked"
    assert {(each.count, each.length.inches) for each in desk.find("3").readings} == {
        (22, F(29, 2)),
        (2, F(22)),
    }


@pytest.mark.parametrize("number", [25, 36, 96])
def test_a_large_need_may_be_a_length_and_asks(desk: Desk, number: int) -> None:
    desk.call("22-1/2")
    assert desk.call(f"need {number}").happened == "asked"
    assert desk.find("4").state == "doubtful"


@pytest.mark.parametrize(("count", "said"), [(46, "48"), (18, "20"), (12, "10"), (40, "36")])
def test_a_correction_near_the_count_may_be_the_count(count: int, said: str) -> None:
    desk = Desk(MemoryStore())
    desk.call(f"{count} @ 92-5/8")
    desk.call(f"no, make that {said}")
    assert [each.count for each in desk.find("1").readings] == [count, int(said)]


@pytest.mark.parametrize(("count", "said"), [(12, "14"), (46, "33"), (1, "34")])
def test_a_correction_nearer_to_the_length_is_the_length(count: int, said: str) -> None:
    desk = Desk(MemoryStore())
    desk.call(f"{count} @ {14 if count == 12 else 34}-1/2")
    desk.call(f"no, make that {said}")
    assert (desk.find("1").state, desk.find("1").cut.count) == ("open", count)


def test_what_may_be_said_of_a_row_as_well_asks(desk: Desk) -> None:
    said = "row twenty three plus an eighth"  # row 23, or row 20 is to be 3-1/8
    for number in range(4, 24):
        desk.call(f"{30 + number}-1/2 for wall {number}")
        if number == 22:
            with pytest.raises(CutmemoError):
                heard(desk, said)
    heard(desk, said)
    assert (desk.find("24").state, desk.find("24").cut.length.inches) == ("doubtful", F(429, 8))
    assert desk.find("20").cut.length.inches == F(101, 2)


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("short on row one", "short"),
        ("row one is too short", "short"),
        ("row one came out short", "short"),
        ("row one too long", "long"),
        ("bad board on row one", "bad stock"),
        ("wrong angle on row one", "wrong angle"),
    ],
)
def test_trouble_with_a_row_is_said_by_its_number(desk: Desk, said: str, reason: str) -> None:
    desk.call("cut row 1")
    heard(desk, said)
    assert desk.find("1").spoiled == (reason,)


@pytest.mark.parametrize("said", ["not 2x6, 2x4", "not 2x6 2x4", "2x4 not 2x6", "no, 2x4, not 2x6"])
def test_what_the_last_row_is_said_not_to_be_it_has_to_be(desk: Desk, said: str) -> None:
    with refused(NothingToDo, "neither was said"):
        desk.call(said)
    desk.call("2x6 60-1/2")
    desk.call(said)
    assert desk.find("4").cut == Cut(desk.find("4").cut.length, section=TWO_BY_FOUR)
    with refused(NothingToDo, "Row 4 is 2x4"):
        desk.call(said)


@pytest.mark.parametrize(
    "said", ["that was 2x6", "that's a two by six", "those are 2x6", "row 3 is a 2x6", "it's a 2x6"]
)
def test_what_a_row_is_can_be_said_of_it(desk: Desk, said: str) -> None:
    desk.call(said)
    row = desk.find("3")
    assert (row.cut.count, row.cut.length.inches, row.cut.section) == (2, F(29, 2), TWO_BY_SIX)
    assert len(desk.state.rows) == 3


def test_so_many_of_those_is_said_of_one_piece_only(desk: Desk) -> None:
    with refused(NothingToDo, "Row 3 is 2 pieces already"):
        heard(desk, "six of those")
    desk.call("hold row 1")
    desk.call("22-1/2")
    heard(desk, "six of those")
    assert desk.find("4").cut.count == 6
    assert desk.find("3").cut.count == 2


@pytest.mark.parametrize(
    ("said", "inches"),
    [
        ("make it a quarter shorter", F(57, 4)),
        ("make that an eighth longer", F(117, 8)),
        ("take a quarter off", F(57, 4)),
        ("take a quarter off of that", F(57, 4)),
        ("add an inch and a half to that", F(16)),
        ("row three a quarter shorter", F(57, 4)),
        ("make row three a quarter shorter", F(57, 4)),
        ("take an eighth off row three", F(115, 8)),
    ],
)
def test_a_row_is_made_longer_or_shorter_itself(desk: Desk, said: str, inches: F) -> None:
    heard(desk, said)
    row = desk.find("3")
    assert (row.cut.count, row.cut.length.inches, row.cut.piece) == (2, inches, "block")
    assert len(desk.state.rows) == 3


@pytest.mark.parametrize("said", ["a quarter shorter", "quarter inch shorter"])
def test_a_bare_shorter_asks_whether_another_piece_is_meant(desk: Desk, said: str) -> None:
    heard(desk, said)
    row = desk.find("4")
    assert (row.state, row.cut.length.inches) == ("doubtful", F(57, 4))
    assert desk.find("3").cut.length.inches == F(29, 2)


@pytest.mark.parametrize("said", ["same thing an eighth longer", "another one an eighth longer"])
def test_the_same_an_eighth_longer_is_another_row(desk: Desk, said: str) -> None:
    heard(desk, said)
    row = desk.find("4")
    assert (row.state, row.cut.count, row.cut.length.inches) == ("open", 2, F(117, 8))


@pytest.mark.parametrize("said", ["take 1 off", "add 2 to that", "take 2 off row 3"])
def test_a_bare_number_taken_off_is_no_length(desk: Desk, said: str) -> None:
    before = [row.cut.length for row in desk.state.rows.values()]
    with pytest.raises(CutmemoError):
        desk.call(said)
    assert [row.cut.length for row in desk.state.rows.values()] == before


@pytest.mark.parametrize(
    "said",
    [
        "what's left",
        "what is left",
        "what is left to cut",
        "how many to go",
        "what do we have left",
    ],
)
def test_what_is_left_is_asked_in_any_words(said: str) -> None:
    assert [each.intent for each in read(said, Settings(), by_voice=True)] == [Command("how many")]


def test_an_order_heard_two_ways_is_not_obeyed(desk: Desk) -> None:
    close = (Hypothesis("cut row one", -10.0), Hypothesis("cut row two", -10.5))
    with pytest.raises(Refused):
        desk.hear(Recognition(close))
    assert not any(row.done for row in desk.state.rows.values())


@pytest.mark.parametrize("number", range(1, 100))
def test_every_number_of_a_row_is_read_behind_every_order(number: int) -> None:
    for said, verb in (("cut row {}", "clear"), ("row {} is done", "clear all")):
        (reading,) = read(said.format(number), Settings())
        assert isinstance(reading.intent, OnRow)
        assert isinstance(reading.intent.intent, Command)
        assert (reading.intent.row, reading.intent.intent.verb) == (number, verb)


@pytest.fixture
def framed() -> Desk:
    """A rack and rows of several pieces and sizes."""
    desk = Desk(MemoryStore())
    for said in (
        "got 40 2x6 10'",
        "got 6 2x6 pt 16'",
        "31 studs 2x6 116 5/8",
        "4 king studs 2x6 116 5/8",
        "9 rafters 2x8 131",
        "6 trimmers 80 1/4",
    ):
        desk.call(said)
    return desk


STUDS = "stud: 31 pieces left to cut (row 1). king stud: 4 pieces left to cut (row 2)."
SIXES_LEFT = (
    # 31 + 4 pieces of 116-5/8 in. are 340.16 ft
    "2x6: 35 pieces left to cut (rows 1, 2), 340.2 ft; 40 boards, 400.0 ft, on the rack. "
    "2x6 treated: 0 pieces left to cut; 6 boards, 96.0 ft, on the rack."
)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("how many studs left", STUDS),
        ("what's left of the studs", STUDS),
        ("how many studs do we have left", STUDS),
        ("how many 2x8 rafters to go", "2x8 rafter: 9 pieces left to cut (row 3)."),
        ("how much 2x6 left", SIXES_LEFT),
        ("how many 2x6s left", SIXES_LEFT),
        ("how many jacks left", "trimmer: 6 pieces left to cut (row 4)."),
        ("how many pieces left", "31 left of row 1, 50 pieces in all."),
    ],
)
def test_what_is_left_of_a_piece_and_of_a_size_is_told_apart(
    framed: Desk, said: str, told: str
) -> None:
    before = framed.state.rows
    assert framed.call(said).text == told
    assert framed.state.rows == before


def test_what_is_left_of_a_piece_counts_what_is_cut_held_and_asked(framed: Desk) -> None:
    framed.call("cut 3 of row 3")
    framed.call("hold row 3")
    framed.call("2x8 rafters 40 1/2")
    told = framed.call("how many rafters left").text
    assert told == "rafter: 6 pieces left to cut (row 3); 6 on hold; 3 cut; 1 row to answer."


def test_what_is_struck_is_not_left(framed: Desk) -> None:
    framed.call("delete row 3")
    with pytest.raises(NothingToDo):
        framed.call("how many rafters left")


@pytest.mark.parametrize(
    "said", ["how many cripples left", "how much 2x10 left", "what's left of the 4x4"]
)
def test_what_is_left_of_nothing_on_the_list_is_refused(framed: Desk, said: str) -> None:
    with pytest.raises(NothingToDo):
        framed.call(said)


@pytest.mark.parametrize(
    "said", ["how many studs 36", "how many 40 studs left", "how many studs at 36 left"]
)
def test_a_question_with_a_length_in_it_is_refused(framed: Desk, said: str) -> None:
    with pytest.raises(NotACall):
        framed.call(said)

"""How many there are of a row, and how long it is, said anew in few words."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction as F

import pytest
from desk import Desk, refused
from memory_store import MemoryStore

from cutmemo.domain.cut import Section
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import CutmemoError, NothingToDo
from cutmemo.language import read

TWO_BY_SIX = Section(F(2), F(6))


@pytest.fixture
def desk() -> Desk:
    """Three rows: 31 studs, one header, 4 blocks."""
    desk = Desk(MemoryStore())
    for said in ("31 studs 2x6 116 5/8", "header 2x10 41 1/2", "4 blocks 14 3/8"):
        desk.call(said)
    return desk


def meant(desk: Desk, said: str) -> list[tuple[int, F]]:
    """Return how many and how long the row that *said* is about may be."""
    (row,) = desk.call(said).rows
    return [(cut.count, cut.length.inches) for cut in row.readings or (row.cut,)]


BLOCK = F(115, 8)


def test_two_fewer_are_pieces(desk: Desk) -> None:
    assert meant(desk, "two fewer") == [(2, BLOCK)]
    assert meant(desk, "one fewer") == [(1, BLOCK)]
    assert meant(desk, "3 fewer studs") == [(28, F(933, 8))]


@pytest.mark.parametrize("said", ["four fewer", "5 fewer"])
def test_so_many_fewer_that_none_is_left_are_refused(desk: Desk, said: str) -> None:
    with refused(NothingToDo, "delete row 3"):
        desk.call(said)
    assert desk.find("3").cut.count == 4


@pytest.mark.parametrize(
    ("said", "may_be"),
    [
        ("one less", [(3, BLOCK), (4, BLOCK - 1)]),
        ("add 2", [(6, BLOCK), (4, BLOCK + 2)]),
        ("double that", [(8, BLOCK), (4, BLOCK * 2)]),
    ],
)
def test_what_may_be_pieces_or_inches_asks(
    desk: Desk, said: str, may_be: list[tuple[int, F]]
) -> None:
    assert meant(desk, said) == may_be
    assert desk.find("3").state == "doubtful"


@pytest.mark.parametrize("said", ["double that 36", "add 2 36", "less 2", "2 less 36"])
def test_with_more_behind_it_no_row_is_counted_anew(desk: Desk, said: str) -> None:
    with pytest.raises(CutmemoError):
        desk.call(said)
    assert desk.find("3").cut.count == 4


@pytest.mark.parametrize(
    ("said", "row", "inches"),
    [
        ("take an eighth off the header", "2", F(331, 8)),
        ("add 1/8 to the header", "2", F(333, 8)),
        ("take a quarter off the last header", "2", F(165, 4)),
        ("take 1/8 off the blocks", "3", F(57, 4)),
    ],
)
def test_a_row_is_made_longer_or_shorter_by_its_piece(
    desk: Desk, said: str, row: str, inches: F
) -> None:
    others = [each.cut for each in desk.state.rows.values() if str(each.number) != row]
    count = desk.find(row).cut.count
    desk.call(said)
    assert (desk.find(row).cut.length.inches, desk.find(row).cut.count) == (inches, count)
    assert [each.cut for each in desk.state.rows.values() if str(each.number) != row] == others


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("take a quarter off the last stud", "Row 1 is 31 pieces"),
        ("take 1/8 off the block", "Row 3 is 4 pieces"),
        ("take 1/8 off the rafter", "No open row is called rafter"),
    ],
)
def test_one_piece_of_a_row_of_several_is_not_made_shorter(desk: Desk, said: str, why: str) -> None:
    before = [row.cut for row in desk.state.rows.values()]
    with refused(NothingToDo, why):
        desk.call(said)
    assert [row.cut for row in desk.state.rows.values()] == before


def test_of_several_rows_of_a_piece_the_numbers_are_named(desk: Desk) -> None:
    desk.call("header 63")
    with refused(NothingToDo, "Rows 2, 4 are called header"):
        desk.call("take 1/8 off the header")
    desk.call("take 1/8 off the last header")
    assert [desk.find(each).cut.length.inches for each in "24"] == [F(83, 2), F(503, 8)]


def test_another_of_the_same_length_is_of_the_size_of_its_like() -> None:
    desk = Desk(MemoryStore())
    desk.call("stud 2x6 104 5/8 W1")
    (stud,) = desk.call("another stud same length").rows
    assert (stud.cut.length.inches, stud.cut.section, stud.cut.place) == (
        F(837, 8),
        TWO_BY_SIX,
        None,
    )
    (sill,) = desk.call("another sill same length").rows
    assert (sill.cut.length.inches, sill.cut.section) == (F(837, 8), None)


def test_another_of_the_length_before_is_the_piece_before() -> None:
    desk = Desk(MemoryStore())
    desk.call("12 2x6 studs 104 5/8")
    (same,) = desk.call("another 104 5/8").rows
    assert (same.state, same.cut.count, same.cut.piece) == ("open", 1, "stud")
    assert same.cut.section == TWO_BY_SIX
    (other,) = desk.call("another 98").rows
    assert other.state == "doubtful"
    assert [cut.piece for cut in other.readings] == ["stud", None]


@pytest.mark.parametrize(
    "said", ["last one 38", "the last one 38", "that one's 38", "last one is 38"]
)
def test_a_length_said_of_the_last_one_asks_whether_it_is_new(desk: Desk, said: str) -> None:
    (row,) = desk.call(said).rows
    assert (row.number, row.cut.length.inches) == (4, F(38))
    assert DoubtKind.NEW_OR_CORRECTION in {each.kind for each in row.doubts}


def test_each_by_itself_asks_how_many(desk: Desk) -> None:
    (row,) = desk.call("36 each").rows
    assert {each.kind for each in row.doubts} == {DoubtKind.UNCOUNTED}


@pytest.mark.parametrize(
    ("said", "may_be"),
    [
        ("4 studs 36 each", {(4, 36)}),
        ("6 headers 62 each", {(6, 62)}),
        ("8 blocks 22 each", {(8, 22), (22, 8)}),
        ("36 header 6 each", {(6, 36)}),
    ],
)
def test_each_behind_a_counted_length_is_of_the_length(
    said: str, may_be: set[tuple[int, int]]
) -> None:
    found = read(said)
    assert {(each.intent.count, int(each.intent.length.inches)) for each in found} >= may_be  # type: ignore[union-attr]
    assert len(found) == len(may_be) or any(each.doubts for each in found)


def test_a_list_behind_cut_may_say_that_its_rows_are_cut(desk: Desk) -> None:
    assert [row.state for row in desk.call("cut 36, cut 48").rows] == ["open", "open"]
    again = desk.call("cut 36, cut 48").rows
    assert all(DoubtKind.DONE_OR_NEW in {each.kind for each in row.doubts} for row in again)


@pytest.mark.parametrize("said", ["cut me 41 1/2", "let's cut 41 1/2"])
def test_what_asks_for_a_cut_says_of_no_row_that_it_is_cut(desk: Desk, said: str) -> None:
    (row,) = desk.call(said).rows
    assert DoubtKind.DONE_OR_NEW not in {each.kind for each in row.doubts}


def test_so_many_of_a_piece_are_cut_where_one_row_is_of_it(desk: Desk) -> None:
    desk.call("15 studs cut")
    assert (desk.find("1").done, desk.find("1").left) == (15, 16)
    with refused(NothingToDo, "only 16 left"):
        desk.call("17 studs done")
    desk.call("3 studs 104 5/8")
    with refused(NothingToDo, "Rows 1, 4 are called stud"):
        desk.call("2 studs cut")
    assert (desk.find("1").done, desk.find("4").done) == (15, 0)


@pytest.mark.parametrize("said", ["15 stud cut", "15 studs cut 36", "1 studs cut", "studs 15 cut"])
def test_no_other_words_cut_pieces_of_a_row(desk: Desk, said: str) -> None:
    with suppress(CutmemoError):
        desk.call(said)
    assert not any(row.done for row in desk.state.rows.values())

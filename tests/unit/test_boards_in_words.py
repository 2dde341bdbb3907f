"""Boards for the rack and places, as they are said and typed: each part, in any order, and each limit on both sides."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import permutations

import pytest

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.errors import NotACall, Refused
from cutmemo.language import BoardsCall, Reading, read

STUD = Section(F(2), F(4))


def readings(said: str, by_voice: bool = False) -> list[Reading]:
    try:
        return list(read(said, None, by_voice))
    except (NotACall, Refused):
        return []


def boards(said: str, by_voice: bool = False) -> list[BoardsCall]:
    intents = [each.intent for each in readings(said, by_voice)]
    return [each for each in intents if isinstance(each, BoardsCall)]


def cuts(said: str, by_voice: bool = False) -> dict[Cut, bool]:
    """Return the cuts that *said* may be, and of each whether it asks."""
    found = readings(said, by_voice)
    return {each.intent: bool(each.doubts) for each in found if isinstance(each.intent, Cut)}


def board(feet: int, count: int = 1, section: Section | None = STUD, **more: object) -> BoardsCall:
    return BoardsCall(Length(F(12 * feet)), count, section, **more)  # type: ignore[arg-type]  # of its fields


def test_boards_are_called_by_count_size_length_price_and_bad_parts_in_any_order() -> None:
    parts = ("10 pieces", "2x4", "16 footers", "at $5.50 each", "bad from 10 to 20")
    wanted = board(16, 10, price=F(11, 2), bad=((F(10), F(20)),))
    for some in permutations(parts):
        assert wanted in boards(" ".join(some)), some
        assert boards(", ".join(some)) == [wanted], some


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("16 footers", board(16, section=None)),
        ("10 2x4 16 footers", board(16, 10)),
        ("put a 2x4 16 footer on the rack", board(16)),
        ("10 pcs 2x4 16 footers", board(16, 10)),
        ("10 ea 2x4 16 footers", board(16, 10)),
        ("10 x 2x4 16 footers", board(16, 10)),
        ("10 of 2x4 16 footers", board(16, 10)),
        ("2x4 16 footers, 10", board(16, 10)),
        ("2x4 16 footers 10 of them", board(16, 10)),
        ("2x4 x 12' on the rack", board(12)),
        ("rack 2x4 12'", board(12)),
        ("put 3 2x4 12 feet on the rack", board(12, 3)),
        ("2x4 12 feet long on the rack 5 of them", board(12, 5)),
        ("2x4 60' on the rack", board(60)),
        ("2x4 1 footer", board(1)),
        ("2x4 60 footer", board(60)),
        ("2x4 16 footer at 5.50", board(16, price=F(11, 2))),
        ("2x4 16 footer $5.50 each", board(16, price=F(11, 2))),
        ("2x4 16 footers for 9 cents", board(16, price=F(9, 100))),
        ("2x4 16 footers for nine", board(16, price=F(9))),
        ("2x4 16 footers bad 10 to 20", board(16, bad=((F(10), F(20)),))),
        (
            "2x4 16 footers bad 10 to 20 bad from 30-1/2 to 40",
            board(16, bad=((F(10), F(20)), (F(61, 2), F(40)))),
        ),
    ],
)
def test_a_board_typed_in_one_way_is_that_board(said: str, wanted: BoardsCall) -> None:
    assert boards(said) == [wanted]
    assert len(readings(said)) == 1


@pytest.mark.parametrize(
    ("said", "price"),
    [
        ("five fifty", F(11, 2)),
        ("five dollars and fifty cents", F(11, 2)),
        ("twenty dollars fifty cents", F(41, 2)),
        ("nineteen ninety nine", F(1999, 100)),
        ("ninety cents each", F(9, 10)),
        ("five ten", F(51, 10)),
        ("seven dollars", F(7)),
    ],
)
def test_a_price_is_said_in_dollars_and_cents(said: str, price: F) -> None:
    found = boards(f"ten two by four sixteen footers at {said}", by_voice=True)
    assert found == [board(16, 10, price=price)]


def test_cents_are_ten_or_more_and_a_ten_and_a_figure_are_one_number() -> None:
    def prices(said: str) -> set[F | None]:
        return {each.price for each in boards(f"ten two by four sixteen footers at {said}", True)}

    assert prices("five nine") == set()
    assert prices("twenty five") == {F(25)}
    assert prices("twenty dollars five") == set()
    assert prices("twenty dollars ten") == {F(201, 10)}
    assert prices("twenty fifty") == set()


@pytest.mark.parametrize(
    "said",
    [
        "2x4 61 footer",
        "2x4 0 footers",
        "2x4 61' on the rack",
        "2x4 720 inches on the rack",
        "2x4 16 footers 16 footers",
        "2x4,, 16 footers",
        ", 2x4 16 footers",
        "2x4 2x6 16 footers",
        "10 2x4 16 footers 5 pieces",
        "2x4 16 footers bad 10",
        "2x4 16 footers bad 10 20",
        "2x4 16 footers at",
        "2x4 on the rack",
    ],
)
def test_what_is_no_board_is_none(said: str) -> None:
    assert not boards(said)


def test_without_the_rack_or_footers_boards_are_cuts() -> None:
    assert not boards("10 2x4 16'")
    assert {cut.length.inches for cut in cuts("10 2x4 16'")} == {192}


# --- places ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("36 for bedroom 24", "bedroom 24"),
        ("36 for wall A 3", "wall A 3"),
        ("W3 north 36", "W3 north"),
        ("W12 36", "W12"),
        ("W3, 36", "W3"),
        ("W3 14-1/2", "W3"),
        ("B3 36", "B3"),
        ("bedroom 2 36", "bedroom 2"),
        ("room 12 36", "room 12"),
        ("north wall 36", "north wall"),
        ("kitchen 14-1/2", "kitchen"),
        ("36 on the north wall", "north wall"),
        ("36 in the kitchen", "kitchen"),
        ("36 the kitchen", "kitchen"),
        ("36 for the tack room", "tack room"),
        ("wall 7 36", "wall 7"),
    ],
)
def test_a_place_is_read_before_and_behind_the_length(said: str, place: str) -> None:
    length = F(29, 2) if "14-1/2" in said else F(36)
    found = [each for each in cuts(said) if each == Cut(Length(length), place=place)]
    assert len(found) == 1, said
    assert not cuts(said)[found[0]]


@pytest.mark.parametrize("said", ["36 for bedroom 25", "W123 36", "room 12 for 36", "36 for"])
def test_what_is_no_place_is_none(said: str) -> None:
    assert not any(each.place for each in cuts(said))


@pytest.mark.parametrize("name", ["wall", "deck"])
@pytest.mark.parametrize("number", [1, 7, 8, 12, 24])
def test_a_place_that_may_be_a_set_of_so_many_feet_asks_from_eight_on(
    name: str, number: int
) -> None:
    found = cuts(f"{name} {number} 36")
    of = Cut(Length(F(36)), place=f"{name} {number}")
    assert found.get(of) is (number >= 8)


def test_hands_and_rooms_belong_to_the_piece_beside_them() -> None:
    for said, piece, place in (
        ("king L 36", "king stud", "L"),
        ("36 king L", "king stud", "L"),
        ("left king 36", "king stud", "left"),
        ("closet stud 36", "stud", "closet"),
    ):
        assert {(each.piece, each.place) for each in cuts(said)} == {(piece, place)}, said


def test_words_not_known_beside_a_board_stand_unless_they_may_be_a_measure() -> None:
    for said, kept in (
        ("2x4 dwang 36", "dwang"),
        ("flitch beam 36", "flitch"),
    ):
        found = cuts(said)
        assert all(kept in (each.piece, each.place, each.note) for each in found), said
        assert [*found.values()] == [False]
    for said in ("2x4 ab 36", "2x4 lf 36", "36 lf 2x4", "36 bf 2x4", "36 yds 2x4", "2x4 bunk 36"):
        assert [*cuts(said).values()] == [True], said
    for said in (
        "2x4 fourty 36",
        "2x4 twlve 36",
        "2x4 inchs 36",
        "2x4 a b c dwang 36",
    ):
        assert not cuts(said), said

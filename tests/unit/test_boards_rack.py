"""Boards: the rack as events and as people write it."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from desk import Desk, refused, rehashed
from layouts import STUD, only

from cutmemo.cli import main
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadBoards, BadImport, BadSetting, NothingToDo
from cutmemo.memo import open_store
from cutmemo.memo.codec import to_line
from cutmemo.present import (
    boards_as_text,
    boards_from_csv,
)
from cutmemo.present.racks import all_there, board_inches_of, price_of, section_of

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]


def rack(session: Desk) -> list[tuple[int, int, F, bool]]:
    return [(lot.number, lot.count, lot.inches, lot.leftover) for lot in session.state.rack.lots]


def test_boards_are_called_by_voice_or_typed(session: Desk) -> None:
    assert session.call("ten two by four sixteen footers").happened == "racked"
    session.call("3 2x6 12 footers")
    assert [(str(lot.section), lot.count, lot.inches) for lot in session.state.rack.lots] == [
        ("2x4", 10, 192),
        ("2x6", 3, 144),
    ]
    assert session.undo().text == 'Undone: boards added 3 × 2x6 144".'
    assert len(session.state.rack.lots) == 1
    session.redo()
    assert len(session.state.rack.lots) == 2


def test_clearing_takes_the_piece_off_its_board_and_keeps_the_end(session: Desk) -> None:
    session.add_boards(STUD, F(96), 2)
    session.call("40 2x4")
    session.clear()
    # 96 − 40 − 1/8 = 55-7/8
    assert rack(session) == [(1, 1, F(96), False), (2, 1, F(447, 8), True)]
    session.undo()
    assert rack(session) == [(1, 2, F(96), False)]
    session.redo()
    session.call("55-7/8 2x4")
    session.clear()
    assert rack(session) == [(1, 1, F(96), False)]


def test_all_pieces_of_a_row_at_once_come_off_as_many_boards_as_planned(session: Desk) -> None:
    session.add_boards(STUD, F(96), 3)
    session.call("5 @ 40 2x4")
    session.clear(all_left=True)
    # Two boards give two each and leave 15-3/4, one gives one and leaves 55-7/8.
    assert sorted(lot.inches for lot in session.state.rack.lots) == [F(63, 4), F(63, 4), F(447, 8)]
    session.undo()
    assert rack(session) == [(1, 3, F(96), False)]


def test_an_end_too_short_to_hold_leaves_the_rack(session: Desk) -> None:
    session.add_boards(STUD, F(48), 1)
    session.call("40 2x4")
    session.clear()
    assert rack(session) == []


def test_a_number_never_means_two_lots(session: Desk) -> None:
    session.add_boards(STUD, F(96))
    session.undo()
    session.add_boards(STUD, F(120))
    assert rack(session) == [(2, 1, F(120), False)]


def test_a_plan_follows_the_queue(session: Desk) -> None:
    session.call("40 2x4")
    assert only(session.plans()).pieces == 1
    session.call("50 2x4")
    assert only(session.plans()).pieces == 2
    session.strike(session.find("1").id)
    assert only(session.plans()).pieces == 1


def test_boards_turn_out_otherwise(session: Desk) -> None:
    session.add_boards(STUD, F(96), 4)
    session.change_boards("1", count=3, inches=F(193, 2), bad=((F(40), F(52)),))
    lot = session.lot("1")
    assert (lot.count, lot.inches, lot.bad) == (3, F(193, 2), ((F(40), F(52)),))
    session.change_boards("1", count=0)
    assert rack(session) == []


@pytest.mark.parametrize(
    ("inches", "count", "bad", "intent"),
    [
        (F(0), 1, (), "cannot be"),
        (F(721), 1, (), "60 ft"),
        (F(96), 0, (), "0 boards"),
        (F(96), 5001, (), "5001 boards"),
        (F(96), 1, ((F(90), F(97)),), "does not lie"),
        (F(96), 1, ((F(52), F(40)),), "does not lie"),
    ],
)
def test_boards_no_rack_holds_are_refused(
    session: Desk, inches: F, count: int, bad: tuple[tuple[F, F], ...], intent: str
) -> None:
    with refused(BadBoards, intent):
        session.add_boards(STUD, inches, count, bad=bad)
    assert session.log == []


def test_a_rack_from_csv_is_taken_whole_or_not_at_all(session: Desk) -> None:
    session.load_boards(
        boards_from_csv(
            "Section,Length,Count,price,bad\n2x4,16',10,8.75,\n2x6,92-5/8,3,,40 to 52\n"
        )
    )
    assert [
        (str(lot.section), lot.inches, lot.count, lot.price) for lot in session.state.rack.lots
    ] == [
        ("2x4", F(192), 10, F(35, 4)),
        ("2x6", F(741, 8), 3, None),
    ]


@pytest.mark.parametrize(
    ("text", "intent"),
    [
        ("", "head line"),
        ("a,b\n", "head line"),
        ("section,length,count,colour\n", "head line"),
        ("section,length,count\n2x4,16',10\n2x4,long,3\n", "Line 3"),
        ("section,length,count\n2x4,16',many\n", "Line 2"),
        ("section,length,count\n2x4,16'\n", "Line 2"),
        ("section,length,count\nwood,16',2\n", "no section"),
        ("section,length,count,bad\n2x4,16',2,40-52\n", "40 to 52"),
        ("section,length,count,price\n2x4,16',2,-1\n", "no price"),
    ],
)
def test_a_bad_line_of_a_csv_is_named(text: str, intent: str) -> None:
    with refused(BadBoards, intent):
        boards_from_csv(text)


@pytest.mark.parametrize(
    ("name", "value"), [("kerf", "1-1/4"), ("kerf", "-1/8"), ("trim", "30"), ("kerf", "wide")]
)
def test_a_kerf_wider_than_any_saws_is_refused(session: Desk, name: str, value: str) -> None:
    with pytest.raises(BadSetting):
        session.set_setting(name, value)
    assert session.log == []


def test_too_many_pieces_are_refused(session: Desk) -> None:
    session.call("49 @ 20 2x4")
    for k in range(70):
        session.call(f"49 @ {20 + k}-1/2 2x4")
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    with refused(BadBoards, "too many"):
        session.plans()
    session.add_boards(STUD, F(96), 3)
    assert session.clear().happened == "cleared"
    assert rack(session) == [(1, 3, F(96), False)]


def test_boards_go_from_memo_to_memo(session: Desk, tmp_path: Path) -> None:
    session.add_boards(STUD, F(96), 2, price=F(9, 2), bad=((F(90), F(96)),))
    session.call("40 2x4")
    session.clear()
    lines = [to_line(event) for event in session.log]
    with open_store(tmp_path / "other.cutmemo") as journal:
        other = Desk(journal, "yard", "lee")
        other.take_in(lines)
        assert other.state.rack == session.state.rack


@pytest.mark.parametrize(
    "wrong",
    [
        {"inches": "-3"},
        {"inches": "long"},
        {"count": "many"},
        {"bad": [["1"]]},
        {"section": {"thickness": 2}},
        {"lot": None, "price": "x"},
    ],
)
def test_boards_that_cannot_be_read_are_not_imported(
    session: Desk, tmp_path: Path, wrong: dict[str, object], refuses: Refuses
) -> None:
    session.add_boards(STUD, F(96), 2)
    plain = json.loads(to_line(session.log[0]))
    plain["payload"] |= wrong
    with open_store(tmp_path / "other.cutmemo") as journal:
        with refuses(BadImport, "Line 1"):
            del plain["hash"]
            Desk(journal).take_in([rehashed(json.dumps(plain))])
        assert journal.events() == []


def test_two_sound_stretches_of_one_board_are_one_board(session: Desk) -> None:
    session.add_boards(STUD, F(120), 1, bad=((F(50), F(60)),))
    session.call("2 @ 34 2x4")
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    session.set_setting("longest", '40"')  # the yard has nothing to offer
    session.clear(all_left=True)
    # 50 and 60 in. are sound; 34 and a kerf off each leave 15-7/8 and 25-7/8, and no more wood
    # than there was.
    assert sorted(lot.inches for lot in session.state.rack.lots) == [F(127, 8), F(207, 8)]


def test_a_shade_stands_beside_the_piece_and_is_sawn_as_the_crew_set_it(session: Desk) -> None:
    session.call("36 strong 2x4")
    assert "strong" in boards_as_text(session.plans(), Settings())
    session.set_setting("shade", "1/32")
    assert only(session.plans()).boards[0].pieces[0].inches == F(36) + F(1, 32)


def test_boards_that_another_station_sawed_are_not_undone_from_under_it(session: Desk) -> None:
    session.add_boards(STUD, F(96), 1)
    other = Desk(session.store, "saw", "lee")
    other.call("40 2x4")
    other.clear()
    with refused(NothingToDo, "went on with those boards"):
        session.undo()
    assert rack(other) == [(2, 1, F(447, 8), True)]


def test_a_memo_with_a_kerf_from_before_there_was_a_limit_still_opens() -> None:
    assert Settings.from_plain({"kerf": "3"}).kerf == 3


def test_no_negative_boards_are_imported(session: Desk, tmp_path: Path, refuses: Refuses) -> None:
    session.add_boards(STUD, F(96), 2)
    plain = json.loads(to_line(session.log[0]))
    plain["payload"]["count"] = -1
    with (
        open_store(tmp_path / "other.cutmemo") as journal,
        refuses(BadImport, "Line 1"),
    ):
        del plain["hash"]
        Desk(journal).take_in([rehashed(json.dumps(plain))])


# --- as people write it
# ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "inches"),
    [("16'", 192), ("92-5/8", F(741, 8)), ("16 ft", 192), ("25", 25), ('16"', 16), ("96", 96)],
)
def test_a_boards_length_is_read(text: str, inches: F | int) -> None:
    assert board_inches_of(text) == inches


@pytest.mark.parametrize("text", ["8", "16", "24", " 12 "])
def test_a_bare_number_that_may_be_feet_asks_or_is_feet_by_a_setting(text: str) -> None:
    with refused(BadBoards, r"may be .* ft or"):
        board_inches_of(text)
    assert board_inches_of(text, "feet") == 12 * int(text)
    assert board_inches_of(text, "inches") == int(text)


@pytest.mark.parametrize(
    ("text", "section"),
    [
        ("2x4", "2x4"),
        ("2x6 #2", "2x6"),
        ("2x4 SPF stud", "2x4"),
        ("2x6 #2 & Btr Doug Fir", "2x6"),
        ("4x4", "4x4"),
        ("5/4x6 treated", "5/4x6 treated"),
    ],
)
def test_grade_and_species_pass(text: str, section: str) -> None:
    assert str(section_of(text)) == section


@pytest.mark.parametrize("text", ["4x2", "6x2 treated", "10x2"])
def test_the_wide_side_first_asks(text: str) -> None:
    with refused(BadBoards, "wide side first"):
        section_of(text)


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("4.50", F(9, 2)),
        ("$4.50", F(9, 2)),
        ("$1,200.00", F(1200)),
        ("", None),
        ("$ 8", F(8)),
        (".75", F(3, 4)),
    ],
)
def test_a_price_is_read(text: str, price: F | None) -> None:
    assert price_of(text) == price


@pytest.mark.parametrize("text", ["4,5", "$", "1/2", "-1", "1e3", "four", "1,20"])
def test_what_is_no_price_is_refused(text: str) -> None:
    with refused(BadBoards, "no price"):
        price_of(text)


SUPPLIER = (
    "section,grade,species,length,count,price\n2x4,#2,SPF,16',10,$8.75\n2x6,#2,DF-L,12',4,$9.10\n"
)


def test_a_suppliers_list_is_read() -> None:
    assert [(str(line[0]), *line[1:4]) for line in boards_from_csv(SUPPLIER)] == [
        ("2x4", 192, 10, F(35, 4)),
        ("2x6", 144, 4, F(91, 10)),
    ]


def test_the_same_list_a_second_time_is_known(session: Desk) -> None:
    lines = boards_from_csv(SUPPLIER)
    assert not all_there(lines, session.state.rack.lots)
    session.load_boards(lines)
    assert all_there(lines, session.state.rack.lots)
    assert all_there(lines[:1], session.state.rack.lots)
    assert not all_there([*lines, *lines], session.state.rack.lots)
    session.change_boards("1", count=9)
    assert not all_there(lines, session.state.rack.lots)


def test_the_command_asks_before_a_list_is_loaded_twice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, memo = tmp_path / "rack.csv", str(tmp_path / "a.cutmemo")
    file.write_text(SUPPLIER, "utf-8")
    assert main(["rack", "load", str(file), "--memo", memo]) == 0
    assert main(["rack", "load", str(file), "--memo", memo]) == 1
    assert "on the rack already" in capsys.readouterr().err
    assert main(["rack", "load", str(file), "--again", "--memo", memo]) == 0
    assert main(["rack", "--memo", memo, "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out.splitlines()[-1])) == 4


@pytest.mark.parametrize(
    "action",
    [["add", "2", "2x4", "16'"], ["change", "1", "--count", "3"], ["off", "1"]],
)
def test_the_memo_is_named_behind_every_action(action: list[str], tmp_path: Path) -> None:
    memo = str(tmp_path / "a.cutmemo")
    assert main(["rack", "--memo", memo, "add", "1", "2x6", "8'"]) == 0
    assert main(["rack", *action, "--memo", memo]) == 0


def test_a_bare_number_on_the_command_line_asks_and_changes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    memo = str(tmp_path / "a.cutmemo")
    assert main(["rack", "add", "2", "2x4", "16", "--memo", memo]) == 1
    assert "16 ft or 16 in" in capsys.readouterr().err
    assert main(["rack", "add", "2", "2x4", "16", "--feet", "--memo", memo, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)[0]["inches"] == "192"


def test_columns_parted_by_semicolons_are_named() -> None:
    with refused(BadBoards, "semicolons"):
        boards_from_csv("section;length;count\n2x4;16';3\n")


def test_a_line_with_no_boards_is_named() -> None:
    with refused(BadBoards, "Line 2"):
        boards_from_csv("section,length,count\n2x4,16',0\n")

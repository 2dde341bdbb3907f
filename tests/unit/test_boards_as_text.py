"""Boards in text: equal ones stand once, every board and every piece of them is counted."""

from __future__ import annotations

import random
import re
from fractions import Fraction as F

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.domain.cut import Section
from cutmemo.planning import SectionPlan
from cutmemo.present import boards_as_text
from cutmemo.present.boards import drawn

STUD = Section(F(2), F(4))


def numbers_in(title: str) -> list[int]:
    """Return the boards that a *title* names: "3." or "1–12." or "1, 3."."""
    named = title.split(".")[0]
    if "–" in named:
        first, last = map(int, named.split("–"))
        return list(range(first, last + 1))
    return [int(each) for each in named.split(",")]


def check(plan: SectionPlan, text: str) -> None:
    """Hold that *text* has every board of *plan* once, and on each its pieces."""
    titles = [line.strip() for line in text.splitlines() if re.match(r"  \d+[.,–]", line)]
    assert sorted(n for each in titles for n in numbers_in(each)) == [b.number for b in plan.boards]
    pieces = 0
    for line in text.splitlines():
        counted = re.match(r"     (?:(\d+) × )?((?:\[ \])+) row \d+: ", line)
        if counted:
            pieces += int(counted[1] or counted[2].count("[ ]"))
    assert pieces == sum(len(board.pieces) for board in plan.boards)


def test_equal_boards_stand_once_with_a_box_each_or_their_number() -> None:
    desk = Desk(MemoryStore())
    desk.call("12 @ 92-5/8 2x4")  # two to a 16 ft board
    (made,) = desk.plans()
    text = boards_as_text([made], desk.state.settings)
    assert "  1–6. 6 × to buy 16 ft, left over 6-1/2" in text
    assert text.count("[ ][ ][ ][ ][ ][ ] row 1") == 2
    desk.call("2 @ 92-5/8 2x4")
    (made,) = desk.plans()
    text = boards_as_text([made], desk.state.settings)
    assert len(made.boards) == 7
    check(made, text)


def test_a_begun_board_stands_by_itself() -> None:
    desk = Desk(MemoryStore())
    desk.add_boards(STUD, F(192), 4)
    desk.call("8 @ 92-5/8 2x4")
    desk.clear()
    (made,) = desk.plans()
    text = boards_as_text([made], desk.state.settings)
    assert "begun" in text.splitlines()[2]
    assert "2–4. 3 × rack 1: 16 ft" in text
    check(made, text)


def test_sound_parts_of_bad_boards_name_the_board_they_are_of() -> None:
    desk = Desk(MemoryStore())
    desk.add_boards(STUD, F(192), 3, bad=[(F(90), F(100))])
    desk.call("6 @ 80 2x4")
    (made,) = desk.plans()
    text = boards_as_text([made], desk.state.settings)
    assert text.count("(the same board as ") == 3
    check(made, text)


@pytest.mark.parametrize("seed", range(12))
def test_every_board_and_piece_is_there_once(seed: int) -> None:
    chance = random.Random(seed)
    desk = Desk(MemoryStore())
    for _ in range(chance.randint(0, 3)):
        bad = [(F(40), F(52))] if chance.random() < 0.4 else []
        desk.add_boards(STUD, F(chance.choice([96, 144, 192])), chance.randint(1, 9), bad=bad)
    for _ in range(chance.randint(1, 5)):
        desk.call(
            f"{chance.randint(1, 20)} @ {chance.randint(9, 140)}{chance.choice(['', '-1/2'])} 2x4"
        )
    for _ in range(chance.randint(0, 6)):
        if desk.state.to_cut():
            desk.clear()
    for made in desk.plans():
        check(made, boards_as_text([made], desk.state.settings))


def test_what_was_cut_off_a_begun_board_is_drawn_empty() -> None:
    desk = Desk(MemoryStore())
    desk.add_boards(STUD, F(192), 1)
    desk.call("92-5/8 2x4")
    desk.call("60 2x4")
    desk.call("30 2x4")
    first = min(desk.plans()[0].boards[0].pieces, key=lambda piece: piece.start)
    desk.clear(first.row_id)
    (made,) = desk.plans()
    (board,) = made.boards
    line = drawn(board, F(192), 192)
    begin, end = round(board.pieces[0].start), round(first.inches)
    assert set(line[: end - 1]) == {" "}
    assert line[begin] == "├"
    assert line.count("╳") < 4
    assert len(line) == 192

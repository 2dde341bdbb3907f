"""The boards on the page are those of the screen: equal ones once, all of them, the next piece on its own."""

from __future__ import annotations

import pytest
import site_parts

site_parts.needed()

from desk import Desk  # noqa: E402
from memory_store import MemoryStore  # noqa: E402

from cutmemo.memo.decide.rack import planning_job  # noqa: E402
from cutmemo.present.boards import boards_as_text  # noqa: E402
from cutmemo.site.board_view import boards_shown  # noqa: E402 - only where the parts are

DAYS = [
    ("24 @ 92-5/8 2x4 stud", "4 @ 22-1/2 2x4 block", "2 @ 51 2x10 header"),
    ("1 @ 120 2x6 joist", "13 @ 47-1/4 2x6 block", "36-1/2"),
    ("3 2x4 12 footers", "9 @ 70 2x4 brace", "9 @ 44 2x4 sill"),
]


@pytest.mark.parametrize("calls", DAYS)
@pytest.mark.parametrize("cut", [0, 1, 3])
def test_equal_boards_stand_once_under_the_title_of_the_screen(
    calls: tuple[str, ...], cut: int
) -> None:
    desk = Desk(MemoryStore())
    for call in calls:
        desk.call(call)
    for _ in range(cut):
        desk.clear()
    plans = planning_job(desk.state).solve()
    shown = boards_shown(plans, desk.state)
    text = boards_as_text(plans, desk.state.settings).splitlines()
    titles = [board["title"] for section in shown["sections"] for board in section["boards"]]
    assert titles == [line.strip() for line in text if line.strip() in titles]
    some_stand_for_several = False
    for plan, section in zip(plans, shown["sections"], strict=True):
        counted = 0
        for board in section["boards"]:
            numbers, _, rest = board["title"].partition(". ")
            first, _, last = numbers.partition("–")
            many = int(last or first) - int(first) + 1
            assert (f"{many} × " in rest) is (many > 1)
            some_stand_for_several |= many > 1
            counted += many * len(board["pieces"])
        assert counted == sum(len(board.pieces) for board in plan.boards)
    assert some_stand_for_several


@pytest.mark.parametrize("calls", DAYS)
def test_the_next_piece_is_found_on_the_board_it_names(calls: tuple[str, ...]) -> None:
    desk = Desk(MemoryStore())
    for call in calls:
        desk.call(call)
    for held in (False, True):
        if held:
            desk.hold()
        shown = boards_shown(planning_job(desk.state).solve(), desk.state)
        following = shown["next"]
        on = shown["sections"][following["section"]]["boards"][following["board"]]
        piece = on["pieces"][following["piece"]]
        assert (piece["row"], piece["seen"], piece["held"]) == (
            following["row"],
            following["seen"],
            False,
        )
        assert piece["length"] == following["length"]

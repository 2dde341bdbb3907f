"""Bars that can be tapped, and keys that ask once."""

from __future__ import annotations

import pytest
from desk import Desk
from textual.pilot import Pilot

from cutmemo.tui.app import MemoApp
from cutmemo.tui.keys import BAR
from cutmemo.tui.screens.boards import BoardScreen
from cutmemo.tui.screens.confirm import ConfirmScreen
from cutmemo.tui.screens.memo import MemoScreen
from cutmemo.tui.screens.saw import SawScreen
from cutmemo.tui.screens.trouble import TroubleScreen
from cutmemo.tui.widgets.entry import Entry
from cutmemo.tui.widgets.key_bar import Choices, KeyBar, KeyLabel, labels
from cutmemo.wording import screens as words

SIZES = [(80, 24), (42, 30), (120, 40)]


async def tap(app: MemoApp, pilot: Pilot[int], key: str) -> None:
    """Tap *key* on the bar of the screen that is up."""
    for bar in app.screen.query(KeyBar):
        for spot in bar.spots(bar.size.width):
            if spot.key == key and bar.size.height:
                await pilot.click(bar, offset=(spot.column, spot.row))
                await app.workers.wait_for_complete()
                await pilot.pause()
                return
    raise AssertionError(f"no bar names {key}")


@pytest.mark.parametrize("size", SIZES)
async def test_every_key_of_a_bar_stands_whole_on_the_screen(
    session: Desk, size: tuple[int, int]
) -> None:
    session.call("48 2x4")
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        for keys in ("", "s", "t", "escape s p"):
            await pilot.press(*keys.split())
            await pilot.pause()
            for bar in app.screen.query(KeyBar):
                spots = bar.spots(bar.size.width)
                assert all(s.column + len(s.text) <= bar.size.width for s in spots)
                assert all(s.row < bar.size.height for s in spots)
                assert bar.region.bottom <= size[1]


async def test_the_saw_works_by_tapping_alone(session: Desk) -> None:
    session.call("3 @ 61-5/16")
    session.call("48")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await tap(app, pilot, "s")
        assert isinstance(app.screen, SawScreen)
        await tap(app, pilot, "c")
        assert session.state.rows[next(iter(session.state.rows))].left == 2
        await tap(app, pilot, "u")
        assert session.state.rows[next(iter(session.state.rows))].left == 3
        await tap(app, pilot, "k")
        assert [row.number for row in session.state.to_cut()] == [2, 1]
        await tap(app, pilot, "w")
        assert [row.number for row in session.state.to_cut()] == [1]
        await tap(app, pilot, "t")
        assert isinstance(app.screen, TroubleScreen)
        await tap(app, pilot, "1")
        assert [row.spoiled for row in session.state.rows.values()] == [("short",), ()]
        await tap(app, pilot, "s")
        assert isinstance(app.screen, MemoScreen)


async def test_the_boards_work_by_tapping_alone(session: Desk) -> None:
    session.call("2 2x4 12 footers")
    session.call("2 @ 48 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await tap(app, pilot, "p")
        assert isinstance(app.screen, BoardScreen)
        await tap(app, pilot, "c")
        assert session.state.sums.open_pieces == 1
        await tap(app, pilot, "p")
        assert isinstance(app.screen, MemoScreen)


async def test_a_question_is_answered_by_tapping_a_reading(session: Desk) -> None:
    session.call("six two")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await tap(app, pilot, "2")
        assert [row.cut.length.inches for row in session.state.open_rows()] == [74]


async def test_the_bar_names_the_keys_that_work_where_the_cursor_is(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await tap(app, pilot, "t")
        assert isinstance(app.focused, Entry)
        await pilot.press(*"36")
        await tap(app, pilot, "enter")
        assert session.state.sums.open_pieces == 1
        await tap(app, pilot, "escape")
        bar = app.screen.query_one("#keys", KeyBar)
        assert {spot.key for spot in bar.spots(80)} == {key for key, _ in BAR}


@pytest.mark.parametrize("view", ["", "s"])
@pytest.mark.parametrize(("key", "left"), [("x", 0), ("C", 0)])
async def test_a_slip_beside_c_changes_nothing_until_it_is_confirmed(
    session: Desk, view: str, key: str, left: int
) -> None:
    session.call("12 at 22-1/2 2x6 block")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*view, key)
        await pilot.pause()
        assert isinstance(app.screen, ConfirmScreen)
        await pilot.press("c", "x", "C", "space", "escape")
        await pilot.pause()
        assert session.state.sums.open_pieces == 12
        assert not isinstance(app.screen, ConfirmScreen)
        await pilot.press(key, "enter")
        await pilot.pause()
        assert session.state.sums.open_pieces == left


async def test_all_of_a_row_with_one_piece_left_is_one_piece(session: Desk) -> None:
    session.call("93")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("C")
        await pilot.pause()
        assert session.state.sums.cut_pieces == 1


async def test_leaving_asks_once(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("q", "escape")
        await pilot.pause()
        assert app.is_running
        await pilot.press("q", "enter")
        await pilot.pause()
        assert app._exit


async def test_what_was_refused_at_the_saw_is_shown_on_the_smallest_screen(
    session: Desk,
) -> None:
    session.call("2 @ 61-5/16 2x6 common rafter plumb 7/12 long point for porch")
    app = MemoApp(session)
    async with app.run_test(size=(40, 12)) as pilot:
        await pilot.press("s", "k")
        await pilot.pause()
        sheet = app.screen.query_one("SawSheet")
        lines = [line for part in sheet.parts() if part.name == "refused" for line in part.lines]  # type: ignore[attr-defined]
        assert "only row" in " ".join(lines)


@pytest.mark.parametrize("width", [8, 20, 40, 80])
def test_a_bar_wraps_and_every_cell_of_a_key_is_that_key(width: int) -> None:
    bar = KeyBar(labels(words.SAW_KEYS))
    spots = bar.spots(width)
    assert (
        " ".join(s.text for s in spots).split()
        == " ".join(str(key) for key in labels(words.SAW_KEYS)).split()
    )
    cells = [(s.row, s.column + k) for s in spots for k in range(len(s.text))]
    assert len(cells) == len(set(cells))
    assert max(column for _, column in cells) < width


def test_a_long_choice_wraps_and_is_one_key() -> None:
    bar = Choices([KeyLabel("1", "one two three four"), KeyLabel("2", "five")])
    assert [(s.text, s.key) for s in bar.spots(9)] == [
        ("[1] one", "1"),
        ("two three", "1"),
        ("four", "1"),
        ("[2] five", "2"),
    ]


@pytest.mark.parametrize("listening", ["off", "opening", "on"])
@pytest.mark.parametrize("width", [40, 43, 59, 60, 66, 80, 120])
def test_on_a_low_screen_the_keys_take_one_row_and_say_that_it_listens(
    listening: words.Listening, width: int
) -> None:
    spots = KeyBar(labels(words.saw_keys(listening, width))).spots(width)
    assert {spot.row for spot in spots} == {0}
    assert {"c", "t", "s"} <= {spot.key for spot in spots}
    assert (spots[0].text in "●◌") == (listening != "off")
    if width >= 80:
        assert {spot.key for spot in spots} >= set("cutkwls")

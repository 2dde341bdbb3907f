"""The screen at the saw through Textual's pilot: one length, trouble, skip, hold, orders."""

from __future__ import annotations

import pytest
from desk import Desk
from shown import SIZES, at_saw, text
from textual.widgets import DataTable

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.tui.app import MemoApp
from cutmemo.tui.controllers.listening import Utterance
from cutmemo.tui.screens.saw import SawScreen
from cutmemo.tui.widgets import signs
from cutmemo.tui.widgets.saw_sheet import SawSheet


async def test_the_saw_view_shows_one_length_and_the_next_two(session: Desk) -> None:
    for said in ("3 at 36-1/2 2x4 stud", "45", "60", "72"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(app.screen, SawScreen)
        assert at_saw(app, "now").count("█") > 40
        assert "3 of 3 left" in at_saw(app, "facts")
        assert at_saw(app, "then").splitlines() == ['then 45"', 'then 60"']
        await pilot.press("c")
        await pilot.pause()
        stop = signs.drawn("CHECK THE STOP BLOCK", 76, narrow=True)
        assert at_saw(app, "stop").splitlines() == stop
        await pilot.press("s")
        await pilot.pause()
        assert not isinstance(app.screen, SawScreen)


@pytest.mark.parametrize("size", [*SIZES, (42, 30)])
async def test_the_piece_is_drawn_with_its_ends_and_its_board(
    session: Desk, size: tuple[int, int]
) -> None:
    session.call("2 @ 61-5/16 2x6 common rafter plumb 7/12 long point")
    session.call("10 2x6 12 footers")
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await pilot.press("s")
        await app.workers.wait_for_complete()
        await pilot.pause()
        piece = at_saw(app, "piece")
        assert "╱" in piece.splitlines()[0]
        assert "plumb 7/12 LP" in piece
        assert '61-5/16"' in piece
        assert "rack" in at_saw(app, "board") or "12" in at_saw(app, "board")
        assert max(len(line) for line in piece.splitlines()) <= size[0]


async def test_trouble_in_two_keys_and_back_by_one(session: Desk) -> None:
    session.call("3 @ 61-5/16")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "space", "t")
        await pilot.pause()
        assert "the piece just cut" in text(app, "question")
        await pilot.press("tab")
        assert "TROUBLE with the piece in hand" in text(app, "question")
        await pilot.press("tab", "1")
        await pilot.pause()
        (row,) = session.state.rows.values()
        assert (row.left, row.spoiled) == (3, ("short",))
        assert "AGAIN: short" in at_saw(app, "alerts")
        assert "cut it again" in app.screen.query_one(SawSheet).shown.told
        await pilot.press("u")
        await pilot.pause()
        (row,) = session.state.rows.values()
        assert (row.left, row.spoiled) == (2, ())


async def test_escape_means_no_trouble(session: Desk) -> None:
    session.call("61-5/16")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "t", "escape")
        await pilot.pause()
        assert isinstance(app.screen, SawScreen)
        assert not next(iter(session.state.rows.values())).spoiled


async def test_skip_and_hold_by_one_key_each(session: Desk) -> None:
    for said in ("61-5/16", "71", "93"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "k")
        await pilot.pause()
        assert [row.number for row in session.state.to_cut()] == [2, 3, 1]
        await pilot.press("w")
        await pilot.pause()
        assert [row.number for row in session.state.to_cut()] == [3, 1]
        assert "on hold: row 2" in at_saw(app, "waiting")
        await pilot.press("s")
        await pilot.pause()
        table = app.query_one(DataTable)
        assert [str(table.get_row_at(k)[0])[0] for k in range(3)] == ["·", "‖", "·"]
        await pilot.press("down", "w")
        await pilot.pause()
        assert not any(row.held for row in session.state.rows.values())


async def test_only_orders_are_taken_by_voice_at_the_saw(session: Desk) -> None:
    session.call("2 @ 61-5/16")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        app.on_utterance(Utterance(Recognition((Hypothesis("cut", 10.0),))))
        app.on_utterance(Utterance(Recognition((Hypothesis("forty", 10.0),))))
        await pilot.pause()
        assert [row.left for row in session.state.rows.values()] == [1]
        assert "only orders" in app.screen.query_one(SawSheet).shown.told
        await pilot.press("s")
        await pilot.pause()
        app.on_utterance(Utterance(Recognition((Hypothesis("seventy one", 10.0),))))
        await pilot.pause()
        assert len(session.state.rows) == 2


@pytest.mark.parametrize("size", SIZES)
async def test_numerals_are_read_from_two_metres(session: Desk, size: tuple[int, int]) -> None:
    # NUREG-0700, Human-System Interface Design Review Guidelines: characters 0.004 to 0.006 of the
    # distance. A screen 150 mm high (a small laptop) is assumed, two metres away.
    session.call("103-15/16")
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await pilot.press("s")
        await pilot.pause()
        await pilot.pause()
        lines = [line for line in at_saw(app, "now").splitlines() if line.strip()]
        row_high = 150 / size[1]
        whole_figures = (
            len(lines) * row_high / 1.6
        )  # a stacked fraction stands above and below them
        assert whole_figures / 2000 >= 0.006

"""The screen by board through Textual's pilot: marks, pieces that come off, what waits."""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from desk import Desk
from shown import SIZES, at_saw, laid, text

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.planning import SectionPlan
from cutmemo.planning.plan import _section_plan
from cutmemo.planning.problem import AT_ONCE
from cutmemo.tui.app import MemoApp
from cutmemo.tui.controllers.listening import Utterance
from cutmemo.tui.screens.boards import BoardScreen


@pytest.mark.parametrize("size", SIZES)
async def test_by_board_the_marks_are_shown_and_pieces_come_off(
    session: Desk, size: tuple[int, int]
) -> None:
    for said in ("2 2x4 12 footers", "2 @ 48 2x4", "47-3/4 2x4", "14-5/8 2x6"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await pilot.press("p")
        shown = await laid(app, pilot)
        assert "3 pieces on 1 board" in shown
        assert 'cut at 144"' in shown
        assert "1 × 8 ft" in shown  # the 2x6 has to be bought
        assert "█" in text(app, "piecenow")
        assert 'from rack 1: 12 ft · cut at 48"' in text(app, "piecefacts")
        await pilot.press("c")
        shown = await laid(app, pilot)
        # 144 − 48 − 1/8 = 95-7/8 stays, and the rest of the plan stays on it.
        assert "rack 1: 12 ft, begun" in shown
        assert session.state.sums.open_pieces == 3
        await pilot.press("u")
        shown = await laid(app, pilot)
        assert "left-over" not in shown.split("ON THE RACK")[1]
        await pilot.press("p")
        assert not isinstance(app.screen, BoardScreen)


async def test_nothing_is_cut_while_the_boards_are_laid(session: Desk) -> None:
    session.call("48 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        session.call("50 2x4")  # the plan on the screen is of before
        app.stage.working.action_clear()
        assert session.state.sums.open_pieces == 2
        assert "being planned" in text(app, "boardstold")


async def test_the_boards_are_laid_ahead_of_the_next_cut(session: Desk) -> None:
    session.call("2 2x4 12 footers")
    session.call("3 @ 40 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.workers.wait_for_complete()
        before = _section_plan.cache_info()
        await pilot.press("c")
        await pilot.pause()
        assert _section_plan.cache_info().hits > before.hits
        (begun,) = session.state.rack.boards
        assert [piece.cut for piece in begun.pieces] == [True, False, False]


async def test_by_board_a_held_row_waits(session: Desk) -> None:
    session.call("93 2x4")
    session.call("71 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        first = app.stage.working.current()
        assert first is not None
        await pilot.press("w")
        await laid(app, pilot)
        second = app.stage.working.current()
        assert second is not None
        assert second.id != first.id


async def test_by_board_the_spoken_cut_is_that_of_the_piece_shown(session: Desk) -> None:
    session.call("20 in 2x4")
    session.call("93 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        shown = app.stage.working.current()
        assert shown is not None
        assert session.state.to_cut()[0].id != shown.id  # by board the longer one comes first
        app.on_utterance(Utterance(Recognition((Hypothesis("cut", 10.0),))))
        await laid(app, pilot)
        assert [row.id for row in session.state.rows.values() if row.state == "cut"] == [shown.id]
        await pilot.press("p")
        await pilot.pause()
        assert not app.stage.working.place(None).by_board


async def test_a_mark_that_counts_earlier_pieces_stands_under_no_piece(session: Desk) -> None:
    for said in ("2 @ 61-5/16 2x6", "101-1/2 2x6", "12 at 14-1/2 2x6 block", "4 2x6 16 footers"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        await pilot.press("s")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "from rack 1: 16 ft" in at_saw(app, "board")
        assert "cut at" not in at_saw(app, "")


async def test_a_board_is_drawn_on_one_line_however_narrow_and_again_as_the_window_changes(
    session: Desk,
) -> None:
    for said in ("2 2x4 12 footers", "2 @ 48 2x4"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(42, 24)) as pilot:
        await pilot.press("p")
        shown = await laid(app, pilot)
        room = app.screen.query_one("#plan").content_size.width
        (bar,) = (line for line in shown.splitlines() if "├" in line)
        assert app.screen.query_one("#boards").max_scroll_y  # its scroll bar takes room too
        assert 30 <= len(bar) <= room < 42
        await pilot.resize_terminal(100, 36)
        shown = await laid(app, pilot)
        (bar,) = (line for line in shown.splitlines() if "├" in line)
        assert len(bar.strip()) == 64


async def test_a_board_that_has_to_be_bought_is_said_not_to_be_on_the_rack(session: Desk) -> None:
    session.call("93 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        facts = text(app, "piecefacts").splitlines()[0]
        assert facts == 'not on the rack: to buy 8 ft · cut at 93" · row 1'


async def test_by_board_the_mark_of_a_piece_behind_one_on_hold_is_not_shown(session: Desk) -> None:
    for said in ("93 2x4", "71 2x4", "2x4 16 footer"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        assert 'from rack 1: 16 ft · cut at 93" · row 1' in text(app, "piecefacts")
        await pilot.press("w")
        shown = await laid(app, pilot)
        assert 'cut at 164-1/8"' in shown  # 93 + 1/8 of kerf + 71: no mark for the piece alone
        assert text(app, "piecefacts").startswith("from rack 1: 16 ft · row 2")


async def test_a_board_is_trimmed_before_the_first_cut(session: Desk) -> None:
    session.set_setting("trim", "1/2")
    session.call("61-5/16 2x6")
    session.call("4 2x6 16 footers")
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        await pilot.press("s")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert 'trim 1/2" off the end first' in at_saw(app, "board")


async def test_the_page_is_printed_from_the_screen_and_says_where_it_is(
    session: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for said in ("2 2x4 12 footers", "2 @ 48 2x4", "47-3/4 2x4"):
        session.call(said)
    shown_in: list[str] = []
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr("webbrowser.open", lambda url: shown_in.append(url) is None)
    app = MemoApp(session)
    monkeypatch.setattr(type(app.stage.memo), "path", tmp_path / "porch.cut")
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        await pilot.press("P")
        await laid(app, pilot)
        page = tmp_path / "porch-boards.html"
        assert str(page) in text(app, "boardstold")
        assert "Boards of porch" in page.read_text("utf-8")
        labels = (tmp_path / "porch-labels.html").read_text("utf-8")
        assert labels.count("class='label'") == 3
        assert shown_in == [page.as_uri()]
        assert [board.page != "" for board in session.state.rack.boards] == [True]
        await pilot.press("c")  # it is worked down, and still holds
        await laid(app, pilot)
        assert "no longer holds" not in text(app, "plan")


async def test_a_page_printed_again_leaves_the_one_before_as_it_is(
    session: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "porch-labels-2.html").write_text("of somebody else", "utf-8")
    for said in ("2 2x4 12 footers", "2 @ 48 2x4", "47-3/4 2x4"):
        session.call(said)
    app = MemoApp(session)
    monkeypatch.setattr(type(app.stage.memo), "path", tmp_path / "porch.cut")
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        await pilot.press("P")
        await laid(app, pilot)
        first = (tmp_path / "porch-boards.html").read_text("utf-8")
        await pilot.press("c")
        await laid(app, pilot)
        await pilot.press("P")
        await laid(app, pilot)
        assert "porch-boards-3.html" in text(app, "boardstold")
    assert (tmp_path / "porch-boards.html").read_text("utf-8") == first
    assert (tmp_path / "porch-boards-3.html").read_text("utf-8") != first
    assert (tmp_path / "porch-labels-2.html").read_text("utf-8") == "of somebody else"
    assert (tmp_path / "porch-labels-3.html").is_file()


async def test_a_page_that_cannot_be_written_says_so(
    session: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session.call("2 @ 48 2x4")
    app = MemoApp(session)
    monkeypatch.setattr(type(app.stage.memo), "path", tmp_path / "gone" / "porch.cut")
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        await pilot.press("P")
        await pilot.pause()
        assert "cannot be written" in text(app, "boardstold")


async def test_a_better_layout_that_the_proof_finds_is_offered_and_printed(
    session: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    session.call("4 @ 40 2x4")
    session.call("2 @ 90 2x4")

    def worse(*facts: object) -> SectionPlan:
        """The plan at once lays every piece on a board of its own."""
        found = real(*facts)
        if facts[-1] is not AT_ONCE or facts[5]:
            return found
        boards = tuple(
            replace(board, pieces=(replace(piece, start=F(0)),), inches=F(96))
            for board in found.boards
            for piece in board.pieces
        )
        numbered = tuple(replace(each, fetch=k, number=k) for k, each in enumerate(boards, start=1))
        return replace(found, boards=numbered, cost=2 * found.cost, proven=False, over=F(1, 2))

    real = _section_plan
    monkeypatch.setattr(sys.modules["cutmemo.planning.plan"], "_section_plan", worse)
    app = MemoApp(session)
    monkeypatch.setattr(type(app.stage.memo), "path", tmp_path / "porch.cut")
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "a longer search found a better layout, 50 % less in board" in text(
            app, "boardstold"
        )
        assert "on 6 boards" in text(app, "plan")  # the layout that is shown stays
        await pilot.press("P")
        await laid(app, pilot)
        assert len(session.state.rack.boards) < 6

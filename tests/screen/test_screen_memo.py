"""The screen of the memo through Textual's pilot: keys, questions, sets, a second station."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction as F

import pytest
from desk import Desk
from shown import SIZES, text, type_call
from textual.widgets import DataTable

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.tui.app import MemoApp
from cutmemo.tui.controllers.listening import Utterance
from cutmemo.tui.widgets.key_bar import Choices


@pytest.mark.parametrize("size", SIZES)
async def test_a_typed_call_stands_large_and_in_the_queue(
    session: Desk, size: tuple[int, int]
) -> None:
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await type_call(pilot, "4 @ 14-5/8 2x6 header")
        assert app.query_one(DataTable).row_count == 1
        assert "█" in text(app, "numerals")
        assert "2x6 header" in text(app, "what")
        assert "4 open" in text(app, "sums")


async def test_a_question_shows_its_readings_and_a_key_answers(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_call(pilot, "six two")
        assert '[1] 62"' in text(app, "readings")
        assert '[2] 74"' in text(app, "readings")
        assert text(app, "told").startswith("? ")
        await pilot.press("2")
        await pilot.pause()
        assert text(app, "told").startswith("✓ ")
        (row,) = session.state.rows.values()
        assert (row.state, row.cut.length.inches) == ("open", F(74))


async def test_after_an_answer_the_next_question_is_shown_before_a_key_can_settle_it(
    session: Desk,
) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_call(pilot, "14-1/2 15-1/4 16-1/8")
        for shown in ('16-1/8"', '15-1/4"', '14-1/2"'):
            assert f"[1] {shown}" in text(app, "readings")
            await pilot.press("1")
            await pilot.pause()
        assert text(app, "readings") == ""
        assert [row.state for row in session.state.rows.values()] == ["open"] * 3


async def test_the_day_by_keys(session: Desk) -> None:
    for said in ("3 at 36", "45", "60"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        for key, open_pieces in (
            ("c", 4),
            ("u", 5),
            ("r", 4),
            ("C", 2),
            ("b", 3),
            ("x", 2),
            ("u", 3),
        ):
            await pilot.press(key)
            if key in "Cx":  # they ask once
                await pilot.press("enter")
            await pilot.pause()
            assert session.state.sums.open_pieces == open_pieces, key
        await pilot.press("o")
        await pilot.pause()
        first = app.query_one(DataTable).get_row_at(0)
        assert str(first[2]) == '60"'


async def test_another_stations_cut_shows_by_itself(open_session: Callable[..., Desk]) -> None:
    app = MemoApp(open_session("saw", "bo"))
    async with app.run_test(size=(80, 24)) as pilot:
        open_session("ladder", "ann").call("36")
        app.stage.follow()
        await pilot.pause()
        assert app.query_one(DataTable).row_count == 1


async def test_a_set_shows_its_picture_and_is_taken_back_as_one(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        app.stage.do(
            lambda: session.call("wall 12' high 97-1/8 door 38 wide 82 high at 40 header 2x10")
        )
        await pilot.pause()
        page = text(app, "page")
        assert "║▀▀▀" in page
        assert "Arithmetic only" in page
        await pilot.press("escape", "u")
        await pilot.pause()
        assert not session.state.rows


@pytest.mark.parametrize("key, states", [("1", {"open"}), ("x", set()), ("escape", {"doubtful"})])
async def test_a_set_called_by_voice_asks_first(session: Desk, key: str, states: set[str]) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        app.on_utterance(
            Utterance(
                Recognition((Hypothesis("rafters span twenty four foot pitch seven twelve", 10.0),))
            )
        )
        await pilot.pause()
        assert app.screen.query_one(Choices).spots(80)[0].text == "[1] all of it is right"
        assert {row.state for row in session.state.rows.values()} == {"doubtful"}
        await pilot.press(key)
        await pilot.pause()
        assert {row.state for row in session.state.rows.values()} == states


async def test_the_hand_off_on_one_screen(session: Desk) -> None:
    session.call("3 @ 61-5/16")
    session.call("six two")
    session.clear()
    session.spoil("bad stock")
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        await pilot.press("e")
        await pilot.pause()
        page = text(app, "page")
        assert "TO ANSWER first (1)" in page
        assert "bad stock, 3 to cut" in page
        assert "ann at ladder: 4 called, 0 cut, 1 recut, 1 scrapped (5.1 ft)" in page


async def test_the_page_of_a_set_does_not_hide_the_next_call(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(100, 36)) as pilot:
        app.on_utterance(
            Utterance(
                Recognition((Hypothesis("rafters span twenty four foot pitch seven twelve", 10.0),))
            )
        )
        await pilot.pause()
        app.on_utterance(Utterance(Recognition((Hypothesis("yes", 10.0),))))
        await pilot.pause()
        assert not app.screen.query("#page")
        assert [row.state for row in session.state.rows.values()] == ["open"]


async def test_the_reason_for_cutting_again_and_the_place_stand_whole_in_the_table(
    session: Desk, signs_on: Callable[[MemoApp], list[str]]
) -> None:
    session.call("3 @ 61-5/16 2x6 for W3 north king L")
    session.call("48")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s", "c", "t", "4", "s")
        await pilot.pause()
        assert any("again: bad stock · W3 north king L" in line for line in signs_on(app))


async def test_what_changes_while_the_program_closes_breaks_nothing(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_call(pilot, "six two")
        await app.stage.memo_screen.query("*").remove()
        Desk(session.store, "saw", "bob").call("36")
        app.stage.follow()
        await pilot.pause()
        assert len(session.state.rows) == 2

"""The line where calls are typed: no key that comes too soon or too late is lost."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk
from shown import text
from textual.command import CommandPalette
from textual.events import AppBlur, AppFocus, Key, Paste
from textual.widgets import Input

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.tui.app import MemoApp
from cutmemo.tui.controllers.listening import Utterance
from cutmemo.tui.screens.pages import AssemblyPage


async def test_a_refused_call_stays_in_the_entry_line_with_the_reason(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        app.query_one(Input).value = "12 [b]flub"
        await pilot.press("enter")
        await pilot.pause()
        assert app.query_one(Input).value == "12 [b]flub"
        assert "does not fit" in text(app, "told")
        assert not session.state.rows


@pytest.mark.parametrize(
    ("keys", "line"),
    [(("3", "6"), "36"), (("left", "3"), "312 flub"), (("end", "3"), "12 flub3")],
)
async def test_what_is_typed_takes_the_place_of_a_refused_call_and_an_arrow_key_goes_into_it(
    session: Desk, keys: tuple[str, ...], line: str
) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        app.query_one(Input).value = "12 flub"
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press(*keys)
        assert app.query_one(Input).value == line


async def test_a_half_typed_length_outlives_a_look_at_another_window(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t", *"101-1/")
        app.post_message(AppBlur())
        await pilot.pause()
        app.post_message(AppFocus())
        await pilot.pause()
        await pilot.press("2", "enter")
        await pilot.pause()
        assert [row.cut.length.inches for row in session.state.rows.values()] == [F(203, 2)]


async def test_keys_that_come_while_another_window_is_in_front_belong_to_the_entry_line(
    session: Desk,
) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        app.post_message(AppBlur())
        await pilot.pause()
        await pilot.press("1", "0")
        app.post_message(AppFocus())
        await pilot.pause()
        await pilot.press(*"1-1/2", "enter")
        await pilot.pause()
        assert [row.cut.length.inches for row in session.state.rows.values()] == [F(203, 2)]


@pytest.mark.parametrize("behind", ["t", "p"])
async def test_keys_that_stand_in_line_behind_t_are_the_call(session: Desk, behind: str) -> None:
    session.call("48")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        if behind == "p":
            await pilot.press("p")
            await pilot.pause()
        for key in (
            "t",
            "1",
            "0",
            "1",
            "minus",
            "1",
            "slash",
            "2",
        ):  # all of them before the first is looked at
            app.post_message(Key(key, {"minus": "-", "slash": "/"}.get(key, key)))
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert [row.cut.length.inches for row in session.state.rows.values()] == [48, F(203, 2)]


async def test_t_is_a_letter_in_the_list_of_commands(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+p")
        await pilot.pause()
        await pilot.press("t", "h")
        await pilot.pause()
        assert isinstance(app.screen, CommandPalette)
        assert app.screen.query_one(Input).value == "th"


async def test_t_leaves_a_question_about_a_set_where_it_is(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        app.on_utterance(
            Utterance(
                Recognition((Hypothesis("rafters span twenty four foot pitch seven twelve", 10.0),))
            )
        )
        await pilot.pause()
        asking = type(app.screen)
        await pilot.press("t")
        await pilot.pause()
        assert asking is AssemblyPage
        assert isinstance(app.screen, AssemblyPage)


async def test_a_call_typed_right_behind_another_is_whole(session: Desk) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        for key in ("3", "6", "enter", "4", "8", "enter"):
            app.post_message(Key(key, key if len(key) == 1 else "\r"))
        await pilot.pause()
        await pilot.pause()
        assert [row.cut.length.inches for row in session.state.rows.values()] == [36, 48]


async def test_a_reason_typed_right_behind_trouble_answers_no_question(session: Desk) -> None:
    session.call("six two")
    session.call("48")
    session.clear()
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        for key in ("t", "1"):
            app.post_message(Key(key, key))
        await pilot.pause()
        await pilot.pause()
        assert [(row.state, row.spoiled) for row in session.state.rows.values()] == [
            ("doubtful", ()),
            ("open", ("short",)),
        ]


@pytest.mark.parametrize(
    ("pasted", "line"),
    [("101-1/2", "101-1/2"), ("36\n", "36"), ("36\n48,\n\n 4 at 60 ", "36, 48, 4 at 60")],
)
async def test_a_paste_of_several_lines_is_a_list(session: Desk, pasted: str, line: str) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        app.post_message(Paste(pasted))
        await pilot.pause()
        await pilot.pause()
        assert app.query_one(Input).value == line
        await pilot.press("enter")
        await pilot.pause()
        assert [row.said for row in session.state.rows.values()] == line.split(", ")

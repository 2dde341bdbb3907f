"""The real app through Textual's pilot: keys, questions, the saw view, a second station, a thousand rows."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction as F

import pytest
from textual.widgets import DataTable, Input, Static

from cutmemo.length import Length, show
from cutmemo.screen.app import MemoApp
from cutmemo.screen.boards import BoardScreen
from cutmemo.screen.numerals import draw, in_blocks, largest
from cutmemo.screen.saw import SawScreen
from cutmemo.screen.themes import DARK, LIGHT, contrast
from cutmemo.session import Session
from cutmemo.speech import Alternative, Heard
from cutmemo.stock.plan import _section_plan

SIZES = [(80, 24), (120, 40)]


def text(app: MemoApp, name: str) -> str:
    return str(app.screen.query_one(f"#{name}", Static).content)


async def type_call(pilot: object, words: str) -> None:
    await pilot.press("t")  # type: ignore[attr-defined]
    pilot.app.query_one(Input).value = words  # type: ignore[attr-defined]
    await pilot.press("enter", "escape")  # type: ignore[attr-defined]
    await pilot.pause()  # type: ignore[attr-defined]


@pytest.mark.parametrize("size", SIZES)
async def test_a_typed_call_stands_large_and_in_the_queue(session: Session, size: tuple[int, int]) -> None:
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await type_call(pilot, "4 @ 14-5/8 2x6 header")
        assert app.query_one(DataTable).row_count == 1
        assert "█" in text(app, "numerals")
        assert "2x6 header" in text(app, "what")
        assert "4 open" in text(app, "sums")


async def test_a_question_shows_its_readings_and_a_key_answers(session: Session) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_call(pilot, "six two")
        assert '[1] 62"' in text(app, "readings")
        assert '[2] 74"' in text(app, "readings")
        await pilot.press("2")
        await pilot.pause()
        (row,) = session.queue.rows.values()
        assert (row.state, row.cut.length.inches) == ("open", F(74))


async def test_a_refused_call_stays_in_the_entry_line_with_the_reason(session: Session) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("t")
        app.query_one(Input).value = "12 [b]flub"
        await pilot.press("enter")
        await pilot.pause()
        assert app.query_one(Input).value == "12 [b]flub"
        assert "does not fit" in text(app, "told")
        assert not session.queue.rows


async def test_the_day_by_keys(session: Session) -> None:
    for said in ("3 at 36", "45", "60"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        for key, open_pieces in (("c", 4), ("u", 5), ("r", 4), ("C", 2), ("b", 3), ("x", 2), ("u", 3)):
            await pilot.press(key)
            await pilot.pause()
            assert session.queue.sums.open_pieces == open_pieces, key
        await pilot.press("o")
        await pilot.pause()
        first = app.query_one(DataTable).get_row_at(0)
        assert str(first[2]) == '60"'


async def test_the_saw_view_shows_one_length_and_the_next_two(session: Session) -> None:
    for said in ("3 at 36-1/2 2x4 stud", "45", "60", "72"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(app.screen, SawScreen)
        assert text(app, "now").count("█") > 40
        assert "3 of 3 left" in text(app, "facts")
        assert text(app, "next").splitlines() == ["then  45\"", "then  60\""]
        await pilot.press("c")
        await pilot.pause()
        assert "CHECK THE STOP BLOCK" in text(app, "facts")
        await pilot.press("s")
        await pilot.pause()
        assert not isinstance(app.screen, SawScreen)


async def test_another_stations_cut_shows_by_itself(open_session: Callable[..., Session]) -> None:
    app = MemoApp(open_session("saw", "bo"))
    async with app.run_test(size=(80, 24)) as pilot:
        open_session("ladder", "ann").call("36")
        app._follow()
        await pilot.pause()
        assert app.query_one(DataTable).row_count == 1


async def test_what_was_heard_is_taken(session: Session) -> None:
    from cutmemo.screen.ears import Utterance, Words

    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(Words("one oh one"))
        await pilot.pause()
        assert "one oh one" in text(app, "words")
        app.post_message(Utterance(Heard((Alternative("one oh one and a half", 90.0),))))
        await pilot.pause()
        assert [row.cut.length.inches for row in session.queue.open_rows()] == [F(203, 2)]


async def test_listening_without_a_microphone_says_what_to_do_and_typing_goes_on(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    from cutmemo.errors import NoMicrophone
    from cutmemo.screen import ears

    def none(*_: object) -> None:
        raise NoMicrophone("No microphone can be opened. Plug one in; typing goes on.")

    monkeypatch.setattr(ears, "microphone", none)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        app._ears.stop(wait_seconds=20)
        await pilot.pause()
        assert "Plug one in" in text(app, "told")
        assert "NOT LISTENING" in text(app, "ear")
        await type_call(pilot, "36")
        assert session.queue.sums.open_pieces == 1


async def test_a_thousand_rows_change_one_by_one(session: Session) -> None:
    for n in range(1000):
        session.call(f"{n % 250 + 20}-1/2 for wall {n}")
        session.clock.later(60)  # type: ignore[attr-defined]
    for row in session.queue.of_state("doubtful"):
        session.answer(1, row.id)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        table = app.query_one(DataTable)
        assert table.row_count == 1000
        await pilot.press("c")
        await pilot.pause()
        assert table.row_count == 999


async def test_help_and_the_two_themes(session: Session) -> None:
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("h")
        await pilot.pause()
        assert app.screen.query("#help")
        await pilot.press("escape")
        await pilot.press("d")
        await pilot.pause()
        assert app.theme == LIGHT.name


@pytest.mark.parametrize("theme", [DARK, LIGHT])
def test_words_stand_at_7_to_1_or_more(theme: object) -> None:
    # WCAG 2.2, success criterion 1.4.6: 7:1.
    grounds = [theme.background, theme.surface, theme.panel]  # type: ignore[attr-defined]
    inks = [theme.foreground, theme.primary, theme.warning, theme.error, theme.success]  # type: ignore[attr-defined]
    assert min(contrast(ink, ground) for ink in inks for ground in grounds) >= 7


def test_contrast_agrees_with_the_standard() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known 4.54:1 (from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("inches", [F(203, 2), F(5, 8), F(36), F(2881, 16), F(1, 3)])
@pytest.mark.parametrize(("width", "height"), [(48, 9), (76, 14), (200, 50), (10, 2)])
def test_numerals_fit_and_grow_with_the_room(inches: F, width: int, height: int) -> None:
    lines = largest(show(Length(inches)), width, height).split("\n")
    assert max(map(len, lines)) <= max(width, len(str(show(Length(inches)))))
    assert len(lines) <= height


def test_a_fraction_is_stacked_below_its_numerator() -> None:
    whole = in_blocks(draw(show(Length(F(36))), 2)).split("\n")
    stacked = in_blocks(draw(show(Length(F(293, 8))), 2)).split("\n")
    assert len(stacked) > len(whole)


async def laid(app: MemoApp, pilot: object) -> str:
    """Return the view by board once it is laid."""
    await app.workers.wait_for_complete()
    await pilot.pause()  # type: ignore[attr-defined]
    return text(app, "plan")


@pytest.mark.parametrize("size", SIZES)
async def test_by_board_the_marks_are_shown_and_pieces_come_off(session: Session, size: tuple[int, int]) -> None:
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
        assert 'left-over 2: 95-7/8"' in shown
        assert session.queue.sums.open_pieces == 3
        await pilot.press("u")
        shown = await laid(app, pilot)
        assert "left-over" not in shown.split("ON THE RACK")[1]
        await pilot.press("p")
        assert not isinstance(app.screen, BoardScreen)


async def test_nothing_is_cut_while_the_boards_are_laid(session: Session) -> None:
    session.call("48 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p")
        await laid(app, pilot)
        session.call("50 2x4")  # the plan on the screen is of before
        app.action_clear()
        assert session.queue.sums.open_pieces == 2
        assert "being laid" in text(app, "boardstold")


async def test_the_boards_are_laid_ahead_of_the_next_cut(session: Session) -> None:
    session.call("2 2x4 12 footers")
    session.call("3 @ 40 2x4")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.workers.wait_for_complete()
        before = _section_plan.cache_info()
        await pilot.press("c")
        await pilot.pause()
        assert _section_plan.cache_info().hits > before.hits
        assert [lot.leftover for lot in session.queue.rack.lots] == [False, True]

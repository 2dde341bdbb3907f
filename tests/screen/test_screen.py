"""The real app through Textual's pilot: keys, questions, the saw view, a second station, a thousand rows."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from fractions import Fraction as F

import pytest
from desk import Desk
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from textual.command import CommandPalette
from textual.events import AppBlur, AppFocus, Key, Paste
from textual.widgets import DataTable, Input

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.audio import player
from cutmemo.audio.recording import recording
from cutmemo.bundle import bundled
from cutmemo.domain.length import Length, format_length
from cutmemo.memo import Projection, open_store
from cutmemo.planning.plan import _section_plan
from cutmemo.tui.app import MemoApp
from cutmemo.tui.controllers.commands import Commands
from cutmemo.tui.controllers.listening import Ended, MicrophoneOpen, Utterance
from cutmemo.tui.controllers.readback import ReadBack
from cutmemo.tui.screens.boards import BoardScreen
from cutmemo.tui.screens.pages import AssemblyPage
from cutmemo.tui.screens.saw import SawScreen
from cutmemo.tui.themes import DARK, LIGHT, contrast
from cutmemo.tui.widgets import signs
from cutmemo.tui.widgets.key_bar import Choices, KeyBar
from cutmemo.tui.widgets.large_length import LargeLength
from cutmemo.tui.widgets.numerals import draw, in_blocks, largest
from cutmemo.tui.widgets.saw_sheet import SawSheet

SIZES = [(80, 24), (120, 40)]


def text(app: MemoApp, name: str) -> str:
    """Return what stands in one part of the screen that is up."""
    found = app.screen.query(f"#{name}").first()
    if isinstance(found, KeyBar):
        return "\n".join(spot.text for spot in found.spots(found.size.width))
    return str(found.content)  # type: ignore[attr-defined]


def at_saw(app: MemoApp, name: str) -> str:
    """Return one part of the sheet at the saw, as it is laid out."""
    parts = app.screen.query_one(SawSheet).parts()
    return "\n".join(line for part in parts if part.name.startswith(name) for line in part.lines)


async def type_call(pilot: object, words: str) -> None:
    await pilot.press("t")  # type: ignore[attr-defined]
    pilot.app.query_one(Input).value = words  # type: ignore[attr-defined]
    await pilot.press("enter", "escape")  # type: ignore[attr-defined]
    await pilot.pause()  # type: ignore[attr-defined]


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


async def test_a_spoken_answer_goes_to_the_question_that_is_shown(session: Desk) -> None:
    session.call("36")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_call(pilot, "six two")
        await type_call(pilot, "eight two")
        assert '[2] 98"' in text(app, "readings")
        await pilot.press("up")
        await pilot.pause()
        assert '[2] 74"' in text(app, "readings")
        app.stage.do(lambda: app.stage.memo.hear(Recognition((Hypothesis("the second", 9.0),))))
        await pilot.pause()
        assert [(row.number, row.cut.length.inches) for row in session.state.open_rows()] == [
            (1, 36),
            (2, 74),
        ]
        assert '[2] 98"' in text(app, "readings")


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


async def test_another_stations_cut_shows_by_itself(open_session: Callable[..., Desk]) -> None:
    app = MemoApp(open_session("saw", "bo"))
    async with app.run_test(size=(80, 24)) as pilot:
        open_session("ladder", "ann").call("36")
        app.stage.follow()
        await pilot.pause()
        assert app.query_one(DataTable).row_count == 1


async def test_what_was_heard_is_taken(session: Desk) -> None:
    from cutmemo.tui.controllers.listening import Utterance, Words

    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(Words("one oh one"))
        await pilot.pause()
        assert "one oh one" in text(app, "words")
        app.post_message(Utterance(Recognition((Hypothesis("one oh one and a half", 90.0),))))
        await pilot.pause()
        assert [row.cut.length.inches for row in session.state.open_rows()] == [F(203, 2)]


async def test_listening_without_a_microphone_says_what_to_do_and_typing_goes_on(
    session: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from cutmemo.errors import NoMicrophone, SoundTrouble
    from cutmemo.tui.controllers import listening

    def none(*_: object) -> None:
        raise NoMicrophone(SoundTrouble.NOT_OPENED, "no device")

    monkeypatch.setattr(listening, "microphone", none)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l")
        app.sound.listener.stop(wait_seconds=20)
        await pilot.pause()
        assert "Plug one in" in text(app, "told")
        assert "NOT LISTENING" in text(app, "ear")
        await type_call(pilot, "36")
        assert session.state.sums.open_pieces == 1


async def test_m_holds_the_microphone_for_one_call_and_m_lets_it_go(
    session: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pause of two seconds in the call, and no tone into the microphone that is held."""
    from cutmemo.audio.chunk import SoundChunk
    from cutmemo.tui.controllers import listening

    played: list[object] = []
    monkeypatch.setattr(ReadBack, "_play", lambda _, sound, always=False: played.append(sound))
    call = [*recording(bundled("demo") / "03-porch.wav")]
    opened, over = threading.Event(), threading.Event()

    def microphone(_stop: object) -> Iterator[SoundChunk]:
        yield from call
        yield from [SoundChunk(bytes(3200))] * 20
        opened.set()
        over.wait(20)
        yield from call[:2]
        yield from call

    monkeypatch.setattr(listening, "microphone", microphone)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("m")
        while not opened.is_set():
            await pilot.pause()
        assert "TALK" in text(app, "ear")
        assert not session.state.rows
        await pilot.press("m")
        over.set()
        app.sound.listener._thread.join(30)  # type: ignore[union-attr]
        await pilot.pause()
        await pilot.pause()
        assert "NOT LISTENING" in text(app, "ear")
    assert [row.cut.length.inches for row in session.state.rows.values()] == [F(203, 2)]
    assert played == []


async def test_whoever_is_up_a_ladder_hears_when_listening_begins_and_ends(
    session: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    played: list[object] = []
    monkeypatch.setattr(ReadBack, "_play", lambda _, sound, always=False: played.append(sound))
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(MicrophoneOpen())
        await pilot.pause()
        assert played == [player.listening]
        app.post_message(Ended("The microphone was pulled out."))
        await pilot.pause()
        assert played == [player.listening, player.muted]
        assert "pulled out" in text(app, "told")


async def test_a_call_taken_for_noise_is_told_to_eye_and_ear(
    session: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    played: list[object] = []
    monkeypatch.setattr(ReadBack, "_when_free", lambda _, sound, row="": played.append(sound))
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(
            Utterance(
                Recognition((Hypothesis("[unk]", 9.0), Hypothesis("thirty six and a half", 8.0)))
            )
        )
        await pilot.pause()
        assert "Say it again" in text(app, "told")
        assert played == [player.refusal]
        assert not session.state.rows


async def test_a_thousand_rows_change_one_by_one(session: Desk) -> None:
    for n in range(1000):
        session.call(f"{n % 250 + 20}-1/2 for W{n}")
        session.clock.later(60)  # type: ignore[attr-defined]
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        table = app.query_one(DataTable)
        assert table.row_count == 1000
        await pilot.press("c")
        await pilot.pause()
        assert table.row_count == 999


async def test_help_and_the_two_themes(session: Desk) -> None:
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
    inks = [
        theme.foreground,
        theme.primary,
        theme.warning,
        theme.error,
        theme.success,
        theme.secondary,
    ]  # type: ignore[attr-defined]
    assert min(contrast(ink, ground) for ink in inks for ground in grounds) >= 7


def test_contrast_agrees_with_the_standard() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known 4.54:1 (from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("inches", [F(203, 2), F(5, 8), F(36), F(2881, 16), F(1, 3)])
@pytest.mark.parametrize(("width", "height"), [(48, 9), (76, 14), (200, 50), (10, 2)])
def test_numerals_fit_and_grow_with_the_room(inches: F, width: int, height: int) -> None:
    lines = largest(format_length(Length(inches)), width, height).split("\n")
    assert max(map(len, lines)) <= max(width, len(str(format_length(Length(inches)))))
    assert len(lines) <= height


def test_a_fraction_is_stacked_below_its_numerator() -> None:
    whole = in_blocks(draw(format_length(Length(F(36))), 2)).split("\n")
    stacked = in_blocks(draw(format_length(Length(F(293, 8))), 2)).split("\n")
    assert len(stacked) > len(whole)


async def laid(app: MemoApp, pilot: object) -> str:
    """Return the view by board once it is laid."""
    await app.workers.wait_for_complete()
    await pilot.pause()  # type: ignore[attr-defined]
    return text(app, "plan")


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


# --- at the saw ---------------------------------------------------------------------------------------------


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


async def test_a_doubtful_call_is_played_again(
    session: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    played: list[bytes] = []
    monkeypatch.setattr("cutmemo.tui.sound.has_output", lambda: True)
    monkeypatch.setattr(
        "cutmemo.audio.player.play",
        lambda samples, _broken_off: not played.append(samples.tobytes()),  # type: ignore[func-returns-value]
    )
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.workers.wait_for_complete()
        played.clear()
        pcm = b"\x01\x00" * 800
        app.sound.read_back.on = False
        app.on_utterance(Utterance(Recognition((Hypothesis("six two", 10.0),), pcm=pcm)))
        await pilot.press("a")
        await app.workers.wait_for_complete()
        assert played == [pcm]
        app.stage.do(lambda: session.call("93"))
        await pilot.press("a")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "No sound of this call" in text(app, "told")


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


# --- hard times ---------------------------------------------------------------------------------------------

KEYS = [
    "c",
    "C",
    "u",
    "r",
    "x",
    "b",
    "o",
    "s",
    "p",
    "t",
    "k",
    "w",
    "a",
    "e",
    "y",
    "v",
    "d",
    "h",
    "1",
    "2",
    "escape",
    "tab",
    "down",
    "space",
    "enter",
]


@given(
    keys=st.lists(st.sampled_from(KEYS), max_size=25),
    calls=st.lists(
        st.sampled_from(
            ["4 @ 61-5/16 2x6", "six two", "93 plumb 7/12 long point", "10 2x6 16 footers", "bad"]
        ),
        max_size=6,
    ),
)
@hypothesis_settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
async def test_no_keys_in_any_order_do_harm(
    keys: list[str], calls: list[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("keys") / "any.cutmemo"
    with open_store(path) as journal:
        session = Desk(journal, "saw", "ann")
        app = MemoApp(session)
        async with app.run_test(size=(80, 24)) as pilot:
            for n, key in enumerate(keys):
                if n < len(calls):
                    app.stage.do(lambda said=calls[n]: session.call(said))
                await pilot.press(key)
            await app.workers.wait_for_complete()
            await pilot.pause()
            assert app.is_running
        assert Projection(journal.events()).state.rows == session.state.rows


@pytest.mark.parametrize("keys", [[], ["s"], ["p"], ["h"], ["e"], ["s", "t"]])
async def test_a_storm_of_sizes_does_no_harm(session: Desk, keys: list[str]) -> None:
    for said in ("2 @ 61-5/16 2x6 plumb 7/12 long point", "six two", "10 2x6 12 footers", "93"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
        for width, height in [
            (1, 1),
            (300, 100),
            (5, 40),
            (200, 2),
            (20, 5),
            (80, 24),
            (42, 30),
            (2, 24),
            (80, 24),
        ]:
            await pilot.resize_terminal(width, height)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.is_running
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert "Row 2 asks" in text(app, "rowhead")


async def test_a_memo_that_cannot_be_written_is_told_on_the_screen(session: Desk) -> None:
    session.call("61-5/16")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        session.store._db.execute("PRAGMA query_only = ON")  # type: ignore[attr-defined]
        await type_call(pilot, "93")
        assert "may only be read" in text(app, "told")
        assert pilot.app.query_one(Input).value == "93"
        await pilot.press("s", "c")
        await pilot.pause()
        assert "may only be read" in app.screen.query_one(SawSheet).shown.told
        assert [row.left for row in session.state.rows.values()] == [1]


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
    session.call("20 2x4")
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


@pytest.mark.parametrize("size", [(60, 18), (42, 30), (120, 40)])
async def test_the_numerals_of_the_memo_follow_the_size_at_once(
    session: Desk, size: tuple[int, int]
) -> None:
    session.call("4 @ 145-11/16")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.resize_terminal(*size)
        await pilot.pause()
        place = app.query_one(LargeLength).size
        shown = format_length(Length(F(145 * 16 + 11, 16)))
        assert text(app, "numerals") == largest(shown, place.width, place.height, "4×")


@pytest.mark.parametrize("size", [*SIZES, (42, 30)])
async def test_entries_that_cannot_be_read_are_told_on_every_screen(
    session: Desk, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    mark = "Written by a newer cutmemo: 3 entries."
    monkeypatch.setattr(Commands, "marks", lambda _: [mark])
    session.call("48 2x4")
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert text(app, "marks") == mark
        assert app.screen.query_one("#marks").size.height >= 1
        await pilot.press("s")
        await pilot.pause()
        assert at_saw(app, "marks").replace("\n", " ") == mark
        await pilot.press("c")
        await pilot.pause()
        assert at_saw(app, "marks").replace("\n", " ") == mark  # with nothing to cut, too
        await pilot.press("s", "p")
        await laid(app, pilot)
        assert text(app, "marks") == mark
        assert app.screen.query_one("#marks").size.height >= 1


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

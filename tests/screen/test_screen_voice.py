"""What was heard, through Textual's pilot: taken, told as noise, answered, played again."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from fractions import Fraction as F

import pytest
from desk import Desk
from shown import text, type_call

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.audio import player
from cutmemo.audio.recording import recording
from cutmemo.bundle import bundled
from cutmemo.tui.app import MemoApp
from cutmemo.tui.controllers.listening import Ended, MicrophoneOpen, Utterance
from cutmemo.tui.controllers.readback import ReadBack


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

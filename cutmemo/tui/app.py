"""The program on the screen: wires the screens to the keys, the microphone and the loudspeaker."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import App
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import Input

from cutmemo.audio.microphone import has_output
from cutmemo.service import Station
from cutmemo.tui.controllers.listening import Ended, Listener, MicrophoneOpen, Utterance, Words
from cutmemo.tui.controllers.readback import ReadBack
from cutmemo.tui.controllers.recordings import Recordings
from cutmemo.tui.controllers.response import Response, told
from cutmemo.tui.keys import KEYS
from cutmemo.tui.screens.boards import BoardScreen
from cutmemo.tui.screens.confirm import ConfirmScreen
from cutmemo.tui.screens.saw import SawScreen
from cutmemo.tui.screens.working import WorkingScreen
from cutmemo.tui.stage import Stage
from cutmemo.tui.themes import DARK, LIGHT
from cutmemo.wording import screens as words

FOLLOW_SECONDS = 0.3
"""How soon a change by another station shows."""


class MemoApp(App[int]):
    """The memo on the screen."""

    TITLE = words.TITLE
    CSS_PATH = "tui.tcss"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = KEYS

    def __init__(self, station: Station, model: str | None = None, light: bool = False) -> None:
        """Show the memo of *station*."""
        super().__init__()
        self.listener = Listener(self.post_message, model)
        self.listening: words.Listening = "off"
        self.read_back = ReadBack(self.listener.muted, self._sounding, self._no_sound)
        self.recordings = Recordings()
        self.stage = Stage(self, station, self.read_back, self._cue)
        self._light = light

    def get_default_screen(self) -> Screen[None]:
        """Begin with the memo."""
        return self.stage.memo_screen

    def on_mount(self) -> None:
        """Put the colours on."""
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = LIGHT.name if self._light else DARK.name

    def on_ready(self) -> None:
        """Look for a loudspeaker now, and for other stations' changes from now on."""
        self.stage.planner.ahead()
        self.set_interval(FOLLOW_SECONDS, self.stage.follow)
        self._sounding(self._find_loudspeaker)

    def on_unmount(self) -> None:
        """Close the microphone."""
        self.listener.stop(wait_seconds=1.0)

    # --- keys ---------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002 - Textual gives both
        """Let t be a letter where letters are typed, and leave it to questions and to the saw.

        Elsewhere it goes before all other keys: they wait in line, and would be taken for
        commands if they overtook it.
        """
        typing = isinstance(self.focused, Input) or self.screen.is_modal
        return not (action == "type" and (typing or isinstance(self.screen, SawScreen)))

    def action_type(self) -> None:
        """Go to the entry line, at once."""
        while self.screen is not self.stage.memo_screen:
            self.pop_screen()
        self.stage.memo_screen.type_here()

    def action_leave(self) -> None:
        """Leave the entry line, or what stands over the memo."""
        if self.screen is self.stage.memo_screen:
            self.stage.memo_screen.leave_typing()
        else:
            self.pop_screen()

    def action_leave_program(self) -> None:
        """Leave, once that was asked."""
        self.push_screen(ConfirmScreen(*words.QUIT_ASKS), self._leave_program)

    def _leave_program(self, yes: bool | None) -> None:
        if yes:
            self.exit()

    def action_saw(self) -> None:
        """Open the saw view, or leave it."""
        self._turn_to(SawScreen)

    def action_boards(self) -> None:
        """Open the view by board, or leave it."""
        self._turn_to(BoardScreen)

    def _turn_to(self, view: type[WorkingScreen]) -> None:
        """Open a view; listening pauses there until it is switched on."""
        if self.stage.open(view):
            self.listener.stop()

    def action_sun(self) -> None:
        """Change between the dark and the light theme."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    # --- the loudspeaker ----------------------------------------------------------------------------------

    def _sounding(self, work: Callable[[], None]) -> None:
        self.run_worker(work, thread=True, group="voice")

    def _find_loudspeaker(self) -> None:
        """Turn read-back on where there is something to play it."""
        if has_output():
            self.call_from_thread(self.set_read_back, True)

    def _no_sound(self, why: str) -> None:
        self.call_from_thread(self.stage.refuse, why)
        self.call_from_thread(self._show_ear)

    def set_read_back(self, on: bool) -> None:
        """Read calls back from now on, or no longer."""
        self.read_back.on = on
        self._show_ear()

    def action_voice(self) -> None:
        """Turn read-back on or off."""
        if not self.read_back.on and not has_output():
            self.stage.refuse(words.NO_READ_BACK)
            return
        self.set_read_back(not self.read_back.on)
        self.stage.tell(told(words.read_back_is(self.read_back.on)))

    def action_say_again(self) -> None:
        """Read the last call back."""
        if self.stage.memo_screen.shown is not None:
            self.read_back.row(self.stage.memo_screen.shown)

    def action_play(self) -> None:
        """Play the call of the row again, as it was heard."""
        row = self.stage.memo_screen.shown
        pcm = self.recordings.of(row.id) if row is not None else None
        if pcm is None:
            self.stage.refuse(words.NO_RECORDING)
        elif not self.read_back.on and not has_output():
            self.stage.refuse(words.NO_OUTPUT)
        else:
            self.read_back.recording(pcm)

    def _cue(self, response: Response) -> None:
        """Do what a response asks of the sound."""
        if response.play:
            self.action_play()
        if response.listen is not None:
            self._listen(response.listen)

    # --- the microphone -----------------------------------------------------------------------------------

    def action_listen(self) -> None:
        """Listen, or stop listening."""
        self._listen(self.listening == "off")

    def _listen(self, on: bool) -> None:
        if not on:
            self.listener.stop()
        elif not self.listener.open:
            self._set_listening("opening")
            self.listener.start()

    def _set_listening(self, listening: words.Listening) -> None:
        self.listening = listening
        self._show_ear()

    def _show_ear(self) -> None:
        self.stage.memo_screen.show_ear(self.listening, self.read_back.on)
        self.stage.working.show_listening(self.listening)

    def on_microphone_open(self, _message: MicrophoneOpen) -> None:
        """The microphone is open."""
        self._set_listening("on")
        self.read_back.listening()

    def on_words(self, message: Words) -> None:
        """Show the words so far."""
        self.stage.memo_screen.show_words(message.text)

    def on_utterance(self, message: Utterance) -> None:
        """Take what was heard."""
        memo, heard = self.stage.memo, message.heard
        self.stage.memo_screen.show_words("")
        before = memo.state.position
        outcome = self.stage.do(lambda: memo.hear(heard))
        if outcome is not None and outcome.happened in ("added", "asked", "changed"):
            self.recordings.keep((row.id for row in outcome.rows), heard.pcm)
        if outcome is None and memo.state.position == before and memo.ignored(heard):
            self.stage.refuse(memo.ignored(heard))
            self.read_back.refusal()

    def on_ended(self, message: Ended) -> None:
        """Listening is over: whoever is up a ladder has to know."""
        self._set_listening("off")
        self.read_back.not_listening()
        if message.reason:
            self.stage.refuse(message.reason)

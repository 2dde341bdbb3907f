"""The program on the screen: wires the screens to the keys, the microphone and the loudspeaker."""

from __future__ import annotations

from typing import ClassVar

from textual.app import App
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import Input

from cutmemo.office.background import Exchanger
from cutmemo.service import Station
from cutmemo.tui.controllers.listening import Ended, MicrophoneOpen, Utterance, Words
from cutmemo.tui.keys import KEYS
from cutmemo.tui.screens.boards import BoardScreen
from cutmemo.tui.screens.confirm import ConfirmScreen
from cutmemo.tui.screens.saw import SawScreen
from cutmemo.tui.screens.working import WorkingScreen
from cutmemo.tui.sound import Sound
from cutmemo.tui.stage import Stage
from cutmemo.tui.themes import DARK, LIGHT
from cutmemo.wording import screens as words

FOLLOW_SECONDS = 0.3
"""How soon a change by another station shows."""
LOOK_SECONDS = 0.1
"""How soon what is to be read back sounds, once it may."""
COPY_SECONDS = 600.0
"""How often it is seen whether a copy of the memo is due."""


class MemoApp(App[int]):
    """The memo on the screen."""

    TITLE = words.TITLE
    CSS_PATH = "tui.tcss"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = KEYS

    def __init__(
        self,
        station: Station,
        model: str | None = None,
        light: bool = False,
        attention: str | None = None,
    ) -> None:
        """Show the memo of *station*; hands free it hears what begins with *attention*."""
        super().__init__()
        self.sound = Sound(self, model, attention or "")
        self.stage = Stage(self, station, self.sound.read_back, self.sound.cue)
        self.sound.stage = self.stage
        self._light = light
        self._exchanger = Exchanger(self.stage.memo.path)

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
        self.set_interval(LOOK_SECONDS, self.sound.read_back.look)
        self.set_interval(COPY_SECONDS, self._keep_copy)
        self.sound.find_loudspeaker()
        self._exchanger.start()

    def _keep_copy(self) -> None:
        """Copy the memo where that is due, without keeping anybody waiting."""
        self.run_worker(self.stage.memo.keep_copy, thread=True, exit_on_error=False)

    def on_unmount(self) -> None:
        """Close the microphone, and the way to the office."""
        self._exchanger.stop()
        self.sound.listener.stop(wait_seconds=1.0)

    # --- keys -------------------------------------------------------------------------------------

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
            self.sound.listen(False)

    def action_sun(self) -> None:
        """Change between the dark and the light theme."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    # --- sound ------------------------------------------------------------------------------------

    def action_voice(self) -> None:
        """Turn read-back on or off."""
        self.sound.turn_read_back()

    def action_say_again(self) -> None:
        """Read the last call back."""
        self.sound.say_again()

    def action_play(self) -> None:
        """Play the call of the row again, as it was heard."""
        self.sound.play_again()

    def action_listen(self) -> None:
        """Listen, or stop listening."""
        self.sound.listen(self.sound.listening == "off")

    def action_talk(self) -> None:
        """Hold the microphone for one call, or let it go.

        A terminal as Textual drives it tells of no key that is let go: the key is pressed again.
        """
        self.sound.talk()

    def on_microphone_open(self, _message: MicrophoneOpen) -> None:
        """The microphone is open."""
        self.sound.opened()

    def on_words(self, message: Words) -> None:
        """Show the words so far."""
        self.stage.memo_screen.show_words(message.text)

    def on_utterance(self, message: Utterance) -> None:
        """Take what was heard."""
        self.stage.memo_screen.show_words("")
        self.sound.heard(message.heard)

    def on_ended(self, message: Ended) -> None:
        """Listening is over."""
        self.sound.ended(message.reason)

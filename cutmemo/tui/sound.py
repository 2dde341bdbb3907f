"""The microphone and the loudspeaker: opened and closed, what was heard taken, calls read back and
played again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from textual.app import App

from cutmemo.asr import Recognition
from cutmemo.audio.microphone import has_output
from cutmemo.memo.rows import Row
from cutmemo.tui.controllers.listening import Listener
from cutmemo.tui.controllers.readback import ReadBack
from cutmemo.tui.controllers.recordings import Recordings
from cutmemo.tui.controllers.response import Response, told
from cutmemo.tui.stage import Stage
from cutmemo.wording import screens as words


class Sound:
    """What is heard and what sounds, told on the screens of one app."""

    stage: Stage
    """Where it is told; set once both are made."""

    def __init__(self, app: App[int], model: str | None, attention: str = "") -> None:
        """Hear with the model folder *model*, or the usual one, what begins with *attention*;
        messages go to *app*.
        """
        self._app = app
        self.listener = Listener(app.post_message, model, attention)
        self.listening: words.Listening = "off"
        self._talks = False
        """Whether the microphone is open for one call only."""
        self.read_back = ReadBack(
            self.listener.turns,
            self._beside,
            self._failed,
            self._row,
            self._may_go_on,
            lambda: self.stage.memo.state.settings.display,
        )
        self.recordings = Recordings()

    def _row(self, row_id: str) -> Row | None:
        return self.stage.memo.state.rows.get(row_id)

    def _may_go_on(self) -> bool:
        return bool(self.stage.memo.going_on())

    def _beside(self, work: Callable[[], None]) -> None:
        self._app.run_worker(work, thread=True, group="voice")

    def show(self) -> None:
        """Show whether the microphone is open, and whether calls are read back."""
        self.stage.memo_screen.show_ear(self.listening, self.read_back.on)
        self.stage.working.show_listening(self.listening)

    def cue(self, response: Response) -> None:
        """Do what a response asks of the sound."""
        if response.play:
            self.play_again()
        if response.listen is not None:
            self.listen(response.listen)

    # --- the loudspeaker --------------------------------------------------------------------------

    def find_loudspeaker(self) -> None:
        """Turn read-back on where there is something to play it; looking for it takes a moment."""

        def look() -> None:
            if has_output():
                self._app.call_from_thread(self.set_read_back, True)

        self._beside(look)

    def _failed(self, why: str) -> None:
        self._app.call_from_thread(self.stage.refuse, why)
        self._app.call_from_thread(self.show)

    def set_read_back(self, on: bool) -> None:
        """Read calls back from now on, or no longer."""
        self.read_back.on = on
        self.show()

    def turn_read_back(self) -> None:
        """Turn read-back on or off."""
        if not self.read_back.on and not has_output():
            self.stage.refuse(words.NO_READ_BACK)
            return
        self.set_read_back(not self.read_back.on)
        self.stage.tell(told(words.read_back_is(self.read_back.on)))

    def say_again(self) -> None:
        """Read the row that is shown back."""
        row = self.stage.memo_screen.shown
        if row is not None:
            self.read_back.row(row, at_once=True)

    def play_again(self) -> None:
        """Play the call of the row that is shown, as it was heard."""
        row = self.stage.memo_screen.shown
        pcm = self.recordings.of(row.id) if row is not None else None
        if pcm is None:
            self.stage.refuse(words.NO_RECORDING)
        elif not self.read_back.on and not has_output():
            self.stage.refuse(words.NO_OUTPUT)
        else:
            self.read_back.recording(pcm)

    # --- the microphone ---------------------------------------------------------------------------

    def listen(self, on: bool) -> None:
        """Open the microphone, or close it."""
        if not on:
            self.listener.stop()
        elif not self.listener.open:
            self._set_listening("opening")
            self.listener.start()

    def talk(self) -> None:
        """Hold the microphone for one call, or let it go; where it was closed it is open only
        meanwhile.
        """
        if self.listener.talking:
            self.listener.hold(False)
            if self.listening == "talk":
                self._set_listening("on")
        elif self.listener.open:
            self.listener.hold(True)
            self._set_listening("talk")
        else:
            self._talks = True
            self._set_listening("opening")
            self.listener.start(hold=True)

    def _set_listening(self, listening: words.Listening) -> None:
        self.listening = listening
        self.show()

    def opened(self) -> None:
        """The microphone is open."""
        self._set_listening("talk" if self.listener.talking else "on")
        if not self._talks:  # who holds a key need not be told, and would not be heard meanwhile
            self.read_back.listening()

    def heard(self, heard: Recognition) -> None:
        """Take what was heard; what was taken for noise is told too, where it may have been a
        call.
        """
        memo = self.stage.memo
        before = memo.state.position
        outcome = self.stage.do(lambda: memo.hear(heard))
        if outcome is not None and outcome.happened in ("added", "asked", "changed"):
            self._keep(heard, outcome.rows)
        if outcome is None and memo.state.position == before and memo.ignored(heard):
            self.stage.refuse(memo.ignored(heard))
            self.read_back.refusal()

    def _keep(self, heard: Recognition, rows: Iterable[Row]) -> None:
        """Keep the sound of the call of each of *rows*; where one had a first half already, both
        halves.
        """
        both = heard.joined.pcm if heard.joined is not None else heard.pcm
        for row in rows:
            before = self.recordings.of(row.id) is not None
            self.recordings.keep((row.id,), both if before else heard.pcm)

    def ended(self, reason: str) -> None:
        """Listening is over, for *reason* where it was not asked for: whoever is up a ladder has to
        know.
        """
        self._set_listening("off")
        if reason or not self._talks:
            self.read_back.not_listening()
        self._talks = False
        if reason:
            self.stage.refuse(reason)

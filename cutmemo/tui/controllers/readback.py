"""What sounds when: calls read back, questions, answers, refusals, and where listening begins and
ends.
"""

from __future__ import annotations

import threading
from array import array
from collections.abc import Callable
from dataclasses import dataclass

from cutmemo.audio import player
from cutmemo.audio.turns import Turns
from cutmemo.domain.length import Display
from cutmemo.errors import CutmemoError
from cutmemo.memo.rows import Row
from cutmemo.present.read_back import is_one_tone, row_read_back, rows_read_back
from cutmemo.wording import Told, explain_error

Sound = Callable[[], "array[int]"]
_TONES = {"": player.spelled, "question": player.question, "answer": player.answer}
MAX_TRIES = 2
"""What was broken off so often is not begun again: it stands on the screen."""
MAX_WAITING = 3
"""Of more than so many calls that wait for their turn the last are read back; all stand on the
screen, and nobody listens to a list while the next call is due.
"""
PATIENCE = 60
"""Looks, six seconds, after which noise keeps nothing from being read back, but words do."""


@dataclass
class _Waiting:
    """A sound that waits for its turn."""

    sound: Sound
    row: str = ""
    """The id of the row that it reads back."""
    tries: int = 0
    looks: int = 0


class ReadBack:
    """Plays one sound after the other, each when it is the program's turn to speak."""

    def __init__(  # noqa: PLR0913 - what it asks of the memo, each by itself
        self,
        turns: Turns,
        run: Callable[[Callable[[], None]], object],
        failed: Callable[[str], None],
        row: Callable[[str], Row | None] = lambda _: None,
        may_go_on: Callable[[], bool] = lambda: False,
        display: Callable[[], Display] = lambda: "inches",
    ) -> None:
        """Speak by *turns*; *run* runs work on a thread; *failed* is called there where nothing can
        be played.

        *row* gives a row as it stands by then; *may_go_on* tells whether the rest of a call may
        come, *display* what lengths are shown in.
        """
        self.on = False
        """Whether calls are read back."""
        self._turns, self._run, self._failed = turns, run, failed
        self._row, self._may_go_on, self._display = row, may_go_on, display
        self._one_at_a_time = threading.Lock()
        self._waiting: list[_Waiting] = []
        self._playing = threading.Event()

    def outcome(self, outcome: Told) -> None:
        """Read back what came of a call; a set, or a long list that asks, is one question tone."""
        if is_one_tone(outcome):
            self._when_free(lambda: player.question(()))
        for row in rows_read_back(outcome):
            self.row(row, outcome.happened == "answered")

    def row(self, row: Row, answered: bool = False, at_once: bool = False) -> None:
        """Read *row* back as it stands by then, as a question where it asks; *at_once* where
        somebody asked for it on a key.
        """

        def sound() -> array[int]:
            now = self._row(row.id) or row
            what = row_read_back(now, answered, self._display())
            return array("h") if now.state == "struck" else _TONES[what.tone](what.words)

        if at_once:
            self._play(sound)
        else:
            self._when_free(sound, row.id)

    def refusal(self) -> None:
        """Sound that something was not taken; not where more is heard before that sounds."""
        self._when_free(player.refusal)

    def listening(self) -> None:
        """Sound that the microphone is open."""
        self._play(player.listening)

    def not_listening(self) -> None:
        """Sound that the microphone is closed: whoever is up a ladder has to know, or calls into
        the air.
        """
        self._play(player.muted)

    def recording(self, pcm: bytes) -> None:
        """Play a call as it was heard, even with read-back off."""
        self._play(lambda: array("h", pcm), always=True)

    def look(self) -> None:
        """Begin with what waits, if it is the program's turn; to be called ten times a second."""
        if not self._waiting or self._playing.is_set():
            return
        first = self._waiting[0]
        first.looks += 1
        goes_on = self._turns.listening and self._may_go_on()
        if goes_on or not self._turns.may_speak(only_words=first.looks > PATIENCE):
            return
        del self._waiting[0]
        self._playing.set()
        self._run(lambda: self._sound(first))

    def _when_free(self, sound: Sound, row: str = "") -> None:
        """Play *sound* in its turn; a row once, and no refusal that something came behind."""
        if not self.on:
            return
        self._waiting = [
            each
            for each in self._waiting
            if each.sound is not player.refusal and not (row and each.row == row)
        ]
        self._waiting = [*self._waiting, _Waiting(sound, row)][-MAX_WAITING:]
        self.look()

    def _play(self, sound: Sound, always: bool = False) -> None:
        """Play *sound* now."""
        if self.on or always:
            self._run(lambda: self._sound(_Waiting(sound, tries=MAX_TRIES)))

    def _sound(self, each: _Waiting) -> None:
        with self._one_at_a_time:
            self._turns.interrupted.clear()
            self._turns.speaking.set()
            try:
                whole = player.play(each.sound(), self._turns.interrupted.is_set)
            except CutmemoError as error:
                self.on = False
                self._waiting.clear()
                self._failed(explain_error(error))
            else:
                each.tries += 1
                if not whole and each.tries < MAX_TRIES:
                    self._waiting.insert(0, each)
            finally:
                self._turns.speaking.clear()
                self._playing.clear()

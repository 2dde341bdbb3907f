"""What sounds when: calls read back, questions, answers, refusals, and where listening begins and
ends.
"""

from __future__ import annotations

import threading
from array import array
from collections.abc import Callable

from cutmemo.audio import player
from cutmemo.errors import CutmemoError
from cutmemo.memo.rows import Row
from cutmemo.present.read_back import Spelled, read_back, row_read_back
from cutmemo.wording import Told, explain_error

Sound = Callable[[], "array[int]"]
_TONES = {"": player.spelled, "question": player.question, "answer": player.answer}


class ReadBack:
    """Plays one sound after the other, with the microphone muted meanwhile (half-duplex)."""

    def __init__(
        self,
        muted: threading.Event,
        run: Callable[[Callable[[], None]], object],
        failed: Callable[[str], None],
    ) -> None:
        """Set *muted* while a sound plays; *run* runs work on a thread; *failed* is called there
        where nothing can be played.
        """
        self.on = False
        """Whether calls are read back."""
        self._muted, self._run, self._failed = muted, run, failed
        self._one_at_a_time = threading.Lock()

    def outcome(self, outcome: Told) -> None:
        """Read back what came of a call."""
        for each in read_back(outcome):
            self._spell(each)

    def row(self, row: Row) -> None:
        """Read *row* back, as a question where it asks."""
        self._spell(row_read_back(row))

    def _spell(self, what: Spelled) -> None:
        self._play(lambda: _TONES[what.tone](what.words))

    def refusal(self) -> None:
        """Sound that something was not taken."""
        self._play(player.refusal)

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

    def _play(self, sound: Sound, always: bool = False) -> None:
        if self.on or always:
            self._run(lambda: self._sound(sound))

    def _sound(self, sound: Sound) -> None:
        with self._one_at_a_time:
            self._muted.set()
            try:
                player.play(sound())
            except CutmemoError as error:
                self.on = False
                self._failed(explain_error(error))
            finally:
                self._muted.clear()

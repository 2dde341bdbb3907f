"""What sounds when: calls read back, questions, answers, refusals, and where listening begins and
ends.
"""

from __future__ import annotations

import threading
from array import array
from collections.abc import Callable, Iterable

from cutmemo.audio import player
from cutmemo.errors import CutmemoError
from cutmemo.language import digits_of
from cutmemo.memo.rows import Row
from cutmemo.wording import explain_error
from cutmemo.wording.results import TOLD_ONE_BY_ONE, Told

Sound = Callable[[], "array[int]"]
READ_BACK = ("added", "changed", "answered", "asked", "read back")


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
        """Read back what came of a call; a set, or a long list that asks, is one question tone."""
        if outcome.happened not in READ_BACK:
            return
        many = len(outcome.rows) > TOLD_ONE_BY_ONE
        if outcome.assembly is not None or (many and outcome.happened == "asked"):
            self._play(lambda: player.question(()))
            return
        for row in () if many else outcome.rows:
            self.row(row, player.answer if outcome.happened == "answered" else player.spelled)

    def row(self, row: Row, read: Callable[[Iterable[str]], array[int]] = player.spelled) -> None:
        """Read *row* back, as a question where it asks."""
        if row.state == "doubtful":
            words = [word for cut in row.readings for word in (*digits_of(cut), "or")][:-1]
            self._play(lambda: player.question(words))
        else:
            self._play(lambda: read(digits_of(row.cut)))

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

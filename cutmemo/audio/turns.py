"""Whose turn it is to speak: the program waits until nobody speaks, and breaks off when somebody
begins.

Where the microphone hears the loudspeaker, it is muted while the program speaks; so the program
waits until no rest of a call can come any more. Where it does not (a headset), the microphone stays
open, and the program may speak right behind a call.
"""

from __future__ import annotations

import threading

from cutmemo.audio.chunk import SoundChunk
from cutmemo.audio.peaks import STILL, VOICE, Peaks

REST_SECONDS = 3.0
"""The rest of a call may come within this much silence behind it, for whoever speaks, hears and
shows it.
"""
VOICE_SECONDS = 0.5
"""So soon after a loud sound somebody still speaks."""
OWN_SECONDS = 0.6
"""The program's own voice is in the microphone this soon after it begins, or not at all: what the
sound takes through both devices.
"""
DIES_SECONDS = 0.3
"""So soon after it is broken off nothing is left of it; who speaks goes on."""
_LEAST_FLOOR = 64
"""Steps of 16 bits; below it all is hidden by the room tone that is laid under every sound."""


class Turns:
    """Follows the microphone chunk by chunk, on its thread; asked and told from any other."""

    def __init__(self) -> None:
        """Begin with the microphone closed, and as one that hears the loudspeaker: that is known
        only once something was played.
        """
        self.speaking = threading.Event()
        """Set while the program speaks."""
        self.interrupted = threading.Event()
        """Set where somebody began to speak meanwhile."""
        self.begin()
        self.end()

    def begin(self) -> None:
        """Take note that the microphone is open; another device may be in use by now."""
        self.listening, self.hears_itself = True, True
        self.held = False
        """True while somebody holds the microphone."""
        self._peaks = Peaks(_LEAST_FLOOR)
        self._now = 0.0
        self._words = False
        self._loud_at = self._word_at = -REST_SECONDS
        self._spoke: list[int] | None = None
        """The peaks while the program spoke, until they are judged."""
        self._spoke_at = self._silent_at = -REST_SECONDS
        self._was_speaking = False
        self._suspect_at: float | None = None
        """When something was heard that may be the program's own voice."""
        self.own: list[tuple[float, float]] = []
        """The seconds in which the program was heard although it was thought that it is not."""

    def end(self) -> None:
        """Take note that it is closed."""
        self.listening = self._words = False

    def words(self, said: str) -> None:
        """Take note of the words so far; none where an utterance is over."""
        self._words = bool(said)
        self._word_at = self._now

    def may_speak(self, only_words: bool = False) -> bool:
        """Return whether the program may speak now; true where nobody listens.

        Where *only_words*, noise keeps it from nothing.
        """
        if not self.listening:
            return True
        if self._words or self.held:
            return False
        since = self._now - (self._word_at if only_words else max(self._word_at, self._loud_at))
        return since >= (REST_SECONDS if self.hears_itself else VOICE_SECONDS)

    def hears(self, chunk: SoundChunk) -> bool:
        """Return whether *chunk* is for the recogniser: not where it may be the program's own
        voice.
        """
        begun, self._now = self._now, self._now + chunk.seconds
        peaks = self._peaks.after(chunk)
        loud = any(peak >= VOICE * floor for peak, floor in peaks)
        still = all(peak <= STILL * floor for peak, floor in peaks)
        self._judge_suspect(still)
        was, self._was_speaking = self._was_speaking, self.speaking.is_set()
        if not self._was_speaking:
            self._silent_at = begun if was else self._silent_at
            self._loud_at = self._now if loud else self._loud_at
            self._measure()
            return True
        if not was:
            self._spoke_at, self._spoke = begun, []
        if self.hears_itself:
            self._spoke = [*(self._spoke or ()), *(peak for peak, _ in peaks)]
            return False
        if not still and not self.interrupted.is_set():
            self.interrupted.set()
            self._loud_at = self._now
            soon = self._now - self._spoke_at <= OWN_SECONDS
            self._suspect_at = self._now if soon else None
        return True

    def _judge_suspect(self, still: bool) -> None:
        """Decide whether what was heard right when the program began was its own voice: it died
        when that was broken off.
        """
        since = self._now - self._suspect_at if self._suspect_at is not None else 0.0
        if self._suspect_at is None or since < DIES_SECONDS:
            return
        if still:
            self.hears_itself = True
            self.own.append((self._spoke_at, self._suspect_at + DIES_SECONDS))
        if still or since > 2 * DIES_SECONDS:
            self._suspect_at = None

    def _measure(self) -> None:
        """Decide whether the microphone heard the program, once the place is heard without it."""
        if self._spoke and self._now - self._silent_at >= OWN_SECONDS:
            self.hears_itself = max(self._spoke) > STILL * self._peaks.floor
            self._spoke = None

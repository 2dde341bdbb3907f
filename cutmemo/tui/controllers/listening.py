"""Listens on a thread of its own and posts what it hears as messages."""

from __future__ import annotations

import logging
import threading
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from textual.message import Message

from cutmemo.asr import (
    Partial,
    Recogniser,
    Recognition,
    load_model,
    model_folder,
    phrases_for,
)
from cutmemo.audio.chunk import SoundChunk
from cutmemo.audio.microphone import microphone
from cutmemo.audio.turns import Turns
from cutmemo.errors import CutmemoError
from cutmemo.wording import explain_error
from cutmemo.wording import screens as words

_log = logging.getLogger(__name__)

PAUSE_SECONDS = 0.3
"""Nobody who has waited for the end of the read-back begins sooner."""
MAX_MUTED_INTERVALS = 20


class Words(Message):
    """The words so far."""

    def __init__(self, text: str) -> None:
        """Carry the *text*."""
        self.text = text
        super().__init__()


class Utterance(Message):
    """A finished utterance."""

    def __init__(self, heard: Recognition) -> None:
        """Carry what was *heard*."""
        self.heard = heard
        super().__init__()


class MicrophoneOpen(Message):
    """The microphone is open."""


class Ended(Message):
    """Listening is over, for the *reason* given, or because it was asked for."""

    def __init__(self, reason: str) -> None:
        """Carry the *reason*; empty where it was asked for."""
        self.reason = reason
        super().__init__()


class Listener:
    """One microphone at a time, heard on a thread."""

    def __init__(
        self, post: Callable[[Message], Any], model: str | None, attention: str = ""
    ) -> None:
        """Post messages through *post*; use the model folder *model*, or the usual one; where
        *attention* is given only what begins with it is posted.
        """
        self._post, self._model_name, self._attention = post, model, attention
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._loaded: tuple[Any, tuple[str, ...] | None] | None = None
        self._held = threading.Event()
        self._only_held = False
        """Whether the microphone was opened for one call that is held."""
        self._seconds = 0.0
        self._muted_intervals: deque[tuple[float, float]] = deque(maxlen=MAX_MUTED_INTERVALS)
        self.turns = Turns()
        """Who speaks; the microphone is muted while the program hears itself."""

    @property
    def talking(self) -> bool:
        """Return whether somebody holds the microphone for one call."""
        return self._held.is_set()

    def hold(self, on: bool) -> None:
        """Let all that is said be one call, whatever pauses are in it, until it is let go."""
        (self._held.set if on else self._held.clear)()
        self.turns.held = on

    @property
    def open(self) -> bool:
        """Return whether the thread still runs."""
        return self._thread is not None and self._thread.is_alive()

    def start(self, hold: bool = False) -> None:
        """Open the microphone, unless it is open; with *hold* for one call that is held."""
        if self.open:
            return
        self._only_held = hold
        self.hold(hold)
        self._stop = threading.Event()
        self._thread = threading.Thread(
            target=self.run, args=(self._stop,), name="listener", daemon=True
        )
        self._thread.start()

    def stop(self, wait_seconds: float = 0.0) -> None:
        """Close the microphone; wait for it if asked to."""
        self._stop.set()
        if self._thread is not None and wait_seconds:
            self._thread.join(wait_seconds)

    def run(self, stop: threading.Event) -> None:
        """Hear until *stop*; every ending becomes a message."""
        reason = ""
        try:
            if self._loaded is None:
                folder = model_folder(self._model_name)
                self._loaded = (load_model(folder), phrases_for(folder))
            recogniser = Recogniser(*self._loaded)
            addressed = recogniser.attention(self._attention, model_folder(self._model_name))
            for heard in recogniser.hear(self._sound(stop), stop.is_set, self._held.is_set):
                if isinstance(heard, Partial):
                    self.turns.words(heard.text)
                    self._post(Words(heard.text))
                else:
                    self.turns.words("")
                    taken = addressed.after(self._marked(heard, stop.is_set()))
                    self._post(Words("") if taken is None else Utterance(taken))
        except CutmemoError as error:
            reason = explain_error(error)
            _log.warning("listening ended: %s", reason, exc_info=error.__cause__ is not None)
        except Exception as error:  # the end of a worker: whatever it was is shown
            _log.exception("listening failed")
            reason = words.listening_failed(error)
        self.hold(False)
        self.turns.end()
        self._post(Ended(reason))

    def _marked(self, heard: Recognition, stopped: bool) -> Recognition:
        """Return *heard*, marked where it touches a time at which nobody listened: words of it may
        be gone.
        """
        begun, ended = heard.start_seconds - PAUSE_SECONDS, heard.end_seconds + PAUSE_SECONDS
        too_soon = self._only_held and heard.start_seconds < PAUSE_SECONDS
        doubtful = [*self._muted_intervals, *self.turns.own]
        unheard = (
            too_soon
            or any(start < ended and begun < end for start, end in doubtful)
            or (stopped and ended > self._seconds)
        )
        return replace(heard, partly_muted=heard.partly_muted or unheard)

    def _sound(self, stop: threading.Event) -> Iterator[SoundChunk]:
        """Yield what the microphone hears; silence, and a note of when, while it hears the program
        itself.
        """
        first, self._seconds = True, 0.0
        self._muted_intervals.clear()
        self.turns.begin()
        self.turns.held = self.talking
        for chunk in microphone(stop.is_set):
            if first:
                self._post(MicrophoneOpen())
                first = False
            before = self._seconds
            self._seconds += chunk.seconds
            let_go = self._only_held and not self.talking
            if self.turns.hears(chunk):
                yield chunk
                if let_go:
                    return
                continue
            begun = (
                self._muted_intervals.pop()[0]
                if self._muted_intervals and self._muted_intervals[-1][1] == before
                else before
            )
            self._muted_intervals.append((begun, self._seconds))
            yield SoundChunk(bytes(len(chunk.pcm)), muted=True)

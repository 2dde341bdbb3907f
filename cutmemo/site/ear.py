"""Hears the frames of one connection, in order, on a thread of its own.

What came of an utterance is handed on with the last frame that belongs to it. Nothing is kept of
what was heard but not handed on: the device still has it, and sends it again.
"""

from __future__ import annotations

import logging
import queue
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Protocol

from cutmemo.asr import Partial, Recognition
from cutmemo.asr.decoder import MAX_UTTERANCE_SECONDS
from cutmemo.audio.chunk import RATE, SoundChunk
from cutmemo.domain.cut import Cut
from cutmemo.errors import BadMemo, NotACall, Refused
from cutmemo.language import read
from cutmemo.memo.decide.halves import REST_WITHIN_SECONDS
from cutmemo.memo.receipts import NOTHING_TAKEN, AlreadyTaken, Receipt
from cutmemo.site.protocol import AT_SAW, HELD, LAST, MUTED, Frame, stream_name

_log = logging.getLogger(__name__)

GAP_SECONDS = 0.25
"""Where the clock runs on so much further than the sound, nobody listened in between."""
MAX_FILLED_SECONDS = 1.0
"""So much silence at most stands in for such a time."""
NEAR_SECONDS = 0.3
"""Words this near to a time at which nobody listened may be cut short."""
CLIPPED_SECONDS = 0.06
"""Speech that ends this close to where the button was let go goes on behind it."""
TOLD_EVERY = 12
"""Frames, about a second, after which the page is told how far it was heard."""


class Hears(Protocol):
    """A recogniser."""

    def hear(
        self,
        sound: Iterable[SoundChunk],
        stop: Callable[[], bool] = ...,
        held: Callable[[], bool] = ...,
        over: Callable[[], None] = ...,
    ) -> Iterator[Partial | Recognition]:
        """Yield partial words and utterances."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """An utterance, or silence, and the frames that it takes up."""

    stream: str
    before: int
    upto: int
    clock: float
    """When it ended, by the clock of the device."""
    recognition: Recognition | None = None
    at_saw: bool = False
    broke: bool = False


@dataclass(frozen=True, slots=True)
class Left:
    """How far a stream was taken before this connection, and whether sound broke off there."""

    upto: int = NOTHING_TAKEN
    broke: bool = False


class Listens(Protocol):
    """Whom an ear reports to. All is called on the ear's thread."""

    def words(self, stream: str, text: str) -> None:
        """Take the words so far."""

    def heard(self, stream: str, upto: int) -> None:
        """Note that all frames up to *upto* were heard, and nothing of them is safe yet."""

    def spoken(self, spoken: Spoken) -> None:
        """Take an utterance. Raises :class:`AlreadyTaken`, :class:`BadMemo`."""

    def lost(self, stream: str, receipt: Receipt) -> None:
        """Send for the frames behind those of *receipt*, which another connection took."""

    def failed(self, error: Exception) -> None:
        """End the connection: nothing more can be heard on it."""


class _Closed(Exception):
    """The connection is gone."""


@dataclass(frozen=True, slots=True)
class _End:
    stream: int
    epoch: int


@dataclass(frozen=True, slots=True)
class _Sent:
    frame: Frame
    epoch: int
    left: Left


_Item = _Sent | _End | None


class Ear:
    """The ear of one connection."""

    def __init__(self, make: Callable[[], Hears], listens: Listens) -> None:
        """Hear with what *make* makes, and report to *listens*."""
        self._make, self._listens = make, listens
        self._queue: queue.SimpleQueue[_Item] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._closed = threading.Event()
        self._pushed_back: _Item = None
        self._epochs: dict[int, int] = {}
        """How often each stream was sent again."""
        self._handed_on: dict[int, int] = {}
        """The last frame of each stream that was handed on."""
        self._stale: set[tuple[int, int]] = set()
        """What of a stream is left out: it is sent again."""

    @property
    def waiting(self) -> int:
        """Return how many frames wait to be heard."""
        return self._queue.qsize()

    def put(self, frame: Frame, left: Left) -> None:
        """Hear *frame*, the next of its stream; *left* is how far that was taken before."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="ear", daemon=True)
            self._thread.start()
        self._queue.put(_Sent(frame, self._epochs.get(frame.stream, 0), left))

    def end(self, stream: int) -> None:
        """No more frames of *stream* come."""
        if self._thread is not None:
            self._queue.put(_End(stream, self._epochs.get(stream, 0)))

    def again(self, stream: int) -> None:
        """What is put of *stream* from now on was sent again."""
        self._epochs[stream] = self._epochs.get(stream, 0) + 1

    def close(self) -> None:
        """Stop; what was not handed on is forgotten."""
        self._closed.set()
        self._queue.put(None)

    # --- on the thread ----------------------------------------------------------------------------

    def _next(self) -> _Sent | _End:
        """Return the next item. Raises :class:`_Closed`."""
        item, self._pushed_back = self._pushed_back, None
        while True:
            item = item if item is not None else self._queue.get()
            if item is None or self._closed.is_set():
                raise _Closed
            stream = item.frame.stream if isinstance(item, _Sent) else item.stream
            if (stream, item.epoch) not in self._stale:
                return item
            item = None

    def _run(self) -> None:
        try:
            while True:
                item = self._next()
                if isinstance(item, _Sent):
                    self._hear(item)
        except _Closed:
            pass
        except Exception as error:  # the end of a worker: whatever it was is told
            if not isinstance(error, BadMemo):
                _log.exception("hearing failed")
            self._listens.failed(error)

    def _hear(self, first: _Sent) -> None:
        """Hear one press of the button, or all from opening the microphone to closing it."""
        span = _Span(first, self._handed_on, self._next, self._push_back, self._listens)
        held = bool(first.frame.flags & HELD)
        try:
            for heard in self._make().hear(span.sound(), held=lambda: held, over=span.over):
                if isinstance(heard, Partial):
                    self._listens.words(span.stream, heard.text)
                else:
                    span.spoken(heard)
        except AlreadyTaken as error:
            self._stale.add((first.frame.stream, first.epoch))
            self._handed_on[first.frame.stream] = error.receipt.upto
            self._listens.lost(span.stream, error.receipt)

    def _push_back(self, item: _Sent | _End) -> None:
        self._pushed_back = item


class _Span:
    """The frames that are heard in one go, and what was handed on of them."""

    def __init__(
        self,
        first: _Sent,
        handed_on: dict[int, int],
        following: Callable[[], _Sent | _End],
        push_back: Callable[[_Sent | _End], None],
        listens: Listens,
    ) -> None:
        self._first, self._following, self._push_back = first, following, push_back
        self._listens = listens
        self._stream, self.stream = first.frame.stream, stream_name(first.frame.stream)
        self._held = bool(first.frame.flags & HELD)
        self._handed_on = handed_on
        self._resumed = first.left if self._stream not in handed_on else Left()
        handed_on.setdefault(self._stream, first.left.upto)
        self._last = first.frame
        """The last frame that was heard."""
        self._seconds = self._since = 0.0
        """How much was heard, and how much of it since the last utterance ended."""
        self._deaf: list[tuple[float, float]] = []
        """When nobody listened."""
        self._ended = False

    def sound(self) -> Iterator[SoundChunk]:
        """Yield the sound of frame after frame until the last one."""
        item: _Sent | _End = self._first
        hole = self._first.frame.number > self._handed_on[self._stream] + 1
        broke = self._resumed.broke or hole
        while isinstance(item, _Sent) and item.frame.stream == self._stream:
            frame = item.frame
            if bool(frame.flags & HELD) != self._held:
                break
            yield from self._gap(frame)
            self._last = frame
            yield from self._chunk(frame, broke)
            broke = False
            if frame.number % TOLD_EVERY == 0:
                self._listens.heard(self.stream, frame.number)
            if frame.flags & LAST:
                self._ended = True
                return
            item = self._following()
        if not isinstance(item, _End) or item.stream != self._stream:
            self._push_back(item)
        yield from self._silence(NEAR_SECONDS)  # it broke off: nobody knows how it would have ended

    def _chunk(self, frame: Frame, broke: bool) -> Iterator[SoundChunk]:
        pcm, muted = frame.pcm, bool(frame.flags & MUTED)
        if not pcm:
            return
        begun = self._seconds
        self._seconds += frame.seconds
        self._since += frame.seconds
        if muted:
            pcm = bytes(len(pcm))
            self._deaf.append((begun, self._seconds))
        yield SoundChunk(pcm, cut_off=broke, muted=muted)

    def _gap(self, frame: Frame) -> Iterator[SoundChunk]:
        """Yield silence where the clock ran on and no sound came."""
        before = self._last
        if frame is before:
            return
        late = (frame.clock - before.clock) / 1000 - before.seconds
        if late > GAP_SECONDS:
            yield from self._silence(min(late, MAX_FILLED_SECONDS))

    def _silence(self, seconds: float) -> Iterator[SoundChunk]:
        begun = self._seconds
        self._seconds += seconds
        self._since += seconds
        self._deaf.append((begun, self._seconds))
        yield SoundChunk(bytes(2 * int(RATE * seconds)), cut_off=True, muted=True)

    def spoken(self, heard: Recognition) -> None:
        """Hand on an utterance."""
        self._hand_on(self._marked(heard))

    def over(self) -> None:
        """Hand on that nothing was said, where nothing was."""
        if self._last.number > self._handed_on[self._stream]:
            self._hand_on(None)
        self._since = 0.0
        self._deaf = [each for each in self._deaf if each[1] > self._seconds - NEAR_SECONDS]

    def _hand_on(self, heard: Recognition | None) -> None:
        frame = self._last
        broke = self._since > MAX_UTTERANCE_SECONDS and not self._ended
        self._listens.spoken(
            Spoken(
                self.stream,
                self._handed_on[self._stream],
                frame.number,
                frame.clock + 1000 * frame.seconds,
                heard,
                bool(frame.flags & AT_SAW),
                broke,
            )
        )
        self._handed_on[self._stream] = frame.number
        self._listens.words(self.stream, "")

    def _marked(self, heard: Recognition) -> Recognition:
        """Return *heard*, marked where words of it may be gone, or where it may be the rest of
        what another ear heard.
        """
        near = 0.0 if self._held else NEAR_SECONDS
        begun, ended = heard.start_seconds - NEAR_SECONDS, heard.end_seconds + NEAR_SECONDS
        unheard = any(start < ended and begun < end for start, end in self._deaf)
        clipped = CLIPPED_SECONDS if self._held else near
        cut = self._ended and heard.end_seconds + clipped > self._seconds
        if unheard or cut:
            heard = replace(heard, partly_muted=True)
        alone = heard.follows is None
        begins = not self._held and heard.start_seconds < REST_WITHIN_SECONDS
        resumed = begins and self._resumed.upto >= 0
        if alone and (resumed or _is_rest(heard.text)):
            # Without its sound the clock tells whether it follows on the call before it.
            heard = replace(heard, pcm=b"")
        return heard


def _is_rest(text: str) -> bool:
    """Return whether nobody begins a call so."""
    try:
        intents: list[Any] = [each.intent for each in read(text, by_voice=True)]
    except (NotACall, Refused):
        return bool(text)
    return text.startswith("and ") or any(
        isinstance(each, Cut) and each.length.inches < 1 for each in intents
    )

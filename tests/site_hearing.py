"""What comes of a stream of the bench, through the program's own ears, mouth and memo, by the clock of its sound."""

from __future__ import annotations

import math
import tempfile
import threading
from array import array
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
from desk import Desk
from site_sound import Stream

from cutmemo.asr import Recognition
from cutmemo.audio import player
from cutmemo.audio.chunk import CHUNK_SAMPLES, RATE, SoundChunk
from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError
from cutmemo.language import Reading, read
from cutmemo.memo import open_store
from cutmemo.memo.rows import Row
from cutmemo.tui.controllers.listening import Listener, Utterance
from cutmemo.tui.controllers.readback import ReadBack

TORN = {
    DoubtKind.HEARD_RIGHT_AFTER,
    DoubtKind.HEARD_RIGHT_BEFORE,
    DoubtKind.LOUD_RIGHT_AFTER,
    DoubtKind.PERHAPS_A_REST,
    DoubtKind.PARTLY_MUTED,
    DoubtKind.AFTER_UNINTELLIGIBLE,
}
BEGINS = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
ECHO_SECONDS, ECHO = 0.15, 0.3
"""When and how loud the program's voice comes back into the microphone, beside how it is played."""


@dataclass(frozen=True)
class Outcome:
    """What came of a stream."""

    what: str
    """``right``, ``named`` (a question that names what was said), ``asked`` (one that does not),
    ``refused``, ``missed``, or ``wrong``: another cut stands in silence.
    """
    needed: bool
    """Where it asks: whether the words asked by themselves, or something else was heard first."""
    deserved: bool
    """Where it asks: whether the words asked by themselves, and nothing else is named."""
    torn: bool
    """Whether a row asks because of what was said before or behind it."""
    rows: tuple[str, ...]
    heard: tuple[str, ...]
    delays: tuple[float, ...]
    """From the last sound of a call to when it was taken, in seconds of sound."""
    seconds: float

    @property
    def good(self) -> bool:
        """Whether it is right, or a question that names it."""
        return self.what in ("right", "named")


class _Site:
    """A person at work with the program: a microphone that plays a stream, and a clock that follows it."""

    def __init__(self, stream: Stream, desk: Desk, read_back: bool, echo: bool) -> None:
        self._stream, self._desk = stream, desk
        self.now = 0.0
        self.taken_at: list[float] = []
        self.heard: list[Recognition] = []
        self.refused: list[str] = []
        self._posted: list[Any] = []
        self._speaks_until = 0.0
        self._echo = np.zeros(len(stream.samples) + 60 * RATE, np.int64)
        self._has_echo = echo
        self._began_playing = False
        self.ears = Listener(self._posted.append, None)
        self.mouth = ReadBack(
            self.ears.turns,
            lambda work: work(),
            self.refused.append,
            lambda row_id: desk.state.rows.get(row_id),
            lambda: bool(desk.state.going_on(self.clock())),
        )
        self.mouth.on = read_back
        self._speaking = self.ears.turns.speaking

    def clock(self) -> datetime:
        return BEGINS + timedelta(seconds=self.now)

    def play(self, samples: array[int], _broken_off: object = None) -> bool:
        """Play without waiting: from here on, for as long as it lasts, the program speaks."""
        self._speaks_until = self.now + len(samples) / RATE
        if self._has_echo:
            at = int((self.now + ECHO_SECONDS) * RATE)
            room = self._echo[at : at + len(samples)]
            room += (np.array(samples[: len(room)], np.int64) * ECHO).astype(np.int64)
        return True

    def microphone(self, _stop: object) -> Iterator[SoundChunk]:
        sound = self._stream.samples
        for at in range(0, len(sound), CHUNK_SAMPLES):
            self._take()
            self.mouth.look()
            turns = self.ears.turns
            if turns.interrupted.is_set():
                self._silence()
            if self.now < self._speaks_until:
                turns.speaking.set()
                self.mouth._playing.set()
            else:
                turns.speaking.clear()
                self.mouth._playing.clear()
            mixed = (
                sound[at : at + CHUNK_SAMPLES]
                + self._echo[at : at + CHUNK_SAMPLES][: len(sound) - at]
            )
            self.now += len(mixed) / RATE
            yield SoundChunk(mixed.clip(-32768, 32767).astype("<i2").tobytes())
        self._take()

    def _silence(self) -> None:
        """The voice is broken off."""
        self._speaks_until = self.now
        self._echo[int((self.now + ECHO_SECONDS) * RATE) :] = 0
        self.ears.turns.interrupted.clear()

    def _take(self) -> None:
        for message in self._posted:
            if type(message).__name__ == "MicrophoneOpen":
                self.mouth.listening()
            if not isinstance(message, Utterance):
                continue
            self.heard.append(message.heard)
            self.taken_at.append(self.now)
            before = self._desk.state.position
            try:
                told = self._desk.hear(message.heard)
            except CutmemoError as error:
                self.refused.append(error.code)
                self.mouth.refusal()
                continue
            if told is not None:
                self.mouth.outcome(told)
            elif self._desk.state.position == before and self._desk.ignored(message.heard):
                self.mouth.refusal()
        self._posted.clear()


def hear(stream: Stream, loaded: Any, read_back: bool = True, echo: bool = False) -> Outcome:
    """Return what comes of *stream* with the model *loaded*; with *echo* the microphone hears the loudspeaker."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(Path(folder) / "m.cutmemo")
        desk = Desk(store, "ladder", "ann")
        site = _Site(stream, desk, read_back, echo)
        desk.clock = site.clock
        site.ears._loaded = (loaded, None)
        with (
            mock.patch("cutmemo.tui.controllers.listening.microphone", site.microphone),
            mock.patch.object(player, "play", site.play),
        ):
            site.ears.run(threading.Event())
        site._take()
        rows = [*desk.state.rows.values()]
        store.close()
    return _judged(stream, rows, site)


def _meant(text: str) -> tuple[Reading, ...]:
    return tuple(each for each in read(text, by_voice=True) if isinstance(each.intent, Cut))


def _asks(readings: tuple[Reading, ...]) -> bool:
    intent = readings[0].intent
    checked = isinstance(intent, Cut) and check(intent, (), Settings()).questions
    return len(readings) > 1 or bool(readings[0].doubts) or bool(checked)


def _as_called(cut: Cut) -> Cut:
    """Return *cut* without the points to which its length runs: who calls a bevel and no point is asked for one."""
    ends = cut.ends and tuple(replace(end, point=None) for end in cut.ends)
    return replace(cut, ends=ends)


def _judged(stream: Stream, rows: list[Row], site: _Site) -> Outcome:
    meant = [_meant(text) for text in stream.calls]
    cuts = [{each.intent for each in readings} for readings in meant]
    everything = set().union(*cuts) if cuts else set()
    standing = [row for row in rows if row.state == "open"]
    asking = [row for row in rows if row.state == "doubtful"]
    named = {cut for row in asking for cut in (row.cut, *row.readings)}
    named |= {_as_called(cut) for cut in named}
    wrong = any(row.cut not in everything for row in standing)
    wrong = wrong or any(
        sum(row.cut in each for row in standing) > cuts.count(each) for each in cuts
    )
    right = all(any(row.cut in each for row in standing) for each in cuts)
    if wrong:
        what = "wrong"
    elif right and cuts and not asking:
        what = "right"
    elif cuts and all(each & named or any(row.cut in each for row in standing) for each in cuts):
        what = "named"
    elif asking:
        what = "asked"
    elif not cuts:
        what = "refused" if site.refused else "right"
    else:
        what = "refused" if site.refused else "missed"
    needed = any(_asks(readings) for readings in meant) or any(
        row.cut not in everything for row in asking
    )
    deserved = any(_asks(readings) for readings in meant) and {
        _as_called(cut) for row in asking for cut in (row.cut, *row.readings)
    } <= {_as_called(cut) for cut in everything}
    torn = any(each.kind in TORN for row in asking for each in row.doubts)
    ends = stream.said_until[: len(stream.calls)]
    delays = [min((t - end for t in site.taken_at if t >= end), default=math.inf) for end in ends]
    told = tuple(
        f"{row.state} {', '.join(map(_short, row.readings or (row.cut,)))}" for row in rows
    )
    heard = tuple(
        f"{each.text}{f' = {each.joined.text}' if each.joined else ''}" for each in site.heard
    )
    return Outcome(
        what, needed, deserved, torn, told, heard, tuple(delays), len(stream.samples) / RATE
    )


def _short(cut: Cut) -> str:
    return f"{cut.count} x {cut.length.inches}"


def word_errors(said: str, heard: str) -> tuple[int, int]:
    """Return how many words of *said* were heard wrongly, left out or put in, and how many it has (Levenshtein 1966)."""
    a, b = said.split(), heard.split()
    row = list(range(len(b) + 1))
    for i, word in enumerate(a, start=1):
        last, row[0] = row[0], i
        for j, other in enumerate(b, start=1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (word != other))
    return row[-1], len(a)

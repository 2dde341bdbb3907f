"""Reads calls back from short clips; tones mark a question, its answer, a refusal, and where
listening begins and ends.
"""

from __future__ import annotations

import math
import wave
from array import array
from collections.abc import Callable, Iterable
from pathlib import Path

from cutmemo.audio.chunk import RATE
from cutmemo.audio.microphone import sounddevice
from cutmemo.bundle import bundled
from cutmemo.errors import NoMicrophone, SoundTrouble

_GAP_SECONDS = 0.03
_SLICE = RATE // 20
"""Samples played at a time: 50 ms, after which it may be broken off."""
_TONE_LEVEL = 6_000
QUESTION_HERTZ = (520.0, 780.0)
ANSWER_HERTZ = (780.0, 520.0)
REFUSAL_HERTZ = (190.0,)
LISTENING_HERTZ = (900.0, 0.0, 900.0)
MUTED_HERTZ = (660.0, 440.0, 290.0)


def tone(hertz: Iterable[float], seconds: float = 0.14) -> array[int]:
    """Return one tone after the other, each *seconds* long, faded so that nothing clicks."""
    out = array("h")
    length = int(RATE * seconds)
    for pitch in hertz:
        for k in range(length):
            fade = min(1.0, k / 160, (length - k) / 160)
            out.append(int(_TONE_LEVEL * fade * math.sin(2 * math.pi * pitch * k / RATE)))
    return out


def spelled(words: Iterable[str], folder: Path | None = None) -> array[int]:
    """Return the clips of *words* one after the other; a word without a clip is left out."""
    out = array("h")
    gap = array("h", bytes(2 * int(RATE * _GAP_SECONDS)))
    for word in words:
        clip = (folder or bundled("clips")) / f"{word}.wav"
        if clip.is_file():
            with wave.open(str(clip), "rb") as file:
                out += array("h", file.readframes(file.getnframes()))
            out += gap
    return out


def question(words: Iterable[str]) -> array[int]:
    """Return *words* after a rising tone."""
    return tone(QUESTION_HERTZ) + spelled(words)


def answer(words: Iterable[str]) -> array[int]:
    """Return *words* after a falling tone, so that nobody takes an answer for a fresh call."""
    return tone(ANSWER_HERTZ) + spelled(words)


def refusal() -> array[int]:
    """Return a low tone."""
    return tone(REFUSAL_HERTZ, 0.3)


def listening() -> array[int]:
    """Return two short high tones: speak now."""
    return tone(LISTENING_HERTZ, 0.07)


def muted() -> array[int]:
    """Return three falling tones: what is said from here on is not heard."""
    return tone(MUTED_HERTZ, 0.16)


def play(samples: array[int], broken_off: Callable[[], bool] = lambda: False) -> bool:
    """Play *samples*; return whether to the end, or until *broken_off* became true.

    Raises :class:`NoMicrophone` where nothing can be played.
    """
    library = sounddevice()
    try:
        with library.RawOutputStream(samplerate=RATE, channels=1, dtype="int16") as stream:
            for at in range(0, len(samples), _SLICE):
                if broken_off():
                    stream.abort()
                    return False
                stream.write(samples[at : at + _SLICE].tobytes())
    except (library.PortAudioError, ValueError) as error:
        raise NoMicrophone(SoundTrouble.NOT_PLAYED, str(error)) from error
    return True

"""Makes the read-back clips and the demo recordings: python make_clips.py KOKORO_FOLDER ASSETS_FOLDER

Read-back: one word a clip, voice af_heart of Kokoro-82M (Apache-2.0). Demo: calls of a
porch job of our own, voice am_michael.
"""

from __future__ import annotations

import sys
import wave
from pathlib import Path

import numpy as np
from kokoro import Kokoro, phonemes

WORDS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety and at a half quarter quarters eighth "
    "eighths sixteenth sixteenths second seconds fourth fourths strong heavy full fat plus proud light shy scant weak "
    "minus short hair skosh tad over under or"
).split()

PORCH = (
    "ninety two and five eighths two by six king stud for wall three",
    "four at fourteen and five eighths two by six header",
    "one oh one and a half",
    "one oh two and an eighth two by four",
    "six two and a quarter",
    "two at sixty one and three sixteenths common plumb cut seven twelve long point",
    "no make that sixty one and five sixteenths",
    "thirty six and a quarter strong",
    "eight foot two and three sixteenths two by eight joist",
    "twelve at twenty two and a half blocks",
)


def write(path: Path, sound: np.ndarray) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes(sound.astype("<i2").tobytes())


def trimmed(sound: np.ndarray) -> np.ndarray:
    loud = np.flatnonzero(np.abs(sound.astype(int)) > 250)
    return sound[max(loud[0] - 320, 0) : loud[-1] + 480]


def main() -> None:
    voices, assets = Kokoro(Path(sys.argv[1])), Path(sys.argv[2])
    for folder in ("clips", "demo"):
        (assets / folder).mkdir(parents=True, exist_ok=True)
    for word in WORDS:
        sound = voices.say(phonemes(word, "a"), {"af_heart": 1.0}, 1.1)
        write(assets / "clips" / f"{word}.wav", trimmed(sound))
    for number, text in enumerate(PORCH, start=1):
        sound = voices.say(phonemes(text, "a"), {"am_michael": 1.0}, 0.95)
        noise = np.random.default_rng(number).normal(0, 12, len(sound) + 6400)
        noise[3200 : 3200 + len(sound)] += sound
        write(assets / "demo" / f"{number:02}-porch.wav", noise)


if __name__ == "__main__":
    main()

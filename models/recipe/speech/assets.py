"""Makes the read-back clips and the demo recordings with Kokoro-82M (Apache-2.0).

Read-back: one word a clip, voice af_heart. Demo: calls of a porch job of our own, voice am_puck.
"""

from __future__ import annotations

import argparse
import wave
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from recipe.speech.kokoro import Kokoro, phonemes
from recipe.speech.shards import RATE, Sound

WORDS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty "
    "ninety and at a half quarter quarters eighth eighths sixteenth sixteenths second seconds "
    "fourth fourths foot feet strong heavy full fat plus proud light shy scant weak minus short "
    "hair skosh tad over under or"
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
"""The calls of assets/demo, in order."""
LOUD = 250
"""A sample louder than this belongs to the word."""
FLOOR = 12
"""The noise under the demo recordings (standard deviation)."""


def write(path: Path, sound: npt.NDArray[np.generic]) -> None:
    """Write *sound* as 16-bit WAV."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(sound.astype("<i2").tobytes())


def trimmed(sound: Sound) -> Sound:
    """Return *sound* from 20 ms before its first loud sample to 30 ms after its last."""
    loud = np.flatnonzero(np.abs(sound.astype(int)) > LOUD)
    return sound[max(loud[0] - 320, 0) : loud[-1] + 480]


def _say(voices: Kokoro, text: str, voice: str, speed: float) -> Sound:
    sound = voices.say(phonemes(text, "a"), {voice: 1.0}, speed)
    if sound is None:
        raise ValueError(f"too long for one clip: {text}")
    return sound


def main(arguments: Sequence[str] | None = None) -> None:
    """Write clips/ and demo/ of the folder assets."""
    options = argparse.ArgumentParser(prog="recipe assets", description=main.__doc__)
    options.add_argument("kokoro", type=Path, help="its folder")
    options.add_argument("assets", type=Path)
    given = options.parse_args(arguments)
    voices = Kokoro(given.kokoro)
    for folder in ("clips", "demo"):
        (given.assets / folder).mkdir(parents=True, exist_ok=True)
    for word in WORDS:
        path = given.assets / "clips" / f"{word}.wav"
        write(path, trimmed(_say(voices, word, "af_heart", 1.1)))
    for number, text in enumerate(PORCH, start=1):
        sound = _say(voices, text, "am_puck", 0.95)
        noise = np.random.default_rng(number).normal(0, FLOOR, len(sound) + 6400)
        noise[3200 : 3200 + len(sound)] += sound
        write(given.assets / "demo" / f"{number:02}-porch.wav", noise)

"""Speech of small synthesisers that Debian packages.

festival's ked (festvox-kdlpc16k), pico2wave's two English voices (libttspico-utils), RHVoice's alan
(rhvoice-english), and espeak-ng in many variants. data.toml names their licences. Voices to measure
with (slt, awb, rms, bdl, clb, kal, piper's joe) are never used.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import numpy.typing as npt

from recipe.speech.script import sentences_of, text_for
from recipe.speech.shards import RATE, Spoken, at_peak, hours, write_all
from recipe.words.corpus import vocabulary

_ACCENTS = ("en-us", "en-us", "en-gb", "en-gb-scotland", "en-gb-x-rp")
_VARIANTS = (
    "m1 m2 m3 m4 m5 m6 m7 m8 f1 f2 f3 f4 f5 max michael Michael adam Alex Annie belinda edward "
    "linda robert victor"
).split()
Command = tuple[str, list[str]]
"""(The voice, a command that speaks a text to a file.)"""


def _alan(r: random.Random, _text: str, out: Path) -> Command:
    rate, pitch = str(r.randrange(75, 160)), str(r.randrange(75, 140))
    return "rhvoice_alan", ["RHVoice-test", "-p", "alan", "-r", rate, "-t", pitch, "-o", str(out)]


def _pico(r: random.Random, text: str, out: Path) -> Command:
    language = r.choice(["en-US", "en-US", "en-GB"])
    speed, pitch = r.randrange(70, 150), r.randrange(70, 140)
    said = f'<speed level="{speed}"><pitch level="{pitch}">{text}</pitch></speed>'
    return f"pico_{language}", ["pico2wave", "-l", language, "-w", str(out), said]


def _espeak(r: random.Random, text: str, out: Path) -> Command:
    voice = r.choice([f"{accent}+{variant}" for accent in _ACCENTS for variant in _VARIANTS])
    rate, pitch = str(r.randrange(120, 220)), str(r.randrange(20, 75))
    command = ["espeak-ng", "-v", voice, "-s", rate, "-p", pitch, "-w", str(out), text]
    return f"espeak_{voice}", command


def _festival(r: random.Random, text: str, out: Path) -> Command:
    stretch = f"(Parameter.set 'Duration_Stretch {r.uniform(0.75, 1.3):.2f})"
    speech = f'(utt.synth (Utterance Text "{text}"))'
    lisp = f'(begin (voice_ked_diphone) {stretch} (utt.save.wave {speech} "{out}" \'riff))'
    return "festival_ked", ["festival", "-b", lisp]


ENGINES: dict[str, tuple[float, Callable[[random.Random, str, Path], Command]]] = {
    "pico": (0.25, _pico),
    "espeak": (0.35, _espeak),
    "festival": (0.25, _festival),
    "alan": (0.15, _alan),
}
"""Each synthesiser's share of the clips, and its command."""


def resampled(sound: npt.NDArray[np.floating], rate: int) -> npt.NDArray[np.floating]:
    """Return *sound* at 16 kHz; only whole blocks of 441 samples are kept of 22,050 Hz."""
    if rate == RATE:
        return sound
    samples = len(sound) // 441 * 441 if rate == 22050 else len(sound)
    size = round(samples * RATE / rate)
    spectrum = np.fft.rfft(sound[:samples])
    full = np.zeros(size // 2 + 1, complex)
    full[: min(len(full), len(spectrum))] = spectrum[: len(full)]
    return np.fft.irfft(full, size) * size / samples


def spoken(seed: int, text: str, engine: str = "") -> Spoken | None:
    """Return *text* said by *engine*, or by one drawn by its share; ``None`` if it fails."""
    import soundfile

    r = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "clip.wav"
        chosen = engine or r.choices(list(ENGINES), [share for share, _ in ENGINES.values()])[0]
        voice, command = ENGINES[chosen][1](r, text, out)
        subprocess.run(command, input=text, text=True, capture_output=True, check=False)
        if not out.exists():
            return None
        sound, rate = soundfile.read(out, dtype="float32")
    return Spoken(at_peak(resampled(sound, rate)), text, voice)


def main(arguments: Sequence[str] | None = None) -> None:
    """Speak sampled texts with small synthesisers, as shards."""
    options = argparse.ArgumentParser(prog="recipe small-voices", description=main.__doc__)
    options.add_argument("out", type=Path)
    options.add_argument("--clips", type=int, default=1500)
    options.add_argument("--seed", type=int, default=5)
    options.add_argument("--read", type=Path, help="a pack whose sentences are said too")
    options.add_argument("--only", choices=ENGINES, default="", help="speak with this one alone")
    given = options.parse_args(arguments)
    r, words = random.Random(given.seed), vocabulary()
    sentences = sentences_of(given.read) if given.read else []
    texts = [text_for(r, words, sentences) for _ in range(given.clips)]
    seeds = [given.seed * 1_000_000 + k for k in range(given.clips)]
    with ThreadPoolExecutor(2) as pool:
        made = pool.map(lambda seed, text: spoken(seed, text, given.only), seeds, texts)
        clips = [clip for clip in made if clip is not None]
    write_all(given.out, f"light_{given.seed}", clips)
    print(f"{len(clips)} clips, {hours(clips):.2f} h")

"""Makes the bench of the repository, tests/voice/bench: speech that no net was trained on.

People: the held-out speakers of AN4 (numbers, dates, spelled names), of LibriSpeech (sentences) and
of Speech Commands (single figures, three of one person joined). Voices: Kokoro's am_puck, bm_lewis
and af_bella and flite's slt, awb and rms say the calls below. Each clip comes with the times at
which its words end, found by the shipped net given the words, so that a pause can be put between
any two of them.
"""

from __future__ import annotations

import argparse
import csv
import json
import random
import subprocess
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from cutmemo.domain.cut import Cut
from cutmemo.errors import CutmemoError
from cutmemo.language import read
from recipe.speech.concatenate import trimmed, words_of
from recipe.speech.kokoro import Kokoro, phonemes
from recipe.speech.shards import RATE, Sound, at_peak
from recipe.training.held_out import is_held_out

CALLS = (
    "ninety two and five eighths two by six king stud",
    "four at fourteen and five eighths two by six header",
    "one oh one and a half",
    "two oh eight and five eighths",
    "sixteen blocks at two hundred eighty two and thirteen sixteenths",
    "two hundred eighty two and seven sixteenths",
    "one hundred eight and a half",
    "twelve foot six",
    "nineteen feet six and nine sixteenths",
    "eight at thirty eight and five eighths",
    "one twenty three and three sixteenths",
    "eight foot two and three eighths",
    "twelve at twenty two and a half blocks",
    "thirty six and a quarter strong",
    "two at sixty one and three sixteenths plumb cut",
    "seventy one and three quarters minus a sixteenth",
    "two by six ninety four and a half",
    "six two and a quarter",
    "one forty four and eleven sixteenths",
    "five at one hundred and twelve and three eighths joist",
    "three at seven foot eight and a half",
    "fifty two and fifteen sixteenths",
    "eleven and seven eighths cripples",
    "two hundred and six",
    "four one two and a half",
    "ninety three and an eighth",
    "sixteen at ninety four and a half two by four studs",
    "thirty four and three quarters sill",
    "twenty four at fourteen and a half two by ten blocks",
    "one seventy and seven eighths two by twelve",
    "nine foot three quarters",
    "eighty eight and five eighths jack stud for wall two",
    "sixty one and three sixteenths light",
    "a pair at forty nine and a half",
    "two twelve and one eighth two by ten joist",
    "ten foot four and a half two by eight rafter",
    "forty seven and three thirty seconds",
    "six at thirty and one quarter",
    "one hundred ninety two",
    "seven at sixty six and nine sixteenths two by four",
)
KOKORO_VOICES = ("am_puck", "bm_lewis", "af_bella")
FLITE_VOICES = ("slt", "awb", "rms")
MAX_KILOBYTES = 6_000
TALK_SECONDS = 10.0
"""No longer sentence is taken."""


@dataclass(frozen=True)
class Clip:
    """Somebody saying *text*; *ends* are the seconds at which its words end."""

    sound: Sound
    speaker: str
    text: str
    kind: str
    """``call``; ``joined``: single figures put together; ``numbers`` and ``talk``: no call."""
    source: str
    ends: tuple[float, ...] = ()


def is_call(text: str) -> bool:
    """Return whether *text*, spoken, is a cut."""
    try:
        return any(isinstance(each.intent, Cut) for each in read(text, by_voice=True))
    except CutmemoError:
        return False


class Aligner:
    """Finds when words were said, given which."""

    def __init__(self, model: Path) -> None:
        """Use the Vosk model in the folder *model*."""
        import vosk

        vosk.SetLogLevel(-3)
        self._vosk, self._model = vosk, vosk.Model(model_path=str(model))

    def spans(self, sound: Sound, text: str) -> list[tuple[float, float]] | None:
        """Return the seconds at which each word of *text* begins and ends; ``None`` where it is not
        heard so.
        """
        decoder: Any = self._vosk.KaldiRecognizer(self._model, RATE, json.dumps([text]))
        decoder.SetWords(True)
        lead = np.zeros(RATE // 4, np.int16)
        r = np.random.default_rng(64)
        padded = np.concatenate([lead, sound, lead, lead])
        padded = (padded + r.normal(0, 20, len(padded))).clip(-32768, 32767).astype("<i2")
        decoder.AcceptWaveform(padded.tobytes())
        words = json.loads(decoder.FinalResult()).get("result", [])
        if " ".join(word["word"] for word in words) != text:
            return None
        return [(word["start"] - 0.25, word["end"] - 0.25) for word in words]


def _rows(table: Path) -> Iterator[tuple[dict[str, str], Sound]]:
    import soundfile

    sounds: dict[str, Sound] = {}
    with table.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE):
            if is_held_out(row["speaker"]):
                name, start = row["file"], int(row["start"])
                if name not in sounds:
                    sounds[name] = soundfile.read(table.parent / name, dtype="int16")[0]
                yield row, sounds[name][start : start + int(row["samples"])]


def an4(people: Path, aligner: Aligner) -> Iterator[Clip]:
    """Yield what the held-out speakers of AN4 say: numbers, "enter" cut off before them, and the
    rest.
    """
    for row, sound in _rows(people / "an4.tsv"):
        words, clip = row["text"].split(), sound
        if words[0] == "enter" and is_call(" ".join(words[1:])):
            clip, words = _without_enter(clip, words)
        text = " ".join(words)
        letters = sum(len(word) == 1 for word in words)
        kind = "call" if is_call(text) else "talk" if letters or len(words) == 1 else "numbers"
        yield Clip(clip, row["speaker"], text, kind, "AN4")


def _without_enter(sound: Sound, words: list[str]) -> tuple[Sound, list[str]]:
    """Return *sound* from the quietest 20 ms in the 0.3 s before the second word on.

    The word is none of the graph's, so its end is looked for in the sound: the longest quiet behind
    the first 0.3 s.
    """
    frames = np.abs(sound[: len(sound) // 320 * 320].reshape(-1, 320).astype(float)).mean(1)
    loud = np.flatnonzero(frames > 0.1 * frames.max())
    first = loud[0] + 10
    upto = loud[0] + 45
    quiet = frames[first:upto] < 0.05 * frames.max()
    runs, at = [], 0
    while at < len(quiet):
        end = at
        while end < len(quiet) and quiet[end]:
            end += 1
        runs.append((end - at, first + at))
        at = max(end, at + 1)
    length, where = max(runs)
    if length < 3:
        return sound, words
    return sound[(where + length // 2) * 320 :], words[1:]


def sentences(people: Path, number: int) -> Iterator[Clip]:
    """Yield one sentence of each of *number* held-out readers of LibriSpeech."""
    seen: set[str] = set()
    for row, sound in _rows(people / "libri.tsv"):
        if row["speaker"] not in seen and len(sound) < TALK_SECONDS * RATE:
            seen.add(row["speaker"])
            yield Clip(sound, row["speaker"], row["text"], "talk", "LibriSpeech")
        if len(seen) == number:
            return


def joined_figures(people: Path, each: int) -> Iterator[Clip]:
    """Yield strings of three single figures of one held-out speaker of Speech Commands, so many
    *each*, 50 ms between them.
    """
    gap = np.zeros(RATE // 20, np.int16)
    figures = {"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"}
    r = random.Random(7)
    for name in ("commands.tsv", "commands_odd.tsv"):
        for speaker, said in sorted(words_of(people / name).items()):
            words = [word for word in said if word[0] in figures]
            if not is_held_out(speaker) or len({text for text, _ in words}) < 3:
                continue
            for _ in range(each):
                first, *rest = (r.choice(words) for _ in range(3))
                if first[0] == "zero":
                    first = next(word for word in words if word[0] != "zero")
                parts, ends, at = [], [], 0.0
                for _, sound in (first, *rest):
                    part = at_peak(trimmed(sound).astype(float), 6000)
                    parts += [part, gap]
                    ends.append(round(at + len(part) / RATE, 3))
                    at += (len(part) + len(gap)) / RATE
                text = " ".join(text for text, _ in (first, *rest))
                if is_call(text):
                    kind, source = "joined", "Speech Commands"
                    yield Clip(np.concatenate(parts), speaker, text, kind, source, tuple(ends))


def kokoro(folder: Path) -> Iterator[Clip]:
    """Yield the calls in Kokoro's held-out voices."""
    voices, r = Kokoro(folder), random.Random(11)
    for voice in KOKORO_VOICES:
        for text in CALLS:
            speed = r.uniform(0.9, 1.2)
            sound = voices.say(phonemes(text, voice[0]), {voice: 1.0}, speed)
            if sound is not None:
                yield Clip(sound, voice, text, "call", "Kokoro-82M")


def flite() -> Iterator[Clip]:
    """Yield the calls in flite's held-out voices."""
    import soundfile

    r = random.Random(12)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "clip.wav"
        for voice in FLITE_VOICES:
            for text in CALLS:
                stretch = f"duration_stretch={r.uniform(0.85, 1.15):.2f}"
                command = ["flite", "-voice", voice, "--setf", stretch, "-t", text, "-o", str(out)]
                subprocess.run(command, check=True, capture_output=True)
                sound, rate = soundfile.read(out, dtype="int16")
                if rate != RATE:
                    raise ValueError(f"flite's {voice} speaks at {rate} Hz")
                yield Clip(sound, f"flite_{voice}", text, "call", "flite")


def _with_ends(clip: Clip, aligner: Aligner) -> Clip | None:
    """Return *clip* with the times of its words; a call whose words cannot be found has none."""
    if clip.kind in ("numbers", "talk") or clip.ends:
        return clip
    spans = aligner.spans(clip.sound, clip.text)
    ends = tuple(round(end, 3) for _, end in spans) if spans else ()
    return Clip(clip.sound, clip.speaker, clip.text, clip.kind, clip.source, ends)


def write_pack(out: Path, name: str, clips: Sequence[Clip]) -> None:
    """Write *clips* as one Opus file, with the table beside it."""
    import soundfile

    gap, sounds, lines, at = np.zeros(RATE // 10, np.int16), [], [], 0
    for clip in clips:
        if not is_held_out(clip.speaker):
            raise ValueError(f"{clip.speaker} may be in training")
        ends = " ".join(f"{end:.3f}" for end in clip.ends)
        line = (at, len(clip.sound), clip.speaker, clip.kind, clip.text, ends, clip.source)
        lines.append("\t".join(map(str, line)))
        sounds += [clip.sound.astype(np.int16), gap]
        at += len(clip.sound) + len(gap)
    whole = np.concatenate(sounds)
    with soundfile.SoundFile(
        out / f"{name}.ogg", "w", RATE, 1, "OPUS", format="OGG", compression_level=0.9
    ) as file:
        for start in range(0, len(whole), RATE):
            file.write(whole[start : start + RATE])
    head = "start\tsamples\tspeaker\tkind\ttext\tends\tsource"
    (out / f"{name}.tsv").write_text("\n".join([head, *lines]) + "\n", "utf-8")


def main(arguments: Sequence[str] | None = None) -> None:
    """Make the packs of the bench."""
    options = argparse.ArgumentParser(prog="recipe bench", description=main.__doc__)
    options.add_argument("people", type=Path, help="the folder of the packs of real people")
    options.add_argument("kokoro", type=Path, help="the folder of Kokoro")
    options.add_argument("out", type=Path)
    options.add_argument("--model", type=Path, default=Path("en"))
    given = options.parse_args(arguments)
    given.out.mkdir(parents=True, exist_ok=True)
    aligner = Aligner(given.model)
    packs: dict[str, Callable[[], Iterator[Clip]]] = {
        "an4": lambda: an4(given.people, aligner),
        "sentences": lambda: sentences(given.people, 12),
        "figures": lambda: joined_figures(given.people, 3),
        "flite": flite,
        "kokoro": lambda: kokoro(given.kokoro),
    }
    for name, make in packs.items():
        clips = [each for clip in make() if (each := _with_ends(clip, aligner)) is not None]
        write_pack(given.out, name, clips)
        found = Counter(clip.kind for clip in clips)
        speakers = len({clip.speaker for clip in clips})
        without = sum(clip.kind in ("call", "joined") and not clip.ends for clip in clips)
        size = (given.out / f"{name}.ogg").stat().st_size // 1000
        print(f"{name}: {dict(found)}, {speakers} speakers, {without} without times, {size} kB")

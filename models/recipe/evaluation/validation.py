"""Our own validation recordings, in voices that are never trained on.

``calls``: half clean, half in 5 to 20 dB of pink noise, saw, hammer and babble.
``twins``: quiet calls with a teen or a ten whose confusable word ("seventy" for "seventeen") makes
another cut, up to 1.4 times as fast.
``person``: calls put together from one real person's single words; half clean, half noisy.
``other``: talk, babble, machines and silence that are no calls.
The first three write a manifest.tsv for ``evaluate --bench``. The prompts of the real person are
the folder of Debian's asterisk-core-sounds-en-wav (data.toml names their licence);
they are never trained on.
"""

from __future__ import annotations

import argparse
import random
import wave
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cutmemo.asr.confusions import TEENS_AND_TENS, with_swallowed_and
from cutmemo.domain.cut import Cut
from cutmemo.errors import CutmemoError
from cutmemo.language import read
from cutmemo.language.lexicon.en import ONES, TENS
from recipe.evaluation.mixing import Noises, Sound, at_snr, babble, level, padded, write
from recipe.speech.kokoro import Kokoro, phonemes
from recipe.speech.script import VALIDATION
from recipe.speech.shards import RATE
from recipe.words import corpus

MAX_TWIN_WORDS = 9
LEVELS = (0.3, 0.6, 1.0)
MACHINE_LEVEL = 2500
# Talk of our own making, some of it with numbers that are no cuts.
TALK = """
did you see where i left the chalk line
the truck is coming around nine thirty with the rest of the sheathing
hand me that hammer would you
we had eight guys on the crew last summer and now it is just the three of us
it looks like rain again this afternoon so cover the lumber before you go
my brother in law wants to sell his boat
what time is lunch
i told him twice that the window was in the wrong place
let me see if the inspector called back
there were about forty people at the wedding and the food ran out
can you turn the radio down a little
she said the meeting moved to tuesday
watch your head on that brace
the neighbor's dog got out again and ran all over the slab
i think the compressor needs oil
do you want coffee or are you good
he drove two hundred miles to look at a used van
this one is split right through the end so do not use it
somebody moved my ladder
we should be done with this side before the weekend
the permit is on the wall by the door
i can't hear you over the saw
my knee has been bothering me since the winter
call the office and ask about the trusses
they want to change the color of the trim one more time
hold on i am on the phone
the bank closes at five so i have to leave early
that is the best sandwich in town
put your glasses on before you start that thing
the old man who built this house knew what he was doing
""".strip().split("\n")
Said = tuple[str, Sound]
"""A text and its sound."""


def say(voices: Kokoro, r: random.Random, text: str, speeds: tuple[float, float]) -> Sound | None:
    """Return *text* in one of the voices kept for validation; ``None`` where it is too long."""
    name = r.choice(sorted(VALIDATION))
    sound = voices.say(phonemes(text, name[0]), {name: 1.0}, r.uniform(*speeds))
    return None if sound is None else sound.astype(float)


def talk(voices: Kokoro, r: random.Random) -> Sound:
    """Return a sentence that is no call."""
    name = r.choice(sorted(VALIDATION))
    symbols = phonemes(r.choice(TALK), name[0])
    sound = voices.say(symbols, {name: 1.0}, r.uniform(0.85, 1.25))
    return np.zeros(RATE) if sound is None else sound.astype(float)


def write_manifest(out: Path, rows: Sequence[tuple[str, str, str]]) -> None:
    """Write (file, words, noise) of each recording."""
    lines = "".join("\t".join(row) + "\n" for row in rows)
    (out / "manifest.tsv").write_text(f"path\twords\tnoise\n{lines}", "utf-8")


def write_calls(out: Path, said: Sequence[Said], talks: Sequence[Sound], r: random.Random) -> None:
    """Write each call once, every second one in noise."""
    noises, rows, rng = Noises(99), [], np.random.default_rng(3)
    for k, (text, spoken) in enumerate(said):
        sound = padded(spoken, r)
        kind = "clean"
        if k % 2:
            kind = r.choice(["pink", "saw", "hammer", "babble"])
            size = len(sound)
            noise = babble(talks, r, size, 5) if kind == "babble" else noises.make(kind, size)
            sound = at_snr(sound, noise, r.uniform(5, 20))
        sound = sound * r.choice(LEVELS) + rng.normal(0, 3, len(sound))
        name = f"{k:04}_{kind}.wav"
        write(out / name, sound)
        rows.append((name, text, kind))
    write_manifest(out, rows)


def cuts(seed: int) -> Iterator[str]:
    """Yield sampled texts that are cuts, without end."""
    for text in corpus.phrases(seed):
        try:
            if isinstance(read(text, by_voice=True)[0].intent, Cut):
                yield text
        except CutmemoError:
            continue


def calls(voices: Kokoro, out: Path, number: int) -> None:
    """Write *number* calls."""
    r, said = random.Random(31), list[Said]()
    talks = [talk(voices, r) for _ in range(20)]
    for text in cuts(4242):
        sound = say(voices, r, text, (0.8, 1.3))
        if sound is not None:
            said.append((text, sound))
        if len(said) == number:
            break
    write_calls(out, said, talks, r)


def _meaning(text: str) -> object:
    try:
        return read(text, by_voice=True)[0].intent
    except CutmemoError:
        return None


def has_twin(text: str) -> bool:
    """Return whether a teen for a ten, or a ten for a teen, makes another cut of *text*."""
    words, meaning = text.split(), _meaning(text)
    others = [
        " ".join([*words[:at], TEENS_AND_TENS[word], *words[at + 1 :]])
        for at, word in enumerate(words)
        if word in TEENS_AND_TENS
    ]
    return any(
        _meaning(other) not in (None, meaning) for other in (*others, *with_swallowed_and(text))
    )


def twins(voices: Kokoro, out: Path, number: int, seed: int) -> None:
    """Write *number* quiet calls whose confusable word makes another cut."""
    r, rng = random.Random(seed), np.random.default_rng(seed)
    rows: list[tuple[str, str, str]] = []
    for text in cuts(seed):
        if len(text.split()) > MAX_TWIN_WORDS or not has_twin(text):
            continue
        spoken = say(voices, r, text, (0.85, 1.4))
        if spoken is None:
            continue
        sound = padded(spoken, r) * r.choice(LEVELS)
        file = f"{seed}_{len(rows):04}.wav"
        write(out / file, sound + rng.normal(0, 3, len(sound)))
        rows.append((file, text, "clean"))
        if len(rows) == number:
            break
    write_manifest(out, rows)


def prompt(file: Path) -> Sound:
    """Return a prompt at 16 kHz; the telephone band stays as it is.

    Raises :class:`ValueError` where it is not at 8 kHz.
    """
    with wave.open(str(file)) as sound:
        if sound.getframerate() != RATE // 2:
            raise ValueError(f"{file} is not at 8 kHz")
        plain = np.frombuffer(sound.readframes(sound.getnframes()), "<i2").astype(float)
    plain = plain[: len(plain) // 2 * 2]
    spectrum = np.fft.rfft(plain)
    full = np.zeros(len(plain) + 1, complex)
    full[: len(spectrum)] = spectrum
    return np.fft.irfft(full, 2 * len(plain)) * 2


def words_of_person(prompts: Path) -> dict[str, Sound]:
    """Return the single words this person says that calls are made of."""
    digits = prompts / "digits"
    files = {word: digits / f"{n}.wav" for word, n in ONES.items()}
    files |= {word: digits / f"{n}.wav" for word, n in TENS.items()}
    files |= {"eighth": digits / "h-8.wav", "sixteenth": digits / "h-16.wav"}
    files |= {"and": prompts / "vm-and.wav"}
    files |= {word: digits / f"{word}.wav" for word in ("hundred", "oh", "at", "minus")}
    words = {}
    for word, file in files.items():
        if file.exists():
            sound = prompt(file)
            loud = np.flatnonzero(np.abs(sound) > 0.03 * np.abs(sound).max())
            words[word] = sound[max(0, loud[0] - 400) : loud[-1] + 800]
    return words


def person(prompts: Path, out: Path, number: int) -> None:
    """Write *number* calls put together from the person's single words."""
    words, r, said = words_of_person(prompts), random.Random(32), list[Said]()
    for text in cuts(4343):
        parts = text.split()
        if len(parts) > 1 and all(part in words for part in parts):
            padded_words = [np.pad(words[part], (0, r.randrange(0, 900))) for part in parts]
            said.append((text, np.concatenate(padded_words)))
        if len(said) == number:
            break
    general = [prompt(file) for file in sorted(prompts.glob("*.wav"))[:80]]
    write_calls(out, said, general, r)


@dataclass(frozen=True)
class Elsewhere:
    """Makes a minute of what is no call."""

    talks: Sequence[Sound]
    noises: Noises
    r: random.Random

    KINDS = (
        *(["talk"] * 4 + ["babble"] * 3 + ["radio"] * 2),
        *("saw", "hammer", "compressor", "wind", "silence"),
    )

    def minute(self, kind: str) -> Sound:
        """Return a minute of one of KINDS."""
        samples, r = RATE * 60, self.r
        if kind == "talk":
            pauses = [
                np.pad(r.choice(self.talks), (r.randrange(3000, 30000), 0)) for _ in range(12)
            ]
            return np.concatenate(pauses)[:samples]
        if kind in ("babble", "radio"):
            return babble(self.talks, r, samples, 5 if kind == "babble" else 2)
        if kind == "silence":
            return np.zeros(samples)
        sound = self.noises.make(kind, samples)
        return sound / level(sound) * MACHINE_LEVEL


def other(voices: Kokoro, out: Path, minutes: float, prompts: Path | None) -> None:
    """Write *minutes* of what is no call."""
    r, rng = random.Random(33), np.random.default_rng(4)
    talks = [talk(voices, r) for _ in range(90)]
    if prompts:
        sounds = [prompt(file) for file in sorted(prompts.glob("*.wav"))]
        talks += [sound for sound in sounds if len(sound) > 1.2 * RATE]
    made = Elsewhere(talks, Noises(98), r)
    total, k = 0.0, 0
    while total < minutes * 60:
        kind = made.KINDS[k % len(made.KINDS)]
        sound = made.minute(kind)
        if kind != "silence" or k % 2:
            sound = sound + rng.normal(0, r.choice([3, 20, 80]), len(sound))
        write(out / f"{k:03}_{kind}.wav", sound)
        total += len(sound) / RATE
        k += 1


def main(arguments: Sequence[str] | None = None) -> None:
    """Write recordings to measure with."""
    options = argparse.ArgumentParser(prog="recipe validation", description=main.__doc__)
    options.add_argument("verb", choices=["calls", "twins", "other", "person"])
    options.add_argument("source", type=Path, help="the Kokoro folder, or the prompts (person)")
    options.add_argument("out", type=Path)
    options.add_argument("--number", type=int, default=200)
    options.add_argument("--seed", type=int, default=5501, help="of the twins")
    options.add_argument("--minutes", type=float, default=60)
    options.add_argument("--prompts", type=Path, help="talk of a real person, too (other)")
    given = options.parse_args(arguments)
    given.out.mkdir(parents=True, exist_ok=True)
    match given.verb:
        case "person":
            person(given.source, given.out, given.number)
        case "calls":
            calls(Kokoro(given.source), given.out, given.number)
        case "twins":
            twins(Kokoro(given.source), given.out, given.number, given.seed)
        case _:
            other(Kokoro(given.source), given.out, given.minutes, given.prompts)

"""Makes our own validation split, in voices that are never trained on.

python validation.py calls KOKORO_FOLDER OUT_FOLDER --number N
    half clean, half in 5 to 20 dB of pink noise, saw, hammer and babble; manifest.tsv for measure.py --bench.
python validation.py twins KOKORO_FOLDER OUT_FOLDER --number N --seed S
    quiet calls with a teen or a ten whose twin ("seventy" for "seventeen") is another cut, up to 1.4 times as fast; likewise.
python validation.py other KOKORO_FOLDER OUT_FOLDER --minutes M [--prompts FOLDER]
    talk, babble, machines and silence that are no calls, for measure.py --other. PROMPTS is the
    folder of Debian's asterisk-core-sounds-en-wav (CC BY-SA 3.0): a real person, never trained on.
python validation.py person PROMPTS OUT_FOLDER --number N
    calls put together from that person's single words; manifest.tsv for measure.py --bench.
"""

from __future__ import annotations

import argparse
import random
import wave
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import torch
from kokoro import Kokoro, phonemes
from noises import Site
from speak import KEPT_FOR_VALIDATION

RATE = 16000
MOST_TWIN_WORDS = 9
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


def save(path: Path, sound: np.ndarray) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(np.clip(sound, -32768, 32767).astype("<i2").tobytes())


def level(sound: np.ndarray) -> float:
    loud = np.abs(sound) > 0.02 * np.abs(sound).max()
    return float(np.sqrt(np.mean(sound[loud] ** 2)))


def talk(voices: Kokoro, r: random.Random) -> np.ndarray:
    name = r.choice(sorted(KEPT_FOR_VALIDATION))
    sound = voices.say(phonemes(r.choice(TALK), name[0]), {name: 1.0}, r.uniform(0.85, 1.25))
    return np.zeros(RATE) if sound is None else sound.astype(float)


def babble(talks: list[np.ndarray], r: random.Random, samples: int, people: int) -> np.ndarray:
    out = np.zeros(samples)
    for _ in range(people):
        one = np.concatenate([r.choice(talks) for _ in range(samples // RATE + 2)])
        at = r.randrange(len(one) - samples)
        out += one[at : at + samples] * r.uniform(0.4, 1)
    return out


def machines(site: Site) -> dict[str, Callable[[int], np.ndarray]]:
    def one(make: Callable[[int, int], torch.Tensor]) -> Callable[[int], np.ndarray]:
        return lambda samples: make(1, samples)[0].numpy().astype(float)

    return {
        "pink": one(lambda b, n: site.coloured(b, n, 1.0, 1.0)), "saw": one(site.saw), "hammer": one(site.hammer),
        "compressor": one(site.compressor), "wind": one(site.wind),
    }  # fmt: skip


def padded(sound: np.ndarray, r: random.Random) -> np.ndarray:
    return np.pad(sound, (r.randrange(4000, 9000), r.randrange(9000, 14000)))


def manifest(out: Path, rows: list[tuple[str, str, str]]) -> None:
    (out / "manifest.tsv").write_text("path\twords\tnoise\n" + "".join("\t".join(row) + "\n" for row in rows))


def noisy(sound: np.ndarray, noise: np.ndarray, decibels: float) -> np.ndarray:
    return sound + noise / (level(noise) + 1e-9) * level(sound) * 10 ** (-decibels / 20)


def write_calls(out: Path, said: list[tuple[str, np.ndarray]], talks: list[np.ndarray], r: random.Random) -> None:
    """Write each call once, every second one in noise."""
    made, rows, rng = machines(Site("cpu", 99)), [], np.random.default_rng(3)
    for k, (text, sound) in enumerate(said):
        sound = padded(sound, r)
        kind = "clean"
        if k % 2:
            kind = r.choice(["pink", "saw", "hammer", "babble"])
            noise = babble(talks, r, len(sound), 5) if kind == "babble" else made[kind](len(sound))
            sound = noisy(sound, noise, r.uniform(5, 20))
        sound = sound * r.choice([0.3, 0.6, 1.0]) + rng.normal(0, 3, len(sound))
        save(out / f"{k:04}_{kind}.wav", sound)
        rows.append((f"{k:04}_{kind}.wav", text, kind))
    manifest(out, rows)


def cuts(seed: int) -> Iterator[str]:
    from cutmemo.domain.cut import Cut
    from cutmemo.errors import CutmemoError
    from cutmemo.language import sampler, read

    for text in sampler.phrases(seed):
        try:
            if isinstance(read(text, by_voice=True)[0].intent, Cut):
                yield text
        except CutmemoError:
            continue


def calls(voices: Kokoro, out: Path, number: int) -> None:
    r, said = random.Random(31), []
    talks = [talk(voices, r) for _ in range(20)]
    for text in cuts(4242):
        name = r.choice(sorted(KEPT_FOR_VALIDATION))
        sound = voices.say(phonemes(text, name[0]), {name: 1.0}, r.uniform(0.8, 1.3))
        if sound is not None:
            said.append((text, sound.astype(float)))
        if len(said) == number:
            break
    write_calls(out, said, talks, r)


def has_twin(text: str) -> bool:
    """Return whether a teen for a ten, or a ten for a teen, makes another cut of *text*."""
    from cutmemo.errors import CutmemoError
    from cutmemo.language import read
    from cutmemo.asr.confusions import TEENS_AND_TENS as TWINS, with_swallowed_and as swallowed

    def means(words: str) -> object:
        try:
            return read(words, by_voice=True)[0].intent
        except CutmemoError:
            return None

    words = text.split()
    others = [" ".join([*words[:at], TWINS[word], *words[at + 1 :]]) for at, word in enumerate(words) if word in TWINS]
    return any(means(other) not in (None, means(text)) for other in (*others, *swallowed(text)))


def twins(voices: Kokoro, out: Path, number: int, seed: int) -> None:
    r, rng, rows = random.Random(seed), np.random.default_rng(seed), []
    for text in cuts(seed):
        if len(text.split()) > MOST_TWIN_WORDS or not has_twin(text):
            continue
        name = r.choice(sorted(KEPT_FOR_VALIDATION))
        sound = voices.say(phonemes(text, name[0]), {name: 1.0}, r.uniform(0.85, 1.4))
        if sound is None:
            continue
        loud = padded(sound.astype(float), r) * r.choice([0.3, 0.6, 1.0])
        file = f"{seed}_{len(rows):04}.wav"
        save(out / file, loud + rng.normal(0, 3, len(loud)))
        rows.append((file, text, "clean"))
        if len(rows) == number:
            break
    manifest(out, rows)


def prompt(file: Path) -> np.ndarray:
    """Return a prompt at 16 kHz; the telephone band stays as it is."""
    with wave.open(str(file)) as sound:
        assert sound.getframerate() == 8000
        plain = np.frombuffer(sound.readframes(sound.getnframes()), "<i2").astype(float)
    plain = plain[: len(plain) // 2 * 2]
    spectrum = np.fft.rfft(plain)
    full = np.zeros(len(plain) + 1, complex)
    full[: len(spectrum)] = spectrum
    return np.fft.irfft(full, 2 * len(plain)) * 2


def said_by_person(prompts: Path) -> dict[str, np.ndarray]:
    """Return the single words this person says that calls are made of."""
    from cutmemo.language.lexicon.en import ONES, TENS

    digits = prompts / "digits"
    files = {word: digits / f"{n}.wav" for n, word in enumerate(ONES)}
    files |= {word: digits / f"{n}.wav" for word, n in TENS.items()}
    files |= {"eighth": digits / "h-8.wav", "sixteenth": digits / "h-16.wav", "and": prompts / "vm-and.wav"}
    files |= {word: digits / f"{word}.wav" for word in ("hundred", "oh", "at", "minus")}
    words = {}
    for word, file in files.items():
        if file.exists():
            sound = prompt(file)
            loud = np.flatnonzero(np.abs(sound) > 0.03 * np.abs(sound).max())
            words[word] = sound[max(0, loud[0] - 400) : loud[-1] + 800]
    return words


def person(prompts: Path, out: Path, number: int) -> None:
    words, r, said = said_by_person(prompts), random.Random(32), []
    for text in cuts(4343):
        parts = text.split()
        if len(parts) > 1 and all(part in words for part in parts):
            sound = np.concatenate([np.pad(words[part], (0, r.randrange(0, 900))) for part in parts])
            said.append((text, sound))
        if len(said) == number:
            break
    general = [prompt(file) for file in sorted(prompts.glob("*.wav"))[:80]]
    write_calls(out, said, general, r)


def other(voices: Kokoro, out: Path, minutes: float, prompts: Path | None) -> None:
    r, made, rng = random.Random(33), machines(Site("cpu", 98)), np.random.default_rng(4)
    talks = [talk(voices, r) for _ in range(90)]
    if prompts:
        talks += [sound for file in sorted(prompts.glob("*.wav")) if len(sound := prompt(file)) > 1.2 * RATE]
    kinds = ["talk"] * 4 + ["babble"] * 3 + ["radio"] * 2 + ["saw", "hammer", "compressor", "wind", "silence"]
    total, k = 0.0, 0
    while total < minutes * 60:
        kind, samples = kinds[k % len(kinds)], RATE * 60
        if kind == "talk":
            sound = np.concatenate([np.pad(r.choice(talks), (r.randrange(3000, 30000), 0)) for _ in range(12)])[:samples]
        elif kind in ("babble", "radio"):
            sound = babble(talks, r, samples, 5 if kind == "babble" else 2)
        elif kind == "silence":
            sound = np.zeros(samples)
        else:
            sound = made[kind](samples)
            sound = sound / level(sound) * 2500
        if kind != "silence" or k % 2:
            sound = sound + rng.normal(0, r.choice([3, 20, 80]), len(sound))
        save(out / f"{k:03}_{kind}.wav", sound)
        total += len(sound) / RATE
        k += 1


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("verb", choices=["calls", "twins", "other", "person"])
    options.add_argument("source", type=Path, help="the Kokoro folder, or the prompts")
    options.add_argument("out", type=Path)
    options.add_argument("--number", type=int, default=200)
    options.add_argument("--seed", type=int, default=5501, help="of the twins")
    options.add_argument("--minutes", type=float, default=60)
    options.add_argument("--prompts", type=Path)
    a = options.parse_args()
    a.out.mkdir(parents=True, exist_ok=True)
    if a.verb == "person":
        person(a.source, a.out, a.number)
    elif a.verb == "calls":
        calls(Kokoro(a.source), a.out, a.number)
    elif a.verb == "twins":
        twins(Kokoro(a.source), a.out, a.number, a.seed)
    else:
        other(Kokoro(a.source), a.out, a.minutes, a.prompts)


if __name__ == "__main__":
    main()

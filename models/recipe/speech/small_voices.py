"""Speaks phrases with small voices: python light_voices.py OUT_FOLDER --clips N --seed S

flite's kal16, festival's kal and ked (Debian packages festvox-kallpc16k and
festvox-kdlpc16k), pico2wave's two English voices (libttspico-utils, of Debian's non-free
for want of the recordings, Apache-2.0), RHVoice's alan (rhvoice-english, of non-free for
the same reason, LGPL-2.1 or later) and espeak-ng in its many variants. ``--only alan``
keeps to one of them. Voices of benches (slt, awb, rms, bdl, clb, piper's joe) are never used.
"""

from __future__ import annotations

import argparse
import csv
import random
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import soundfile
from speak import SHARD, text_for

ESPEAK = [f"{accent}+{who}" for accent in ("en-us", "en-us", "en-gb", "en-gb-scotland", "en-gb-x-rp") for who in
          "m1 m2 m3 m4 m5 m6 m7 m8 f1 f2 f3 f4 f5 max michael Michael adam Alex Annie belinda edward linda robert victor".split()]


SHARES = {"pico": 0.25, "espeak": 0.2, "flite": 0.15, "festival": 0.25, "alan": 0.15}


def command(r: random.Random, engine: str, text: str, out: Path) -> tuple[str, list[str]]:
    """Return (the voice, a command by which *engine* speaks *text* to *out*)."""
    if engine == "alan":
        said = ["RHVoice-test", "-p", "alan", "-r", str(r.randrange(75, 160)), "-t", str(r.randrange(75, 140)), "-o", str(out)]
        return "rhvoice_alan", said
    if engine == "pico":
        language = r.choice(["en-US", "en-US", "en-GB"])
        said = f'<speed level="{r.randrange(70, 150)}"><pitch level="{r.randrange(70, 140)}">{text}</pitch></speed>'
        return f"pico_{language}", ["pico2wave", "-l", language, "-w", str(out), said]
    if engine == "espeak":
        voice = r.choice(ESPEAK)
        return f"espeak_{voice}", ["espeak-ng", "-v", voice, "-s", str(r.randrange(120, 220)), "-p", str(r.randrange(20, 75)), "-w", str(out), text]
    if engine == "flite":
        stretch, mean = r.uniform(0.75, 1.3), r.uniform(80, 170)
        return "flite_kal16", ["flite", "-voice", "kal16", "--setf", f"duration_stretch={stretch:.2f}", "--setf", f"int_f0_target_mean={mean:.0f}", "-t", text, "-o", str(out)]
    voice = r.choice(["kal", "ked"])
    package = {"kal": "kal_diphone", "ked": "ked_diphone"}[voice]
    lisp = f"(begin (voice_{package}) (Parameter.set 'Duration_Stretch {r.uniform(0.75, 1.3):.2f}) (utt.save.wave (utt.synth (Utterance Text \"{text}\")) \"{out}\" 'riff))"
    return f"festival_{voice}", ["festival", "-b", lisp]


def spoken(job: tuple[int, str, str]) -> tuple[np.ndarray, str, str] | None:
    seed, only, text = job
    r = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "clip.wav"
        engine = only or r.choices(list(SHARES), list(SHARES.values()))[0]
        voice, how = command(r, engine, text, out)
        subprocess.run(how, input=text, text=True, capture_output=True, check=False)
        if not out.exists():
            return None
        sound, rate = soundfile.read(out, dtype="float32")
    if rate != 16000:
        n = len(sound) // 441 * 441 if rate == 22050 else len(sound)
        size = round(n * 16000 / rate)
        spectrum = np.fft.rfft(sound[:n])
        full = np.zeros(size // 2 + 1, complex)
        full[: min(len(full), len(spectrum))] = spectrum[: len(full)]
        sound = np.fft.irfft(full, size) * size / n
    return (sound / (np.abs(sound).max() + 1e-6) * 9000).astype(np.int16), text, voice


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("out", type=Path)
    options.add_argument("--clips", type=int, default=1500)
    options.add_argument("--seed", type=int, default=5)
    options.add_argument("--read", type=Path)
    options.add_argument("--only", choices=SHARES, default="", help="speak with this engine alone")
    a = options.parse_args()
    from cutmemo.language import phrases

    a.out.mkdir(parents=True, exist_ok=True)
    r, words, sentences = random.Random(a.seed), phrases.vocabulary(), []
    if a.read:
        with a.read.open(encoding="utf-8") as lines:
            sentences = [row["text"] for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)]
    jobs = [(a.seed * 1_000_000 + k, a.only, text_for(r, words, sentences)) for k in range(a.clips)]
    with ThreadPoolExecutor(2) as pool:
        made = [clip for clip in pool.map(spoken, jobs) if clip is not None]
    for k in range(0, len(made), SHARD):
        clips, texts, voices = zip(*made[k : k + SHARD], strict=True)
        np.savez(a.out / f"light_{a.seed}_{k:05}.npz", pcm=np.concatenate(clips), lens=np.array([len(c) for c in clips]), text=np.array(texts), voice=np.array(voices))
    print(f"{len(made)} clips, {sum(len(c[0]) for c in made) / 16000 / 3600:.2f} h")


if __name__ == "__main__":
    main()

"""Makes synthetic speech: what to say, then saying it on as many cores as there are.

python speak.py plan PLAN.jsonl --kokoro KOKORO_FOLDER --number N --seed S [--read READ.tsv]
    writes what is to be said, one clip a line: text, symbols, voices, speed. Needs espeak-ng.
python speak.py say KOKORO_FOLDER PLAN.jsonl OUT_FOLDER --seconds S --jobs J [--from LINE] [--gpus 0 1]
    speaks it, in shards of 100 clips (.npz of pcm, lens, text, voice), and goes on where it stopped.
"""

from __future__ import annotations

import argparse
import csv
import json
import multiprocessing
import random
import re
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from kokoro import HELD_OUT, Kokoro, from_espeak

SHARD = 100
ENGLISH = ("af_", "am_", "bf_", "bm_")
KEPT_FOR_VALIDATION = frozenset({"am_liam", "bf_emma", "af_kore"})
VALIDATION_SHARE = 0.02
OTHER_MANNER = 0.5
"""Share of the clips where one voice speaks in another's tune and rhythm."""
QUICK_AND = ("n", "ən", "ənd", "ænd", "ænd", "ænd")
"""How "and" is said on site."""


def text_for(r: random.Random, words: list[str], sentences: list[str]) -> str:
    """Return something to say: mostly calls, some words of the grammar out of order, some other speech."""
    from cutmemo.language import phrases

    pick = r.random()
    if pick < 0.60 or not sentences:
        return phrases.phrase(r)
    if pick < 0.72:
        return phrases.length(r)
    if pick < 0.86:
        return phrases.shuffled(r, words)
    return r.choice(sentences)


def espeak(texts: list[str], accent: str) -> list[str]:
    """Return the phonemes of many texts at once, in Kokoro's symbols."""
    language = "en-us" if accent == "a" else "en-gb"
    said = subprocess.run(
        ["espeak-ng", "-q", "--ipa", "-v", language], input="\n\n".join(texts), capture_output=True, text=True, check=True
    )
    lines = re.split(r"\n\s*\n", said.stdout.strip())
    if len(lines) != len(texts):
        raise SystemExit(f"espeak-ng gave {len(lines)} lines for {len(texts)} texts")
    return [from_espeak(line, accent) for line in lines]


def blends(voices: list[str], r: random.Random) -> dict[str, float]:
    """Return shares of one, two or three voices."""
    chosen = r.sample(voices, r.choice([1, 2, 2, 2, 3]))
    weights = [r.uniform(0.25, 1) for _ in chosen]
    return {name: round(weight / sum(weights), 2) for name, weight in zip(chosen, weights, strict=True)}


def plan(out: Path, voices: list[str], number: int, seed: int, read: Path | None) -> None:
    from cutmemo.language import phrases

    r = random.Random(seed)
    words, sentences = phrases.vocabulary(), []
    if read:
        with read.open(encoding="utf-8") as lines:
            sentences = [row["text"] for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)]
        sentences = [text for text in sentences if 1 <= len(text.split()) <= 16]
    usable = [name for name in voices if name not in HELD_OUT]
    english = [name for name in usable if name.startswith(ENGLISH) and name not in KEPT_FOR_VALIDATION]
    foreign = [name for name in usable if not name.startswith(ENGLISH)]
    rows = []
    for _ in range(number):
        manner = {}
        if r.random() < VALIDATION_SHARE:
            blend = {r.choice(sorted(KEPT_FOR_VALIDATION)): 1.0}
        elif r.random() < 0.15:
            blend = blends([*r.sample(foreign, 2), r.choice(english)], r)
        else:
            blend = blends(english, r)
        if r.random() < OTHER_MANNER and not KEPT_FOR_VALIDATION & set(blend):
            manner = blends(english, r)
        accent = "b" if sum(share for name, share in blend.items() if name[0] == "b") > 0.5 else "a"
        rows.append((text_for(r, words, sentences), blend, manner, accent))
    symbols: dict[int, str] = {}
    for accent in "ab":
        mine = [k for k, row in enumerate(rows) if row[3] == accent]
        for k, said in zip(mine, espeak([rows[k][0] for k in mine], accent), strict=True):
            symbols[k] = said
    with out.open("w", encoding="utf-8") as lines:
        for k, (text, blend, manner, _) in enumerate(rows):
            parts = [r.choice(QUICK_AND) if part in ("ænd", "and") else part for part in symbols[k].split()]
            said = "".join(part + (", " if r.random() < 0.05 else " ") for part in parts).strip(" ,") + r.choice(["", "", ".", "!"])
            speed = round(r.choice([r.uniform(0.75, 1.0), r.uniform(0.95, 1.3), r.uniform(1.0, 1.5)]), 2)
            row = {"text": text, "said": said, "blend": blend, "speed": speed, "manner": manner}
            lines.write(json.dumps(row, ensure_ascii=False) + "\n")


def shards(path: Path, first: int) -> Iterator[tuple[int, list[dict[str, object]]]]:
    rows = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    for k in range(first, len(rows), SHARD):
        yield k, rows[k : k + SHARD]


def _say_shard(job: tuple[Path, Path, Path, int, list[dict[str, object]], float]) -> float:
    """Return the seconds of speech in one shard, or 0 where it is there already or the time is up."""
    folder, path, out, first, rows, until = job
    file = out / f"{path.stem}_{first:06}.npz"
    if file.exists() or time.time() > until:
        return 0.0
    global _speaker
    if _speaker is None:
        _speaker = Kokoro(folder, _device)
    clips, texts, names = [], [], []
    for row in rows:
        sound = _speaker.say(row["said"], row["blend"], row["speed"], row["manner"])  # type: ignore[arg-type]
        if sound is not None:
            clips.append(sound)
            texts.append(row["text"])
            names.append("+".join(row["blend"]))  # type: ignore[arg-type]
        if time.time() > until:
            break
    part = file.with_suffix(".part.npz")
    np.savez(part, pcm=np.concatenate(clips), lens=np.array([len(c) for c in clips]), text=np.array(texts), voice=np.array(names))
    part.rename(file)
    return sum(len(c) for c in clips) / 16000


_speaker: Kokoro | None = None
_device = ""


def _take_device(devices: multiprocessing.SimpleQueue[str]) -> None:
    global _device
    _device = devices.get()


def say(folder: Path, path: Path, out: Path, seconds: float, jobs: int, first: int, gpus: list[int]) -> None:
    out.mkdir(parents=True, exist_ok=True)
    begun = time.time()
    work = [(folder, path, out, k, rows, begun + seconds) for k, rows in shards(path, first)]
    total, told = 0.0, begun
    spawn = multiprocessing.get_context("spawn")  # a GPU cannot be forked
    devices = spawn.SimpleQueue()
    for k in range(jobs):
        devices.put(f"cuda:{gpus[k % len(gpus)]}" if gpus else "")
    with spawn.Pool(jobs, _take_device, (devices,)) as pool:
        for length in pool.imap_unordered(_say_shard, work):
            total += length
            if time.time() - told > 30:
                told = time.time()
                print(f"{total / 3600:.2f} h in {told - begun:.0f} s", flush=True)
    print(f"{total / 3600:.2f} h in {time.time() - begun:.0f} s", flush=True)


def main() -> None:
    options = argparse.ArgumentParser()
    verbs = options.add_subparsers(dest="verb", required=True)
    planned = verbs.add_parser("plan")
    planned.add_argument("plan", type=Path)
    planned.add_argument("--kokoro", type=Path, required=True)
    planned.add_argument("--number", type=int, default=10_000)
    planned.add_argument("--seed", type=int, required=True)
    planned.add_argument("--read", type=Path)
    said = verbs.add_parser("say")
    said.add_argument("kokoro", type=Path)
    said.add_argument("plan", type=Path)
    said.add_argument("out", type=Path)
    said.add_argument("--seconds", type=float, default=1e9)
    said.add_argument("--jobs", type=int, default=1)
    said.add_argument("--from", dest="first", type=int, default=0)
    said.add_argument("--gpus", type=int, nargs="*", default=[], help="their numbers")
    a = options.parse_args()
    if a.verb == "plan":
        plan(a.plan, sorted(file.stem for file in (a.kokoro / "voices").glob("*.bin")), a.number, a.seed, a.read)
    else:
        say(a.kokoro, a.plan, a.out, a.seconds, a.jobs, a.first, a.gpus)


if __name__ == "__main__":
    main()

"""Says a script with Kokoro's voices, in several processes, and goes on where it stopped."""

from __future__ import annotations

import argparse
import multiprocessing
import multiprocessing.queues
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe.speech import pauses
from recipe.speech.kokoro import Kokoro
from recipe.speech.script import PAUSE, Line, read
from recipe.speech.shards import CLIPS, RATE, Sound, Spoken, write

REPORT_SECONDS = 30


@dataclass(frozen=True)
class Job:
    """One shard to be said."""

    kokoro: Path
    shard: Path
    lines: list[Line]
    until: float
    """When the time is up (time.time())."""


class _Worker:
    """What a process keeps from one job to the next."""

    device = ""
    speaker: Kokoro | None = None


def _take_device(devices: multiprocessing.queues.SimpleQueue[str]) -> None:
    _Worker.device = devices.get()


def _say(speaker: Kokoro, line: Line) -> Sound | None:
    """Return the sound of *line*, its two parts joined; ``None`` where one is too long."""
    parts = [
        speaker.say(part, line.blend, line.speed, line.prosody) for part in line.said.split(PAUSE)
    ]
    whole = [part for part in parts if part is not None]
    if len(whole) < len(parts):
        return None
    return whole[0] if len(whole) == 1 else pauses.joined(whole[0], whole[1], line.pause)


def say_shard(job: Job) -> float:
    """Return the seconds of speech in one shard; 0 where it is there already or the time is up."""
    if job.shard.exists() or time.time() > job.until:
        return 0.0
    if _Worker.speaker is None:
        _Worker.speaker = Kokoro(job.kokoro, _Worker.device)
    clips = []
    for line in job.lines:
        sound = _say(_Worker.speaker, line)
        if sound is not None:
            clips.append(Spoken(sound, line.text, "+".join(line.blend)))
        if time.time() > job.until:
            break
    if not clips:
        return 0.0
    write(job.shard, clips)
    return sum(len(clip.sound) for clip in clips) / RATE


def say(jobs: Sequence[Job], processes: int, gpus: Sequence[int]) -> None:
    """Say *jobs* on *processes*, shared out over *gpus* or on the CPU, and print how it goes."""
    begun = reported = time.monotonic()
    total = 0.0
    spawn = multiprocessing.get_context("spawn")  # a GPU cannot be forked
    devices: multiprocessing.queues.SimpleQueue[str] = spawn.SimpleQueue()
    for k in range(processes):
        devices.put(f"cuda:{gpus[k % len(gpus)]}" if gpus else "")
    with spawn.Pool(processes, _take_device, (devices,)) as pool:
        for length in pool.imap_unordered(say_shard, jobs):
            total += length
            if time.monotonic() - reported > REPORT_SECONDS:
                reported = time.monotonic()
                print(f"{total / 3600:.2f} h in {reported - begun:.0f} s", flush=True)
    print(f"{total / 3600:.2f} h in {time.monotonic() - begun:.0f} s", flush=True)


def main(arguments: Sequence[str] | None = None) -> None:
    """Say a script with Kokoro's voices, in shards of 100 clips."""
    options = argparse.ArgumentParser(prog="recipe speak", description=main.__doc__)
    options.add_argument("kokoro", type=Path, help="its folder")
    options.add_argument("script", type=Path)
    options.add_argument("out", type=Path)
    options.add_argument("--seconds", type=float, default=1e9)
    options.add_argument("--processes", type=int, default=1)
    options.add_argument("--from", dest="first", type=int, default=0, help="line of the script")
    options.add_argument("--gpus", type=int, nargs="*", default=[], help="their numbers")
    given = options.parse_args(arguments)
    given.out.mkdir(parents=True, exist_ok=True)
    lines, until = read(given.script), time.time() + given.seconds
    jobs = []
    for k in range(given.first, len(lines), CLIPS):
        shard = given.out / f"{given.script.stem}_{k:06}.npz"
        jobs.append(Job(given.kokoro, shard, lines[k : k + CLIPS], until))
    say(jobs, given.processes, given.gpus)

"""Shards of clips (.npz of pcm, lens, text, voice), and packs: the same as Ogg Opus with a .tsv."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

RATE = 16000
CLIPS = 100
"""Of a shard; libsndfile runs out of memory writing hours into one Opus file."""
GAP = 1600
"""Samples of silence between the clips of a pack."""
COMPRESSION = 0.95
"""Of libsndfile's Opus: about 15 kbit a second."""
PEAK = 9000
"""Of synthesised clips, in the int16 range."""
Sound = npt.NDArray[np.int16]


@dataclass(frozen=True, eq=False)
class Spoken:
    """One clip: its sound (16 kHz mono), its text and who says it."""

    sound: Sound
    text: str
    voice: str


def at_peak(sound: npt.NDArray[np.floating], peak: float = PEAK) -> Sound:
    """Return *sound* as int16 with its loudest sample at *peak*."""
    return (sound / (np.abs(sound).max() + 1e-6) * peak).astype(np.int16)


def hours(clips: Sequence[Spoken]) -> float:
    """Return how long *clips* are together."""
    return sum(len(clip.sound) for clip in clips) / RATE / 3600


def write(path: Path, clips: Sequence[Spoken]) -> None:
    """Write one shard; it has its name only once it is whole."""
    part = path.with_suffix(".part.npz")
    np.savez(
        part,
        pcm=np.concatenate([clip.sound for clip in clips]),
        lens=np.array([len(clip.sound) for clip in clips]),
        text=np.array([clip.text for clip in clips]),
        voice=np.array([clip.voice for clip in clips]),
    )
    part.rename(path)


def write_all(folder: Path, name: str, clips: Sequence[Spoken]) -> None:
    """Write *clips* as shards NAME_00000.npz, NAME_00100.npz … in *folder*."""
    folder.mkdir(parents=True, exist_ok=True)
    for k in range(0, len(clips), CLIPS):
        write(folder / f"{name}_{k:05}.npz", clips[k : k + CLIPS])


def read(path: Path) -> list[Spoken]:
    """Return the clips of a shard."""
    with np.load(path) as shard:
        ends = np.cumsum(shard["lens"])
        sounds = np.split(shard["pcm"], ends[:-1])
        rows = zip(sounds, shard["text"], shard["voice"], strict=True)
        return [Spoken(sound, str(text), str(voice)) for sound, text, voice in rows]


def expand(source: Path) -> list[Path]:
    """Return the shards of a folder, or *source* itself where it is a shard, a pack or a script."""
    if not source.is_dir():
        return [source]
    return sorted(path for path in source.glob("*.npz") if not path.name.endswith(".part.npz"))


def pack(folder: Path, name: str, shards: Sequence[Path]) -> None:
    """Write *shards* as one pack: NAME.tsv and one Opus file a shard, where it is not there yet.

    A file is named after its shard: a number would move when a shard is added, and the words
    with it. Raises :class:`ValueError` where two shards have one name, or where the file that is
    there is of another length than the shard: the words would be of other sound.
    """
    import soundfile

    if len({shard.stem for shard in shards}) < len(shards):
        raise ValueError("two of the shards have the same name")
    folder.mkdir(parents=True, exist_ok=True)
    rows = ["file\tstart\tsamples\tspeaker\ttext\tlabel"]
    for shard in sorted(shards):
        ogg = folder / f"{name}_{shard.stem}.ogg"
        parts, at = [], 0
        for clip in read(shard):
            samples = len(clip.sound)
            rows.append(f"{ogg.name}\t{at}\t{samples}\t{clip.voice}\t{clip.text}\tasked for")
            parts += [clip.sound, np.zeros(GAP, np.int16)]
            at += samples + GAP
        if not ogg.exists():
            opus = {"format": "OGG", "subtype": "OPUS", "compression_level": COMPRESSION}
            soundfile.write(ogg, np.concatenate(parts), RATE, **opus)
        if soundfile.info(ogg).frames != at:
            raise ValueError(f"{ogg} is not the sound of {shard}")
    (folder / f"{name}.tsv").write_text("\n".join(rows) + "\n", "utf-8")


def main(arguments: Sequence[str] | None = None) -> None:
    """Pack shards as Ogg Opus and a table."""
    options = argparse.ArgumentParser(prog="recipe pack", description=main.__doc__)
    options.add_argument("folder", type=Path)
    options.add_argument("name")
    options.add_argument("shards", type=Path, nargs="+")
    given = options.parse_args(arguments)
    pack(given.folder, given.name, given.shards)

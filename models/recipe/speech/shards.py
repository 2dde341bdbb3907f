"""Packs clips (.npz of pcm, lens, text, voice) as Ogg Opus and a .tsv: python pack.py OUT NAME FILE.npz …"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import soundfile

GAP = 1600
COMPRESSION = 0.95
"""About 15 kbit a second."""


def main() -> None:
    out, name = Path(sys.argv[1]), sys.argv[2]
    out.mkdir(parents=True, exist_ok=True)
    rows = ["file\tstart\tsamples\tspeaker\ttext\tlabel"]
    for file in sorted(sys.argv[3:]):
        pack = np.load(file)
        # Named after its source: a number would move when a file is added, and the words with it.
        ogg = out / f"{name}_{Path(file).stem}.ogg"
        parts, at, source = [], 0, 0
        for samples, text, voice in zip(pack["lens"], pack["text"], pack["voice"], strict=True):
            rows.append(f"{ogg.name}\t{at}\t{samples}\t{voice}\t{text}\tasked for")
            parts += [pack["pcm"][source : source + samples], np.zeros(GAP, np.int16)]
            at += samples + GAP
            source += samples
        if not ogg.exists():
            soundfile.write(ogg, np.concatenate(parts), 16000, format="OGG", subtype="OPUS", compression_level=COMPRESSION)
    (out / f"{name}.tsv").write_text("\n".join(rows) + "\n")


if __name__ == "__main__":
    main()

"""What a call costs behind its last sound, on a machine that does other things as well.

    python tests/bench/site_tail.py

The recordings of the demo in frames of 80 ms, as a phone sends them: how much sound goes by until the pause
counts as the end of the call, and how many seconds of processor the decoder works after that. Both together
are what a quiet machine with one phone takes; tests/bench/site_load.py has the rest, by the clock.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator

from site_load import SAMPLES, calls

from cutmemo.asr import Partial, Recogniser, load_model, model_folder, phrases_for
from cutmemo.audio.chunk import RATE, SoundChunk

LEADS = (4_800, 5_200, 5_600)
"""Samples of silence before a call: it does not end where a frame does."""
BEHIND = 3 * RATE


class Frames:
    """Sound as a phone sends it, with how much went by and when the last of it came."""

    def __init__(self, pcm: bytes) -> None:
        self._pcm = pcm
        self.samples = 0
        self.came = 0.0

    def __iter__(self) -> Iterator[SoundChunk]:
        for at in range(0, len(self._pcm), 2 * SAMPLES):
            piece = self._pcm[at : at + 2 * SAMPLES]
            self.samples += len(piece) // 2
            self.came = time.thread_time()
            yield SoundChunk(piece)


def quantiles(seconds: list[float]) -> str:
    worst = statistics.quantiles(seconds, n=20, method="inclusive")[-1]
    return (
        f"median {statistics.median(seconds):.2f} s, p95 {worst:.2f} s, most {max(seconds):.2f} s"
    )


def main() -> None:
    folder = model_folder(None)
    recogniser = Recogniser(load_model(folder), phrases_for(folder))
    ends, works = [], []
    for lead in LEADS:
        for sound in calls():
            frames = Frames(bytes(2 * lead) + sound + bytes(2 * BEHIND))
            for heard in recogniser.hear(frames):
                if not isinstance(heard, Partial):
                    ends.append((frames.samples - lead - len(sound) // 2) / RATE)
                    works.append(time.thread_time() - frames.came)
    print(f"sound behind the last word: {quantiles(ends)}")
    print(f"processor after that: {quantiles(works)}")
    print(f"both: {quantiles([a + b for a, b in zip(ends, works, strict=True)])}")


if __name__ == "__main__":
    main()

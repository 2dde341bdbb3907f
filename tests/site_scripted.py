"""A recogniser whose calls are written into the sound itself, and a server that hears with it."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from cutmemo.asr import Hypothesis, Partial, Recognition
from cutmemo.audio.chunk import SoundChunk

TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
PARTS = ("half", "quarter", "eighth")
CALLS = tuple(
    f"{ten} {one} and {'an' if part == 'eighth' else 'a'} {part}"
    for part in PARTS
    for ten in TENS
    for one in ONES
)
"""Complete calls, each of another length."""
STILL_CHUNKS = 8


def call(number: int, frames: int = 6) -> bytes:
    """The sound of a call."""
    return array("h", [1_000 + number] * 1_280 * frames).tobytes()


class Scripted:
    """Hears what :func:`call` writes; a hands-free utterance ends after 0.64 s of silence."""

    def __init__(self, texts: Sequence[str] = CALLS) -> None:
        self._texts = texts

    def hear(
        self,
        sound: Iterable[SoundChunk],
        stop: Callable[[], bool] = lambda: False,
        held: Callable[[], bool] = lambda: False,
        over: Callable[[], None] = lambda: None,
    ) -> Iterator[Partial | Recognition]:
        seconds, still = 0.0, 0
        heard: dict[int, tuple[float, float]] = {}
        for chunk in sound:
            begun, seconds = seconds, seconds + chunk.seconds
            number = array("h", chunk.pcm)[0] - 1_000 if chunk.pcm else -1_000
            if 0 <= number < len(self._texts):
                heard[number] = (heard.get(number, (begun, 0.0))[0], seconds)
                still = 0
                yield Partial(self._texts[number])
            else:
                still += 1
            if still >= STILL_CHUNKS and not held():
                yield from self._said(heard)
                heard, still = {}, 0
                over()
        yield from self._said(heard)
        over()

    def _said(self, heard: dict[int, tuple[float, float]]) -> Iterator[Recognition]:
        if heard:
            text = ", ".join(self._texts[number] for number in heard)
            times = list(heard.values())
            best = Hypothesis(text, 100.0)
            yield Recognition((best,), times[0][0], times[-1][1], bytes(3_200))


def main(memo: str, port: int) -> None:
    """Serve *memo* on this machine, as `cutmemo browser` does."""
    import asyncio

    from cutmemo.site import run
    from cutmemo.site.devices import Devices
    from cutmemo.site.folder import site_folder
    from cutmemo.site.hub import Hub
    from cutmemo.site.listening import serving
    from cutmemo.site.server import Server

    origins = frozenset({f"http://localhost:{port}"})
    devices = Devices(site_folder() / "here.json", oldest_goes=True)
    server = Server(Hub(Path(memo)), devices, Scripted, lambda: origins)

    async def serve() -> None:
        async with serving(server.app(), "127.0.0.1", port):
            print("open", flush=True)
            await run.until_stopped()

    asyncio.run(serve())


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))

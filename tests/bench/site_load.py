"""How long it takes from the last sound of a call to its row on another device's page, with many phones at once.

    python tests/bench/site_load.py [--phones 1 4 8 16] [--calls 4]

A real `cutmemo site` in a process of its own, over TLS; phones in this process send the recordings of the demo
in real time, all at once, and one more page watches. Push-to-talk counts from the release of the button (0.25 s
behind the last word), hands-free from the last word. Also told: how soon one page shows what was typed on
another, and the memory of the server for each device beside the shared model.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import ssl
import statistics
import subprocess
import sys
import tempfile
import time
import wave
from array import array
from pathlib import Path
from typing import Any

import aiohttp

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from ports import free_port

from cutmemo.bundle import bundled
from cutmemo.site import protocol as p

PHRASE = "plumb and level all day"
SAMPLES = 1_280
BEHIND_SECONDS = 0.25
"""How much is recorded after the last word."""
PAUSE_SECONDS = 4.0
"""Between two calls; one that comes within three is heard once more with the one before."""
WAIT_SECONDS = 30.0
"""So long at most what was said last is waited for."""


def calls() -> list[bytes]:
    """Return the recordings of the demo, cut off right behind the last word."""
    found = []
    for path in sorted(bundled("demo").glob("*.wav")):
        with wave.open(str(path), "rb") as file:
            samples = array("h", file.readframes(file.getnframes()))
        loud = max(map(abs, samples)) / 10
        last = max(k for k, sample in enumerate(samples) if abs(sample) > loud)
        found.append(samples[: last + 1].tobytes())
    return found


class Server:
    """`cutmemo site` in a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.port = free_port()
        env = os.environ | {"CUTMEMO_FOLDER": str(folder), "CUTMEMO_PHRASE": PHRASE}
        memo = str(folder / "load.cutmemo")
        call = [sys.executable, "-m", "cutmemo", "--memo", memo, "site", "--port", str(self.port)]
        self.process = subprocess.Popen(call, stdout=subprocess.PIPE, text=True, env=env)
        assert self.process.stdout is not None
        while "Ctrl+C" not in self.process.stdout.readline():
            pass
        self.url = f"https://localhost:{self.port}"
        self.tls = ssl.create_default_context(cafile=str(folder / "site" / "authority.pem"))

    def megabytes(self) -> float:
        """Return the memory that the process has in use."""
        text = Path(f"/proc/{self.process.pid}/status").read_text()
        return next(
            int(line.split()[1]) / 1024 for line in text.splitlines() if line.startswith("VmRSS")
        )

    def cpu_seconds(self) -> float:
        fields = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


class Page:
    """One connection."""

    def __init__(self, server: Server, name: str) -> None:
        self.server, self.name = server, name
        self.rows: dict[str, float] = {}
        """When each row was shown first, by its id."""
        self.answers: list[tuple[float, list[str]]] = []
        """What came of each act: when, and its rows."""
        self.outcomes: list[tuple[int, list[str]]] = []
        """What came of each call: its last frame, and its rows."""

    async def open(self) -> None:
        session = self.session = aiohttp.ClientSession(cookie_jar=aiohttp.DummyCookieJar())
        form = {"phrase": PHRASE, "name": self.name}
        origin = {"Origin": self.server.url}
        async with session.post(
            f"{self.server.url}/phrase",
            data=form,
            headers=origin,
            ssl=self.server.tls,
            allow_redirects=False,
        ) as answer:
            self.cookie = answer.headers["Set-Cookie"].split(";")[0]
        self.socket = await session.ws_connect(
            f"{self.server.url}/live",
            headers={"Cookie": self.cookie},
            origin=self.server.url,
            protocols=[p.SUBPROTOCOL],
            ssl=self.server.tls,
            max_msg_size=0,
        )
        await self.socket.send_str(
            json.dumps({"t": "hello", "v": 1, "clock": time.time() * 1000, "by_id": True})
        )
        self.reading = asyncio.create_task(self._read())

    async def leave(self) -> None:
        """Put the device out: the site takes fifty at most."""
        await self.socket.close()
        headers = {"Origin": self.server.url, "Cookie": self.cookie}
        async with self.session.post(
            f"{self.server.url}/leave", headers=headers, ssl=self.server.tls
        ) as answer:
            assert answer.status == 204
        await self.session.close()

    async def _read(self) -> None:
        async for message in self.socket:
            now, told = time.perf_counter(), json.loads(message.data)
            if told["t"] == "view":
                for row in told["rows"]:
                    self.rows.setdefault(row if isinstance(row, str) else row["id"], now)
            elif told["t"] in ("done", "refused"):
                self.answers.append((now, told["rows"]))
            elif told["t"] == "outcome":
                self.outcomes.append((told["upto"], told["rows"]))

    async def speak(self, sounds: list[bytes], held: bool) -> list[tuple[int, float]]:
        """Send *sounds* in real time; return the frame of the last sound of each, and when it went."""
        stream, number, lasts = int.from_bytes(os.urandom(8), "little"), 0, []
        begin, at = time.perf_counter(), 0.0
        epoch = time.time() - begin
        for sound in sounds:
            behind = bytes(2 * int(16_000 * (BEHIND_SECONDS if held else PAUSE_SECONDS)))
            pcm, last_word = sound + behind, len(sound)
            pieces = range(0, len(pcm), 2 * SAMPLES)
            for k, start in enumerate(pieces):
                piece = pcm[start : start + 2 * SAMPLES]
                flags = p.HELD if held else 0
                flags |= p.FIRST if (held and k == 0) or number == 0 else 0
                flags |= p.LAST if held and k == len(pieces) - 1 else 0
                clock = (epoch + begin + at) * 1000
                at += len(piece) / 32_000
                await asyncio.sleep(max(0.0, begin + at - time.perf_counter()))
                await self.socket.send_bytes(
                    p.frame_bytes(p.Frame(stream, number, clock, piece, flags))
                )
                number += 1
                if start < last_word <= start + 2 * SAMPLES and not held:
                    lasts.append((number - 1, time.perf_counter()))
            if held:
                lasts.append((number - 1, time.perf_counter()))
                at += PAUSE_SECONDS
        if not held:
            await self.socket.send_bytes(
                p.frame_bytes(p.Frame(stream, number, (epoch + begin + at) * 1000, b"", p.LAST))
            )
        end = time.perf_counter() + WAIT_SECONDS
        while len(self.outcomes) < len(sounds) and time.perf_counter() < end:
            await asyncio.sleep(0.1)
        await asyncio.sleep(1)  # what came last is shown too
        return lasts


async def measured(
    server: Server, phones: int, count: int, held: bool, sounds: list[bytes]
) -> dict[str, Any]:
    name = f"{'press' if held else 'free'} {phones}x{count}"
    watcher = Page(server, f"watcher {name}")
    pages = [Page(server, f"{name} phone {n}") for n in range(phones)]
    try:
        for page in [watcher, *pages]:
            await page.open()
        await asyncio.sleep(1)
        before, cpu, begun = server.megabytes(), server.cpu_seconds(), time.perf_counter()
        said = [[sounds[(n + k) % len(sounds)] for k in range(count)] for n in range(phones)]
        lasts = await asyncio.gather(
            *(page.speak(each, held) for page, each in zip(pages, said, strict=True))
        )
        used = server.cpu_seconds() - cpu
        busy, a_call = used / (time.perf_counter() - begun), used / (phones * count)
        delays = []
        for page, times in zip(pages, lasts, strict=True):
            seen: set[str] = set()
            for frame, last in times:
                rows = next((rows for upto, rows in page.outcomes if upto >= frame), [])
                fresh = [row for row in rows if row in watcher.rows and row not in seen]
                seen |= set(rows)
                delays += [watcher.rows[row] - last for row in fresh[:1]]  # others change a row
        heard = sum(len(page.outcomes) for page in pages)
        return {
            "phones": phones,
            "calls": phones * count,
            "rows": heard,
            "delays": delays,
            "mb": server.megabytes() - before,
            "all_mb": server.megabytes(),
            "cpu": busy,
            "a_call": a_call,
        }
    finally:
        for page in [watcher, *pages]:
            await page.leave()


async def typed(server: Server, count: int = 60) -> tuple[list[float], list[float]]:
    """Return how long a typed call takes to be answered, and to stand on another page."""
    one, two = Page(server, "typist"), Page(server, "reader")
    try:
        for page in (one, two):
            await page.open()
        await asyncio.sleep(1)
        begun = []
        for k in range(count):
            begun.append(time.perf_counter())
            act = {
                "t": "act",
                "id": os.urandom(16).hex(),
                "do": "say",
                "at": time.time() * 1000,
                "text": f"{20 + k}-1/2",
            }
            await one.socket.send_str(json.dumps(act))
            await asyncio.sleep(0.25)
        answers = list(zip(begun, one.answers, strict=True))
        shown = [two.rows[rows[0]] - start for start, (_, rows) in answers if rows]
        return [end - start for start, (end, _) in answers], shown
    finally:
        for page in (one, two):
            await page.leave()


def quantiles(delays: list[float]) -> str:
    if len(delays) < 2:
        return "none"
    worst = statistics.quantiles(delays, n=20, method="inclusive")[-1]
    return f"median {statistics.median(delays):.2f} s, p95 {worst:.2f} s, most {max(delays):.2f} s"


async def main(phones: list[int], count: int) -> None:
    sounds = calls()
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder))
        try:
            answered, shown = await typed(server)
            print(
                f"typed: answered {quantiles(answered)}; on another page {quantiles(shown)}",
                flush=True,
            )
            await measured(server, 2, 1, True, sounds)  # loads the model, and warms it
            idle = server.megabytes()
            for held in (True, False):
                for number in phones:
                    found = await measured(server, number, count, held, sounds)
                    how = "push-to-talk" if held else "hands-free"
                    print(
                        f"{how}, {number} phones: {quantiles(found['delays'])}; {found['rows']} answers to {found['calls']} calls, {len(found['delays'])} new rows;"
                        f" {found['cpu']:.2f} cores, {found['a_call']:.2f} s of CPU a call; {found['mb'] / number:.1f} MB a phone ({found['all_mb']:.0f} MB in all, {idle:.0f} at first);"
                        f" load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores",
                        flush=True,
                    )
        finally:
            server.process.terminate()
            server.process.wait(20)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--phones", type=int, nargs="+", default=[1, 4, 8, 16])
    parser.add_argument("--calls", type=int, default=4)
    given = parser.parse_args()
    asyncio.run(main(given.phones, given.calls))

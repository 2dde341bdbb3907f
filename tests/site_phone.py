"""A phone as the page has it: keeps every frame until it is acknowledged, and every act until it is answered."""

from __future__ import annotations

import asyncio
import json
import secrets
import time
import wave
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import aiohttp

from cutmemo.site import protocol as p

SAMPLES = int(p.FRAME_SECONDS * 16_000)


def pcm_of(path: Path) -> bytes:
    """The sound of a recording of 16 kHz, mono."""
    with wave.open(str(path), "rb") as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (16_000, 1, 2)
        return file.readframes(file.getnframes())


@dataclass
class Kept:
    """A stream of which frames are kept."""

    frames: dict[int, p.Frame] = field(default_factory=dict)
    made: int = 0
    acked: int = -1
    sent: int = -1
    closed: bool = False
    """The page that recorded it is gone."""


class Phone:
    """One device; what is kept survives any number of connections."""

    def __init__(self, url: str, cookies: dict[str, str], ssl: Any = True) -> None:
        self.url, self.cookies, self.ssl = url, cookies, ssl
        self.streams: dict[int, Kept] = {}
        self.acts: dict[str, dict[str, Any]] = {}
        self.answered: dict[str, dict[str, Any]] = {}
        self.outcomes: dict[tuple[str, int], dict[str, Any]] = {}
        self.messages: list[dict[str, Any]] = []
        self.view: dict[str, Any] = {}
        self.arrived: dict[str, float] = {}
        self.bytes_before_cut: int | None = None
        self.messages_before_cut: int | None = None
        """How much more goes out, and comes in, before the network is cut."""
        self.cut = False
        self.acts_first = True
        """Whether acts go before sound that waits."""
        self.greeting: dict[str, Any] = {}
        """What its greeting has besides."""
        self._waiting: list[asyncio.Event] = []

    # --- what a person does -----------------------------------------------------------------------

    def stream(self) -> int:
        stream = secrets.randbits(64)
        self.streams[stream] = Kept()
        return stream

    def record(
        self,
        stream: int,
        pcm: bytes,
        clock: float | None = None,
        held: bool = True,
        flags: int = 0,
        last: bool = True,
    ) -> float:
        """Record all of *pcm* at once, as if it had been spoken up to now; return the clock at its end."""
        kept = self.streams[stream]
        seconds = len(pcm) / 32_000
        clock = time.time() * 1000 - 1000 * seconds if clock is None else clock
        pieces = [pcm[at : at + 2 * SAMPLES] for at in range(0, len(pcm), 2 * SAMPLES)]
        for k, piece in enumerate(pieces):
            found = flags | (p.HELD if held else 0)
            found |= p.FIRST if k == 0 and (held or kept.made == 0) else 0
            found |= p.LAST if last and k == len(pieces) - 1 else 0
            kept.frames[kept.made] = p.Frame(stream, kept.made, clock, piece, found)
            kept.made += 1
            clock += 1000 * len(piece) / 32_000
        return clock

    def act(self, do: str, **facts: Any) -> str:
        act_id = secrets.token_hex(16)
        at = time.time() * 1000
        self.acts[act_id] = {"t": "act", "id": act_id, "do": do, "at": at, "place": "work"} | facts
        return act_id

    @property
    def unsent(self) -> int:
        return len(self.acts) + sum(len(kept.frames) for kept in self.streams.values())

    # --- the connection ---------------------------------------------------------------------------

    async def run(self, until: Any = None, seconds: float = 60.0) -> None:
        """Connect, and stay until all is answered and *until* is true, or the connection ends."""
        done = until or (lambda: True)
        async with aiohttp.ClientSession(cookies=self.cookies) as session:
            origin = self.url
            async with session.ws_connect(
                f"{self.url}/live",
                protocols=[p.SUBPROTOCOL],
                origin=origin,
                ssl=self.ssl,
                max_msg_size=0,
            ) as socket:
                self.socket = socket
                await self._hello(socket)
                reader = asyncio.create_task(self._read(socket))
                sender = asyncio.create_task(self._send(socket))
                end = time.monotonic() + seconds
                try:
                    while not (self.unsent == 0 and done()) and not reader.done() and not self.cut:
                        left = end - time.monotonic()
                        assert left > 0, f"not answered: {self.unsent} kept; {self.messages[-5:]}"
                        await self._something(min(left, 0.5))
                finally:
                    for task in (reader, sender):
                        task.cancel()
                    ends = await asyncio.gather(reader, sender, return_exceptions=True)
                    for end_ in ends:
                        if isinstance(end_, AssertionError | KeyError):
                            raise end_

    async def look(self, at: str, until: Any) -> None:
        """Look at a page of the site, as soon as it is up, until *until* is true."""

        async def turn() -> None:
            while not self.view:
                await self._something(0.1)
            await self._write(self.socket, json.dumps({"t": "look", "at": at}))

        self.view = {}
        turning = asyncio.create_task(turn())
        await self.run(until)
        await turning

    async def _hello(self, socket: Any) -> None:
        for kept in self.streams.values():
            kept.sent = min(kept.frames, default=kept.made) - 1
        self._told: set[str] = set()
        self._greeting_at = len(self.messages)
        streams = [
            {"id": p.stream_name(each), "next": min(kept.frames, default=kept.made)}
            for each, kept in self.streams.items()
            if kept.frames or not kept.closed
        ]
        hello = {
            "t": "hello",
            "v": 1,
            "clock": time.time() * 1000,
            "streams": streams[:64],
            "acts": list(self.acts)[:500],
            **self.greeting,
        }
        await self._write(socket, json.dumps(hello))

    async def _write(self, socket: Any, data: str | bytes) -> None:
        """Send; the network may be cut in the middle of anything."""
        if self.bytes_before_cut is not None:
            self.bytes_before_cut -= len(data)
            if self.bytes_before_cut < 0:
                self._cut(socket)
        await (socket.send_str(data) if isinstance(data, str) else socket.send_bytes(data))

    def _cut(self, socket: Any) -> None:
        self.cut = True
        socket._response.connection.transport.abort()
        raise ConnectionResetError

    async def _send(self, socket: Any) -> None:
        """Send what is kept, the oldest stream first, and no more than the window at once."""
        while (
            self._greeting_at == len(self.messages)
            or self.messages[self._greeting_at]["t"] != "welcome"
        ):
            await self._something(0.5)
        ended: set[int] = set()
        while True:
            if self.acts_first:
                await self._send_acts(socket)
            for stream, kept in list(self.streams.items()):
                while kept.sent + 1 < kept.made and kept.sent - self._fed(stream) < p.WINDOW:
                    kept.sent += 1
                    if kept.sent in kept.frames:
                        await self._write(socket, p.frame_bytes(kept.frames[kept.sent]))
                if (
                    kept.closed
                    and kept.frames
                    and kept.sent == kept.made - 1
                    and stream not in ended
                ):
                    ended.add(stream)
                    await self._write(
                        socket,
                        json.dumps(
                            {"t": "end", "stream": p.stream_name(stream), "upto": kept.made - 1}
                        ),
                    )
                if kept.frames:
                    break  # the next stream once this one is safe
            await self._send_acts(socket)
            await self._something(0.05)

    async def _send_acts(self, socket: Any) -> None:
        for act_id, act in list(self.acts.items()):
            if act_id not in self._told:
                self._told.add(act_id)
                await self._write(socket, json.dumps(act))

    def _fed(self, stream: int) -> int:
        fed = [
            m["upto"]
            for m in self.messages
            if m["t"] in ("fed", "ack") and m.get("stream") == p.stream_name(stream)
        ]
        return max([self.streams[stream].acked, *fed[-1:]])

    async def _read(self, socket: Any) -> None:
        async for message in socket:
            if message.type is not aiohttp.WSMsgType.TEXT:
                break
            if self.messages_before_cut is not None:
                self.messages_before_cut -= 1
                if self.messages_before_cut < 0:
                    self._cut(socket)
            told = json.loads(message.data)
            self.messages.append(told)
            self.arrived[told["t"]] = time.monotonic()
            self._take(told)
            self._wake()
        self._wake()

    def _wake(self) -> None:
        for each in self._waiting:
            each.set()

    async def _something(self, seconds: float) -> None:
        """Wait until something came, or so long."""
        event = asyncio.Event()
        self._waiting.append(event)
        try:
            async with asyncio.timeout(seconds):
                await event.wait()
        except TimeoutError:
            pass
        finally:
            self._waiting.remove(event)

    def _take(self, told: dict[str, Any]) -> None:
        match told["t"]:
            case "welcome":
                for name, upto in told["acked"].items():
                    self._acked(int(name, 16), upto)
                for act_id, answer in told["done"].items():
                    self._answer(act_id, {"t": answer["kind"], **answer})
            case "ack":
                self._acked(int(told["stream"], 16), told["upto"])
            case "resend":
                kept = self.streams[int(told["stream"], 16)]
                kept.sent = told["from"] - 1
            case "outcome":
                self.outcomes[told["stream"], told["upto"]] = told
            case "done" | "refused":
                self._answer(told["id"], told)
            case "view":
                self.view = told

    def _acked(self, stream: int, upto: int) -> None:
        kept = self.streams[stream]
        kept.acked = max(kept.acked, upto)
        kept.sent = max(kept.sent, upto)
        for number in [each for each in kept.frames if each <= upto]:
            del kept.frames[number]

    def _answer(self, act_id: str, told: dict[str, Any]) -> None:
        if self.acts.pop(act_id, None) is not None:
            self.answered[act_id] = told

    # --- what it shows ----------------------------------------------------------------------------

    def of(self, kind: str) -> list[dict[str, Any]]:
        return [each for each in self.messages if each["t"] == kind]

    def rows(self) -> list[str]:
        return [row["text"] for row in sorted(self.view.get("rows", ()), key=lambda row: row["n"])]


def silence(seconds: float) -> bytes:
    """Nothing, as a quiet room has it."""
    return bytes(2 * int(16_000 * seconds))


def joined(parts: Iterable[bytes], pause: float) -> bytes:
    """Several calls with a pause behind each."""
    return b"".join(part + silence(pause) for part in parts)

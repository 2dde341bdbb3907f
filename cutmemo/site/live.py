"""One page's connection: frames and acts come in, what came of them and the memo go out."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import time
from collections import deque
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

from aiohttp import WSMsgType, web

from cutmemo import __version__
from cutmemo.errors import BadMemo, CutmemoError
from cutmemo.memo.receipts import NOTHING_TAKEN, Receipt
from cutmemo.site.devices import Devices
from cutmemo.site.ear import Ear, Hears, Left, Spoken
from cutmemo.site.hub import Hub
from cutmemo.site.limits import Bucket
from cutmemo.site.origins import KEY_PROTOCOL
from cutmemo.site.protocol import (
    HELD,
    LAST,
    MAX_FRAME_BYTES,
    MAX_TEXT_BYTES,
    SILENT_SECONDS,
    VERSION,
    WINDOW,
    Act,
    BadMessage,
    End,
    Frame,
    Hello,
    Look,
    OtherVersion,
    Ping,
    frame_of,
    message_of,
    message_text,
    stream_name,
)
from cutmemo.site.taking import (
    Device,
    Heard,
    act_key,
    broke_off,
    command_of,
    stream_key,
    take_act,
    take_sound,
    told_again,
)
from cutmemo.wording import explain_error
from cutmemo.wording import site as words

_log = logging.getLogger(__name__)

GONE, TOO_FAST, STUCK, NO_FORM = 4401, 4429, 4503, 1007
"""Why a connection ends, for the page."""
MAX_QUEUED = 2 * WINDOW
"""Frames that wait to be heard; a page that sends more has to send them again."""
MAX_OUT = 2_000
"""Messages that wait for a page that reads too slowly; then it is let go."""
_FRAMES_A_SECOND, _MESSAGES_A_SECOND = 400.0, 40.0
LAST_WORDS_SECONDS = 5.0
"""So long what waits for a page may take to be sent once the connection ends."""
MOMENT_SECONDS = 1.5
"""So long an act waits for a call that is being heard."""
_DAY = timedelta(days=1)


class Live:
    """One connection."""

    def __init__(  # noqa: PLR0913 - each is a fact of its own
        self,
        hub: Hub,
        device: Device,
        make: Callable[[], Hears],
        socket: web.WebSocketResponse,
        devices: Devices,
        elsewhere: dict[str, Any] | None = None,
    ) -> None:
        """Serve *device*, one of *devices*, on *socket*; hear with what *make* makes.

        *elsewhere* tells the page where it may deliver once its own address is gone.
        """
        self._devices, self._elsewhere = devices, elsewhere
        self.device, self.name = device, device.name
        self.ear, self.looks_at = "off", "work"
        self._hub, self._socket = hub, socket
        self._loop = asyncio.get_running_loop()
        self._ear = Ear(make, self)
        self._expected: dict[int, int] = {}
        self._left: dict[int, Left] = {}
        self._overrun: set[int] = set()
        self._asked: dict[int, int] = {}
        """From which frame each stream was asked for again, until that comes."""
        self._offset = timedelta(0)
        """How far the clock of this machine is ahead of the device's."""
        self._out: asyncio.Queue[str | None] = asyncio.Queue()
        self._newest: dict[str, str | dict[str, Any]] = {}
        self._by_id = False
        self._has: dict[str, Any] = {}
        """The rows that the page has, by their ids."""
        self._frames = Bucket(_FRAMES_A_SECOND, 4 * WINDOW)
        self._messages = Bucket(_MESSAGES_A_SECOND, 700)
        self._greeted = False
        self._acts: asyncio.Queue[Act] = asyncio.Queue()
        self._calls: deque[tuple[int, int]] = deque()
        """The last frames of presses that nothing has come of yet."""
        self._in_words: set[str] = set()
        """The streams in which somebody is speaking, hands-free."""
        self._settled = asyncio.Event()

    # --- the socket -------------------------------------------------------------------------------

    async def run(self) -> None:
        """Serve until the page goes, or has to."""
        writer = asyncio.create_task(self._write())
        actor = asyncio.create_task(self._do())
        try:
            await self._read()
        except OtherVersion:
            self._send("reload", sentence=words.LOAD_ANEW)
        except BadMessage as error:
            _log.info("%s sent what has no form: %s", self.name, error.why)
            await self.close(NO_FORM)
        except BadMemo as error:
            self.failed(error)
        finally:
            actor.cancel()
            self._ear.close()
            self._hub.leave(self)
            self._out.put_nowait(None)
            with contextlib.suppress(TimeoutError, ConnectionError, RuntimeError):
                async with asyncio.timeout(LAST_WORDS_SECONDS):
                    await writer
            await self.close(1000)

    async def _read(self) -> None:
        while True:
            try:
                message = await self._socket.receive(SILENT_SECONDS)
            except TimeoutError:
                return None
            if message.type is WSMsgType.TEXT:
                if not self._messages.take(time.monotonic()):
                    return await self.close(TOO_FAST)
                await self._message(message.data)
            elif message.type is WSMsgType.BINARY:
                if not self._frames.take(time.monotonic()):
                    return await self.close(TOO_FAST)
                await self._frame(frame_of(message.data))
            else:
                return None

    async def _write(self) -> None:
        while (kind := await self._out.get()) is not None:
            newest = self._newest.pop(kind, kind)
            text = newest if isinstance(newest, str) else self._view_text(newest)
            try:
                async with asyncio.timeout(SILENT_SECONDS):
                    await self._socket.send_str(text)
            except (TimeoutError, ConnectionError, RuntimeError):
                await self.close(1000)
                return

    async def close(self, code: int) -> None:
        """End the connection."""
        with contextlib.suppress(ConnectionError, RuntimeError):
            await self._socket.close(code=code)

    def put_out(self) -> None:
        """End it: the device was put out, or its session is over."""
        self._send("gone", sentence=words.GONE)
        self.end(GONE)

    def end(self, code: int) -> None:
        """End the connection once what waits was sent."""

        async def close() -> None:
            await asyncio.sleep(0.2)
            await self.close(code)

        self._ending = self._loop.create_task(close())

    def show(self, kind: str, text: str) -> None:
        """Send a message that takes the place of an older one of its *kind*."""
        if kind not in self._newest:
            self._out.put_nowait(kind)
        self._newest[kind] = text

    def show_view(self, view: dict[str, Any]) -> None:
        """Send a view, which takes the place of an older one."""
        if "view" not in self._newest:
            self._out.put_nowait("view")
        self._newest["view"] = view

    def _view_text(self, view: dict[str, Any]) -> str:
        """Return *view* as a message: a row that the page has as it is comes by its id alone."""
        had, self._has = self._has, {row["id"]: row for row in view["rows"]}
        same = {name for name, row in self._has.items() if had.get(name) is row}
        rows = [name if name in same else row for name, row in self._has.items()]
        return message_text("view", **(view | {"rows": rows} if self._by_id else view))

    def _send(self, kind: str, /, **facts: Any) -> None:
        if self._out.qsize() > MAX_OUT:
            self.end(TOO_FAST)
        else:
            self._out.put_nowait(message_text(kind, **facts))

    # --- messages ---------------------------------------------------------------------------------

    async def _message(self, text: str) -> None:
        message = message_of(text)
        if isinstance(message, Hello):
            await self._hello(message)
            return
        if not self._greeted:
            raise BadMessage("nothing comes before the greeting")
        match message:
            case Act():
                command_of(message)
                self._acts.put_nowait(message)
            case End():
                await self._end(message)
            case Look():
                self.looks_at, self.ear = message.at, message.ear
                self._hub.tell_crew()
                self.show("boards", self._hub.boards)
            case Ping():
                self._send("pong", clock=self._now_ms())

    def _now_ms(self) -> float:
        return self._hub.clock().timestamp() * 1000

    async def _hello(self, hello: Hello) -> None:
        self._offset = timedelta(milliseconds=self._now_ms() - hello.clock)
        other = self._devices.other_memo(self.device.id, self._hub.memo_ids)
        if other and (hello.streams or hello.acts):
            self._send("stuck", sentence=words.kept_for(other, self._hub.name))
            self.end(STUCK)
            return
        self._devices.shows(self.device.id, self._hub.memo_id, self._hub.name)
        streams = {int(each.id, 16): each.next for each in hello.streams}
        names = [stream_key(stream_name(each)) for each in streams]
        found = await self._receipts([*names, *map(act_key, hello.acts)])
        acked, outcomes = {}, []
        for stream, wanted in streams.items():
            receipt = found.get(stream_key(stream_name(stream)))
            self._note(stream, receipt, max(wanted, 0))
            if receipt is not None:
                acked[stream_name(stream)] = receipt.upto
                if receipt.upto >= wanted:
                    outcomes.append((stream_name(stream), receipt))
        memo = self._hub.memo.projection
        done = {}
        for act in hello.acts:
            receipt = found.get(act_key(act))
            if receipt is not None:
                told = told_again(memo, receipt)
                kind = "refused" if told["kind"] == "refused" else "done"
                done[act] = {"kind": kind, "sentence": told["sentence"]}
        self._greeted = True
        self.looks_at, self.ear, self._by_id = hello.at, hello.ear, hello.by_id
        self._send(
            "welcome",
            v=VERSION,
            version=__version__,
            device={"id": self.device.id, "name": self.device.name},
            memo=self._hub.name,
            memo_id=self._hub.memo_id,
            clock=self._now_ms(),
            elsewhere=self._elsewhere,
            acked=acked,
            done=done,
        )
        for name, receipt in outcomes:
            self._outcome(name, receipt, told_again(memo, receipt))
        self._hub.join(self)  # at once with the view: what changes from here on is shown as well
        self.show_view(self._hub.view)
        self.show("boards", self._hub.boards)
        self.show("trouble", await self._hub.trouble_of(self))

    def _outcome(self, stream: str, receipt: Receipt, told: dict[str, Any]) -> None:
        """Tell again what came of what was taken before, unless that was nothing."""
        if told["kind"] != "noise" or told["sentence"]:
            where = {"stream": stream, "upto": receipt.upto, "at": receipt.at, "heard": ""}
            self._send("outcome", **where, **told)

    async def _receipts(self, names: list[str]) -> dict[str, Receipt]:
        return await self._hub.call(lambda: self._hub.memo.store.receipts(names))

    def _note(self, stream: int, receipt: Receipt | None, wanted: int) -> None:
        """Note from which frame on *stream* is heard."""
        if stream in self._expected:
            return
        taken = receipt.upto if receipt is not None else NOTHING_TAKEN
        self._expected[stream] = max(taken + 1, wanted)
        self._left[stream] = Left(taken, receipt is not None and broke_off(receipt))

    async def _do(self) -> None:
        """Carry out one act after the other, each once what was called before it has come to
        something.
        """
        while True:
            act = await self._acts.get()
            behind = self._calls[-1] if self._calls else None
            await self._settle(behind)
            at = self._time_of(act.at)
            try:
                told = await self._take(act, at)
            except BadMemo as error:
                self.failed(error)
                return
            except Exception as error:  # the end of a worker: it is told
                _log.exception("an act could not be taken")
                told = {"id": act.id, "kind": "refused", "sentence": words.broke(error)}
            self._send("refused" if told["kind"] == "refused" else "done", **told)
            self._hub.changed()

    async def _take(self, act: Act, at: datetime) -> dict[str, Any]:
        memo, device = self._hub.memo, self.device
        return await self._hub.call(lambda: take_act(memo, device, act, at))

    async def _settle(self, behind: tuple[int, int] | None) -> None:
        """Wait until the press *behind* which an act came has come to something; for a call that is
        being heard hands-free a moment.
        """
        while behind is not None and behind in self._calls:
            self._settled.clear()
            await self._settled.wait()
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(MOMENT_SECONDS):
                while self._in_words:
                    self._settled.clear()
                    await self._settled.wait()

    def _time_of(self, clock: float) -> datetime:
        """Return the time of this machine at *clock* of the device, never one to come."""
        now = self._hub.clock()
        told = datetime.fromtimestamp(clock / 1000, UTC) + self._offset
        return max(min(told.astimezone(), now), now - _DAY)

    # --- sound ------------------------------------------------------------------------------------

    async def _frame(self, frame: Frame) -> None:
        if not self._greeted:
            raise BadMessage("nothing comes before the greeting")
        expected = await self._expecting(frame.stream)
        if frame.number < expected:
            return
        if frame.number > expected:
            self._ask_again(frame.stream)
            return
        if self._ear.waiting >= MAX_QUEUED:
            self._overrun.add(frame.stream)
            return
        self._asked.pop(frame.stream, None)
        self._expected[frame.stream] = expected + 1
        self._ear.put(frame, self._left[frame.stream])
        if frame.flags & HELD and frame.flags & LAST:
            self._calls.append((frame.stream, frame.number))

    async def _expecting(self, stream: int) -> int:
        if stream not in self._expected:
            key = stream_key(stream_name(stream))
            self._note(stream, (await self._receipts([key])).get(key), 0)
        return self._expected[stream]

    def _ask_again(self, stream: int) -> None:
        """Ask for the frames that are missing, once."""
        expected = self._expected[stream]
        if stream not in self._overrun and self._asked.get(stream) != expected:
            self._asked[stream] = expected
            self._send("resend", stream=stream_name(stream), **{"from": expected})

    async def _end(self, end: End) -> None:
        stream = int(end.stream, 16)
        expected = await self._expecting(stream)
        if expected <= end.upto:
            self._ask_again(stream)
            return
        self._ear.end(stream)
        if self._left[stream].upto >= end.upto:
            self._send("ack", stream=end.stream, upto=self._left[stream].upto)

    # --- from the ear's thread --------------------------------------------------------------------

    def _soon(self, work: Callable[[], None]) -> None:
        with contextlib.suppress(RuntimeError):  # the loop is closed: nobody listens any more
            self._loop.call_soon_threadsafe(work)

    def words(self, stream: str, text: str) -> None:
        """Show the words so far."""

        def tell() -> None:
            (self._in_words.add if text else self._in_words.discard)(stream)
            self._settled.set()
            self._send("words", stream=stream, text=text)

        self._soon(tell)

    def heard(self, stream: str, upto: int) -> None:
        """Tell how far was heard; what was too much before is sent for now."""

        def tell() -> None:
            self._send("fed", stream=stream, upto=upto)
            if self._overrun and self._ear.waiting < WINDOW // 2:
                overrun, self._overrun = self._overrun, set()
                for each in overrun:
                    self._ask_again(each)

        self._soon(tell)

    def spoken(self, spoken: Spoken) -> None:
        """Take an utterance, and tell what came of it."""
        at = self._time_of(spoken.clock)
        heard = Heard(
            spoken.stream,
            spoken.before,
            spoken.upto,
            at,
            spoken.recognition,
            spoken.at_saw,
            spoken.broke,
        )
        memo, device = self._hub.memo, self.device
        told = self._hub.wait_for(lambda: take_sound(memo, device, heard))

        def tell() -> None:
            stream = int(spoken.stream, 16)
            self._left[stream] = Left(spoken.upto, spoken.broke)
            self._settle_calls(stream, spoken.upto)
            if told["kind"] != "noise" or told["sentence"]:
                self._send("outcome", at=at.isoformat(), **told)
            self._send("ack", stream=spoken.stream, upto=spoken.upto)

        self._soon(tell)
        self._hub.changed()

    def _settle_calls(self, stream: int, upto: int) -> None:
        kept = [call for call in self._calls if call[0] != stream or call[1] > upto]
        self._calls = deque(kept)
        self._settled.set()

    def lost(self, stream: str, receipt: Receipt) -> None:
        """Tell what came of what another connection took, and send for what comes behind it."""
        upto = receipt.upto
        told = self._hub.wait_for(lambda: told_again(self._hub.memo.projection, receipt))

        def again() -> None:
            number = int(stream, 16)
            self._outcome(stream, receipt, told)
            self._expected[number] = upto + 1
            self._left[number] = Left(upto)
            self._settle_calls(number, 2**32)
            self._asked.pop(number, None)
            self._ear.again(number)
            self._send("ack", stream=stream, upto=upto)
            self._ask_again(number)

        self._soon(again)

    def failed(self, error: Exception) -> None:
        """Tell that nothing can be taken now, and end the connection: the page keeps it all."""
        why = explain_error(error) if isinstance(error, CutmemoError) else words.broke(error)

        def tell() -> None:
            self._send("stuck", sentence=f"{why} {words.NOT_NOW}")
            self.end(STUCK)

        self._soon(tell)


async def serve_live(  # noqa: PLR0913 - each is a fact of its own
    request: web.Request,
    hub: Hub,
    device: Device,
    make: Callable[[], Hears],
    devices: Devices,
    elsewhere: dict[str, Any] | None = None,
) -> tuple[web.WebSocketResponse, Live]:
    """Return the open socket of *request* and its connection, for :meth:`Live.run`."""
    asked = request.headers.get("Sec-WebSocket-Protocol", "").split(",")
    ours = [each.strip() for each in asked if each.strip().startswith("cutmemo.")]
    ours = [each for each in ours if not each.startswith(KEY_PROTOCOL)][:1]
    limit = max(MAX_FRAME_BYTES + 64, MAX_TEXT_BYTES)
    socket = web.WebSocketResponse(
        protocols=ours, max_msg_size=limit, heartbeat=SILENT_SECONDS / 2, compress=False
    )
    await socket.prepare(request)
    return socket, Live(hub, device, make, socket, devices, elsewhere)

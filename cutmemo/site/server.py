"""Answers the devices of the crew with the pages of their memo."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterable
from typing import Any

from aiohttp import web

from cutmemo import __version__
from cutmemo.errors import NoSite
from cutmemo.site.assets import Assets
from cutmemo.site.devices import Devices
from cutmemo.site.doors import Doors
from cutmemo.site.ear import Hears
from cutmemo.site.gate import DEVICE, Gate
from cutmemo.site.hub import Hub
from cutmemo.site.live import TOO_FAST, Live, serve_live
from cutmemo.site.origins import KEY_PROTOCOL, Origins
from cutmemo.site.protocol import VERSION
from cutmemo.site.taking import Device
from cutmemo.wording import site as words

_log = logging.getLogger(__name__)
MAX_LIVE = 4
"""Connections of one device; one more takes the place of the oldest."""
CHECK_SECONDS = 1.0
"""How often it is looked for devices that were put out."""


class Server(Gate):
    """The pages of one memo."""

    def __init__(  # noqa: PLR0913 - each is a fact of its own
        self,
        hub: Hub,
        devices: Devices,
        make: Callable[[], Hears],
        origins: Callable[[], frozenset[str]],
        doors: Callable[[Server], Doors] | None = None,
        former: Origins | None = None,
    ) -> None:
        """Serve *hub* to *devices* at *origins*; hear with what *make* makes.

        Without *doors* it serves this machine alone, where nobody has to join. Pages of *former*
        origins may deliver what they keep.
        """
        super().__init__(devices, origins, secure=doors is not None)
        self._former = former
        self.hub, self._make = hub, make
        self._doors = doors(self).routes() if doors is not None else []
        self._assets = Assets()
        self._live: dict[str, list[Live]] = {}
        self._tasks: list[asyncio.Task[None]] = []

    def app(self) -> web.Application:
        """Return the application."""
        app = self.guarded(
            [
                web.get("/", self._shell),
                web.get("/who", self._who),
                web.get("/live", self._connect),
                web.post("/leave", self.leave),
                *self._doors,
                *self._assets.routes(),
            ]
        )
        app.on_startup.append(self._start)
        app.on_shutdown.append(self._stop)
        return app

    async def _start(self, _app: web.Application) -> None:
        await self.hub.open()
        self._tasks.append(asyncio.create_task(self._put_out()))

    async def _stop(self, _app: web.Application) -> None:
        for task in self._tasks:
            task.cancel()
        for live in [each for lives in self._live.values() for each in lives]:
            await live.close(1001)
        await self.hub.close()

    # --- pages of a former address ----------------------------------------------------------------

    def _reach(self) -> Iterable[str]:
        return [] if self._former is None else map(_socket_of, sorted(self._origins()))

    def _delivering(self, request: web.Request) -> Device | None:
        """Return the device whose page of a former origin delivers what it keeps."""
        if self._former is None or not self._former.known(request.headers.get("Origin", "")):
            return None
        offered = request.headers.get("Sec-WebSocket-Protocol", "").split(",")
        keys = [each.strip() for each in offered if each.strip().startswith(KEY_PROTOCOL)]
        known = self.devices.with_session()
        found = self._former.device_of(keys[0].removeprefix(KEY_PROTOCOL), known) if keys else None
        return None if found is None else known[found]

    def _elsewhere(self, device: Device) -> dict[str, Any] | None:
        """Return where, and with which key, the page of *device* delivers once its address is
        gone.
        """
        if self._former is None:
            return None
        sockets = [f"{_socket_of(each)}/live" for each in sorted(self._origins())]
        return {"sockets": sockets, "key": self._former.key(device.id)}

    # --- pages ------------------------------------------------------------------------------------

    async def _shell(self, request: web.Request) -> web.StreamResponse:
        if request[DEVICE] is None and self._secure:
            raise web.HTTPSeeOther("/enter")
        response = await self._assets.shell(request)
        if request[DEVICE] is None:
            self.let_in(response, words.THIS_MACHINE, "")
        return response

    async def _who(self, request: web.Request) -> web.StreamResponse:
        device = self.device(request)
        facts: dict[str, Any] = {
            "device": {"id": device.id, "name": device.name},
            "memo": self.hub.name,
            "version": __version__,
            "v": VERSION,
        }
        return web.json_response(facts, headers={"Cache-Control": "no-store"})

    async def _connect(self, request: web.Request) -> web.StreamResponse:
        device = self.device(request)
        elsewhere = self._elsewhere(device)
        socket, live = await serve_live(
            request, self.hub, device, self._make, self.devices, elsewhere
        )
        lives = self._live.setdefault(device.id, [])
        if len(lives) >= MAX_LIVE:
            lives.pop(0).end(TOO_FAST)
        lives.append(live)
        try:
            await live.run()
        finally:
            if live in lives:
                lives.remove(live)
            if not lives:
                self._live.pop(device.id, None)
        return socket

    async def _put_out(self) -> None:
        """End the connections of devices that were put out; note that others are used."""
        while True:
            await asyncio.sleep(CHECK_SECONDS)
            try:
                for device_id, lives in list(self._live.items()):
                    if self.devices.is_in(device_id):
                        self.devices.use(device_id)
                    else:
                        for live in lives:
                            live.put_out()
            except NoSite:
                _log.exception("the devices cannot be read")


def _socket_of(origin: str) -> str:
    """Return *origin* as a page writes it for a socket."""
    return origin.replace("http", "ws", 1)

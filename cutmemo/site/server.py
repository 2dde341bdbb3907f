"""Answers the devices of the crew, and nobody else: every request passes the guard first."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from typing import Any

from aiohttp import web

from cutmemo import __version__
from cutmemo.errors import NoSite
from cutmemo.site.assets import Assets
from cutmemo.site.devices import Devices
from cutmemo.site.doors import Doors
from cutmemo.site.ear import Hears
from cutmemo.site.hub import Hub
from cutmemo.site.live import TOO_FAST, Live, serve_live
from cutmemo.site.near import is_near
from cutmemo.site.origins import KEY_PROTOCOL, Origins
from cutmemo.site.protocol import VERSION
from cutmemo.site.taking import Device
from cutmemo.wording import explain_error
from cutmemo.wording import site as words

_log = logging.getLogger(__name__)
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

DEVICE: web.RequestKey[Device | None] = web.RequestKey("device", Device)
"""Who asks; nobody where there is no session."""
MAX_BODY_BYTES = 4_096
MAX_LIVE = 4
"""Connections of one device; one more takes the place of the oldest."""
CHECK_SECONDS = 1.0
"""How often it is looked for devices that were put out."""
COOKIE_SECONDS = 30 * 86_400
SAFE = {
    "Content-Security-Policy": "default-src 'self'; script-src 'self'; style-src 'self'; "
    "img-src 'self' data: blob:; connect-src 'self'; media-src 'self' blob:; worker-src 'self'; "
    "object-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "microphone=(self), camera=(), geolocation=()",
}
"""Nothing is loaded from anywhere else, no script stands in a page, and no page may hold this
one.
"""


class Server:
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
        self._former = former
        self.hub, self.devices, self._make = hub, devices, make
        self._origins, self._secure = origins, doors is not None
        self._doors = doors(self).routes() if doors is not None else []
        self._assets = Assets()
        self._live: dict[str, list[Live]] = {}
        self._tasks: list[asyncio.Task[None]] = []

    @property
    def cookie(self) -> str:
        """Return the name of the session's cookie; with the prefix it belongs to one origin."""
        return "__Host-cutmemo" if self._secure else "cutmemo"

    def app(self) -> web.Application:
        """Return the application."""
        app = web.Application(middlewares=[self._guard], client_max_size=MAX_BODY_BYTES)
        app.add_routes(
            [
                web.get("/", self._shell),
                web.get("/who", self._who),
                web.get("/live", self._connect),
                web.post("/leave", self._leave),
                *self._doors,
                *self._assets.routes(),
            ]
        )
        app.on_response_prepare.append(self._safely)
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

    # --- the guard --------------------------------------------------------------------------------

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Answer only who is meant to be answered, and where it stands in the pages, nobody else:
        what is under ``/page`` and its like holds no data, and a browser asks for some of it
        without its cookies.
        """
        scheme = "https" if self._secure else "http"
        here = f"{scheme}://{request.host}".lower()
        if here not in self._origins():
            raise web.HTTPForbidden(text=words.OTHER_NAME)
        if self._secure and not is_near(request.remote or ""):
            raise web.HTTPForbidden(text=words.NOT_FROM_HERE)
        origin = request.headers.get("Origin")
        changes = request.method not in ("GET", "HEAD") or request.path == "/live"
        strange = origin != here and (origin is not None or changes)
        try:
            if strange and (request.path != "/live" or self._delivering(request) is None):
                raise web.HTTPForbidden(text=words.ANOTHER_SITE)
            token = request.cookies.get(self.cookie, "")
            request[DEVICE] = self._delivering(request) if strange else self.devices.of(token)
            return await handler(request)
        except NoSite as error:
            raise web.HTTPServiceUnavailable(text=explain_error(error)) from error

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

    def device(self, request: web.Request) -> Device:
        """Return the device that asks. Raises :class:`web.HTTPUnauthorized`."""
        device = request[DEVICE]
        if device is None:
            raise web.HTTPUnauthorized(text=words.JOIN_FIRST)
        return device

    def let_in(self, response: web.StreamResponse, name: str, who: str) -> Device:
        """Let a new device in with *response*. Raises :class:`NoSite`."""
        device, token = self.devices.join(name, who)
        response.set_cookie(
            self.cookie,
            token,
            max_age=COOKIE_SECONDS,
            path="/",
            secure=self._secure,
            httponly=True,
            samesite="Strict",
        )
        _log.info("%s joined", device.name)
        return device

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

    async def _leave(self, request: web.Request) -> web.StreamResponse:
        self.devices.remove(self.device(request).id)
        response = web.Response(status=204)
        response.del_cookie(self.cookie, path="/", secure=self._secure, samesite="Strict")
        return response

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

    async def _safely(self, _request: web.Request, response: web.StreamResponse) -> None:
        """Send what keeps a page to itself with every answer."""
        sockets = sorted(self._origins()) if self._former is not None else []
        reach = " ".join(["connect-src 'self'", *(_socket_of(each) for each in sockets)])
        policy = SAFE["Content-Security-Policy"].replace("connect-src 'self'", reach)
        response.headers["Content-Security-Policy"] = policy
        for name, value in SAFE.items():
            response.headers.setdefault(name, value)
        response.headers.setdefault("Cache-Control", "no-store")
        response.headers.popall("Server", None)

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

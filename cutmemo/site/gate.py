"""The gate before every page: it answers the devices that have joined, and nobody else."""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable, Iterable

from aiohttp import web

from cutmemo.errors import NoSite
from cutmemo.site.devices import Devices
from cutmemo.site.near import is_near
from cutmemo.site.taking import Device
from cutmemo.wording import explain_error
from cutmemo.wording import site as words

_log = logging.getLogger(__name__)
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

DEVICE: web.RequestKey[Device | None] = web.RequestKey("device", Device)
"""Who asks; nobody where there is no session."""
MAX_BODY_BYTES = 4_096
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


class Gate:
    """Lets devices in, knows them again, and keeps what they are sent to themselves."""

    def __init__(
        self,
        devices: Devices,
        origins: Callable[[], frozenset[str]],
        secure: bool,
        cookie: str = "cutmemo",
    ) -> None:
        """Answer *devices* at *origins*; *secure* over TLS, where a device has to join first."""
        self.devices, self._origins, self._secure = devices, origins, secure
        self._cookie = cookie

    @property
    def cookie(self) -> str:
        """Return the name of the session's cookie; with the prefix it belongs to one origin."""
        return f"__Host-{self._cookie}" if self._secure else self._cookie

    def guarded(self, routes: Iterable[web.RouteDef]) -> web.Application:
        """Return an application with *routes* behind the gate."""
        app = web.Application(middlewares=[self._guard], client_max_size=MAX_BODY_BYTES)
        app.add_routes(routes)
        app.on_response_prepare.append(self._safely)
        return app

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

    def _delivering(self, _request: web.Request) -> Device | None:
        """Return the device whose page may deliver from elsewhere: none."""
        return None

    def _reach(self) -> Iterable[str]:
        """Return where a page may connect to besides its own address: nowhere."""
        return ()

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

    async def leave(self, request: web.Request) -> web.StreamResponse:
        """Put out the device that asks."""
        self.devices.remove(self.device(request).id)
        response = web.Response(status=204)
        response.del_cookie(self.cookie, path="/", secure=self._secure, samesite="Strict")
        return response

    async def _safely(self, _request: web.Request, response: web.StreamResponse) -> None:
        """Send what keeps a page to itself with every answer."""
        reach = " ".join(["connect-src 'self'", *self._reach()])
        policy = SAFE["Content-Security-Policy"].replace("connect-src 'self'", reach)
        response.headers["Content-Security-Policy"] = policy
        for name, value in SAFE.items():
            response.headers.setdefault(name, value)
        response.headers.setdefault("Cache-Control", "no-store")
        response.headers.popall("Server", None)

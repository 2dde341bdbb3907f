"""Serves the screen to browsers, one process a tab, and lets nobody in who is not meant to be.

On this machine only pages of this machine are answered (Host and Origin are checked, so that no
other web site can reach in). On the site's network everybody needs the pass phrase first.
"""

from __future__ import annotations

import contextvars
import itertools
import secrets
import shlex
import socket
import subprocess
import sys
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import aiohttp_jinja2
from aiohttp import web
from textual_serve.server import Server

from cutmemo.errors import NoBrowser
from cutmemo.wording import browser as words

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

COOKIE = "cutmemo"
PAGES = Path(__file__).parent / "pages"
LOCAL = ("localhost", "127.0.0.1", "[::1]")
WAIT_AFTER_WRONG_SECONDS = 2.0
"""How long after a wrong pass phrase nobody may try again."""
SAFE = {
    "Content-Security-Policy": "default-src 'self'; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; "  # noqa: E501 - a sentence is not cut
    "img-src 'self' data:; connect-src 'self' ws: wss:; frame-ancestors 'none'; form-action 'self'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}
"""Nothing is loaded from anywhere else, and no page may hold this one."""

_who: contextvars.ContextVar[str] = contextvars.ContextVar("who", default="")


class Site(Server):
    """One memo, served."""

    def __init__(  # noqa: PLR0913 - each is a fact of its own
        self,
        memo: str,
        port: int,
        phrase: str | None,
        model: str | None,
        log: str | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Serve *memo* on *port*: with no *phrase* to this machine alone, else to its network."""
        self._memo, self._phrase, self._model, self._log = memo, phrase, model, log
        self._clock = clock
        self._number, self._since = itertools.count(1), time.strftime("%m%d-%H%M%S")
        self._let_in: dict[str, str] = {}
        self._shut_until = 0.0
        host = "localhost" if phrase is None else "0.0.0.0"  # noqa: S104 - opened on purpose, behind the phrase
        super().__init__("cutmemo", host=host, port=port, title="cutmemo", templates_path=PAGES)

    @property
    def command(self) -> str:
        """Return the command of a fresh tab, each a station of its own, so that one does not undo
        what another did.
        """
        station = f"browser {self._since}-{next(self._number)}"
        call = [
            sys.executable,
            "-m",
            "cutmemo",
            "--memo",
            self._memo,
            "screen",
            "--station",
            station,
        ]
        call += ["--who", _who.get()] if _who.get() else []
        call += ["--model", self._model] if self._model else []
        call += ["--log", self._log] if self._log else []
        return subprocess.list2cmdline(call) if sys.platform == "win32" else shlex.join(call)

    @command.setter
    def command(self, _name: str) -> None:
        """Leave it: a tab's command is made when the tab is opened."""

    async def _make_app(self) -> web.Application:
        """Return the application with the guard before everything and the door for the pass
        phrase.
        """
        app = await super()._make_app()
        app.middlewares.append(self._guard)
        app.add_routes([web.get("/enter", self._ask_phrase), web.post("/enter", self._enter)])
        return app

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Answer only who is meant to be answered."""
        name = request.host.rsplit(":", 1)[0] if not request.host.endswith("]") else request.host
        if self._phrase is None and name not in LOCAL:
            raise web.HTTPForbidden(text=words.THIS_MACHINE_ONLY)
        origin = request.headers.get("Origin")
        if origin is not None and origin.split("://")[-1] != request.host:
            raise web.HTTPForbidden(text=words.ANOTHER_SITE)
        who = self._let_in.get(request.cookies.get(COOKIE, ""))
        if self._phrase is not None and who is None and request.path != "/enter":
            if request.path == "/":
                raise web.HTTPSeeOther("/enter")
            raise web.HTTPForbidden(text=words.PHRASE_FIRST)
        _who.set(who or "")
        response = await handler(request)
        if not response.prepared:
            response.headers.update(SAFE)
        return response

    async def _ask_phrase(self, request: web.Request) -> web.Response:
        return self._door(request, "")

    async def _enter(self, request: web.Request) -> web.Response:
        """Let in who knows the pass phrase; after a wrong one everybody waits a moment."""
        if self._clock() < self._shut_until:
            return self._door(request, words.TOO_SOON, 429)
        said = await request.post()
        if self._phrase is None or not secrets.compare_digest(
            str(said.get("phrase", "")).encode(), self._phrase.encode()
        ):
            self._shut_until = self._clock() + WAIT_AFTER_WRONG_SECONDS
            return self._door(request, words.WRONG_PHRASE, 403)
        token = secrets.token_urlsafe(32)
        self._let_in[token] = str(said.get("who", "")).strip()[:40] or "somebody"
        response = web.HTTPSeeOther("/")
        response.set_cookie(COOKIE, token, httponly=True, samesite="Strict", max_age=16 * 3600)
        raise response

    def _door(self, request: web.Request, told: str, status: int = 200) -> web.Response:
        page = {**words.ENTER_PAGE, "told": told}
        return aiohttp_jinja2.render_template("enter.html", request, page, status=status)

    @aiohttp_jinja2.template("app_index.html")
    async def handle_index(self, request: web.Request) -> dict[str, Any]:
        """Return what the page is filled with; all addresses are those the browser asked."""
        narrow = request.query.get("fontsize", "")
        return {
            **words.SCREEN_PAGE,
            "font_size": int(narrow) if narrow.isdecimal() else 16,
            "websocket": f"ws://{request.host}/ws",
        }

    async def on_startup(self, app: web.Application) -> None:
        """Say nothing yet: nobody can come in before the port is open."""

    def serve(self, debug: bool = False) -> None:  # noqa: ARG002 - the base class's
        """Serve until it is stopped. Raises :class:`NoBrowser` where the port is taken."""
        try:
            web.run_app(
                self._make_app(),
                host=self.host,
                port=self.port,
                print=lambda *_: self._tell(),
                access_log=None,
            )
        except OSError as error:
            raise NoBrowser(words.port_taken(self.port, error.strerror or error)) from error

    def _tell(self) -> None:
        """Say where to look."""
        if self._phrase is None:
            print(words.open_here(self.port), flush=True)
        else:
            print(words.open_on_site(_address(), self.port), flush=True)
            print(words.NOT_ENCRYPTED, flush=True)


def _address() -> str:
    """Return this machine's address on its network; nothing is sent for it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return socket.gethostname()
        return str(probe.getsockname()[0])

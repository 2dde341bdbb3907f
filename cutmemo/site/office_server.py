"""Serves the page of the one who orders: the order of all sites, their hand-off, and CSV."""

from __future__ import annotations

import asyncio
import html
from collections.abc import Callable
from pathlib import Path

from aiohttp import web

from cutmemo.present.office_page import START, STYLE
from cutmemo.site.assets import Assets
from cutmemo.site.devices import Devices
from cutmemo.site.doors import Doors
from cutmemo.site.gate import DEVICE, Gate
from cutmemo.site.office_pages import APART, HANDOFF, TOGETHER, OfficePages, Shown
from cutmemo.wording import office_yard as words
from cutmemo.wording import site as site_words

FILES = Path(__file__).parent / "office_page"
COOKIE = "cutmemo-office"
"""A session of its own: who has joined a site does not see the order of all."""
PATHS = {"/": TOGETHER, "/by-site": APART, "/handoff": HANDOFF}
CSV_PATHS = {"/order.csv": TOGETHER, "/order-by-site.csv": APART}
BEAT_SECONDS = 5.0
"""How often a page that waits hears from the server, and it is seen whether its device is in."""
MADE, BEAT = b"event: made\ndata:\n\n", b":\n\n"
"""What it hears: that a view was made; that the server is there (WHATWG HTML, 9.2)."""
MAX_WAITING = 40
"""Pages that wait for news at once."""


class OfficeServer(Gate):
    """The pages of one office."""

    def __init__(
        self,
        pages: OfficePages,
        devices: Devices,
        origins: Callable[[], frozenset[str]],
        doors: Callable[[OfficeServer], Doors] | None = None,
    ) -> None:
        """Serve *pages* to *devices* at *origins*; without *doors* to this machine alone, where
        nobody has to join.
        """
        super().__init__(devices, origins, secure=doors is not None, cookie=COOKIE)
        self._pages = pages
        self._doors = doors(self).routes() if doors is not None else []
        self._assets = Assets(FILES)
        self._waiting: set[asyncio.Event] = set()
        self._ending = False

    def app(self) -> web.Application:
        """Return the application."""
        app = self.guarded(
            [
                *(web.get(path, self._page) for path in PATHS),
                *(web.get(path, self._csv) for path in CSV_PATHS),
                web.get("/news", self._news),
                web.post("/leave", self.leave),
                web.get("/office.css", _style),
                *self._assets.file_routes(),
                *self._doors,
            ]
        )
        app.on_startup.append(self._start)
        app.on_shutdown.append(self._stop)
        return app

    async def _start(self, _app: web.Application) -> None:
        self._pages.start()

    async def _stop(self, _app: web.Application) -> None:
        self._ending = True
        for made in self._waiting:
            made.set()
        self._pages.close()

    async def _page(self, request: web.Request) -> web.StreamResponse:
        if request[DEVICE] is None and self._secure:
            raise web.HTTPSeeOther("/enter")
        page = _page(request.path, self._pages.shown(PATHS[request.path]))
        response = web.Response(text=page, content_type="text/html")
        if request[DEVICE] is None:
            self.let_in(response, site_words.THIS_MACHINE, "")
        return response

    async def _csv(self, request: web.Request) -> web.StreamResponse:
        """Send the order as a file, once there is one."""
        self.device(request)
        view, name = CSV_PATHS[request.path], request.path.lstrip("/")
        shown = self._pages.shown(view)
        if not shown.at:
            raise web.HTTPServiceUnavailable(text=shown.trouble or shown.doing)
        headers = {"Content-Disposition": f'attachment; filename="{name}"'}
        return web.Response(text=f"{shown.csv}\n", content_type="text/csv", headers=headers)

    async def _news(self, request: web.Request) -> web.StreamResponse:
        """Tell a page, as long as it is open, each time that a view was made."""
        device = self.device(request)
        if len(self._waiting) >= MAX_WAITING:
            raise web.HTTPServiceUnavailable(text=words.TOO_MANY_PAGES)
        loop, made = asyncio.get_running_loop(), asyncio.Event()
        end = self._pages.tell(lambda: _set(loop, made))
        self._waiting.add(made)
        response = web.StreamResponse(headers={"Content-Type": "text/event-stream"})
        try:
            await response.prepare(request)
            made.set()  # something may have been made before it listened
            while self.devices.is_in(device.id) and not self._ending:
                await response.write(MADE if made.is_set() else BEAT)
                made.clear()
                await _wait(made, BEAT_SECONDS)
                self.devices.use(device.id)
        except ConnectionResetError:
            pass  # the page was closed
        finally:
            self._waiting.discard(made)
            end()
        return response


def _set(loop: asyncio.AbstractEventLoop, made: asyncio.Event) -> None:
    """Set *made* from another thread; a loop that has ended waits for nothing."""
    if not loop.is_closed():
        loop.call_soon_threadsafe(made.set)


async def _wait(made: asyncio.Event, seconds: float) -> None:
    try:
        async with asyncio.timeout(seconds):
            await made.wait()
    except TimeoutError:
        return


def _page(path: str, shown: Shown) -> str:
    """Return one view as a page; all that is told is text."""
    title = words.HANDOFF_PAGE if path == "/handoff" else words.ORDER_PAGE
    links = "".join(
        f'<a href="{to}"{" aria-current=page" if to == path else ""}>{_text(name)}</a>'
        for to, name in words.VIEWS
    )
    csv = {"/": "/order.csv", "/by-site": "/order-by-site.csv"}.get(path)
    download = f'<a href="{csv}" download>{_text(words.DOWNLOAD)}</a>' if csv else ""
    told = words.as_of(shown.at) if shown.at else shown.doing
    trouble = f"<p class=trouble>{_text(shown.trouble)}</p>" if shown.trouble else ""
    return "\n".join(
        [
            f"{START}<title>{_text(title)}</title><link rel=icon href='data:,'>"
            "<link rel=stylesheet href=/office.css>"
            "<link rel=stylesheet href=/page/office.css>"
            "<script type=module src=/page/office.js></script></head><body>"
            f"<header><h1>{_text(title)}</h1>"
            f"<nav aria-label='{_text(words.NAV)}'>{links}{download}</nav>"
            f"<div id=told role=status data-lost='{_text(words.LOST)}'>"
            f"<p>{_text(told)}</p>{trouble}</div>"
            "</header><main>",
            *filter(None, shown.parts),
            "</main></body></html>",
        ]
    )


def _text(said: str) -> str:
    return html.escape(said)


async def _style(_request: web.Request) -> web.StreamResponse:
    return web.Response(text=STYLE, content_type="text/css")

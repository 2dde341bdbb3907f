"""Serves until it is stopped: to this machine alone, or to the crew's network."""

from __future__ import annotations

import asyncio
import signal
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from aiohttp import web

from cutmemo.asr import Recogniser, load_model, model_folder, phrases_for
from cutmemo.errors import NoBrowser
from cutmemo.site.devices import Devices
from cutmemo.site.ear import Hears
from cutmemo.site.folder import site_folder
from cutmemo.site.hub import Hub
from cutmemo.site.server import Server
from cutmemo.wording import site as words

LOCAL = ("localhost", "127.0.0.1", "[::1]")


class Model:
    """The model that all ears share, loaded once, when the first one is needed."""

    def __init__(self, name: str | None) -> None:
        """Use the model folder *name*, or the usual one."""
        self._name = name
        self._lock = threading.Lock()
        self._loaded: tuple[Any, tuple[str, ...] | None] | None = None

    def make(self) -> Hears:
        """Return a fresh recogniser. Raises :class:`NoModel`, :class:`NoDecoder`."""
        with self._lock:
            if self._loaded is None:
                folder = model_folder(self._name)
                self._loaded = (load_model(folder), phrases_for(folder))
        return Recogniser(*self._loaded)


def serve_here(memo: Path, port: int, model: str | None, tell: Callable[[str], None]) -> None:
    """Serve *memo* to this machine alone until it is stopped; *tell* where.

    Raises :class:`NoBrowser` where the port is taken.
    """
    origins = frozenset(f"http://{name}:{port}" for name in LOCAL)
    devices = Devices(site_folder() / "here.json", oldest_goes=True)
    server = Server(Hub(memo), devices, Model(model).make, lambda: origins, secure=False)

    async def serve() -> None:
        runner = web.AppRunner(server.app(), access_log=None, handler_cancellation=True)
        await runner.setup()
        try:
            await _open(web.TCPSite(runner, "localhost", port), port)
            tell(words.open_here(port))
            await _until_stopped()
        finally:
            await runner.cleanup()

    asyncio.run(serve())


async def _open(site: web.TCPSite, port: int) -> None:
    try:
        await site.start()
    except OSError as error:
        raise NoBrowser(words.port_taken(port, error.strerror or error)) from error


async def _until_stopped() -> None:
    """Return once somebody stops the program."""
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        try:
            loop.add_signal_handler(number, stop.set)
        except NotImplementedError:  # Windows: Ctrl+C raises there
            continue
    await stop.wait()

"""Open ports: how many connections each address may have, and how long a silent one is kept."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import ssl
from collections import Counter
from collections.abc import AsyncIterator

from aiohttp import web

from cutmemo.errors import NoBrowser
from cutmemo.wording import site as words

MAX_CONNECTIONS, MAX_OF_ADDRESS = 400, 60
SILENT_SECONDS = 20.0
"""So long a connection may take to ask for something, the first time and between two times."""
TLS_SECONDS = 10.0
_SILENT = logging.getLogger(f"{__name__}.access")
_SILENT.disabled = True  # links carry tokens


class _Guarded(web.RequestHandler):
    """One connection; one too many is ended before it asks for anything."""

    __slots__ = ("peer",)

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Begin, or end at once."""
        self.peer = _address(transport)  # asked once: a closed TLS transport no longer knows it
        super().connection_made(transport)
        if self._manager is None:
            return
        peers = Counter(getattr(each, "peer", "") for each in self._manager.connections)
        if peers.total() > MAX_CONNECTIONS or peers[self.peer] > MAX_OF_ADDRESS:
            self.force_close()


def _address(transport: asyncio.BaseTransport) -> str:
    peer = transport.get_extra_info("peername")
    return str(peer[0]) if peer else ""


@contextlib.asynccontextmanager
async def serving(
    app: web.Application, host: str | None, port: int, tls: ssl.SSLContext | None = None
) -> AsyncIterator[int]:
    """Serve *app* at *host* (``None``: everywhere) while in it, over TLS where it is given; give
    the port.

    Raises :class:`NoBrowser` where the port cannot be opened.
    """
    runner = web.AppRunner(app, access_log=None)
    await runner.setup()
    loop, manager = asyncio.get_running_loop(), runner.server
    if manager is None:
        raise TypeError("a runner that was set up has a server")

    def made() -> web.RequestHandler:
        return _Guarded(
            manager,
            loop=loop,
            keepalive_timeout=SILENT_SECONDS,
            lingering_time=2.0,
            access_log=_SILENT,
            max_line_size=4_096,
            max_field_size=8_190,
        )

    patience = TLS_SECONDS if tls is not None else None
    try:
        try:
            server = await loop.create_server(
                made, host or "", port, ssl=tls, ssl_handshake_timeout=patience
            )
        except OSError as error:
            raise NoBrowser(words.port_taken(port, error.strerror or error)) from error
        try:
            yield server.sockets[0].getsockname()[1]
        finally:
            server.close()
    finally:
        await runner.cleanup()
